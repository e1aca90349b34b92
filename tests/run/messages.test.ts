/** Messages at a narrow terminal: wrapped at words, their places whole; through a pipe each on one line. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { messageLines } from '../../src/terminal/messages.js';
import { program } from '../support/program.js';
import { Pty } from '../support/terminal.js';

const KEY = `keywright: 1
id: caps
title: Caps
version: 1.0.0
scope: {group: caps, regions: [GB-CMA]}
couplets:
  1:
    - {lead: Ring present, to: 77}
    - {lead: Ring absent, taxon: bb}
taxa:
  bb: {name: Bb bb, concern: {level: unknown}}
`;

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-messages-'));
  for (const name of ['keys', 'a folder']) mkdirSync(join(folder, name));
  for (const name of ['keys/one.key.yaml', 'keys/two.key.yaml', 'a folder/of my caps.key.yaml'])
    writeFileSync(join(folder, name), KEY);
  writeFileSync(join(folder, 'scan.pdf'), '%PDF-1.7\n');
  writeFileSync(join(folder, 'caps-of-a-name-wider-than-a-narrow-terminal.key.yaml'), KEY);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const open: Pty[] = [];
afterEach(() => {
  for (const pty of open.splice(0)) pty.end();
});

/** What a terminal of 50 columns shows of a command that asks nothing. */
async function shown(...args: string[]) {
  const pty = new Pty(args, { columns: 50, rows: 20, cwd: folder });
  open.push(pty);
  const code = await pty.exit;
  await pty.shows('');
  return {
    code,
    lines: pty.scroll().flatMap((l) => l.trimEnd() || []),
    overflowing: pty.overflowing(),
  };
}

describe('at a terminal of 50 columns', () => {
  it('an error is wrapped at words', async () => {
    expect(await shown('run', 'caps')).toEqual({
      code: 2,
      overflowing: [],
      lines: [
        'keywright: key caps cannot be used: the files',
        '  keys/one.key.yaml and keys/two.key.yaml have the',
        '  same id, so it is not clear which is meant',
      ],
    });
  });

  it('so are a hint, and an option that is not there', async () => {
    const hinted = await shown('import', 'scan.pdf');
    expect(hinted.overflowing).toEqual([]);
    const hint = hinted.lines.findIndex((l) => l.startsWith('hint: '));
    expect(hinted.lines[hint + 1], hinted.lines.join('\n')).toMatch(/^ {2}\S/);
    expect(messageLines('caps.key.yaml written. Next: keywright lint caps.key.yaml', 50)).toHaveLength(1);
    const option = await shown('identify', 'caps', 'finds.csv', '--formt', 'csv');
    expect([option.code, option.overflowing]).toEqual([2, []]);
    expect(option.lines.join(' ')).toContain('did you mean --format?');
  });

  it.each(['run', 'bundle', 'page'])('a finding of %s keeps its place whole', async (command) => {
    const { lines, overflowing } = await shown(command, 'a folder/of my caps.key.yaml');
    expect(overflowing).toEqual([]);
    expect(lines[0]).toMatch(/^a folder\/of my caps\.key\.yaml:8:32 error:/);
    expect(lines[1]).toMatch(/^ {4}\S/);
  });

  it('a place wider than the terminal has its own line', async () => {
    const name = 'caps-of-a-name-wider-than-a-narrow-terminal.key.yaml';
    const { lines, overflowing } = await shown('run', name);
    expect(overflowing).toHaveLength(1);
    expect(lines.slice(0, 2).join('')).toBe(`${name}:8:32`);
    expect(lines[2]).toMatch(/^ {4}error: /);
  });
});

it('through a pipe every message is one line', () => {
  const two = program(['run', 'caps'], { cwd: folder });
  expect(two.stderr.split('\n')).toHaveLength(2);
  const { stderr } = program(['run', 'a folder/of my caps.key.yaml'], { cwd: folder });
  expect(stderr).toMatch(/^a folder\/of my caps\.key\.yaml:8:32 error: .*\[target-exists\]$/m);
});

it.each([30, 50, 72])('words of a message stay whole and in order at %i columns', (width) => {
  const message = `    a b/c d.yaml:12:3 lead 1a goes to couplet "7", which is not in this key [target-exists]`;
  const lines = messageLines(message, width);
  expect(lines.map((l) => l.trim()).join(' ')).toBe(message.trim());
  expect(lines[0]).toMatch(/^ {4}a b\/c d\.yaml:12:3(?: |$)/);
  for (const line of lines.slice(1)) expect(line.length).toBeLessThanOrEqual(width);
});
