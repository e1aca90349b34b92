/** `import --review`: a person looks at what was read with doubt, in the terminal or by answers from a pipe. */
import { dirname, join, resolve } from 'node:path';
import { Failure } from '../../../diagnostic/failure.js';
import { requireWritable } from '../../../files/atomic-write.js';
import type { OutFile } from '../../../files/out.js';
import { isFile, noFile, readText } from '../../../files/texts.js';
import { keyShelf } from '../../../inputs/key-shelf.js';
import { inputLines } from '../../../terminal/lines.js';
import { paintFor } from '../../../terminal/paint.js';
import type { World } from '../../../terminal/world.js';
import { harmless } from '../../../text/harmless.js';
import { shellWord } from '../../../text/shell-word.js';
import { textWidth, wrapLines } from '../../../text/wrap.js';
import { findingCount, findingLines } from '../../../words/findings.js';
import type { ImportedKey } from '../assemble.js';
import { type OpenedText, openText } from '../opened.js';
import { reviewByKeys } from './by-keys.js';
import { AnswerLines, reviewByLines } from './by-lines.js';
import { type Printed, printNoted } from './printed.js';
import { ReviewSession } from './session.js';
import { reviewReader } from './state.js';
import { ReviewTalk } from './talk.js';
import type { PrintBeside } from './view.js';

/** A key that was imported before. 0 = nothing is left, 1 = something is, 2 = it cannot be reviewed, 130 = interrupted. */
export async function reviewKey(name: string, print: string | undefined, world: World): Promise<number> {
  const path = resolve(world.cwd, name);
  if (!isFile(path)) throw noFile(path, harmless(name));
  const beside = await printBeside(path, harmless(name), print, world);
  const width = world.columns('stderr');
  for (const warning of warnings(beside, print)) {
    const lines =
      width === undefined ? [harmless(warning)] : wrapLines(harmless(warning), textWidth(width), '', '  ');
    world.stderr.write(`${lines.join('\n')}\n`);
  }
  return review([name], beside, print, world);
}

/** A key that is imported now, and the file that it goes to. */
export interface ToWrite {
  readonly key: ImportedKey;
  readonly file: OutFile;
}

/**
 * Which of the keys of a text are written: a file that was imported from the same text before stays as it is, for its review goes
 * on. Throws a Failure for any other file that is there.
 */
export function notBegun(keys: readonly ToWrite[], { mark }: Printed): readonly ToWrite[] {
  return keys.filter(({ file }) => {
    if (file.overwrite || !isFile(file.path)) return true;
    const noted = printNoted(readText(file.path, harmless(file.shown)));
    if (noted?.mark === mark) return false;
    throw new Failure(
      `${harmless(file.shown)} is there already, and it was not imported from this text as it is now; it is left as it is`,
      {
        hint: `add --overwrite to import it anew, or review it as it is: keywright import ${shellWord(file.shown)} --review`,
      },
    );
  });
}

/** Keys that were written just now, or before from the same text. */
export function reviewImported(
  files: readonly string[],
  { print }: OpenedText,
  printName: string,
  world: World,
): Promise<number> {
  return review(files, { kind: 'here', print, changed: false }, printName, world);
}

async function review(
  names: readonly string[],
  beside: PrintBeside,
  print: string | undefined,
  world: World,
): Promise<number> {
  const draws = world.isTTY.stdin && world.isTTY.stderr && world.env.TERM !== 'dumb';
  const lines = draws ? undefined : inputLines(world.stdin);
  const answers = lines === undefined ? undefined : new AnswerLines(lines);
  let left = false;
  let ended: 'finished' | 'left' | 'interrupted' = 'finished';
  try {
    for (const name of names) {
      const session = sessionOf(name, world);
      if (session === undefined) return 2;
      const talk = new ReviewTalk(session, beside, world, await paintFor(world.colour.stderr));
      const again = `keywright import ${shellWord(name)} --review${print === undefined ? '' : ` --print ${shellWord(print)}`}`;
      try {
        if (ended === 'finished') {
          talk.opening();
          ended = await (answers === undefined ? reviewByKeys(talk) : reviewByLines(talk, answers));
        }
      } catch (error) {
        if (!(error instanceof Error && error.name === 'ExitPromptError')) throw error;
        ended = 'interrupted';
      }
      talk.account(again);
      if (session.left().count > 0 || session.now.faultsElsewhere.length > 0) left = true;
    }
  } finally {
    await lines?.return();
  }
  if (ended === 'interrupted') return 130;
  return left ? 1 : 0;
}

/** Opens a key for its review; says why it cannot be, and gives undefined. Throws a Failure for a file that cannot be changed. */
function sessionOf(name: string, world: World): ReviewSession | undefined {
  const path = resolve(world.cwd, name);
  const shown = harmless(name);
  requireWritable(path, shown);
  const read = reviewReader(name, keyShelf(world));
  const begin = read(readText(path, shown));
  if (begin.ok) return new ReviewSession(path, name, read, begin.reviewed);
  for (const line of findingLines(begin.findings)) world.stderr.write(`${line}\n`);
  world.stderr.write(
    `keywright: ${shown} cannot be reviewed: ${findingCount(begin.findings)} must be fixed first\n`,
  );
  return undefined;
}

/**
 * The print of a key: the one that the person names; else the one that the key names, beside the key or in the current folder. The
 * name comes from the key, which is untrusted: no folder is part of it, and in the current folder only the very text counts that
 * the key was made from.
 */
async function printBeside(
  path: string,
  shown: string,
  given: string | undefined,
  world: World,
): Promise<PrintBeside> {
  const noted = printNoted(readText(path, shown));
  if (given !== undefined) {
    const { print } = await openText(resolve(world.cwd, given), given);
    return { kind: 'here', print, changed: noted !== undefined && noted.mark !== print.mark };
  }
  if (noted === undefined || /[/\\]/.test(noted.name)) return { kind: 'missing', name: noted?.name };
  const own = await openedIfThere(join(dirname(path), noted.name), noted.name);
  if (own?.mark === noted.mark) return { kind: 'here', print: own, changed: false };
  const here = await openedIfThere(resolve(world.cwd, noted.name), noted.name);
  if (here?.mark === noted.mark) return { kind: 'here', print: here, changed: false };
  return own === undefined
    ? { kind: 'missing', name: noted.name }
    : { kind: 'here', print: own, changed: true };
}

async function openedIfThere(path: string, shown: string): Promise<Printed | undefined> {
  if (!isFile(path)) return undefined;
  try {
    return (await openText(path, shown)).print;
  } catch (error) {
    if (error instanceof Failure) return undefined;
    throw error;
  }
}

/** What a person should know of the print before the review begins. */
function warnings(beside: PrintBeside, given: string | undefined): string[] {
  if (beside.kind === 'missing')
    return [
      beside.name === undefined
        ? 'keywright: the key does not say which text it was imported from: name it with --print FILE to see its lines'
        : `keywright: the print ${beside.name} is neither beside the key nor here: name it with --print FILE to see its lines`,
    ];
  return beside.changed
    ? [
        `keywright: ${given ?? beside.print.name} is not the text that the key was imported from, or it has changed since: the lines shown may belong to other couplets`,
      ]
    : [];
}
