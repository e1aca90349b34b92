import { Failure } from '../diagnostic/failure.js';
import { harmless } from '../text/harmless.js';
import { textWidth, wrapLines } from '../text/wrap.js';
import { inputLines } from './lines.js';
import type { World } from './world.js';

/** One thing that is asked. */
export interface Prompt {
  /** As it is asked: `Title of the key`. */
  readonly asks: string;
  /** What an answer looks like, and what no answer means. */
  readonly hint: string;
  /** What is wrong with an answer, in a sentence; undefined when it is valid. */
  readonly wrong: (answer: string) => string | undefined;
}

/** Asks questions one by one. */
interface Asker {
  /** The answer, without blanks round it; empty when there is none. */
  ask(question: Prompt): Promise<string>;
  end(): Promise<void>;
}

/**
 * Asks a person at a terminal, or takes the lines that come through a pipe, one for each answer. A line that
 * is not valid is a Failure; a person is asked again. When the lines run out, the remaining questions have no
 * answer.
 */
export function asker(world: World): Asker {
  const draws = world.isTTY.stdin && world.isTTY.stderr && world.env.TERM !== 'dumb';
  return draws ? atTerminal(world) : byLines(world);
}

function atTerminal(world: World): Asker {
  return {
    async ask({ asks, hint, wrong }) {
      const { default: inquirer } = await import('inquirer');
      const prompt = inquirer.createPromptModule({ input: world.stdin, output: world.stderr } as never);
      const plain = (text: string) => text;
      for (const line of wrapLines(hint, textWidth(world.columns('stderr')), '  '))
        world.stderr.write(`${line}\n`);
      const { answer } = await prompt<{ answer: string }>([
        {
          type: 'input',
          name: 'answer',
          message: `${asks}:`,
          validate: (text: string) => wrong(text.trim()) ?? true,
          theme: { prefix: '', style: { message: plain, answer: plain, defaultAnswer: plain } },
        },
      ]);
      return answer.trim();
    },
    async end() {
      // Nothing is held between questions.
    },
  };
}

function byLines(world: World): Asker {
  const lines = inputLines(world.stdin);
  let number = 0;
  return {
    async ask({ asks, hint, wrong }) {
      for (;;) {
        if (world.isTTY.stdin) world.stderr.write(`${hint}\n${asks}: `);
        const next = await lines.next();
        number++;
        const answer = next.done === true ? '' : next.value.trim();
        const problem = wrong(answer);
        if (problem === undefined) return answer;
        if (next.done === true) throw new Failure(`${asks}: ${problem}, and the answers ran out`);
        if (!world.isTTY.stdin)
          throw new Failure(`line ${number} of the answers (${asks}): ${harmless(problem)}`);
        world.stderr.write(`${harmless(problem)}\n`);
      }
    },
    async end() {
      await lines.return();
    },
  };
}
