/** `draft --revise`: each kind of change by itself, what is said of it, and what is written where. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { inProcess } from '../support/in-process.js';

const TABLE = [
  'name,rank,ring,colour of the cap,cap width (cm),smell',
  'Aus aus,species,present,red,2-4,none',
  'Aus bus,species,present,brown,2-4,none',
  'Aus cus,species,absent,brown,2-4,none',
  'Aus dus,species,absent,brown,6-8,none',
  'Aus eus,species,absent,brown,6-8,none',
].join('\n');

let folder = '';
let key = '';
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-revise-'));
  put('t.csv', TABLE);
  const args = [
    'draft',
    't.csv',
    '-o',
    'k.key.yaml',
    '--group',
    'caps',
    '--region',
    'GB',
    '--author',
    'E. Marlow',
  ];
  expect((await inProcess(args, { cwd: folder })).code).toBe(0);
  key = read('k.key.yaml');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const put = (name: string, text: string) =>
  writeFileSync(join(folder, name), `${text.replace(/\n?$/, '\n')}`);
const read = (name: string) => readFileSync(join(folder, name), 'utf8');
/** Revises the key by a changed table; the lines that are gone and new. */
async function revise(table: string, args: readonly string[] = []) {
  put('now.csv', table);
  const { code, out, err } = await inProcess(['draft', 'now.csv', '--revise', 'k.key.yaml', ...args], {
    cwd: folder,
  });
  const [before, after] = [read('k.key.yaml').split('\n'), out.split('\n')];
  return {
    code,
    out,
    err,
    said: err.replace(/\s+/g, ' '),
    gone: before.filter((l) => !after.includes(l)),
    fresh: after.filter((l) => !before.includes(l)),
  };
}
/** The key with words, comments and labels by hand. */
function byHand(from: string | RegExp, to: string) {
  expect(read('k.key.yaml')).toMatch(from);
  put('k.key.yaml', read('k.key.yaml').replace(from, to));
}

