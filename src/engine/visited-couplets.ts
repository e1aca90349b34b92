import type { Collection } from '../traits/collection.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { FAILS, OPEN } from './evaluate.js';
import { gatherEvidence } from './evidence.js';
import { type Answer, withAnswers } from './session.js';
import { Walk } from './walk.js';

/** A couplet that a find comes to. */
export interface VisitedCouplet {
  readonly couplet: CompiledCouplet;
  /** The leads that are not ruled out. */
  readonly going: readonly CompiledLead[];
  /** What decides which leads go on: a person's answer, the evidence, or nothing yet. */
  readonly decided: 'answer' | 'evidence' | 'open';
}

/** Every couplet that a find comes to, in the order of the key, with the leads that go on from it. */
export function visitedCouplets(
  key: CompiledKey,
  collection: Collection,
  answers: readonly Answer[],
): VisitedCouplet[] {
  const evidence = gatherEvidence(key, withAnswers(collection, answers));
  return new Walk(key, evidence, 0).visits.map(({ couplet, truths }): VisitedCouplet => {
    const going = couplet.leads.filter((_, i) => truths[i] !== FAILS);
    const decided = evidence.chosen.has(couplet.index)
      ? 'answer'
      : going.length <= 1 || truths.every((t) => t !== OPEN)
        ? 'evidence'
        : 'open';
    return { couplet, going, decided };
  });
}
