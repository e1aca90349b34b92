import type { KeypressEvent } from '@inquirer/core';
import type { World } from './world.js';

/** What a person asked for at a couplet, by one key press. */
type PromptAction =
  | { readonly kind: 'lead'; readonly index: number }
  | {
      readonly kind:
        | 'unsure'
        | 'back'
        | 'terms'
        | 'look'
        | 'note'
        | 'doubt'
        | 'specimen'
        | 'stop'
        | 'leave'
        | 'help'
        /** The window has changed, or the person wants the screen drawn anew. */
        | 'redraw';
    };

/** What is asked, and how it is drawn. */
export interface KeyQuestion {
  /** The letters of the leads; none when nothing is asked any more and Enter shows the result. */
  readonly letters: readonly string[];
  /** By lead: why it is ruled out, where it is. */
  readonly ruledOut: readonly (string | undefined)[];
  /** The lines above the one that the cursor stands in; `marked` is the lead that the arrows stand at. */
  draw(marked: number | undefined): readonly string[];
  /** The line that the cursor stands in. */
  line(marked: number | undefined): string;
  /** Sets a remark below it. */
  remark(text: string): string;
}

/** Capitals, so that they do not clash with the letters of leads; the small letter also works where no lead has it. */
const ACTIONS: Readonly<Record<string, PromptAction>> = {
  T: { kind: 'terms' },
  L: { kind: 'look' },
  N: { kind: 'note' },
  D: { kind: 'doubt' },
  W: { kind: 'specimen' },
  S: { kind: 'stop' },
  Q: { kind: 'leave' },
  H: { kind: 'help' },
};

type Press = KeypressEvent & { readonly sequence?: string; readonly meta?: boolean };

/** What the marked lead, the letters typed so far and the lead to be pressed twice make of the next key. */
interface PromptState {
  readonly marked?: number;
  /** Letters of a lead beyond the 26th, before Enter. */
  readonly typed?: string;
  /** A lead that is ruled out and was pressed once. */
  readonly doubted?: number;
  readonly remark?: string;
}

/** What a key means: an action, or another state. Pure, so that it can be tested without a terminal. */
function onKey(key: Press, question: KeyQuestion, state: PromptState): PromptAction | PromptState {
  const { letters } = question;
  const { marked, typed = '' } = state;
  const name = key.ctrl && key.name === 'l' ? 'redraw' : key.name;
  if (name === 'redraw') return { kind: 'redraw' };
  if (key.ctrl || key.meta === true) return state;
  if (name === 'up' || name === 'down') return move(letters.length, marked, name === 'down' ? 1 : -1);
  if (name === 'backspace' || name === 'left')
    return typed === '' ? { kind: 'back' } : { ...state, typed: typed.slice(0, -1) };
  if (name === 'return' || name === 'enter') {
    if (letters.length === 0) return { kind: 'stop' };
    const index = typed === '' ? marked : letters.indexOf(typed);
    if (index === undefined || index < 0)
      return { remark: `Choose a lead first: ${choice(letters)}, or ? for can't tell.` };
    return take(index, question, state);
  }
  const sign = key.sequence ?? '';
  if (sign === '?') return letters.length === 0 ? state : { kind: 'unsure' };
  const free = letters.length <= 26 && !letters.includes(sign);
  const wish = ACTIONS[sign] ?? (free ? ACTIONS[sign.toUpperCase()] : undefined);
  if (wish !== undefined) return wish;
  if (!/^[a-zA-Z]$/.test(sign)) return state;
  const letter = sign.toLowerCase();
  if (letters.length > 26) return { typed: typed + letter };
  const index = letters.indexOf(letter);
  if (index >= 0) return take(index, question, state);
  if (letters.length === 0) return { remark: `${letter} means nothing here: Enter ends; H for help.` };
  return { remark: `There is no ${letter} here: ${choice(letters)}, or ? for can't tell; H for help.` };
}

function move(leads: number, marked: number | undefined, step: number): PromptState {
  if (leads === 0) return {};
  if (marked === undefined) return { marked: step > 0 ? 0 : leads - 1 };
  return { marked: (marked + step + leads) % leads };
}

/** A lead that is ruled out is taken only when it is asked for twice. */
function take(index: number, question: KeyQuestion, state: PromptState): PromptAction | PromptState {
  const reason = question.ruledOut[index];
  if (reason === undefined || state.doubted === index) return { kind: 'lead', index };
  return {
    marked: index,
    doubted: index,
    remark: `${question.letters[index] ?? ''} is ruled out. Press it again to take it all the same.`,
  };
}

