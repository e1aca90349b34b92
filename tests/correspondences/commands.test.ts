import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readCorrespondences } from '../../src/correspondences/read.js';
import { objects } from '../identify/run.js';
import { CLEARING } from '../support/clearing.js';
import { inProcess } from '../support/in-process.js';

const FIXTURES = fileURLToPath(new URL('../fixtures/correspondences', import.meta.url));
const FILE = 'genera-to-species.correspondences.yaml';
const KEYS = ['genera.key.yaml', 'species.key.yaml'];

let cwd = '';
beforeEach(() => {
  cwd = mkdtempSync(join(tmpdir(), 'correspondences-'));
  cpSync(FIXTURES, cwd, { recursive: true });
});
afterEach(() => rmSync(cwd, { recursive: true }));

const run = (...args: string[]) => inProcess(args, { cwd });
const read = (file: string) => readFileSync(join(cwd, file), 'utf8');
const write = (file: string, text: string) => writeFileSync(join(cwd, file), text);
const change = (from: string | RegExp, to: string) => write(FILE, read(FILE).replace(from, to));
const plain = (text: string) => text.replace(/\s+/g, ' ');

const TABLE =
  'id,print-colour,ring,cap-size,cap-width\nA,ochre,present,20 mm,\nB,chocolate,,,\nC,lilac,,,\nD,,,,2 cm\n';

