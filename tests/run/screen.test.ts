import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readRecord } from '../../src/record/read.js';
import { KEY, Pty, type Window } from '../support/terminal.js';
import { unwrapped, workFolder } from './lines.js';

let folder: string;
let remove: () => void;
const open: Pty[] = [];

beforeEach(() => {
  ({ folder, remove } = workFolder());
});
afterEach(async () => {
  for (const pty of open.splice(0)) pty.end();
  remove();
});

function start(args: readonly string[], window: Partial<Window> = {}): Pty {
  const pty = new Pty(['run', ...args], { columns: 80, rows: 24, cwd: folder, ...window });
  open.push(pty);
  return pty;
}

function record(name = 'find.rec.yaml') {
  const read = readRecord(readFileSync(join(folder, name), 'utf8'), name);
  if (!read.ok) throw new Error(read.problem);
  const last = read.record.determinations.at(-1);
  if (last === undefined) throw new Error('no determination');
  return last;
}

/** The same for a keying that a record is kept of, past the questions about the find. */
async function kept(args: readonly string[], window: Partial<Window> = {}): Promise<Pty> {
  const pty = start(args, window);
  await pty.shows(/^(Found (at|on|by)|Growing or living on):/m);
  pty.type(KEY.escape);
  return pty;
}

const CAPS = 'hollow-caps.key.yaml';

describe.each([
  { columns: 80, rows: 24 },
  { columns: 60, rows: 20 },
  { columns: 40, rows: 12 },
])('run in a window of $columns x $rows', (window) => {
  it('keys out a find by single keys; nothing is wider than the window or cut', async () => {
    const pty = await kept([CAPS, '--record', 'find.rec.yaml', '--id', 'TH-1'], window);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('a', 'Couplet 2, your answer:');
    await pty.press('b', 'Couplet 4, your answer:');
    const fifth = await pty.press('b', 'Couplet 5, your answer:');
    await pty.press('a', 'Nothing more to ask:');
    const result = await pty.press(KEY.enter, /F everything .*Enter ends|Enter goes on/);
    expect(result.join('\n')).toMatch(/^Verdict: Not cleared\./m);
    pty.type(KEY.enter);
    await pty.shows(/F everything .*Enter ends|The record is kept/);
    pty.type(KEY.enter);
    expect(await pty.exit).toBe(0);
    await pty.shows('The record is kept');
    const all = unwrapped([...fifth, ...pty.scroll()].join('\n'));
    expect(all).toContain('1a Spore print white to cream');
    expect(all).toContain('5 (4b) a Cap at first like a bell');
    // Both leads of the long couplet stand there whole.
    const leads = readFileSync(join(folder, CAPS), 'utf8').match(
      /Cap (?:at first|flat)[\s\S]*?(?=\n {6}taxon)/g,
    );
    expect(leads).toHaveLength(2);
    for (const lead of leads ?? []) expect(all).toContain(unwrapped(lead));
    expect(all).toContain('Cappa longa: effects unknown');
    expect(all).toMatch(/Verdict: Not cleared\./);
    expect(pty.overflowing()).toEqual([]);
    expect(record()).toMatchObject({ status: 'finished', possible: ['cappa-longa'] });
  });

  it('shows both leads, the way here, what is possible and the keys', async () => {
    const pty = start([CAPS], window);
    await pty.shows('Couplet 1, your answer:');
    const screen = unwrapped((await pty.press('a', 'Couplet 2, your answer:')).join('\n'));
    expect(screen).toMatch(
      /2 \(1a\) a Ring present \.+ 3, worst: deadly b Ring absent \.+ 4, worst: upsets stomach or gut 5 possible; worst: deadly/,
    );
    expect(screen).toContain("a b answer ? can't tell");
  });
});

