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
}

/** How many questions were asked, and those that z3 answers otherwise than expected. */
export interface Answers {
  readonly asked: number;
  readonly yes: number;
  readonly wrong: readonly string[];
}

const BATCH = 60;

/**
 * z3, started once. Asking one question takes it a few milliseconds, whatever the question. Questions have no variables
 * in common, so those expected to be true are true if all of them together are, and those expected to be false are
 * false if not even one of them is true: the same verdicts with far fewer calls.
 */
export class Solver {
  static async start(): Promise<Solver> {
    const { Context, em } = await init();
    return new Solver(Context('keys'), em as { PThread: { terminateAllThreads(): void } });
  }

  private constructor(
    private readonly context: Context<'keys'>,
    private readonly module: { PThread: { terminateAllThreads(): void } },
  ) {}

  /** Without this the threads of z3 keep the process alive. */
  stop(): void {
    this.module.PThread.terminateAllThreads();
  }

  async ask(questions: readonly Question[]): Promise<Answers> {
    const wrong: string[] = [];
    for (const expected of [true, false]) {
      const same = questions.filter((q) => q.expected === expected);
      for (let i = 0; i < same.length; i += BATCH) {
        const batch = same.slice(i, i + BATCH);
        if ((await this.#check(batch)) === (expected ? 'sat' : 'unsat')) continue;
        for (const one of batch) {
          const answer = await this.#check([one]);
          if (answer !== (expected ? 'sat' : 'unsat'))
            wrong.push(`${one.about}: expected ${expected ? 'sat' : 'unsat'}, z3 says ${answer}`);
        }
      }
    }
    return { asked: questions.length, yes: questions.filter((q) => q.expected).length, wrong };
  }

  /** Whether all of the questions together (those expected to be true) or any of them is true. */
  async #check(questions: readonly Question[]): Promise<string> {
    const definitions = [...new Set(questions.map((q) => q.definitions))];
    const formulas = questions.map((q) => q.formula);
    const all = questions[0]?.expected === true;
    const solver = new this.context.Solver('QF_LIRA');
    solver.fromString(
      [
        ...definitions,
        ...questions.map((q) => q.declare),
        ...(all ? formulas.map((f) => `(assert ${f})`) : [`(assert (or ${formulas.join(' ')}))`]),
      ].join('\n'),
    );
    const answer = await solver.check();
    solver.release();
    return answer;
  }
}