describe('correspond', () => {
  it('proposes what has equal words, says why, and lists the rest', async () => {
    const { code, out, err } = await run('correspond', ...KEYS);
    expect(code).toBe(0);
    expect(out).toMatch(
      /# Proposed: the same words in the name and 3 states alike\.\n.*\n {2}print-colour:\n {4}is: spore-print\n/,
    );
    expect(out).toMatch(/ {6}present: present {2}# the same id and meaning/);
    // Words in common prove little: whoever confirms in haste carries nothing of it.
    expect(out).toMatch(
      / {6}# ochre: \[rust, dark\] # proposed, words in both: rust and brown; it means "rusty brown to ochre"/,
    );
    expect(out).toMatch(/ {6}# lilac: \[\] # no counterpart found\n/);
    expect(out).toMatch(/cap-size:\n {4}is: cap-width\n {4}confirmed: no/);
    expect(out).toContain('mm is converted into cm');
    expect(out).toMatch(/ {2}bella:\n {4}contains: \[bella-parva, bella-magna\]/);
    expect(out).toMatch(/both are called Naked Bells.*\n {2}nuda:\n {4}same: calva-una/);
    // Chosen from states in one key and measured in the other: that is never proposed.
    expect(out).not.toMatch(/^ {2}wood:/m);
    expect(out).toMatch(/# Without counterpart, of genera: .*wood = "wood below" \(spruce, oak\)/);
    expect(out).not.toContain('confirmed: yes\n');
    expect(err).toContain('none carries evidence until');
    const { written, findings } = readCorrespondences(out, 'proposals');
    expect(findings).toEqual([]);
    expect(written?.characters.every((c) => !c.confirmed)).toBe(true);
  });

  it('adds to a file that is there and changes nothing that somebody wrote', async () => {
    const before =
      '# Ours.\n' +
      read(FILE)
        .replace(/ {2}cap-size.*\n/, '')
        .replace(/ {2}nuda.*\n/, '');
    write(FILE, before);
    const refused = await run('correspond', ...KEYS, '--out', FILE);
    expect(refused.code).toBe(2);
    expect(refused.err).toContain('add --overwrite');
    expect(read(FILE)).toBe(before);
    const { code, err } = await run('correspond', ...KEYS, '--out', FILE, '--overwrite');
    expect(code).toBe(0);
    expect(err).toContain('2 new proposals (cap-size and nuda)');
    const after = read(FILE);
    for (const line of before.split('\n')) expect(after.split('\n')).toContain(line);
    expect(after).toMatch(/states: \{ochre: rust.*\n {6}# lilac: \[\]/);
    // Once more: its own comments are made anew, and nothing is added.
    const again = await run('correspond', ...[...KEYS].reverse(), '--out', FILE, '--overwrite');
    expect(again.err).toContain('nothing new to propose');
    expect(read(FILE)).toBe(after);
  });

  it('leaves a file alone that is about other keys, or that cannot be read', async () => {
    change('{key: genera,', '{key: others,');
    const other = await run('correspond', ...KEYS, '--out', FILE, '--overwrite');
    expect(other.code).toBe(2);
    expect(other.err).toContain('is about others and species');
    write(FILE, read(FILE).replace('others', 'genera').replace('confirmed: yes', 'confirmed: maybe'));
    const broken = await run('correspond', ...KEYS, '--out', FILE, '--overwrite');
    expect(broken.code).toBe(2);
    expect(broken.err).toMatch(/:\d+:\d+ error: .*confirmed.*maybe/);
    expect(broken.err).toContain('left as it is');
  });
});

describe('a file of correspondences', () => {
  const mistake = async (from: string | RegExp, to: string) => {
    write(FILE, readFileSync(join(FIXTURES, FILE), 'utf8').replace(from, to));
    write('t.csv', TABLE);
    const { code, err } = await run('compare', ...KEYS, '--with', 't.csv', '--correspondences', FILE);
    expect(code).toBe(2);
    expect(err).toContain('cannot be used');
    return err;
  };

  it('is refused with the place and the nearest word', async () => {
    expect(await mistake('print-colour:', 'print-color:')).toMatch(
      /:5:3 error: there is no character "print-color" in genera; did you mean print-colour\?.*character-known/,
    );
    expect(await mistake('is: spore-print', 'is: spore-prints')).toMatch(
      /:6:9 error: .*did you mean spore-print\?/,
    );
    expect(await mistake('ochre: rust', 'ocher: rust')).toMatch(
      /:7:14 error: "ocher" is not a state of print-colour in genera; did you mean ochre/,
    );
    expect(await mistake('chocolate: dark', 'chocolate: [dark, pail]')).toMatch(
      /:7:\d+ error: "pail" is not a state of spore-print in species; did you mean pale/,
    );
    expect(await mistake('bella-magna]', 'bella-magma]')).toMatch(
      /:\d+:\d+ error: .*did you mean bella-magna/,
    );
    expect(await mistake('same: calva-una', 'same: Calva una')).toMatch(/error: .*calva-una/);
  });

  it('cannot say one thing twice, or join numbers to states', async () => {
    expect(await mistake(/$/, '  bella: {same: bella-parva}\n')).toContain('"bella" stands twice here');
    expect(
      await mistake('is: annulus, states: {present: present, absent: absent}', 'is: spore-print'),
    ).toContain('spore-print is said of print-colour already');
    expect(await mistake('contains: dusca-parva', 'same: calva-una')).toContain(
      'calva-una is the same as nuda already',
    );
    expect(await mistake('cap-size: {is: cap-width', 'wood: {is: cap-width')).toMatch(
      /wood is chosen from states in genera, and cap-width is a measure in cm in species/,
    );
    expect(
      await mistake(', states: {present: present, absent: absent}, confirmed: no', ', confirmed: yes'),
    ).toContain('ring is confirmed, but nothing is said of its states');
    expect(await mistake(', factor: 0.5', '')).toContain('a factor must say');
    expect(await mistake('is: cap-width,', 'is: cap-width, factor: 10,')).toContain(
      'mm is converted into cm without a factor',
    );
    expect(await mistake('{contains: dusca-parva}', '{remark: unsure}')).toContain(
      'needs "same", "within" or "contains"',
    );
  });

  it('is about two of the keys, once', async () => {
    write('t.csv', TABLE);
    const twice = await run(
      'compare',
      ...KEYS,
      '--with',
      't.csv',
      '--correspondences',
      FILE,
      '--correspondences',
      FILE,
    );
    expect(twice.code).toBe(2);
    expect(twice.err).toContain('about the same two keys');
    change('{key: genera,', '{key: others,');
    const others = await run('diff', ...KEYS, '--correspondences', FILE);
    expect(others.code).toBe(2);
    expect(others.err).toContain('is about others and species, not about genera and species');
  });
});

describe('compare', () => {
  const compare = async (table: string, ...more: string[]) => {
    write('t.csv', table);
    const said = await run('compare', ...KEYS, '--with', 't.csv', '--format', 'ndjson', ...more);
    return { ...said, found: objects(said.out) as Record<string, never>[] };
  };

  it('says "not comparable" where nothing corresponds', async () => {
    // What is "wood" here cannot be read from the column of the same name there.
    const clash = await compare(TABLE);
    expect(clash.err).toContain('wood is chosen from states in genera');
    expect(clash.err).toContain('--correspondences');
    write('species.key.yaml', read('species.key.yaml').replace('  wood:', '  hardness:'));
    const { found } = await compare(TABLE);
    expect(found.map((f) => f.agreement)).toEqual(Array(4).fill('not comparable'));
    expect(found[0]).toMatchObject({
      apart: [
        { key: 'genera', lacks: 'taxa' },
        { key: 'species', lacks: 'taxa' },
      ],
      partings: [],
      lacking: [],
    });
  });

  it('carries what is confirmed, both ways, and says what it leaves aside', async () => {
    const { found, err } = await compare(TABLE, '--correspondences', FILE);
    expect(err).toContain(
      '2 entries of genera-to-species.correspondences.yaml are not confirmed and carry nothing: ring and dusca',
    );
    // A genus end of one key agrees with the species ends of the other that lie within it.
    expect(found[0]).toMatchObject({
      agreement: 'overlap',
      common: [{ taxon: 'bella-parva' }],
      keys: [
        { name: 'Bella' },
        {
          candidates: [{ taxon: 'calva-una' }, { taxon: 'bella-parva' }],
          notCarried: [{ key: 'genera', what: 'ring', why: 'not confirmed' }],
        },
      ],
      verdict: { word: 'leave it' },
    });
    expect(found[1]).toMatchObject({ keys: [{ name: 'Dusca' }, { name: 'Dusca parva' }] });
    // The lilac print has no counterpart: it stays unknown, and rules nothing out.
    expect(found[2]).toMatchObject({
      agreement: 'not comparable',
      keys: [{}, { notCarried: [{ what: 'print-colour' }] }],
    });
    expect(found[3]).toMatchObject({ keys: [{ notCarried: [] }, { notCarried: [] }] });
    change('confirmed: no', 'confirmed: yes');
    const sure = await compare(TABLE, '--correspondences', FILE);
    expect(sure.found[0]).toMatchObject({ keys: [{}, { name: 'Bella parva' }] });
  });

  it('says each note once, and which collections it is about', async () => {
    write('t.csv', `${TABLE}E,lilac,,,\n`);
    const { out } = await run('compare', ...KEYS, '--with', 't.csv', '--correspondences', FILE);
    expect(plain(out)).toContain('C: not comparable');
    expect(plain(out).match(/print-colour of genera is not carried into species/g)).toHaveLength(1);
    expect(plain(out)).toContain('its state lilac has no counterpart (C and E)');
    expect(out).not.toMatch(CLEARING);
  });

  it('takes a column of both keys for one of the first, unless only the other has its states', async () => {
    const third = read('species.key.yaml')
      .replaceAll('spore-print', 'print-colour')
      .replace('rust: rust-coloured', 'chocolate: rust-coloured')
      .replaceAll('print-colour: rust', 'print-colour: chocolate');
    write('species.key.yaml', third);
    change('is: spore-print', 'is: print-colour');
    change('ochre: rust, chocolate: dark', 'ochre: chocolate, chocolate: dark');
    const { found } = await compare(
      'id,print-colour\nA,chocolate\nB,dark\nC,chocolate | dark\n',
      '--correspondences',
      FILE,
    );
    const names = found.map((f) =>
      (f.keys as unknown as { candidates: { taxon: string }[] }[]).map((k) =>
        k.candidates.map((c) => c.taxon),
      ),
    );
    // What is chocolate in the first key is dark in the second, whatever that calls chocolate.
    expect(names[0]).toEqual([['dusca'], ['dusca-parva']]);
    // Nothing is said of lilac, so that it may be dark, too.
    expect(names[1]).toEqual([['dusca', 'lila'], ['dusca-parva']]);
    // A value in the words of neither key is unknown to both.
    expect(names[2]?.map((n) => n.length)).toEqual([4, 4]);
  });
});

describe('run --with', () => {
  const keyed = async (...more: string[]) => {
    write('t.csv', TABLE);
    return inProcess(['run', 'species.key.yaml', '--with', 't.csv', '--id', 'A', ...more], {
      cwd,
      stdin: 'stop\n',
    });
  };

  it('takes a table in the terms of the other key, which it finds beside the file', async () => {
    const { code, out, err } = await keyed('--correspondences', FILE);
    expect(code).toBe(0);
    expect(plain(err)).toContain('not carried from genera (not confirmed): ring');
    expect(plain(err)).toContain('1: a, since the find shows colour of the print: rust-coloured');
    const possible = out.slice(0, out.indexOf('One wrong look away'));
    expect(possible).toContain('Bella parva');
    expect(possible).toContain('Calva una');
    expect(possible).not.toMatch(/Bella magna|Dusca parva/);
  });

  it('takes a record of the other key', async () => {
    write('t.csv', 'id,print-colour,ring,cap-size\nA,ochre,present,20 mm\n');
    await inProcess(['run', 'genera.key.yaml', '--with', 't.csv', '--id', 'A', '--record', 'a.yaml'], {
      cwd,
      stdin: '',
    });
    const { out, err } = await inProcess(
      ['run', 'species.key.yaml', '--with', 'a.yaml', '--correspondences', FILE],
      { cwd, stdin: 'stop\n' },
    );
    expect(plain(err)).toContain('1: a, since the find shows colour of the print: rust-coloured');
    expect(out.slice(0, out.indexOf('Still open'))).toContain('Bella parva');
  });

  it('is needed for --correspondences', async () => {
    const { code, err } = await run('run', 'species.key.yaml', '--correspondences', FILE);
    expect(code).toBe(2);
    expect(err).toContain('--correspondences is for --with FILE');
  });
});

describe('diff', () => {
  it('shows finds in the terms of both keys', async () => {
    change('confirmed: no', 'confirmed: yes');
    const { code, out } = await run('diff', ...KEYS, '--correspondences', FILE, '--format', 'json');
    expect(code).toBe(1);
    const { finds } = JSON.parse(out) as {
      finds: { find: Record<string, string>; was: unknown[]; is: unknown[] }[];
    };
    expect(finds.length).toBeGreaterThan(0);
    // The confirmed ring is one character, so that no find has a ring in one key and none in the other.
    const ended = JSON.stringify(finds);
    expect(ended).toContain('ochre = rust');
    expect(ended).not.toContain('"ring"');
    // The same taxon under another name, by a person's word, has not moved.
    expect(ended).not.toMatch(/Nuda.*Calva una|Calva una.*Nuda/);
  });
});
