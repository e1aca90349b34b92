import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import * as library from '../../src/index.js';
import * as node from '../../src/node.js';

const {
  analyse,
  appendRecord,
  archiveOf,
  asResult,
  compare,
  diffKeys,
  draftKey,
  identify,
  identifyArchive,
  identifyTable,
  importKeys,
  lintKey,
  loadKey,
  readRecord,
  redoRecord,
  testKey,
  trimKey,
  writeRecord,
} = library;

const root = fileURLToPath(new URL('../..', import.meta.url));
const example = (name: string) => readFileSync(join(root, 'examples', name), 'utf8');
const folder = mkdtempSync(join(tmpdir(), 'keywright-library-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const text = `keywright: 1
id: caps
title: Caps
version: 1.10
characters:
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: cc}
  2:
    - {lead: Cap under 5 cm wide, when: {width: < 5}, taxon: aa}
    - {lead: Cap 5 cm wide or more, when: {width: '>= 5'}, taxon: bb}
taxa:
  aa: {name: Aa aa, concern: {level: deadly}}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`;

/** A key that must be sound. */
function keyFrom(written: string): library.Key {
  const { key, findings } = loadKey(written);
  expect(findings).toEqual([]);
  if (key === undefined) throw new Error('no key');
  return key;
}

async function tufts(): Promise<node.Opened & { key: library.Key }> {
  const opened = await node.openKey('tarn-wood-tufts', { cwd: root });
  const { key } = opened;
  if (key === undefined) throw new Error('no key');
  return { ...opened, key };
}

/** The determinations of the season, all of which can be read. */
function season(key: library.Key): library.Determination[] {
  const results = [...identifyTable(key, example('season-2026.csv'), { file: 'season-2026.csv' })];
  expect(results.filter((r) => r.findings.length > 0)).toEqual([]);
  return results.flatMap((r) => r.found ?? []);
}

const AT = new Date('2026-10-18T12:00:00Z');

describe('the library', () => {
  it('exports these functions and nothing else', () => {
    expect(Object.keys(library).sort()).toEqual([
      'Failure',
      'analyse',
      'appendRecord',
      'archiveOf',
      'asResult',
      'compare',
      'diffKeys',
      'draftKey',
      'identify',
      'identifyArchive',
      'identifyTable',
      'importKeys',
      'lintKey',
      'loadKey',
      'readRecord',
      'redoRecord',
      'testKey',
      'trimKey',
      'writeRecord',
    ]);
    expect(Object.keys(node).sort()).toEqual(['folderShelf', 'openKey', 'readArchive', 'writeArchive']);
  });

  it('loads a key from text and identifies finds given as data', () => {
    const key = keyFrom(text);
    const finds = [
      { id: 'one', traits: { ring: 'present', width: '45 mm' } },
      { id: 'two', specimens: [{ id: 'a', stage: 'mature', traits: { ring: ['present', 'absent'] } }] },
    ];
    const results = [...identify(key, finds)].flatMap((r) => r.found ?? []).map((f) => asResult(f));
    expect(results.map((r) => [r.collection, r.name, r.version, r.verdict.word])).toEqual([
      ['one', 'Aa aa', '1.10', 'leave it'],
      ['two', null, '1.10', 'leave it'],
    ]);
  });

  it('shows of a key what it holds, and takes nothing else for one', () => {
    const key = keyFrom(text);
    expect([key.id, key.title, key.version]).toEqual(['caps', 'Caps', '1.10']);
    expect(key.taxa.map((t) => [t.id, t.concern.level])).toEqual([
      ['aa', 'deadly'],
      ['bb', 'unknown'],
      ['cc', 'unknown'],
    ]);
    expect(key.characters.map((c) => [c.id, c.unit, c.states.length])).toEqual([
      ['ring', undefined, 2],
      ['width', 'cm', 0],
    ]);
    expect(key.couplets[0]?.leads).toMatchObject([
      { label: '1a', text: 'Ring present', means: 'ring: present', to: '2', taxa: [] },
      { label: '1b', text: 'Ring absent', to: undefined, taxa: ['cc'] },
    ]);
    expect(() => [...identify({ ...key }, [{ id: 'x' }])]).toThrow(TypeError);
    expect(() => asResult({} as library.Determination)).toThrow(TypeError);
  });

  it('gives findings for a bad find, and determines those after it', () => {
    const finds = [
      { id: 'x', traits: { ring: 'absent' } },
      { id: 'y', traits: { rng: 'absent' } },
      { traits: { ring: 'absent' } } as unknown as library.FindData,
      undefined as unknown as library.FindData,
      { id: 'x', traits: { ring: 'absent' } },
    ];
    const results = [...identify(keyFrom(text), finds)];
    expect(results.map((r) => r.found?.name)).toEqual(['Cc cc', undefined, undefined, undefined, 'Cc cc']);
    expect(results[1]).toMatchObject({
      id: 'y',
      findings: [{ nearest: 'ring', place: { file: 'finds', start: { line: 2 } } }],
    });
    for (const bad of results.slice(1, 4)) expect(bad.findings[0]?.level).toBe('error');
  });

  it('gives findings for the bad rows of a table, and for a bad table', () => {
    const key = keyFrom(text);
    const rows = [...identifyTable(key, 'id,ring\na,absent\nb,absnt\nc,present\n', { format: 'csv' })];
    expect(rows.map((r) => [r.id, r.found?.possible.map((t) => t.id), r.findings.length])).toEqual([
      ['a', ['cc'], 0],
      ['b', undefined, 1],
      ['c', ['aa', 'bb'], 0],
    ]);
    const all = [...identifyTable(key, 'nothing here', { file: 'a.yaml' })];
    expect(all.at(-1)).toMatchObject({ id: undefined, found: undefined, findings: [{ level: 'error' }] });
  });

  it('says what is wrong with a key instead of giving one', () => {
    const { key, findings } = loadKey(text.replace('to: 2', 'to: 3'), { file: 'k.yaml' });
    expect(key).toBeUndefined();
    expect(findings.map((f) => [f.rule, f.place.file, f.place.start.line])).toEqual([
      ['target-exists', 'k.yaml', 10],
    ]);
  });

  it('analyses, and compares keys', () => {
    const key = keyFrom(text);
    const other = keyFrom(
      text.replace('id: caps', 'id: other').replace('< 5', '< 4').replace('>= 5', '>= 4'),
    );
    const find = { id: 'one', traits: { ring: 'present', width: '45 mm' } };
    const found = [key, other].flatMap((k) => [...identify(k, [find])].flatMap((r) => r.found ?? []));
    const { word, partings } = compare(found);
    expect([word, partings.map((p) => [p.key.id, p.couplet, p.lead])]).toEqual([
      'disagree',
      [
        ['caps', '2', 'b'],
        ['other', '2', 'a'],
      ],
    ]);
    expect(partings[0]?.namedBy).toBe(other);
    const [open] = [...identify(key, [{ id: 'two', traits: { ring: 'present' } }])];
    if (open?.found === undefined) throw new Error('no determination');
    expect(analyse(open.found).next).toMatchObject({ looks: [{ character: 'width' }] });
    expect(asResult(open.found).analysis).toBeUndefined();
    expect(asResult(open.found, { full: true }).analysis).toEqual(analyse(open.found));
  });

  it('checks keys', () => {
    const wrong = text.replace('>= 5', '>= 6');
    expect(lintKey(wrong).findings.map((f) => f.rule)).toContain('ranges-meet');
    const { findings } = lintKey(wrong, { file: 'caps.key.yaml', levels: { 'ranges-meet': 'off' } });
    expect(findings.map((f) => f.rule)).not.toContain('ranges-meet');
    expect(() => lintKey(text, { levels: { 'ranges-met': 'off' } })).toThrow(/did you mean ranges-meet/);
  });

  it('opens keys on the disk with the keys they continue in', async () => {
    const { key, file, findings } = await tufts();
    expect([key.id, file, findings.filter((f) => f.level === 'error')]).toEqual([
      'tarn-wood-tufts',
      join('keys', 'tarn-wood-tufts.key.yaml'),
      [],
    ]);
    expect(key.couplets.some((c) => c.name.startsWith('tarn-rust-spored/'))).toBe(true);
    const shelf = node.folderShelf({ cwd: root });
    const found = shelf.key('tarn-rust-spored', 'keys/tarn-wood-tufts.key.yaml');
    expect(found.ok).toBe(true);
    expect(shelf.terms('../../etc/passwd', 'keys/tarn-wood-tufts.key.yaml').ok).toBe(false);
    await expect(node.openKey('tarn-wod-tufts', { cwd: root })).rejects.toThrow(library.Failure);
  });

  it('writes, reads, adds to and redoes records', async () => {
    const { key } = await tufts();
    const [found, other] = season(key);
    if (found === undefined || other === undefined) throw new Error('no determinations');
    const options = { at: AT, by: 'E. Marlow' };
    const first = writeRecord(found, options);
    const again = appendRecord(first, found, options);
    const { record, problems } = readRecord(again);
    expect(problems).toEqual([]);
    expect(record?.determinations.map((d) => [d.by, d.result?.name])).toEqual([
      ['E. Marlow', found.name],
      ['E. Marlow', found.name],
    ]);
    expect(() => appendRecord(first, other, options)).toThrow(/the record is of TH-2026-001/);
    const cut = readRecord(first.slice(0, -10), { file: 'cut.yaml' });
    expect([cut.record, cut.problems[0]]).toEqual([undefined, expect.stringMatching(/^cut\.yaml:\d+:\d+: /)]);
    expect(redoRecord(first, key, options).text).toBe(first);
    const {
      before,
      after,
      changes,
      text: redone,
    } = redoRecord(example('TH-2026-018.record.yaml'), key, options);
    expect([before.key.id, after.redoneFrom, typeof changes.changed]).toEqual([
      'tarn-wood-tufts',
      1,
      'boolean',
    ]);
    expect(readRecord(redone).record?.determinations).toHaveLength(2);
  });

  it('writes determinations as an archive and reads its finds again', async () => {
    const { key } = await tufts();
    const found = season(key);
    const files = archiveOf(found, { date: '2026-10-18' });
    const names = async (archive: library.ArchiveFiles | library.ArchiveTexts) => {
      const all: (string | undefined)[] = [];
      for await (const { id, found: one, findings } of identifyArchive(key, archive)) {
        expect(findings).toEqual([]);
        all.push(`${id} ${one?.name}`);
      }
      return all;
    };
    const expected = found.map((f) => `${f.id} ${f.name}`);
    expect(await names(files)).toEqual(expected);
    const path = join(folder, 'season.zip');
    node.writeArchive(path, files);
    const archive = await node.readArchive(path);
    expect(await names(archive)).toEqual(expected);
    archive.close();
    expect(() => node.writeArchive(path, files)).toThrow(/there already/);
    node.writeArchive(path, { ...files, 'more.txt': 'x' }, { overwrite: true });
    expect(existsSync(path)).toBe(true);
    await expect(node.readArchive(join(root, 'package.json'))).rejects.toThrow(library.Failure);
  });

  it('tests a key with known specimens', async () => {
    const { key } = await node.openKey('gill-genera', { cwd: root });
    if (key === undefined) throw new Error('no key');
    const { rows, counts, coverage, findings } = testKey(key, example('gill-genera-specimens.yaml'));
    expect([rows.length, counts.right, counts.among, counts.wrong, findings]).toEqual([14, 12, 1, 1, []]);
    expect(coverage.leads).toBe(key.couplets.reduce((n, c) => n + c.leads.length, 0));
    const strict = testKey(key, example('gill-genera-specimens.yaml'), { strict: true });
    expect(strict.rows.filter((r) => !r.passed)).toHaveLength(2);
  });

  it('imports a printed key', () => {
    const { keys, findings } = importKeys(example('printed-ducks.txt'));
    expect([keys.map((k) => k.couplets), findings.filter((f) => f.level === 'error')]).toEqual([[4], []]);
    expect(loadKey(keys[0]?.text ?? '').key?.taxa).toHaveLength(5);
  });

  it('drafts a key from a table of taxa', () => {
    const taxa = readFileSync(join(root, 'keys/plantation-conifers.key.yaml'), 'utf8');
    const { text: drafted, findings } = draftKey(taxa, {
      date: '2026-10-18',
      file: 'taxa.yaml',
    });
    expect(findings.filter((f) => f.level === 'error')).toEqual([]);
    expect(loadKey(drafted ?? '').key?.taxa.length).toBeGreaterThan(2);
    const bad = draftKey('id,name,leaf\na,,x\n', { date: '2026-10-18', file: 'bad.csv' });
    expect(bad.text).toBeUndefined();
  });

  it('trims a key to a list, and tells the versions apart', async () => {
    const { key, text: written, file, shelf } = await tufts();
    const options = { file, shelf, date: '2026-10-18', list: 'wood.txt' };
    const trimmed = trimKey(written, 'Pleurotus ostreatus\nMycena inclinata\nNonesuch\n', options);
    expect(trimmed.unknownNames).toMatchObject([{ line: 3, written: 'Nonesuch' }]);
    expect(trimmed.kept.map((t) => t.name)).toContain('Pleurotus ostreatus');
    expect(trimmed.gone.length).toBeGreaterThan(0);
    const smaller = loadKey(trimmed.text ?? '', { file, shelf }).key;
    if (smaller === undefined) throw new Error('no key');
    expect(smaller.id).toBe('tarn-wood-tufts-wood');
    const { changed, gone } = diffKeys(key, smaller);
    expect([changed, gone.length > 0]).toEqual([true, true]);
    expect(diffKeys(key, key).changed).toBe(false);
  });

  it('lists every change that makes two versions differ', () => {
    const before = keyFrom(text);
    const after = keyFrom(
      text
        .replace('characters:', 'scope: {group: caps}\ncharacters:')
        .replace('{ring: present}', '{ring: present, smell: mealy}')
        .replace('  width: {', '  smell: {name: smell, states: [mealy, none]}\n  width: {')
        .replace(', when: {ring: absent}', ', otherwise: true')
        .replace('name: Cc cc', 'name: Cc cc, duties: [{kind: protected, note: not to be picked}]'),
    );
    const { changed, scope, paths, charactersAdded, charactersGone, duties, conditions } = diffKeys(
      before,
      after,
    );
    expect([changed, scope, charactersAdded, charactersGone]).toEqual([
      true,
      [{ what: 'group', was: '', is: 'caps' }],
      ['smell'],
      [],
    ]);
    expect(paths.map((p) => [p.is.id, p.nowAsked, p.steps])).toEqual([
      ['aa', ['smell'], [2, 2]],
      ['bb', ['smell'], [2, 2]],
      ['cc', ['smell'], [1, 1]],
    ]);
    expect(duties.map((d) => d.is.id)).toEqual(['cc']);
    const bare = keyFrom(text.replace(', when: {ring: absent}', '').replace(', when: {ring: present}', ''));
    expect(diffKeys(bare, before).conditions).toEqual({ gained: ['1a', '1b'], lost: [] });
    expect(conditions).toEqual({ gained: [], lost: [] });
  });

  it('trims nothing where there is no key', () => {
    const options = { date: '2026-10-18', list: 'wood.txt' };
    expect(trimKey('nothing', 'a', options).text).toBeUndefined();
  });

  it('has an example that runs', () => {
    const example = fileURLToPath(new URL('../../examples/library.mjs', import.meta.url));
    const { status, stdout, stderr } = spawnSync(process.execPath, [example], { encoding: 'utf8' });
    expect([status, stderr]).toEqual([0, expect.stringContaining('Any doubt means: leave it.')]);
    expect(stdout).toMatch(/^TH-2026-005: Galerina marginata, 1 possible, leave it/m);
    const wrong = spawnSync(process.execPath, [example, example], { encoding: 'utf8' });
    expect(wrong.status).toBe(2);
  });

  it('reaches no file, terminal or clock', () => {
    const meta = JSON.parse(readFileSync(new URL('../../dist/meta.json', import.meta.url), 'utf8')) as {
      outputs: Record<
        string,
        { entryPoint?: string; imports: { path: string; kind: string }[]; inputs: Record<string, unknown> }
      >;
    };
    const entry = Object.keys(meta.outputs).find((o) => meta.outputs[o]?.entryPoint === 'src/index.ts') ?? '';
    const seen = new Set<string>();
    const inputs = new Set<string>();
    const walk = (output: string) => {
      if (seen.has(output)) return;
      seen.add(output);
      for (const input of Object.keys(meta.outputs[output]?.inputs ?? {})) inputs.add(input);
      for (const { path } of meta.outputs[output]?.imports ?? []) walk(path);
    };
    walk(entry);
    expect(inputs.size).toBeGreaterThan(10);
    expect(
      [...inputs].filter(
        (i) =>
          /^src\/(files|terminal|inputs|cli|node)|^src\/commands\/\w+\/command/.test(i) ||
          /chalk|inquirer|commander/.test(i),
      ),
    ).toEqual([]);
  });
});
