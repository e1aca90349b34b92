/** `import --review` as a person meets it: what it takes, where the decisions go, and what is left. */
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { action } from '../../../src/commands/import/command.js';
import { fakeWorld } from '../../support/fake-world.js';
import { inProcess } from '../../support/in-process.js';
import { KEY, PRINT } from './sample.js';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-review-'));
  write('caps.txt', PRINT);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const write = (name: string, text: string) => writeFileSync(join(folder, name), text);
const text = (name = 'keys/caps.key.yaml') => readFileSync(join(folder, name), 'utf8');
const keywright = (args: string[], answers: string[] = []) =>
  inProcess(args, { cwd: folder, stdin: answers.map((a) => `${a}\n`).join('') });
const IMPORT = ['import', 'caps.txt', '--review', '--out', 'keys'];

describe('import TEXT --review', () => {
  it('imports, shows the print above the reading, and keeps every decision', async () => {
    const { code, out, err } = await keywright(IMPORT, ['end a Aria alba', 'accept', 'accept', 'accept']);
    expect([code, out]).toEqual([0, '']);
    expect(err).toMatch(
      /Couplet 2, doubtful \(1 of 3\)[\s\S]*Print, lines 5-6[\s\S]*2a\. Stem hollow[\s\S]*Reading\n {2}a {2}Stem hollow.*no end/,
    );
    expect(err).toMatch(
      /a {2}Ring present \.+ Aria alba\n {5}when ring: present\n {5}- proposed from "Ring present"/,
    );
    expect(err).toContain('3 couplets reviewed, nothing is left to review');
    expect(text()).toMatch(
      /# lines 5-6: reviewed\n {2}2:\n {4}- lead: Stem hollow.*\n {6}when: \{stem.*hollow\}\n {6}taxon: aria-alba/,
    );
  });

  it('goes on where it was left off, and imports nothing again', async () => {
    const first = await keywright(IMPORT, ['end a new Aria nova', 'quit']);
    expect(first.code).toBe(1);
    expect(first.err.replace(/\s+/g, ' ')).toContain('3 left: 1 doubtful (2) and 2 with proposals (1, 3)');
    expect(first.err).toContain(
      'go on with: keywright import keys/caps.key.yaml --review --print caps.txt\n',
    );
    const kept = text();
    const second = await keywright(IMPORT, ['accept']);
    expect(second.err).toContain('imported before, its review goes on');
    expect(second.code).toBe(1);
    expect(text()).toBe(
      kept
        .replace(': doubtful\n', ': reviewed\n')
        .replace(/\n *# review: (?:lead 2a|proposed from .*"Stem).*/g, ''),
    );
    const third = await keywright(['import', 'keys/caps.key.yaml', '--review'], ['accept', 'accept']);
    expect(third.err).toContain('Print, lines 7-8');
    expect([third.code, text().includes('nova')]).toEqual([0, true]);
    expect((await keywright(IMPORT)).err).toContain('nothing is left to review');
  });

  it('leaves a key alone that comes from another text, or from this one before it changed', async () => {
    await keywright(IMPORT);
    const kept = text();
    write('caps.txt', PRINT.replace('Ring', 'The ring'));
    const { code, err } = await keywright(IMPORT, ['accept']);
    expect([code, text()]).toEqual([2, kept]);
    expect(err).toContain('was not imported from this text as it is now');
    expect((await keywright([...IMPORT, '--overwrite'], ['quit'])).err).toContain('doubtful (1 of 3)');
    expect(text()).not.toBe(kept);
  });

  it('goes through all keys of a text', async () => {
    write(
      'two.txt',
      `${PRINT}\n\nKEY TO THE SHELLS\n\n1a. Shell present .. Helia tarni\n1b. Shell absent ... Plania tarni\n`,
    );
    const { code, err } = await keywright(
      ['import', 'two.txt', '--review', '--out', 'keys'],
      ['skip', 'accept', 'accept', 'accept'],
    );
    expect(code).toBe(1);
    expect(err).toContain('keys/caps.key.yaml: 2 couplets reviewed, 1 left: 1 doubtful (2)');
    expect(err).toContain('keys/shells.key.yaml: 1 couplet reviewed, nothing is left');
    expect(readdirSync(join(folder, 'keys')).sort()).toEqual(['caps.key.yaml', 'shells.key.yaml']);
  });
});

describe('import KEY --review', () => {
  beforeEach(() => {
    mkdirSync(join(folder, 'keys'));
    write('keys/caps.key.yaml', KEY);
  });
  const review = (answers: string[], ...more: string[]) =>
    keywright(['import', 'keys/caps.key.yaml', '--review', ...more], answers);

  it('says when the print is missing, and when it has changed', async () => {
    rmSync(join(folder, 'caps.txt'));
    expect((await review([])).err).toMatch(
      /the print caps\.txt is neither beside the key[\s\S]*Print: lines 5-6 of caps\.txt \(not here\)/,
    );
    // In the current folder only the very text counts.
    write('caps.txt', PRINT);
    expect((await review([])).err).toContain('the print caps.txt is neither beside the key nor here');
    write('keys/caps.txt', PRINT);
    expect((await review([])).err).toMatch(
      /caps\.txt is not the text[\s\S]*Print, lines 5-6 \(the print has changed since\)/,
    );
    expect((await review([], '--print', 'caps.txt')).err).toContain(
      'caps.txt is not the text that the key was',
    );
    const none = await review([], '--print', 'nothing.txt');
    expect([none.code, none.err.includes('nothing.txt cannot be read')]).toEqual([2, true]);
  });

  it('opens no file outside by the name that a key gives', async () => {
    write('secret.txt', 'a secret');
    write('keys/caps.key.yaml', KEY.replace('print: caps.txt', 'print: ../secret.txt'));
    const { err } = await review([]);
    expect(err).not.toContain('a secret');
    expect(err).toContain('the print ../secret.txt is neither');
  });

  it('stops at an answer that is none, with its line, and keeps what was decided before', async () => {
    const { code, err } = await review(['end a Aria cava', '', 'end a Aria clava']);
    expect(code).toBe(2);
    expect(err).toContain(
      'line 3 of the answers: "Aria clava" is no couplet or taxon of this key; did you mean Aria cava, Aria plena or Aria alba? (for a new taxon: "end a new NAME")',
    );
    expect(text()).toContain('others are\n      taxon: aria-cava\n');
    for (const [answer, said] of [
      ['accpet', '"accpet" is nothing to do; expected accept, end LEAD END'],
      ['end c 3', '"c" is no lead of couplet 2; expected a or b'],
      ['back', 'this is the first couplet'],
      ['undo', 'there is no change to take back'],
      ['condition a ring: presnt', '"presnt" is not a state of ring; did you mean present?'],
      ['words a', 'a lead needs words'],
    ] as const)
      expect((await review([answer])).err).toContain(said);
  });

  it('takes changes back, and goes back', async () => {
    const { code } = await review(['end a Aria cava', 'accept', 'undo', 'undo', 'skip', 'back', 'skip']);
    expect(code).toBe(1);
    expect(text()).toBe(KEY);
  });

  it('writes nothing when nothing is decided, and has no control characters of a key on the screen', async () => {
    write('keys/caps.key.yaml', KEY.replace('Cap red', '"Cap \\e[31mred"'));
    const before = text();
    const { err } = await review(['skip', 'skip']);
    expect(text()).toBe(before);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none may reach the terminal
    expect(err).not.toMatch(/\u001b/);
  });

  it('refuses a broken file, one that nobody may write, and one that is not there', async () => {
    const kept = KEY.replace('couplets:', 'couplets: [');
    write('keys/caps.key.yaml', kept);
    const broken = await review(['accept']);
    expect([broken.code, text()]).toEqual([2, kept]);
    expect(broken.err).toMatch(
      /caps\.key\.yaml:\d+:\d+ error: .*\n.*cannot be reviewed: 1 error must be fixed first/,
    );
    write('keys/caps.key.yaml', KEY);
    chmodSync(join(folder, 'keys/caps.key.yaml'), 0o444);
    const locked = await review(['end a Aria cava']);
    expect([locked.code, text()]).toEqual([2, KEY]);
    expect(locked.err).toContain('keys/caps.key.yaml is write-protected');
    const none = await keywright(['import', 'keys/cups.key.yaml', '--review']);
    expect([none.code, none.err.includes('keys/cups.key.yaml')]).toEqual([2, true]);
  });

  it('reads the key anew when somebody else changes it in between', async () => {
    const stdin = new PassThrough();
    const world = { ...fakeWorld({ cwd: folder }), stdin };
    const run = action(['keys/caps.key.yaml'], { review: true }, world);
    const until = async (said: string) => {
      while (!world.said.err().includes(said)) await new Promise((r) => setTimeout(r, 10));
    };
    await until('Couplet 2, doubtful');
    const changed = KEY.replace('Stem solid, short', 'Stem solid, very short');
    write('keys/caps.key.yaml', changed);
    stdin.write('end a Aria cava\n');
    const error = await run.then(
      () => undefined,
      (e: Error) => e,
    );
    expect(error?.message).toContain('line 1 of the answers: The file was changed by somebody else');
    expect(text()).toBe(changed);
  });

  it.each([
    [['import', 'caps.txt', '--review'], '--out DIR'],
    [['import', '-', '--review', '--out', 'keys'], 'the standard input is for the answers'],
    [['import', 'keys', '--review', '--out', 'keys'], 'review its keys one by one'],
    [['import', 'caps.txt', '--print', 'caps.txt'], '--print is for --review'],
    [['import', 'caps.txt', '--review', '--out', 'keys', '--print', 'x'], 'a text is its own print'],
    [['import', 'keys/caps.key.yaml', '--review', '--out', 'x'], '--out is for importing a text'],
    [['import', 'keys/caps.key.yaml', '--review', '--no-when'], '--no-when is for importing a text'],
  ])('refuses %j', async (args, said) => {
    const { code, err } = await keywright(args);
    expect([code, err.replace(/\s+/g, ' ').includes(said)]).toEqual([2, true]);
  });
});
