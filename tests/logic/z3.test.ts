/** The trait logic of lint against z3: the same verdict every time, and every specimen shows what it is said to show. */
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { KeyData } from '../support/random-keys.js';
import { keys, type Size } from './draw.js';
import { proofOf, type Tally } from './questions.js';
import { type Question, Solver } from './solver.js';

const SIZE: Size = { units: ['', 'cm', 'mm', 'in'], most: 10, states: 4 };
/** The same keys every time; another number draws others. */
const SEED = Number(process.env.KEYWRIGHT_SEED ?? 1);
/** A quarter of an hour is for a machine that is busy with much else: alone it takes about a minute. */
const PATIENCE = 900_000;

let solver: Solver;
beforeAll(async () => {
  solver = await Solver.start();
});
afterAll(() => solver.stop());

/** Asks z3 everything that the rules claim of some keys; `met` is what the keys must hold a good number of. */
async function prove(drawn: readonly KeyData[], met: Readonly<Record<string, number>>): Promise<void> {
  const tally: Tally = new Map();
  const wrong: string[] = [];
  const questions: Question[] = [];
  drawn.forEach((key, i) => {
    const proof = proofOf(key, `k${i}-`, tally);
    wrong.push(...proof.faults);
    questions.push(...proof.questions);
  });
  tally.set('questions', questions.length);
  wrong.push(...(await solver.ask(questions)));
  expect(wrong.slice(0, 3)).toEqual([]);
  for (const [what, least] of Object.entries(met))
    expect(tally.get(what) ?? 0, what).toBeGreaterThanOrEqual(least);
}

/** Descriptions have their own questions; a single couplet need not answer them. */
const undescribed = (key: KeyData): KeyData => ({
  ...key,
  taxa: Object.fromEntries(Object.entries(key.taxa).map(([id, { name }]) => [id, { name }])),
});

describe('against z3', () => {
  it(
    '2,000 couplets: overlaps, gaps and dead leads',
    async () => {
      await prove(fc.sample(keys(1, 1, SIZE), { numRuns: 2000, seed: SEED }).map(undescribed), {
        questions: 12_000,
        overlaps: 1000,
        'overlapping numbers': 100,
        'leads that exclude each other': 1000,
        gaps: 150,
        'gaps between numbers': 80,
        'gaps between numbers in some finds': 30,
        'gaps in what not all leads ask': 30,
        'couplets without gap': 200,
        'dead leads': 700,
        witnesses: 1500,
      });
    },
    PATIENCE,
  );

  it(
    '300 keys: who arrives where besides, what is settled, and what descriptions run to',
    async () => {
      await prove(fc.sample(keys(2, 7, SIZE), { numRuns: 300, seed: SEED }), {
        questions: 10_000,
        'couplets where no find arrives': 80,
        overlaps: 400,
        gaps: 60,
        'dead leads': 400,
        'settled couplets': 70,
        'impossible descriptions': 150,
        'contradicted descriptions': 100,
        'descriptions that run elsewhere': 150,
        witnesses: 700,
      });
    },
    PATIENCE,
  );
});
