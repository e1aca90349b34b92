import type { CompiledCouplet, CompiledKey, CompiledLead } from '../engine/compile.js';
import { evaluateLeads, FITS } from '../engine/evaluate.js';
import type { Evidence } from '../engine/evidence.js';
import type { Candidate } from '../engine/outcome.js';
import type { Character } from '../traits/character.js';
import { askedBy } from '../traits/check.js';
import { askedAt } from './possible-states.js';
import { coverage, MEASURED_RELIABILITY } from './reliability.js';
import { leadPlaces } from './what-if.js';

/** The observations that a candidate rests on, and how often all of them are read right. */
export interface Reliance {
  /** The characters that decide the leads of its path, each once. */
  readonly characters: readonly Character[];
  /** Leads that a person took without a condition. */
  readonly answers: number;
  /** How many of the characters have no reliability stated; they count with the measured reliability. */
  readonly unstated: number;
  /** How often all of them are right, and how often at most one is wrong. */
  readonly allRight: number;
  readonly oneWrong: number;
}

/**
 * What a candidate rests on. A person's confidence does not enter: people are surest at the couplets that they misread
 * (Stamper et al. 2017). A reliability that the author states counts; where none is stated, the measured one does.
 */
export function relianceOf(key: CompiledKey, evidence: Evidence, candidate: Candidate): Reliance {
  const places = leadPlaces(key);
  const characters = new Set<number>();
  let answers = 0;
  for (const label of candidate.path) {
    const place = places.get(label);
    if (place === undefined) continue;
    const couplet = key.couplets[place.couplet] as CompiledCouplet;
    const lead = couplet.leads[place.lead] as CompiledLead;
    const truths = evaluateLeads(couplet, evidence.known, key.gates, evidence.chosen.get(place.couplet));
    if (truths[place.lead] !== FITS) continue;
    if (lead.check === undefined && !lead.otherwise) answers++;
    const asked = lead.otherwise
      ? askedAt(key, couplet)
      : lead.check === undefined
        ? []
        : askedBy(lead.check);
    for (const c of asked) if (evidence.known[c] !== undefined) characters.add(c);
  }
  const own = [...characters].map((c) => key.characters[c] as Character);
  const errors = [
    ...own.map((c) => 1 - (c.reliability ?? MEASURED_RELIABILITY)),
    ...new Array<number>(answers).fill(1 - MEASURED_RELIABILITY),
  ];
  return {
    characters: own,
    answers,
    unstated: own.filter((c) => c.reliability === undefined).length,
    allRight: coverage(errors, 0),
    oneWrong: coverage(errors, 1),
  };
}
