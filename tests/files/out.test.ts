import {
  chmodSync,
  cpSync,
  existsSync,
  linkSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { COMMANDS } from '../../src/cli/table.js';
import { OutFile } from '../../src/files/out.js';
import { beginRun } from '../../src/files/run-files.js';
import { inProcess } from '../support/in-process.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
let folder: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-out-'));
  for (const name of ['keys', 'examples']) cpSync(join(root, name), join(folder, name), { recursive: true });
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const at = (name: string) => join(folder, name);
const text = (name: string) => readFileSync(at(name), 'utf8');
const TUFTS = 'keys/tarn-wood-tufts.key.yaml';
const TERMS = 'keys/tarn-fungi.terms.yaml';
const RECORD = 'examples/TH-2026-018.record.yaml';

async function keywright(args: readonly string[]) {
  const { code, err } = await inProcess(args, { cwd: folder });
  return { code, err };
}

/** How each command writes a file, and what it reads for that. */
const WRITERS: readonly {
  args: readonly string[];
  option: string;
  name: string;
  reads: readonly string[];
}[] = [
  { args: ['print', 'tarn-wood-tufts'], option: '--out', name: 'x', reads: [TUFTS, TERMS] },
  { args: ['draw', 'tarn-wood-tufts'], option: '--out', name: 'x', reads: [TUFTS, TERMS] },
  { args: ['sheet', 'tarn-wood-tufts'], option: '--out', name: 'x', reads: [TUFTS, TERMS] },
  { args: ['bundle', 'tarn-wood-tufts'], option: '--out', name: 'x', reads: [TUFTS, TERMS] },
  {
    args: ['lint', TUFTS, '--baseline', 'list.yaml', '--format', 'json'],
    option: '--out',
    name: 'x',
    reads: [TUFTS, TERMS, 'list.yaml', '.keywright.yaml'],
  },
  { args: ['report', RECORD], option: '--out', name: 'x', reads: [RECORD] },
  {
    args: ['draft', 'examples/hollow-boletes.csv'],
    option: '--out',
    name: 'x.key.yaml',
    reads: ['examples/hollow-boletes.csv'],
  },
  {
    args: ['trim', 'tarn-wood-tufts', '--to', 'examples/lower-plantation.txt'],
    option: '--out',
    name: 'x',
    reads: [TUFTS, TERMS, 'examples/lower-plantation.txt'],
  },
  {
    args: ['trim', 'tarn-wood-tufts', '--to', 'examples/lower-plantation.txt'],
    option: '--report',
    name: 'x',
    reads: [TUFTS, TERMS, 'examples/lower-plantation.txt'],
  },
  {
    args: ['identify', 'tarn-wood-tufts', 'examples/season-2026.csv', '--format', 'dwc'],
    option: '--out',
    name: 'x',
    reads: [TUFTS, TERMS, 'examples/season-2026.csv'],
  },
];

describe('what --out may write over', () => {
  it('is asked of every command that has it', () => {
    const having = COMMANDS.filter((c) => c.options.some((o) => o.flags.includes('--out ')));
    const covered = new Set(WRITERS.map((w) => w.args[0]));
    // import --out names a folder, and correspond adds to its file; see below. For page see tests/page/command.test.ts.
    expect(having.map((c) => c.name).filter((n) => !covered.has(n))).toEqual([
      'page',
      'import',
      'correspond',
    ]);
    const words = new Set(having.map((c) => c.options.find((o) => o.flags === '--overwrite')?.help));
    expect([...words]).toEqual([
      'let --out replace a file that is there, but never one that is read for it or is write-protected',
    ]);
    expect(COMMANDS.flatMap((c) => c.options).filter((o) => o.flags.includes('--output'))).toEqual([]);
  });

  describe.each(WRITERS)('$args.0 $option', ({ args, option, name, reads }) => {
    const write = (file: string, more: readonly string[] = []) => keywright([...args, option, file, ...more]);
    beforeEach(async () => {
      writeFileSync(at('.keywright.yaml'), 'rules: {}\n');
      if (args.includes('list.yaml')) await keywright([...args, '--update-baseline']);
    });

    it('is a new file, or one that may be replaced', async () => {
      expect((await write(name)).code).toBeLessThan(2);
      const made = readFileSync(at(name));
      expect(made.length).toBeGreaterThan(100);
      // Nobody can tell what was changed in it by hand.
      expect(await write(name)).toEqual({
        code: 2,
        err: expect.stringContaining(
          `${name} is there already; it is left as it is\nhint: give another name, or add --overwrite\n`,
        ),
      });
      writeFileSync(at(name), 'mine');
      expect([(await write(name)).code, text(name)]).toEqual([2, 'mine']);
      expect((await write(name, ['--overwrite'])).code).toBeLessThan(2);
      expect(text(name)).not.toBe('mine');
      expect(readdirSync(folder).filter((n) => n !== '.keywright.yaml' && n.startsWith('.'))).toEqual([]);
    });

    it('is never what is read for it, under whatever name', async () => {
      for (const [i, read] of reads.entries()) {
        const before = text(read);
        const links = [`s${i}-${name}`, `h${i}-${name}`] as const;
        symlinkSync(at(read), at(links[0]));
        linkSync(at(read), at(links[1]));
        for (const target of name === 'x' ? [read, ...links] : links) {
          const { code, err } = await write(target, ['--overwrite']);
          expect([code, err]).toEqual([2, expect.stringContaining(`${target} is read by this very command`)]);
          expect(text(read)).toBe(before);
        }
      }
    });

    it('is never a file that may not be written to', async () => {
      writeFileSync(at(name), 'mine');
      chmodSync(at(name), 0o444);
      const { code, err } = await write(name, ['--overwrite']);
      expect([code, err]).toEqual([2, expect.stringContaining(`${name} is write-protected`)]);
      expect(text(name)).toBe('mine');
    });
  });

  it('a list of correspondences is never one of the two keys', async () => {
    const before = text(TUFTS);
    const args = ['correspond', 'gill-genera', TUFTS, '--out', TUFTS, '--overwrite'];
    const { code, err } = await keywright(args);
    expect([code, err]).toEqual([2, expect.stringContaining(`${TUFTS} is read by this very command`)]);
    expect(text(TUFTS)).toBe(before);
  });

  it('a figure that goes into a bundle is read', async () => {
    writeFileSync(at('cap.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
    writeFileSync(
      at('caps.key.yaml'),
      [
        'keywright: 1',
        'id: caps',
        'title: Caps',
        'version: 1.0.0',
        'licence: CC0-1.0',
        'characters:',
        '  cap:',
        '    name: cap',
        '    figures: [{file: cap.svg, caption: A cap}]',
        '    states: {round: round, flat: flat}',
        'couplets:',
        '  1:',
        '    - {lead: Cap round, when: {cap: round}, taxon: aa}',
        '    - {lead: Cap flat, when: {cap: flat}, taxon: bb}',
        'taxa:',
        '  aa: {name: Aus aus, traits: {cap: round}}',
        '  bb: {name: Aus bus, traits: {cap: flat}}',
        '',
      ].join('\n'),
    );
    const { code, err } = await keywright(['bundle', 'caps.key.yaml', '--out', 'cap.svg', '--overwrite']);
    expect([code, err]).toEqual([2, expect.stringContaining('cap.svg is read by this very command')]);
  });

  it('is written again and again by one command that watches, unless somebody fixes it meanwhile', () => {
    beginRun();
    const out = new OutFile(folder, 'x');
    out.write('first');
    out.write('second');
    expect(text('x')).toBe('second');
    writeFileSync(at('x'), 'mine');
    expect(() => out.write('third')).toThrow('left as it is');
    expect(text('x')).toBe('mine');
  });

  it('one command never writes one file twice', async () => {
    const args = ['trim', 'tarn-wood-tufts', '--to', 'examples/lower-plantation.txt', '--overwrite'];
    const { code, err } = await keywright([...args, '--out', 'x', '--report', './x']);
    expect([code, err]).toEqual([2, expect.stringContaining('./x is written by this very command already')]);
    expect(text('x')).toContain('keywright: 1');
  });

  it('import writes all its files or none', async () => {
    const args = ['import', 'examples/printed-ducks.txt', '--out', 'made'];
    expect((await keywright(args)).code).toBeLessThan(2);
    const [name = ''] = readdirSync(at('made'));
    rmSync(at(join('made', name)));
    symlinkSync(at('examples/printed-ducks.txt'), at(join('made', name)));
    const before = text('examples/printed-ducks.txt');
    const { code, err } = await keywright([...args, '--overwrite']);
    expect([code, err]).toEqual([2, expect.stringContaining('is read by this very command')]);
    expect(text('examples/printed-ducks.txt')).toBe(before);
  });
});

describe('files that are changed where they stand', () => {
  it.each([
    ['lint', ['lint', TUFTS, '--fix'], TUFTS],
    ['print', ['print', TUFTS, '--write'], TUFTS],
    ['redo', ['redo', RECORD, '--key', 'tarn-wood-tufts', '--write'], RECORD],
  ] as const)('%s leaves a write-protected one alone', async (_, args, file) => {
    const shuffled = text(file)
      .replace(/^ {2}2:$/m, '  22:')
      .replace(/to: 2\b/g, 'to: 22');
    if (file === TUFTS) writeFileSync(at(file), shuffled);
    else writeFileSync(at(TUFTS), text(TUFTS).replace(/^version: .*/m, 'version: 9.9.9'));
    const before = text(file);
    chmodSync(at(file), 0o444);
    const { code, err } = await keywright(args);
    expect([code, err]).toEqual([2, expect.stringContaining(`${file} is write-protected`)]);
    expect(text(file)).toBe(before);
  });

  it('one record that is named twice by a link is redone once', async () => {
    symlinkSync(at(RECORD), at('again.yaml'));
    const { err } = await keywright(['redo', RECORD, 'again.yaml', '--key', 'tarn-wood-tufts']);
    expect(err).toContain('again.yaml is given twice; it is redone once');
  });

  it('a link stays a link, and its file keeps its rights', async () => {
    writeFileSync(at('x'), 'mine');
    chmodSync(at('x'), 0o640);
    symlinkSync(at('x'), at('link'));
    expect((await keywright(['print', 'tarn-wood-tufts', '--out', 'link', '--overwrite'])).code).toBe(0);
    expect(text('x')).toContain('Printed by keywright');
    expect(readFileSync(at('link'), 'utf8')).toBe(text('x'));
    const { statSync, lstatSync } = await import('node:fs');
    expect([lstatSync(at('link')).isSymbolicLink(), statSync(at('x')).mode & 0o777]).toEqual([true, 0o640]);
    expect(existsSync(at('.x.lock'))).toBe(false);
  });
});