function choice(letters: readonly string[]): string {
  if (letters.length === 2) return `${letters[0]} or ${letters[1]}`;
  return `${letters[0]} to ${letters[letters.length - 1]}`;
}

/**
 * Asks for one key. What was drawn is cleared away afterwards. Keys pressed before the question was drawn do not
 * count: they were not meant for it. ^D stops; ^C throws `ExitPromptError`.
 */
export async function askKey(question: KeyQuestion, world: World): Promise<PromptAction> {
  const { createPrompt, useEffect, useKeypress, useState } = await import('@inquirer/core');
  const prompt = createPrompt<PromptAction, KeyQuestion>((asked, done) => {
    const [state, setState] = useState<PromptState>({});
    useEffect((rl) => {
      const leave = () => done({ kind: 'leave' });
      const redraw = () => done({ kind: 'redraw' });
      rl.on('close', leave);
      world.stderr.on('resize', redraw);
      return () => {
        world.stderr.off('resize', redraw);
      };
    }, []);
    useKeypress((key, rl) => {
      rl.clearLine(0);
      const next = onKey(key, asked, state);
      if ('kind' in next) done(next);
      else setState(next);
    });
    const { marked, typed, remark } = state;
    const line = typed === undefined || typed === '' ? asked.line(marked) : asked.line(undefined) + typed;
    return [
      [...asked.draw(marked), line].join('\n'),
      remark === undefined ? undefined : asked.remark(remark),
    ] as [string, string | undefined];
  });
  return prompt(question, { input: world.stdin, output: world.stderr, clearPromptOnDone: true });
}

/** Waits for any key, so that what was just said can be read. */
export async function askAnyKey(text: string, world: World): Promise<void> {
  const { createPrompt, useEffect, useKeypress } = await import('@inquirer/core');
  const prompt = createPrompt<null, string>((shown, done) => {
    useEffect((rl) => {
      rl.on('close', () => done(null));
    }, []);
    useKeypress((key) => {
      if (!key.ctrl) done(null);
    });
    return shown;
  });
  await prompt(text, { input: world.stdin, output: world.stderr, clearPromptOnDone: true });
}

/** Waits for one of some letters, or for Enter or anything that ends; gives the letter, else undefined. */
export async function askAnyOf(
  letters: readonly string[],
  text: string,
  world: World,
): Promise<string | undefined> {
  const { createPrompt, useEffect, useKeypress } = await import('@inquirer/core');
  const prompt = createPrompt<string | undefined, string>((shown, done) => {
    useEffect((rl) => {
      rl.on('close', () => done(undefined));
    }, []);
    useKeypress((key: Press, rl) => {
      rl.clearLine(0);
      const sign = (key.sequence ?? '').toLowerCase();
      if (letters.includes(sign)) done(sign);
      else if (['return', 'enter', 'escape', 'q'].includes(key.name)) done(undefined);
    });
    return shown;
  });
  try {
    return await prompt(text, { input: world.stdin, output: world.stderr, clearPromptOnDone: true });
  } catch (error) {
    // ^C: nothing is left to be interrupted.
    if (error instanceof Error && error.name === 'ExitPromptError') return undefined;
    throw error;
  }
}

/**
 * Asks for a line of text, such as a note, starting from the one there is, which can be emptied. undefined = leave it as
 * it is (^D, Esc).
 */
export async function askLine(
  /** What is asked: `Found at:`. */
  asked: string,
  before: string | undefined,
  world: World,
): Promise<string | undefined> {
  const { createPrompt, useEffect, useKeypress, useState } = await import('@inquirer/core');
  const prompt = createPrompt<string | undefined, string>((shown, done) => {
    const [value, setValue] = useState(before ?? '');
    useEffect((rl) => {
      rl.on('close', () => done(undefined));
      if (before !== undefined) rl.write(before);
    }, []);
    useKeypress((key: Press, rl) => {
      if (key.name === 'escape' || (key.ctrl && key.name === 'd')) done(undefined);
      // By then the line itself is empty already.
      else if (key.name === 'return' || key.name === 'enter') done(value);
      else setValue(rl.line);
    });
    return `${shown} ${value}`;
  });
  return prompt(asked, { input: world.stdin, output: world.stderr, clearPromptOnDone: true });
}
