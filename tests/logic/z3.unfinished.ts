/** The trait logic of lint against z3: the same verdict every time, and every specimen shows what it is said to show. */
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { KeyData } from '../support/randomkeys.js';
import { keys, type Size } from './draw.js';
import { proofOf, type Tally } from './questions.js';
import { type Question, Solver } from './solver.js';

const SIZE: Size = { units: ['', 'cm', 'mm', 'in'], most: 10, states: 4 };
/** The same keys every time; another number draws others. */
const SEED = Number(process.env.KEYWRIGHT_SEED ?? 1);

let solver: Solver;
beforeAll(async () => {
  solver = await Solver.start();
});
afterAll(() => solver.stop());

async function prove(drawn: readonly KeyData[]): Promise<Tally> {
  const tally: Tally = new Map();
  const faults: string[] = [];
  const questions: Question[] = [];
  drawn.forEach((key, i) => {
    const proof = proofOf(key, `k${i}-`, tally);
    faults.push(...proof.faults);
    questions.push(...proof.questions);
  });
  const { asked, yes, wrong } = await solver.ask(questions);
  tally.set('questions', asked);
  tally.set('questions answered yes', yes);
  expect([...faults, ...wrong].slice(0, 3)).toEqual([]);
  return tally;
}

/** Descriptions have their own questions; a single couplet need not answer them. */
const undescribed = (key: KeyData): KeyData => ({
  ...key,
  taxa: Object.fromEntries(Object.entries(key.taxa).map(([id, { name }]) => [id, { name }])),
});

describe('against z3', () => {
  it('2,000 couplets', async () => {
    await prove(fc.sample(keys(1, 1, SIZE), { numRuns: 2000, seed: SEED }).map(undescribed));
  }, 240_000);

  it('300 keys', async () => {
    await prove(fc.sample(keys(2, 7, SIZE), { numRuns: 300, seed: SEED }));
  }, 240_000);
});
