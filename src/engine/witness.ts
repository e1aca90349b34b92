import { listed } from '../text/words.js';
import type { Box, Region } from '../traits/box.js';
import type { Character } from '../traits/character.js';
import { sampleOf } from '../traits/sample.js';
import { type Value, writeValue } from '../traits/value.js';
import type { CompiledCouplet } from './compile.js';
import { evaluateLeads, type Truth } from './evaluate.js';
import { evidenceOf } from './evidence.js';
import type { Logic } from './logic.js';
import type { Walk } from './walk.js';

/** A specimen that shows a fault: what it shows of some characters, by number. */
export type Specimen = ReadonlyMap<number, Value>;

/**
 * A concrete specimen of a box for which the engine itself confirms what a rule claims, with as few
 * characters as will do. `holds` looks at what the engine says of the couplet's leads; the couplet must also
 * stay reachable. undefined when the engine does not confirm it, so that nothing unproven is ever shown.
 * `about` are the characters that the claim is about, where those are not all that the couplet asks.
 */
export function confirmedSpecimen(
  logic: Logic,
  box: Box,
  couplet: CompiledCouplet,
  holds: (truths: readonly Truth[]) => boolean,
  about?: ReadonlySet<number>,
): Specimen | undefined {
  const asked = logic.asked(couplet);
  const specimen = completeSpecimen(logic, box, asked);
  const confirmed = (s: Specimen) => holds(truthsFor(logic, couplet, s)) && arrives(logic, couplet, s);
  if (specimen === undefined || !confirmed(specimen)) return undefined;
  // What the couplet does not ask is dropped first, so that what is left is about the couplet, and the claim, where
  // possible.
  const weight = (c: number) => Number(asked.includes(c)) + Number(about?.has(c) ?? false);
  const order = [...specimen.keys()].sort((a, b) => weight(a) - weight(b) || b - a);
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
    // Every character that a way to the couplet asks gets a value, so that the engine can rule the paths out.
    const all = logic.key.characters.map((_, i) => i);
    const specimen = completeSpecimen(logic, box, all);
    const confirmed = (s: Specimen) => holds(truthsFor(logic, couplet, s)) && !arrives(logic, couplet, s);
    if (specimen === undefined || !confirmed(specimen)) continue;
    let least = specimen;
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
function truthsFor(logic: Logic, couplet: CompiledCouplet, specimen: Specimen): Truth[] {
  return evaluateLeads(couplet, knownOf(logic, specimen), logic.key.gates, undefined);
}

/** Whether the engine follows a specimen to a couplet. */
function arrives(logic: Logic, couplet: CompiledCouplet, specimen: Specimen): boolean {
  return walked(logic, specimen).arrivesAt(couplet.index);
}

/**
 The engine's walk of a specimen through the chain. It is the same object each time: read it before the next call. */
export function walked(logic: Logic, specimen: Specimen): Walk {
  return logic.follow(evidenceOf(knownOf(logic, specimen)));
}

/** The engine remembers what a value says of all tests of a key, so equal values are one object here. */
function knownOf(logic: Logic, specimen: Specimen): (Value | undefined)[] {
  const known = new Array<Value | undefined>(logic.key.characters.length).fill(undefined);
  const { values } = logic;
  for (const [character, value] of specimen) {
    const mark = `${character} ${JSON.stringify(value)}`;
    const same = values.get(mark) ?? value;
    values.set(mark, same);
    known[character] = same;
  }
  return known;
}

/** A specimen of a box, with a value (or none, where it cannot have one) for every further character asked. */
export function completeSpecimen(logic: Logic, box: Box, asked: readonly number[]): Specimen | undefined {
  const { space } = logic;
  let whole = box;
  // A value of a dependent character says something of those it depends on, so it is settled before they are.
  for (const character of space.dependentFirst) {
    if (whole[character] !== undefined || !asked.includes(character)) continue;
    const ways = logic.ask((budget) => space.settle(withFull(logic, whole, character), budget)) ?? [];
    const way = ways.find((w) => w[character]?.na === false) ?? ways[0];
    if (way === undefined) return undefined;
    whole = way;
  }
  for (const character of asked)
    if (whole[character] === undefined) whole = withFull(logic, whole, character);
  return sampleOf(whole, space);
}

function withFull(logic: Logic, box: Box, character: number): Box {
  const out = [...box];
  out[character] = logic.space.full(character);
  return out;
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
