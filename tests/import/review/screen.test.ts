/** The review at a terminal: what stands on the screen of two windows, what the keys do, and what survives. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { printed } from '../../../src/commands/import/review/printed.js';
import { KEY as PRESS, Pty } from '../../support/terminal.js';
import { PRINT, KEY as SAMPLE } from './sample.js';

/** The sample, imported from the very print that is here. */
const KEY = SAMPLE.replace('0123456789abcdef', printed('caps.txt', PRINT).mark);

let folder = '';
const open: Pty[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-review-'));
  writeFileSync(join(folder, 'caps.txt'), PRINT);
  writeFileSync(join(folder, 'caps.key.yaml'), KEY);
});
afterEach(() => {
  for (const pty of open.splice(0)) pty.end();
  rmSync(folder, { recursive: true, force: true });
});

const text = () => readFileSync(join(folder, 'caps.key.yaml'), 'utf8');

function terminal(columns = 80, rows = 24): Pty {
  const args = ['import', 'caps.key.yaml', '--review'];
  const pty = new Pty(args, { columns, rows, cwd: folder });
  open.push(pty);
  return pty;
}

describe.each([
  [80, 24],
  [50, 20],
])('a window of %d x %d', (columns, rows) => {
  it('shows the print above the reading, and takes every decision', async () => {
    const pty = terminal(columns, rows);
    const first = (await pty.shows('Couplet 2, what to do:')).join('\n');
    expect(first).toMatch(/Couplet 2, doubtful \(1 of 4\)[\s\S]*2a\. Stem hollow[\s\S]*Reading[\s\S]*no end/);
    await pty.press('a', /lead 2a has no end yet/);
    await pty.press('e', 'End of which lead:');
    await pty.press('a', 'End of 2a:');
    await pty.press(`Aria clava${PRESS.enter}`, 'New taxon:');
    await pty.press('t', /! "Aria clava" is no couplet/);
    await pty.press(`${PRESS.u}Aria cava${PRESS.enter}`, 'Couplet 2, what to do:');
    expect(text()).toContain('others are\n      taxon: aria-cava\n');
    await pty.press('a', 'Couplet 1, what to do:');
    await pty.press('c', 'Condition of which lead:');
    await pty.press('b', 'Condition of 1b:');
    await pty.press(`ring: presnt${PRESS.enter}`, /did you mean\s+present\?/);
    await pty.press(`${PRESS.u}ring: present${PRESS.enter}`, /Couplet 1, what to do:/);
    await pty.press('u', /was taken\s+back/);
    expect(text()).toContain('- lead: Cap white\n      # review: no target is printed here\n      to: 3');
    await pty.press('s', 'Couplet 3, what to do:');
    await pty.press(PRESS.backspace, 'Couplet 1, what to do:');
    await pty.press('x', /x means nothing here/);
    await pty.press('h', 'Help:');
    await pty.press(PRESS.backspace, 'Couplet 1, what to do:');
    expect(pty.overflowing()).toEqual([]);
    pty.type('q');
    expect(await pty.exit).toBe(1);
    // A command is not broken at words: it is there to be copied.
    expect(pty.scroll().join('')).toContain('go on with: keywright import caps.key.yaml --review');
  }, 60_000);
});

describe('what is read', () => {
  it('can be moved where the window is too small for it', async () => {
    const pty = terminal(50, 12);
    await pty.shows('Couplet 2, what to do:');
    expect(pty.screen().join('\n')).toMatch(/lines 1-\d+ of \d+/);
    const moved = await pty.press('\x1b[6~', /lines (?!1-)\d+-(\d+) of \1\b|lines (?!1-)\d+-\d+ of \d+/);
    expect(moved.join('\n')).not.toContain('Couplet 2, doubtful');
    expect(pty.overflowing()).toEqual([]);
  });
});

describe('what was decided', () => {
  it('survives when the program is killed', async () => {
    const pty = terminal();
    await pty.shows('Couplet 2, what to do:');
    await pty.press('e', 'End of which lead:');
    await pty.press('a', 'End of 2a:');
    await pty.press(`3${PRESS.enter}`, 'Couplet 2, what to do:');
    await pty.press('a', 'Couplet 1, what to do:');
    pty.kill();
    await pty.exit;
    expect(text()).toBe(
      KEY.replace(
        'lines 5-6: doubtful\n  # review: lead 2a: no target is printed',
        'lines 5-6: reviewed',
      ).replace('# review: lead 2a has no target in the print: write to, taxon or key here', 'to: 3'),
    );
    const again = terminal();
    expect((await again.shows('Couplet 1, what to do:')).join('\n')).toContain('(1 of 3)');
  });

  it('is told after ^C, with what is left', async () => {
    const pty = terminal();
    await pty.shows('Couplet 2, what to do:');
    pty.type(PRESS.c);
    expect(await pty.exit).toBe(130);
    expect(pty.scroll().join('\n').replace(/\s+/g, ' ')).toContain(
      'caps.key.yaml: 4 left: 1 doubtful (2), 1 likely (1), 1 with proposals (3) and 1 with a fault (4)',
    );
    expect(text()).toBe(KEY);
  });

  it('is not written over what somebody else has changed', async () => {
    const pty = terminal();
    await pty.shows('Couplet 2, what to do:');
    const changed = KEY.replace('- lead: Stem solid, short', '- lead: Stem solid, very short');
    writeFileSync(join(folder, 'caps.key.yaml'), changed);
    await pty.press('e', 'End of which lead:');
    await pty.press('a', 'End of 2a:');
    const screen = await pty.press(`3${PRESS.enter}`, 'was changed by somebody else');
    expect(screen.join('\n')).toContain('Stem solid, very short');
    expect(text()).toBe(changed);
    writeFileSync(join(folder, 'caps.key.yaml'), 'couplets: [');
    pty.type('a');
    expect(await pty.exit).toBe(2);
    expect(pty.scroll().join('')).toMatch(/can no\s+longer be read/);
    expect(text()).toBe('couplets: [');
  });
});