describe('run in a terminal', () => {
  it('is the same without colours, and says nothing by colour alone', async () => {
    const screens: string[] = [];
    for (const env of [{}, { NO_COLOR: '1' }]) {
      const pty = start([CAPS], { env });
      await pty.shows('Couplet 1, your answer:');
      await pty.press('a', 'Couplet 2, your answer:');
      screens.push((await pty.press('a', 'Couplet 3, your answer:')).join('\n').replace(/Find: .*/, ''));
      await pty.press('N', 'Note on 3');
      await pty.press(`ok${KEY.enter}`, 'Note: ok');
      // biome-ignore lint/suspicious/noControlCharactersInRegex: colours are control sequences
      expect(/\x1b\[[\d;]*m/.test(pty.raw)).toBe(env.NO_COLOR === undefined);
      pty.type('Q');
      await pty.exit;
    }
    expect(screens[1]).toBe(screens[0]);
  });

  it('takes a lead by arrows and Enter, and nothing by Enter alone', async () => {
    const pty = start([CAPS]);
    await pty.shows('Couplet 1, your answer:');
    await pty.press(KEY.enter, "Choose a lead first: a or b, or ? for can't tell.");
    await pty.press(KEY.down, '> a  Spore print white');
    await pty.press(KEY.down, '> b  Spore print rusty');
    await pty.press(KEY.down, '> a  Spore print white');
    await pty.press(KEY.up, '> b  Spore print rusty');
    await pty.press(KEY.up, '> a  Spore print white');
    await pty.press(KEY.enter, 'Couplet 2, your answer:');
    await pty.press('x', 'There is no x here: a or b');
  });

  it('goes back any number of answers', async () => {
    const pty = await kept([CAPS, '--record', 'find.rec.yaml']);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('a', 'Couplet 2, your answer:');
    await pty.press('b', 'Couplet 4, your answer:');
    await pty.press(KEY.backspace, 'Couplet 2, your answer:');
    expect(record().answers.map((a) => a.couplet + a.lead)).toEqual(['1a']);
    await pty.press(KEY.left, 'Couplet 1, your answer:');
    await pty.press(KEY.backspace, 'This is the beginning');
    expect(record().answers).toEqual([]);
  });

  it("follows every lead when the person can't tell, and asks the open couplets one after the other", async () => {
    const pty = start([CAPS]);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('a', 'Couplet 2, your answer:');
    await pty.press('?', "2?  can't tell: a and b go on");
    const screen = await pty.shows('Couplet 3, your answer:');
    expect(screen.join('\n')).toContain('Not told at 2: each way is asked in turn');
    await pty.press('?', 'Couplet 4, your answer:');
    await pty.press('a', 'Nothing more to ask');
    await pty.press(KEY.enter, 'F everything that is known of it');
    pty.type('f');
    expect(await pty.exit).toBe(0);
    await pty.shows('Cautions');
    const all = unwrapped(pty.scroll().join('\n'));
    expect(all).toContain('couplet 2: a or b (you could not tell)');
    expect(all).toContain('keyed with hollow-caps 1.2.0: Cappa sp.');
  });

  it('says as soon as all that is possible is to be left, and goes on or stops', async () => {
    const pty = start([CAPS]);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('a', 'Couplet 2, your answer:');
    const screen = unwrapped((await pty.press('a', 'Couplet 3, your answer:')).join('\n'));
    expect(screen).toContain(
      'Both that are possible are to be left. More keying cannot change that. You may go on, or press S to stop here with the result.',
    );
    const result = await pty.press('S', 'F everything that is known of it');
    expect(unwrapped(result.join('\n'))).toContain(
      'Verdict: Leave it. All 2 taxa still possible do harm; the worst: Cappa mortalis (deadly). Whatever more you look at, the verdict stands.',
    );
    pty.type('F');
    expect(await pty.exit).toBe(0);
    await pty.shows('Cautions');
    expect(unwrapped(pty.scroll().join('\n'))).toContain('couplet 3: a or b (not asked)');
  });

  it('explains terms and how to look, one page at a time, and helps', async () => {
    const pty = start([CAPS, '--with', 'find.yaml'], { rows: 20, columns: 60 });
    await pty.shows('Couplet 3, your answer:');
    await pty.press('T', 'membranous: like a thin skin');
    await pty.press('l', 'texture of the ring: membranous (like a thin skin)');
    await pty.press('H', 'Press any key to go on');
    await pty.press(' ', 'Couplet 3, your answer:');
    expect(pty.overflowing()).toEqual([]);
  });

  it('keeps a note, changes it, and leaves off', async () => {
    const pty = await kept([CAPS, '--record', 'find.rec.yaml']);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('n', 'Note on 1 (Enter keeps it):');
    await pty.press(`print thin${KEY.enter}`, 'Note: print thin');
    await pty.shows('Couplet 1, your answer:');
    expect(record()).toMatchObject({ answers: [], notes: [{ couplet: '1', note: 'print thin' }] });
    await pty.press('N', 'Note on 1 (Enter keeps it): print thin');
    await pty.press(`, look again${KEY.enter}`, 'Note: print thin, look again');
    await pty.shows('Couplet 1, your answer:');
    // ^D gives a note up.
    await pty.press('N', 'Note on 1');
    await pty.press(KEY.d, 'Couplet 1, your answer:');
    await pty.press('a', 'Couplet 2, your answer:');
    pty.type('q');
    expect(await pty.exit).toBe(0);
    expect(unwrapped(pty.scroll().join('\n'))).toMatch(
      /Left off at couplet 2, after 1 answer, with 5 taxa still possible\. The record is kept in find\.rec\.yaml; go on with: keywright run hollow-caps\.key\.yaml --resume find\.rec\.yaml/,
    );
    expect(record()).toMatchObject({
      status: 'open',
      answers: [{ lead: 'a', note: 'print thin, look again' }],
    });
  });

  it('keeps why an answer is doubtful, and says so at the end', async () => {
    const pty = await kept([CAPS, '--record', 'find.rec.yaml']);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('D', 'Why not sure of 1 (Enter keeps it):');
    await pty.press(`seen by lamplight${KEY.enter}`, 'In doubt: seen by lamplight');
    await pty.shows('Couplet 1, your answer:');
    await pty.press('a', 'Couplet 2, your answer:');
    await pty.press('S', 'F everything that is known of it');
    pty.type(KEY.enter);
    expect(await pty.exit).toBe(0);
    expect(unwrapped(pty.scroll().join('\n'))).toContain('You were not sure of 1a: look there again first.');
    expect(record()).toMatchObject({ answers: [{ lead: 'a', doubt: 'seen by lamplight' }] });
    expect(pty.overflowing()).toEqual([]);
  });

  it('asks where, when, by whom and on what it was found, once', async () => {
    const pty = start([CAPS, '--record', 'find.rec.yaml', '--habitat', 'oak stump', '--by', 'E. Marlow']);
    await pty.shows('Found at:');
    await pty.press(`Alder Carr${KEY.enter}`, /^Found on: \d{4}-\d\d-\d\d/m);
    await pty.press(`${KEY.u}June${KEY.enter}`, '"June" is not a date; write year-month-day');
    await pty.press(`${KEY.u}2026-06-14${KEY.enter}`, 'Found by: E. Marlow');
    await pty.press(`${KEY.u}${KEY.enter}`, 'Couplet 1, your answer:');
    const screen = unwrapped(pty.screen().join('\n'));
    expect(screen).toContain('Noted: Alder Carr; 2026-06-14.');
    expect(screen).toContain('! June lies outside the months of hollow-caps');
    await pty.press('a', 'Couplet 2, your answer:');
    pty.type('Q');
    await pty.exit;
    const { collection } = record();
    expect(collection).toMatchObject({ place: 'Alder Carr', date: '2026-06-14', habitat: 'oak stump' });
    expect(collection.by).toBeUndefined();
    expect(readFileSync(join(folder, 'find.rec.yaml'), 'utf8')).toMatch(
      /^collection:\n( {2}.*\n)* {2}place: Alder Carr\n/m,
    );
    const again = start([CAPS, '--resume', 'find.rec.yaml']);
    await again.shows('Couplet 2, your answer:');
  });

  it('Esc skips the rest of these questions', async () => {
    const pty = start([CAPS, '--record', 'find.rec.yaml']);
    await pty.shows('Found at:');
    await pty.press(`Alder Carr${KEY.enter}`, 'Found on:');
    await pty.press(KEY.escape, 'Couplet 1, your answer:');
    expect(record().collection).toMatchObject({ place: 'Alder Carr' });
    expect(record().collection.date).toBeUndefined();
  });

  it('keeps the specimen and age that an answer was read from, until they change', async () => {
    const pty = await kept([CAPS, '--record', 'find.rec.yaml']);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('W', 'Which specimen');
    await pty.press(`b${KEY.enter}`, '1 mature');
    await pty.press('1', 'Seen now: specimen b, mature');
    await pty.press('a', 'Couplet 2, your answer:');
    await pty.press('b', 'Couplet 4, your answer:');
    await pty.press('W', 'Which specimen (nothing = the whole find):');
    await pty.press(KEY.enter, 'Its age ');
    await pty.press(KEY.enter, 'Seen from now on: the find as a whole');
    await pty.press('b', 'Couplet 5, your answer:');
    expect(record().answers.map(({ specimen, stage }) => [specimen, stage])).toEqual([
      ['b', 'mature'],
      ['b', 'mature'],
      [undefined, undefined],
    ]);
  });

  it('shows earlier doubts and notes when it goes on', async () => {
    const pty = await kept([CAPS, '--record', 'find.rec.yaml']);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('D', 'Why not sure of 1');
    await pty.press(`thin print${KEY.enter}`, 'In doubt: thin print');
    await pty.press('a', 'Couplet 2, your answer:');
    await pty.press('N', 'Note on 2');
    await pty.press(`see base${KEY.enter}`, 'Note: see base');
    pty.type('Q');
    await pty.exit;
    const again = start([CAPS, '--resume', 'find.rec.yaml']);
    const screen = (await again.shows('Couplet 2, your answer:')).join('\n');
    expect(screen).toContain('1a  Spore print white to cream\n    in doubt: thin print\n');
    expect(screen).toContain('No answer yet at 2:\n    note: see base\n');
  });

  it('^D leaves off, ^C interrupts; both keep the record', async () => {
    for (const [key, code] of [
      [KEY.d, 0],
      [KEY.c, 130],
    ] as const) {
      const name = `rec-${code}.yaml`;
      const pty = await kept([CAPS, '--record', name]);
      await pty.shows('Couplet 1, your answer:');
      await pty.press('a', 'Couplet 2, your answer:');
      pty.type(key);
      expect(await pty.exit).toBe(code);
      expect(unwrapped(pty.scroll().join('\n'))).toContain(`The record is kept in ${name}; go on with:`);
      expect(record(name).answers).toHaveLength(1);
    }
  });

  it.each([
    ['by single keys', {}],
    ['line by line', { TERM: 'dumb' }],
  ])('ends quietly when its window is closed, with what was answered kept (%s)', async (how, env) => {
    const pty = start([CAPS, '--record', 'rec.yaml'], { status: 'status', env });
    const [asks, enter] = how === 'line by line' ? ['Your answer:', '\n'] : ['your answer:', ''];
    if (how === 'by single keys') {
      await pty.shows(/^(Found (at|on|by)|Growing or living on):/m);
      pty.type(KEY.escape);
    }
    await pty.shows(asks);
    await pty.press(`a${enter}`, /1a/);
    pty.end();
    await expect
      .poll(() => readFileSync(join(folder, 'status'), { encoding: 'utf8', flag: 'a+' }))
      .toBe('129\n');
    expect(record('rec.yaml').answers).toHaveLength(1);
    expect(existsSync(join(folder, '.rec.yaml.lock'))).toBe(false);
  });

  it('goes on after kill -9', async () => {
    const first = await kept([
      CAPS,
      '--record',
      'find.rec.yaml',
      '--with',
      'find.yaml',
      '--id',
      'TH-2026-041',
    ]);
    await first.shows('Couplet 3, your answer:');
    await first.press('?', 'Nothing more to ask');
    first.kill();
    await first.exit;
    const again = start([CAPS, '--resume', 'find.rec.yaml']);
    const screen = await again.shows('Nothing more to ask');
    expect(screen.join('\n')).toContain('Find: TH-2026-041, 3 observations recorded so far.');
    expect(screen.join('\n')).toContain("3?  can't tell: a and b go on");
    await again.press(KEY.backspace, 'Couplet 3, your answer:');
    await again.press('b', 'Nothing more to ask');
    await again.press(KEY.enter, 'F everything that is known of it');
    again.type(KEY.enter);
    expect(await again.exit).toBe(0);
    expect(record()).toMatchObject({
      status: 'finished',
      collection: { id: 'TH-2026-041', date: '2026-10-18' },
      possible: ['cappa-aegra'],
    });
  });

  it('letters of leads are never taken for commands, however many leads there are', async () => {
    const pty = await kept(['hollow-rust.key.yaml', '--record', 'find.rec.yaml'], { rows: 40 });
    await pty.shows('Couplet 1, your answer:');
    await pty.press('b', 'Couplet 2, your answer:');
    await pty.press('a', 'Couplet 3, your answer:');
    for (const letter of ['d', 'h', 'l', 'n', 'q', 's', 't']) {
      await pty.press(letter, 'Nothing more to ask');
      expect(record().answers.at(-1)?.lead).toBe(letter);
      await pty.press(KEY.backspace, 'Couplet 3, your answer:');
    }
    await pty.press('L', 'names no characters');
    await pty.press(KEY.backspace, 'Couplet 2, your answer:');
    // More leads than letters: the letters are typed, and Enter takes them.
    await pty.press('b', 'Couplet 4, your answer:');
    await pty.press('ab', 'your answer: ab');
    await pty.press(KEY.backspace, /your answer: a$/m);
    await pty.press(`b${KEY.enter}`, 'Nothing more to ask');
    expect(record().answers.at(-1)?.lead).toBe('ab');
  });

  it('a lead that is ruled out says why, and is taken only when asked for twice', async () => {
    const pty = await kept(['hollow-three.key.yaml', '--with', 'three.yaml', '--record', 'find.rec.yaml']);
    const screen = await pty.shows('Couplet 1, your answer:');
    expect(unwrapped(screen.join('\n'))).toMatch(
      /c Cap black \.+ Tria nigra: deadly - ruled out: the find shows colour of the cap: red or yellow/,
    );
    await pty.press('c', /Press\s+it again\s+to take it all the same/);
    await pty.press('c', /! answer 1c contradicts what was recorded/);
  });

  it('never sends a control sequence of a key to the terminal', async () => {
    const pty = start(['hollow-rust.key.yaml']);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('L', 'colour\\u{1b}[2J of the cap');
    await pty.press('a', 'Nothing more to ask');
    await pty.press(KEY.enter, 'F everything that is known of it');
    pty.type('f');
    await pty.exit;
    expect(pty.raw).not.toContain('\x1b]');
    expect(pty.raw).not.toContain('\x1b[31mas');
    expect(pty.raw).not.toContain('\x9b');
    expect(pty.raw).not.toContain('\x1b[2J');
    expect(pty.scroll().join('\n')).toContain('Rusta\\u{1b}[1A evil');
  });

  it('stands to be resized', async () => {
    const pty = start([CAPS]);
    await pty.shows('Couplet 1, your answer:');
    await pty.press('a', 'Couplet 2, your answer:');
    pty.resize(50, 18);
    await pty.shows(/^1a {2}Spore print white to cream\n(?:\n)?2 \(1a\)\n/);
    await pty.press('b', 'Couplet 4, your answer:');
    expect(pty.screen().filter((line) => line.length > 50)).toEqual([]);
  });

  it('asks line by line on a terminal where nothing can be drawn', async () => {
    const pty = start([CAPS], { env: { TERM: 'dumb' } });
    await pty.shows('Your answer:');
    await pty.press('x\n', 'is no answer to couplet 1');
    await pty.press('a\n', '2 (1a)');
    pty.type(KEY.d);
    expect(await pty.exit).toBe(0);
    expect(pty.screen().join('\n')).toContain('Left off at couplet 2');
    expect(pty.raw).not.toContain('\x1b');
  });

  it('the result alone goes to stdout', async () => {
    const pty = start([CAPS, '--with', 'find.yaml'], { stdout: 'out.txt' });
    await pty.shows('Couplet 3, your answer:');
    pty.type('a');
    await pty.shows('Nothing more to ask');
    pty.type(KEY.enter);
    expect(await pty.exit).toBe(0);
    expect(existsSync(join(folder, 'out.txt'))).toBe(true);
    const out = readFileSync(join(folder, 'out.txt'), 'utf8');
    expect(out).toMatch(
      /^Verdict: Leave it\.[^\n]*\n[\s\S]*TH-2026-041, keyed with hollow-caps 1\.2\.0: Cappa mortalis\n/,
    );
    expect(pty.scroll().join('\n')).not.toContain('Verdict');
  });
});
