import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { KEY, Pty } from '../support/terminal.js';
import { StoredScreens } from './stored-screens.js';

const shipped = fileURLToPath(new URL('../../keys', import.meta.url));
let folder: string;
const open: Pty[] = [];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-job-'));
  cpSync(shipped, join(folder, 'keys'), { recursive: true });
});
afterEach(() => {
  for (const pty of open.splice(0)) pty.end();
  rmSync(folder, { recursive: true, force: true });
});

/** What is typed at a screen, and what only the next one shows; without it the program ends. */
type Step = readonly [does: string, keys: string, shows?: string | RegExp];

/** One command of the job: its words, what its first screen shows (none = it ends by itself), and what is typed. */
interface Command {
  readonly args: readonly string[];
  readonly begins?: string | RegExp;
  readonly steps?: readonly Step[];
}

const RESULT = /F everything .*Enter ends/;
/** What stands below a result that a small window cannot hold at once. */
const PAGE = 'Enter goes on';
const RESULT_OR_PAGE = /F everything .*Enter ends|Enter goes on/;

/** From the sheet to the report, as a person does it who has the program for the first time. */
const JOB: readonly Command[] = [
  { args: ['sheet', 'tarn-wood-tufts'] },
  {
    args: ['run', 'gill-genera', '--record', 'th-1.yaml', '--id', 'TH-1', '--by', 'E. Marlow'],
    begins: 'Found at:',
    steps: [
      ['says where it was found', `Alder Carr${KEY.enter}`, 'Found on:'],
      ['takes the day of today', KEY.enter, 'Found by:'],
      ['takes the own name', KEY.enter, 'Growing or living on:'],
      ['says on what it grew', `an alder stump${KEY.enter}`, 'Couplet 0, your answer:'],
      ['looks at another specimen', 'W', 'Which specimen'],
      ['names it', `b${KEY.enter}`, 'Its age '],
      ['says its age', '2', 'Seen now: specimen b, '],
      ['doubts', 'D', 'Why not sure of 0'],
      ['says why', `thin print${KEY.enter}`, 'In doubt: thin print'],
      ['answers', 'b', /gill-genera-ochre:[\s\S]*your answer:/],
      ['cannot tell', '?', /0\? {2}can't tell:[\s\S]*your answer:/],
      ['writes a note', 'N', 'Note on'],
      ['says what', `ask Tam${KEY.enter}`, 'Note: ask Tam'],
      ['leaves off', 'Q'],
    ],
  },
  {
    args: ['run', 'gill-genera', '--resume', 'th-1.yaml'],
    begins: 'your answer:',
    steps: [
      ['stops', 'S', RESULT],
      ['reads no more', KEY.enter],
    ],
  },
  {
    args: ['run', 'tarn-wood-tufts', '--record', 'th-1.yaml', '--id', 'TH-1'],
    begins: 'Couplet 1, your answer:',
    steps: [
      ['answers', 'b', 'Couplet 3, your answer:'],
      ['answers', 'b', /tarn-rust-spored:[\s\S]*your answer:/],
      ['goes back', KEY.backspace, 'Couplet 3, your answer:'],
      ['cannot tell', '?', /3\? {2}can't tell[\s\S]*your answer:/],
      ['stops', 'S', RESULT],
      ['reads all', 'f'],
    ],
  },
  {
    args: ['run', 'tarn-rust-spored', '--with', 'th-1.yaml', '--record', 'th-2.yaml'],
    begins: 'Couplet 1, your answer:',
    steps: [
      ['looks at one specimen', 'W', 'Which specimen'],
      ['names it', `a${KEY.enter}`, 'Its age '],
      ['says its age', '2', 'Seen now: specimen a, '],
      ['answers', 'b', 'Couplet 3, your answer:'],
      ['looks at another', 'W', 'Which specimen'],
      ['names it', `b${KEY.enter}`, 'Its age '],
      ['says its age', '1', 'Seen now: specimen b, '],
      ['answers', 'b', 'Couplet 5, your answer:'],
      ['looks at a third', 'W', 'Which specimen'],
      ['names it', `c${KEY.enter}`, 'Its age '],
      ['says its age', '1', 'Seen now: specimen c, '],
      ['answers', 'a', 'Nothing more to ask'],
      ['ends', KEY.enter, RESULT],
      ['reads no more', KEY.enter],
    ],
  },
  { args: ['compare', 'gill-genera', 'tarn-wood-tufts', '--with', 'th-1.yaml'] },
  { args: ['report', 'th-1.yaml'] },
  { args: ['report', 'th-2.yaml'] },
];

describe.each([
  { columns: 80, rows: 24 },
  { columns: 50, rows: 20 },
])('the whole job in a window of $columns x $rows', (window) => {
  it('shows what was stored, screen by screen', async () => {
    const screens = new StoredScreens(`whole-job-${window.columns}x${window.rows}`, window.columns);
    for (const { args, begins, steps = [] } of JOB) {
      const pty = new Pty([...args], { ...window, cwd: folder });
      open.push(pty);
      const line = `keywright ${args.join(' ')}`;
      if (begins !== undefined) screens.add(line, await pty.shows(begins));
      for (const [does, keys, shows] of steps) {
        if (shows === undefined) {
          pty.type(keys);
          continue;
        }
        let screen = await pty.press(keys, shows === RESULT ? RESULT_OR_PAGE : shows);
        screens.add(`${line}: ${does}`, screen);
        if (!screen.some((text) => text.startsWith(PAGE))) continue;
        screen = await pty.press(KEY.enter, RESULT);
        screens.add(`${line}: ${does}, the rest`, screen);
      }
      expect(await pty.exit, line).toBe(0);
      // The terminal reads what came last a little after the program has ended.
      await pty.shows(/\S/);
      screens.add(
        `${line}: ${steps.at(-1)?.[0] ?? 'all of it'}`,
        begins === undefined ? pty.scroll() : pty.screen(),
      );
      expect(pty.overflowing(), line).toEqual([]);
    }
    screens.hold();
  });
});