describe('draft --revise', () => {
  it('changes nothing when the table says the same, and writes nothing then', async () => {
    byHand(/lead: Ring present/, 'lead: A ring on the stem # seen best when young');
    const { code, out, err } = await revise(TABLE, []);
    expect([code, out]).toEqual([0, read('k.key.yaml')]);
    expect(err).toBe('keywright: k.key.yaml says what now.csv says; there is nothing to change\n');
  });

  it('leads a new taxon down every lead that it fits, and parts it at the end', async () => {
    byHand(/lead: Ring present/, 'lead: A ring on the stem');
    const { code, out, fresh, said } = await revise(`${TABLE}\nNovus fus,species,present,red,9-12,none`);
    expect(code).toBe(0);
    expect(out).toContain('lead: A ring on the stem');
    expect(said).toContain('what came together at 2a is parted by the new couplet 4');
    expect(said).toContain('Taxa that are new: Novus fus');
    expect(fresh).toContain('      to: 4');
    expect(out).toMatch(/\n {2}4:\n {4}- lead: /);
  });

  it('takes a taxon out, with the couplet at which nothing is left to choose', async () => {
    const { code, out, said } = await revise(TABLE.replace(/Aus bus.*\n/, ''));
    expect(code).toBe(0);
    expect(out).not.toContain('bus');
    expect(said).toMatch(/couplet \d is no longer asked, since nothing is left to choose there/);
  });

  it('names words by hand that go with a couplet', async () => {
    byHand(/lead: Cap brown/, 'lead: Cap of a warm brown');
    const { code, said } = await revise(TABLE.replace(/Aus bus.*\n/, ''));
    expect(code).toBe(1);
    expect(said).toMatch(/LOOK: with couplet \d go words of your own: "Cap of a warm brown"/);
  });

  it('gives a new state to a lead with drafted words, and says where words by hand are behind', async () => {
    const table = TABLE.replace('Aus bus,species,present,brown', 'Aus bus,species,present,ochre');
    const drafted = await revise(`${table}\nAus fus,species,present,brown,2-4,none`);
    expect(drafted.out).toMatch(/states: \[red, brown, ochre\]/);
    expect(drafted.out).toMatch(/lead: Cap .*ochre/);
    byHand(/lead: Cap red/, 'lead: Cap like blood');
    byHand(/lead: Cap brown/, 'lead: Cap like earth');
    const own = await revise(`${table}\nAus fus,species,present,brown,2-4,none`);
    expect(own.code).toBe(1);
    expect(own.out).toContain('lead: Cap like blood');
    expect(own.out).toContain('lead: Cap like earth');
    expect(own.said).toMatch(
      /LOOK: lead \d[ab] also takes ochre now; its words are your own and do not say so/,
    );
  });

  it('knows taxa, states and columns under another name', async () => {
    const { code, out, said } = await revise(
      TABLE.replace('Aus aus', 'Aus novus')
        .replaceAll('brown', 'umber')
        .replace('smell', 'odour')
        .replace('ring', 'annulus'),
    );
    expect(code).toBe(0);
    expect(said).toContain('Aus novus is taken to be Aus aus under another name');
    expect(said).toContain('"umber" of colour of the cap is taken to be "brown" under another name');
    expect(said).toContain('column "annulus" is taken to be "ring" under another name');
    expect(out).toContain('states: {red: red, brown: umber}');
    expect(out).toContain('  aus-aus:\n    name: Aus novus\n');
  });

  it('asks a new column only where it parts an end better', async () => {
    const rows = TABLE.split('\n').map((l, i) => `${l},${i === 0 ? 'gills' : i === 5 ? 'free' : 'adnate'}`);
    const { code, out, said } = await revise(rows.join('\n'));
    expect(code).toBe(0);
    expect(out.match(/lead: Gills/g)).toHaveLength(2);
    expect(said).toContain('what came together at');
    expect(out).not.toContain('tells these apart');
  });

  it('keeps couplets on a column that is gone, and says so', async () => {
    const rows = TABLE.split('\n').map((l) =>
      l
        .split(',')
        .filter((_, i) => i !== 4)
        .join(','),
    );
    const { code, out, said } = await revise(rows.join('\n'));
    expect([code, out]).toEqual([1, read('k.key.yaml')]);
    expect(said).toMatch(/LOOK: "cap width" is no longer a column of the table: couplet \d asks it still/);
  });

  it('keeps ends that an author has set by hand', async () => {
    byHand('taxon: aus-cus', 'taxon: [aus-cus, aus-dus]');
    const { out } = await revise(
      TABLE.replace('Aus aus,species,present,red,2-4', 'Aus aus,species,present,red,2-5'),
    );
    expect(out).toContain('taxon: [aus-cus, aus-dus]');
  });

  it('keeps the line ends of the file, and writes keys in JSON as JSON', async () => {
    const more = `${TABLE}\nNovus fus,species,present,red,9-12,none`;
    writeFileSync(join(folder, 'k.key.yaml'), key.replaceAll('\n', '\r\n'));
    expect((await revise(more)).out.replaceAll('\r\n', '')).not.toContain('\n');
    const { parse } = await import('yaml');
    put('k.key.yaml', JSON.stringify(parse(key)));
    const { code, out } = await revise(more);
    expect(code).toBe(0);
    expect(Object.keys((JSON.parse(out) as { couplets: object }).couplets)).toContain('4');
  });

  it('writes into the key or another file when told to', async () => {
    const more = `${TABLE}\nNovus fus,species,present,red,9-12,none`;
    put('now.csv', more);
    const run = (...args: string[]) =>
      inProcess(['draft', 'now.csv', '--revise', 'k.key.yaml', ...args], { cwd: folder });
    const { out } = await run();
    expect(read('k.key.yaml')).toBe(key);
    expect((await run('--out', 'n.key.yaml')).out).toBe('');
    expect(read('n.key.yaml')).toBe(out);
    expect((await run('--write')).out).toBe('');
    expect(read('k.key.yaml')).toBe(out);
    expect((await run('--write', '--out', 'x.key.yaml')).code).toBe(2);
    expect((await run('--title', 'x')).err).toContain('--title is for a new key');
    expect((await inProcess(['draft', 'now.csv', '--write'], { cwd: folder })).err).toContain(
      '--write is for --revise',
    );
  });

  it('refuses a table of other taxa, and one with errors', async () => {
    const other = await revise(
      TABLE.replaceAll('Aus', 'Bus').replaceAll('species', 'genus').replaceAll('2-4', '1'),
    );
    expect([other.code, other.out]).toEqual([2, '']);
    expect(other.said).toContain('has only 0 of the 5 taxa that k.key.yaml describes');
    const wrong = await revise(TABLE.replace('6-8', '6-'));
    expect([wrong.code, wrong.out]).toEqual([2, '']);
    expect(wrong.said).toContain('k.key.yaml cannot be revised by now.csv: 1 error must be fixed first');
  });
});
