import { readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Taxon } from '../../src/key/key.js';
import { TaxonNames } from '../../src/key/taxon-names.js';
import { readFind, recordFind } from '../../src/record/find.js';
import { problemOfTaxon, type Vocabulary } from '../../src/tables/vocabulary.js';
import type { Collection } from '../../src/traits/collection.js';
import { open } from '../support/open.js';
import { program, root } from '../support/program.js';
import { readTable } from '../tables/reading.js';

/** Tables of finds in Tarn Hollow (invented), as people without the manual would make them. */
const table = (name: string) => join(root, 'tests/fixtures/people', name);
const identify = (name: string, ...more: string[]) =>
  program(['identify', 'tarn-wood-tufts', name.includes('/') ? name : table(name), ...more]);
const notes = (stderr: string) =>
  [...stderr.matchAll(/:(\d+:\d+) note: .*\[([a-z-]+)\]/g)].map((m) => `${m[1]} ${m[2]}`);

describe('a table that somebody else made', () => {
  it('with titles, semicolons, decimal commas and doubts is identified, and each leniency is said once', () => {
    const { status, stdout, stderr } = identify('boathouse.csv', '--format', 'csv');
    expect(status).toBe(0);
    const lines = stdout.trimEnd().split('\n');
    expect(lines[0]?.endsWith(',check,warnings,Weather,Name (table)')).toBe(true);
    expect(lines.map((l) => l.split(',').slice(-2)).slice(1)).toEqual([
      ['rain', 'stump by the jetty'],
      ['dry', ''],
      ['dry', "'=1+1"],
    ]);
    expect(notes(stderr)).toEqual([
      '1:1 separator-line',
      '2:1 title-rows',
      '4:1 column-spelling',
      '4:67 column-unknown',
      '5:17 state-wording',
      '5:29 doubted',
      '5:29 state-spelling',
      '5:46 decimal-comma',
      '6:38 number-about',
      '7:32 number-words',
    ]);
  });

  it('in UTF-16 of either order gives the same', () => {
    const text = readFileSync(table('boathouse.csv'), 'utf8');
    const little = Buffer.from(`\ufeff${text}`, 'utf16le');
    const big = Buffer.from(little).swap16();
    const plain = identify('boathouse.csv', '--format', 'csv').stdout;
    for (const bytes of [little, big]) {
      const file = join(tmpdir(), `keywright-wide-${process.pid}.csv`);
      writeFileSync(file, bytes);
      const { stdout, stderr } = identify(file, '--format', 'csv');
      expect(stdout).toBe(plain);
      expect(stderr).toContain('note: the table is text in UTF-16');
      expect(program(['identify', 'tarn-wood-tufts', '-', '--format', 'csv'], { input: bytes }).stdout).toBe(
        plain,
      );
    }
  });

  it.each([
    ['carr.tsv', [{ photo: 'IMG_0311.jpg' }, { photo: 'IMG_0312.jpg' }]],
    ['plantation.ndjson', [{ moon: 'full' }, { weather: 'dry' }]],
    ['coppice.yaml', [{ weather: 'frost' }]],
  ])('%s keeps what means nothing to the key', (name, others) => {
    const { status, stdout } = identify(name, '--format', 'ndjson');
    expect(status).toBe(0);
    expect(
      stdout
        .trimEnd()
        .split('\n')
        .map((l) => (JSON.parse(l) as { others: unknown }).others),
    ).toEqual(others);
    const strict = identify(name, '--format', 'ndjson', '--strict-columns');
    expect([strict.status, strict.stdout]).toEqual([2, '']);
  });

  it('may say what a specimen is in common names; one that two taxa bear is a mistake that names both', () => {
    const run = (expected: string) =>
      program(['test', 'tarn-wood-tufts', '-'], { input: `id,expect,spore-print\nA,${expected},rust\n` });
    expect(run('Funeral bell').stderr).not.toContain('error');
    expect(run('funeral-bell').stderr).not.toContain('error');
    const names = new TaxonNames([
      { id: 'aa', name: 'Aa aa', synonyms: [], common: ['tuft'] },
      { id: 'bb', name: 'Bb bb', synonyms: [], common: ['Tuft', 'b tuft'] },
    ] as unknown as Taxon[]);
    const vocabulary = { taxa: names, keyId: 'k' } as unknown as Vocabulary;
    expect(problemOfTaxon(vocabulary, 'b-tuft')).toBeUndefined();
    expect(problemOfTaxon(vocabulary, 'TUFT')?.message).toBe(
      '"TUFT" may be Aa aa (aa) or Bb bb (bb); write the id of the one that is meant',
    );
  });
});

describe('a doubt', () => {
  it('is kept in a record', () => {
    const key = open({
      keywright: 1,
      id: 'k',
      title: 'K',
      version: '1',
      characters: { ring: { name: 'ring', states: ['present', 'absent'] } },
      couplets: {
        1: [
          { lead: 'Ring', taxon: 'aa', when: { ring: 'present' } },
          { lead: 'None', taxon: 'bb', otherwise: true },
        ],
      },
      taxa: { aa: { name: 'Aa aa' }, bb: { name: 'Bb bb' } },
    });
    const [entry] = readTable('id,ring\nA,Present?\n', 'csv', { key }).entries;
    const recorded = recordFind(entry?.collection as Collection, key.chain);
    expect(recorded.evidence?.map((e) => `${e.shows}${e.doubted === true ? '?' : ''}`)).toEqual(['present?']);
    expect(readFind(recorded, key.chain, true).collection.observations).toEqual(
      entry?.collection.observations,
    );
  });
});
