/** Many questions to z3 at once. */
import { type Context, init } from 'z3-solver';

/** A question about one key: whether some find satisfies a formula, and what is expected. */
export interface Question {
  /** What is asked, for the report of a mistake. */
  readonly about: string;
  /** What the names in it mean: definitions that several questions may share, and the variables of this one alone. */
  readonly definitions: string;
  readonly declare: string;
  readonly formula: string;
  readonly expected: boolean;
  /** The same of one find that is said to satisfy it, tried first: less work than to search for one. */
  readonly likely?: { readonly declare: string; readonly formula: string } | undefined;
}

const BATCH = 100;

/**
 * z3, started once. Asking one question takes it a few milliseconds, whatever the question. Questions have no variables
 * in common, so those expected to be true are true if all of them together are, and those expected to be false are
 * false if not even one of them is true: the same verdicts with far fewer calls.
 */
export class Solver {
  static async start(): Promise<Solver> {
    return new Solver(await init());
  }

  readonly #z3: Awaited<ReturnType<typeof init>>;
  #context: Context<string>;
  #asked = 0;

  private constructor(z3: Awaited<ReturnType<typeof init>>) {
    this.#z3 = z3;
    this.#context = z3.Context<string>('keys');
  }

  /** Without this the threads of z3 keep the process alive. */
  stop(): void {
    (this.#z3.em as { PThread: { terminateAllThreads(): void } }).PThread.terminateAllThreads();
  }

  /** The questions that z3 answers otherwise than expected, in words. */
  async ask(questions: readonly Question[]): Promise<string[]> {
    const wrong: string[] = [];
    for (const expected of [true, false]) {
      const same = questions.filter((q) => q.expected === expected);
      for (let i = 0; i < same.length; i += BATCH) {
        const batch = same.slice(i, i + BATCH);
        // A context never forgets a name, and grows slower with each.
        if (++this.#asked % 5 === 0) this.#context = this.#z3.Context<string>(`keys-${this.#asked}`);
        if ((await this.#check(batch, true)) === (expected ? 'sat' : 'unsat')) continue;
        for (const one of batch) {
          const answer = await this.#check([one], false);
          if (answer !== (expected ? 'sat' : 'unsat'))
            wrong.push(`${one.about}: expected ${expected ? 'sat' : 'unsat'}, z3 says ${answer}`);
        }
      }
    }
    return wrong;
  }

  /** Whether all of the questions together (those expected to be true) or any of them is true. */
  async #check(questions: readonly Question[], likely: boolean): Promise<string> {
    const definitions = [...new Set(questions.map((q) => q.definitions))];
    const asked = questions.map((q) => (likely ? (q.likely ?? q) : q));
    const formulas = asked.map((q) => q.formula);
    const all = questions[0]?.expected === true;
    const solver = new this.#context.Solver();
    solver.fromString(
      [
        ...definitions,
        ...asked.map((q) => q.declare),
        ...(all ? formulas.map((f) => `(assert ${f})`) : [`(assert (or ${formulas.join(' ')}))`]),
      ].join('\n'),
    );
    const answer = await solver.check();
    solver.release();
    return answer;
  }
}
