import type { Collection } from '../traits/collection.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { FAILS, OPEN } from './evaluate.js';
import { gather } from './evidence.js';
import { Walk } from './follow.js';
import { type Answer, withAnswers } from './session.js';

/** One couplet on the way of a find through a key. */
export interface WayStep {
  readonly couplet: CompiledCouplet;
  /** The leads that are not ruled out. */
  readonly going: readonly CompiledLead[];
  /** By what it is decided which leads go on: a person's answer, what is known of the find, or nothing yet. */
  readonly decided: 'answer' | 'evidence' | 'open';
}

/** Every couplet that a find comes to, in the order of the key, and how it goes on from there. */
export function wayOf(key: CompiledKey, collection: Collection, answers: readonly Answer[]): WayStep[] {
  const evidence = gather(key, withAnswers(collection, answers));
  return new Walk(key, evidence, 0).visits.map(({ couplet, truths }): WayStep => {
    const going = couplet.leads.filter((_, i) => truths[i] !== FAILS);
    const decided = evidence.chosen.has(couplet.index)
      ? 'answer'
      : going.length <= 1 || truths.every((t) => t !== OPEN)
        ? 'evidence'
        : 'open';
    return { couplet, going, decided };
  });
}
