import type { CompiledCouplet } from '../engine/compile.js';
import { Walk } from '../engine/follow.js';
import { FAILS, judge, judgeLeads, type Truth } from '../engine/judge.js';
import { listed } from '../text/words.js';
import { type Box, type Region, sampleOf } from '../traits/box.js';
import type { Character } from '../traits/character.js';
import { type Value, writeValue } from '../traits/value.js';
import type { Logic } from './logic.js';

/** A specimen that shows a fault: what it shows of some characters, by number. */
export type Specimen = ReadonlyMap<number, Value>;

/**
 * A concrete specimen of a box for which the engine itself confirms what a rule claims, with as few characters as will
 * do. `holds` looks at what the engine says of the couplet's leads; the couplet must also stay reachable. undefined when
 * the engine does not confirm it, so that nothing unproved is ever shown.
 */
export function confirmedSpecimen(
  logic: Logic,
  box: Box,
  couplet: CompiledCouplet,
  holds: (truths: readonly Truth[]) => boolean,
): Specimen | undefined {
  const asked = logic.asked(couplet);
  const specimen = completed(logic, sampleOf(box, logic.space), asked);
  const confirmed = (s: Specimen) => holds(truthsFor(logic, couplet, s)) && arrives(logic, couplet, s);
  if (!confirmed(specimen)) return undefined;
  // What the couplet does not ask goes first, so that what is left speaks of the couplet where it can.
  const order = [...specimen.keys()].sort(
    (a, b) => Number(asked.includes(a)) - Number(asked.includes(b)) || b - a,
  );
  let least: Specimen = specimen;
  for (const character of order) {
    const fewer = new Map(least);
    fewer.delete(character);
    if (confirmed(fewer)) least = fewer;
  }
  return least;
}

/** A specimen of a region for which the engine confirms a claim about a couplet that it does not lead to. */
export function elsewhereSpecimen(
  logic: Logic,
  region: Region,
  couplet: CompiledCouplet,
  holds: (truths: readonly Truth[]) => boolean,
): Specimen | undefined {
  for (const box of region) {
    // Every character that a way to the couplet asks gets a value, so that the engine can rule the ways out.
    const all = logic.key.characters.map((_, i) => i);
    let least: Specimen = completed(logic, sampleOf(box, logic.space), all);
    const confirmed = (s: Specimen) => holds(truthsFor(logic, couplet, s)) && !arrives(logic, couplet, s);
    if (!confirmed(least)) continue;
    for (const character of [...least.keys()].reverse()) {
      const fewer = new Map(least);
      fewer.delete(character);
      if (confirmed(fewer)) least = fewer;
    }
    return least;
  }
  return undefined;
}

/** What the engine says of each lead of a couplet for a specimen. */
export function truthsFor(logic: Logic, couplet: CompiledCouplet, specimen: Specimen): Truth[] {
  return judgeLeads(couplet, knownOf(logic, specimen), logic.key.gates, undefined);
}

/** Whether the engine follows a specimen to a couplet. */
export function arrives(logic: Logic, couplet: CompiledCouplet, specimen: Specimen): boolean {
  return walked(logic, specimen).visits.some((v) => v.couplet === couplet);
}

/** The engine's walk of a specimen through the chain. */
export function walked(logic: Logic, specimen: Specimen): Walk {
  return new Walk(
    logic.key,
    {
      known: knownOf(logic, specimen),
      origins: [],
      chosen: new Map(),
      warnings: [],
      disagree: [],
    },
    0,
  );
}

function knownOf(logic: Logic, specimen: Specimen): (Value | undefined)[] {
  const known = new Array<Value | undefined>(logic.key.characters.length).fill(undefined);
  for (const [character, value] of specimen) known[character] = value;
  return known;
}

/** The specimen with a value for every character asked, those first on which others depend. */
function completed(logic: Logic, specimen: Map<number, Value>, asked: readonly number[]): Map<number, Value> {
  const { space } = logic;
  for (const character of [...space.dependentFirst].reverse()) complete(logic, specimen, character, asked);
  for (const character of asked) complete(logic, specimen, character, asked);
  return specimen;
}

function complete(
  logic: Logic,
  specimen: Map<number, Value>,
  character: number,
  asked: readonly number[],
): void {
  if (specimen.has(character) || !asked.includes(character)) return;
  const { space, key } = logic;
  const gate = key.gates[character];
  if (gate !== undefined && judge(gate, knownOf(logic, specimen), key.gates) === FAILS) {
    specimen.set(character, { kind: 'inapplicable' });
    return;
  }
  const box: Box[number][] = [];
  box[character] = { ...space.full(character), na: false };
  for (const [c, value] of sampleOf(box, space)) specimen.set(c, value);
}

/** A specimen in words: `a find with gills free and spore print white`. */
export function inWords(logic: Logic, specimen: Specimen): string {
  if (specimen.size === 0) return 'any find';
  return `a find with ${listed(traitsOf(logic, specimen))}`;
}

/** What a specimen shows, a phrase a character: `gills free`, `no texture of the ring`. */
export function traitsOf(logic: Logic, specimen: Specimen): string[] {
  return [...specimen]
    .sort(([a], [b]) => a - b)
    .map(([index, value]) => {
      const character = logic.key.characters[index] as Character;
      return value.kind === 'inapplicable'
        ? `no ${character.name}`
        : `${character.name} ${writeValue(character, value)}`;
    });
}
