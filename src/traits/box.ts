/**
 * Exact logic over the whole space of finds. A find gives every character a value, or none where the character does
 * not apply. A box limits single characters; a region is a list of boxes, any of which may hold. Meeting, subtracting
 * and asking for emptiness are exact, dependent characters included (key-writing theory, "derivable").
 */
import type { Character } from './character.js';
import { numbersOf } from './character.js';
import { askedBy, type Check, toCheck } from './check.js';
import { charactersIn } from './condition.js';
import {
  emptyFacet,
  type Facet,
  facetWithin,
  joinFacets,
  meetFacets,
  minusFacets,
  noValues,
  valuesOnly,
} from './facet.js';
import { stateSet } from './state-set.js';

/** By character number what is allowed; undefined = anything. */
export type Box = readonly (Facet | undefined)[];

/** Finds that lie in any of the boxes; no boxes = no find. */
export type Region = readonly Box[];

/** Counts the work of exact logic; when it is spent, `NotDecided` is thrown rather than a wrong answer given. */
export class Budget {
  #left: number;
  readonly #whole: Budget | undefined;

  /** `whole` is a larger budget that this one is part of. */
  constructor(steps: number, whole?: Budget) {
    this.#left = steps;
    this.#whole = whole;
  }

  spend(steps: number): void {
    this.#left -= steps;
    if (this.#left < 0) throw new NotDecided();
    this.#whole?.spend(steps);
  }
}

/** The question was not decided within the limit of work. */
export class NotDecided extends Error {
  constructor() {
    super('not decided within the limit');
  }
}

/** The box of every find. */
export const EVERYTHING: Box = [];

/** All finds over a list of characters, and what may be asked of them. */
export class Space {
  readonly characters: readonly Character[];
  readonly index: ReadonlyMap<string, number>;
  /** By character: all its values. */
  readonly #full: readonly Facet[];
  /** By character: where it exists, when it depends on others. */
  readonly #gates: readonly (Check | undefined)[];
  /** The characters that depend on others, each before those it depends on. */
  readonly dependentFirst: readonly number[];
  /** By dependent character: all it depends on, those that its own gate asks and those that they depend on. */
  readonly #dependsOn: ReadonlyMap<number, readonly number[]>;

  constructor(characters: readonly Character[]) {
    this.characters = characters;
    this.index = new Map(characters.map((c, i) => [c.id, i]));
    this.#full = characters.map((c): Facet => {
      const na = c.appliesWhen !== undefined;
      return c.kind === 'choice'
        ? { kind: 'states', set: stateSet(c.states.keys(), c.states.length), na }
        : { kind: 'numbers', set: numbersOf(c), na };
    });
    this.#gates = characters.map((c) =>
      c.appliesWhen === undefined ? undefined : toCheck(c.appliesWhen, characters, this.index),
    );
    this.dependentFirst = dependentFirst(characters);
    const dependsOn = new Map<number, readonly number[]>();
    for (const c of [...this.dependentFirst].reverse()) {
      const asked = askedBy(this.#gates[c] as Check);
      dependsOn.set(c, [...new Set(asked.flatMap((a) => [a, ...(dependsOn.get(a) ?? [])]))]);
    }
    this.#dependsOn = dependsOn;
  }

  /** Everything that a character can show, including that it does not apply where it depends on others. */
  full(character: number): Facet {
    return this.#full[character] as Facet;
  }

  /** Characters with all those that they depend on, each once. */
  withGates(characters: readonly number[]): Set<number> {
    return new Set(characters.flatMap((c) => [c, ...(this.#dependsOn.get(c) ?? [])]));
  }

  /** The finds for which a condition holds (`fits` true) or does not hold. */
  region(check: Check, fits: boolean, budget: Budget): Region {
    return this.#settled(this.#raw(check, fits, budget), budget);
  }

  /** The finds on which a character exists. */
  existence(character: number, budget: Budget): Region {
    const gate = this.#gates[character];
    return gate === undefined ? [EVERYTHING] : this.region(gate, true, budget);
  }

  /** The finds in both regions. */
  meet(a: Region, b: Region, budget: Budget): Region {
    const out: Box[] = [];
    for (const x of a) {
      for (const y of b) {
        budget.spend(1);
        const both = meetBoxes(x, y);
        if (both !== undefined) out.push(both);
      }
    }
    return a.length <= 1 && b.length <= 1 ? out : simplified(out, this, budget);
  }

  /** The finds in the first region that are not in the second. */
  minus(a: Region, b: Region, budget: Budget): Region {
    let rest: Region = a;
    for (const y of b) {
      const next: Box[] = [];
      for (const x of rest) next.push(...this.#minusBox(x, y, budget));
      rest = this.#settled(next, budget);
      if (rest.length === 0) break;
    }
    return rest;
  }

  /** The finds in any of the regions. */
  join(regions: readonly Region[], budget: Budget): Region {
    return regions.length === 1 ? (regions[0] as Region) : simplified(regions.flat(), this, budget);
  }

  /** The region projected onto some characters: what the others show is left open. */
  project(region: Region, characters: ReadonlySet<number>, budget: Budget): Region {
    const seen = region
      .flatMap((box) => this.#exposed(box, characters, budget))
      .map((box) => box.map((facet, c) => (characters.has(c) ? facet : undefined)));
    return simplified(seen, this, budget);
  }

  /**
   * A box for known values of some characters (as in a description), with the dependencies made explicit. Values that a
   * character cannot show at all match no find.
   */
  settle(box: Box, budget: Budget): Region {
    const possible = meetBoxes(
      box,
      box.map((facet, c) => (facet === undefined ? undefined : this.full(c))),
    );
    return possible === undefined ? [] : this.#settled([possible], budget);
  }

  #raw(check: Check, fits: boolean, budget: Budget): Region {
    if (check.op === 'states' || check.op === 'numbers') {
      const full = this.full(check.character);
      const facet = fits
        ? meetFacets(full, { kind: check.op, set: check.set, na: false } as Facet)
        : minusFacets(full, { kind: check.op, set: check.set, na: false } as Facet);
      if (emptyFacet(facet)) return [];
      const box: (Facet | undefined)[] = [];
      box[check.character] = facet;
      return [box];
    }
    if (check.op === 'not') return this.#raw(check.part, !fits, budget);
    if ((check.op === 'all') !== fits) return check.parts.flatMap((p) => this.#raw(p, fits, budget));
    let region: Region = [EVERYTHING];
    for (const part of check.parts) region = this.meet(region, this.#raw(part, fits, budget), budget);
    return region;
  }

  #minusBox(a: Box, b: Box, budget: Budget): Box[] {
    const out: Box[] = [];
    let rest: Box = a;
    for (let c = 0; c < b.length; c++) {
      const cut = b[c];
      if (cut === undefined) continue;
      budget.spend(1);
      const own = rest[c] ?? this.full(c);
      const outside = minusFacets(own, cut);
      if (!emptyFacet(outside)) out.push(withFacet(rest, c, outside));
      const inside = meetFacets(own, cut);
      if (emptyFacet(inside)) return out;
      rest = withFacet(rest, c, inside);
    }
    return out;
  }

  /** What a box implies for some characters through others that depend on them, stated directly. */
  #exposed(box: Box, characters: ReadonlySet<number>, budget: Budget): readonly Box[] {
    const hidden = (c: number) => box[c] !== undefined && !characters.has(c);
    const open: (Facet | undefined)[] = [...box];
    let exposed = false;
    for (const [c, others] of this.#dependsOn) {
      if (box[c] !== undefined || !characters.has(c) || !others.some(hidden)) continue;
      open[c] = this.full(c);
      exposed = true;
    }
    return exposed ? this.#settled([open], budget) : [box];
  }

  /**
   * Makes dependencies explicit: every limited character that depends on others becomes either "applies", with the
   * condition under which it does, or "does not apply", with its opposite. A box without an empty facet then holds a
   * find.
   */
  #settled(boxes: readonly Box[], budget: Budget): Region {
    let settled: readonly Box[] = boxes;
    for (const character of this.dependentFirst)
      settled = settled.flatMap((box) => this.#settleOne(box, character, budget));
    return simplified(settled, this, budget);
  }

  #settleOne(box: Box, character: number, budget: Budget): readonly Box[] {
    const facet = box[character];
    if (facet === undefined) return [box];
    const gate = this.#gates[character] as Check;
    const out: Box[] = [];
    for (const applies of [true, false]) {
      const part = applies ? valuesOnly(facet) : noValues(facet);
      if (emptyFacet(part)) continue;
      const side = withFacet(box, character, part);
      for (const under of this.#raw(gate, applies, budget)) {
        budget.spend(1);
        const both = meetBoxes(side, under);
        if (both !== undefined) out.push(both);
      }
    }
    return out;
  }
}

/** The characters that depend on others, each before those it depends on. */
function dependentFirst(characters: readonly Character[]): number[] {
  const byId = new Map(characters.map((c) => [c.id, c]));
  const depth = (c: Character): number =>
    c.appliesWhen === undefined
      ? 0
      : 1 + Math.max(0, ...charactersIn(c.appliesWhen).map((id) => depth(byId.get(id) as Character)));
  return characters
    .map((c, index) => ({ index, depth: depth(c) }))
    .filter((c) => c.depth > 0)
    .sort((a, b) => b.depth - a.depth)
    .map((c) => c.index);
}

function withFacet(box: Box, character: number, facet: Facet | undefined): Box {
  const out = [...box];
  out[character] = facet;
  return out;
}

/** The finds in both boxes; undefined when there are none. */
function meetBoxes(a: Box, b: Box): Box | undefined {
  let out: (Facet | undefined)[] | undefined;
  for (let c = 0; c < b.length; c++) {
    const y = b[c];
    if (y === undefined) continue;
    const x = a[c];
    const facet = x === undefined || x === y ? y : meetFacets(x, y);
    if (facet !== x && emptyFacet(facet)) return undefined;
    // Copied only when needed: most boxes do not meet.
    out ??= [...a];
    out[c] = facet;
  }
  return out ?? a;
}

/** Whether every find of `a` is in `b`. */
function boxWithin(a: Box, b: Box): boolean {
  for (let c = 0; c < b.length; c++) {
    const limit = b[c];
    if (limit === undefined) continue;
    const own = a[c];
    if (own === undefined || !facetWithin(own, limit)) return false;
  }
  return true;
}

/** One box for two that differ in a single character, or undefined. */
function mergeBoxes(a: Box, b: Box, space: Space): Box | undefined {
  let differs = -1;
  for (let c = 0; c < Math.max(a.length, b.length); c++) {
    const x = a[c];
    const y = b[c];
    if (x === y || (x !== undefined && y !== undefined && facetWithin(x, y) && facetWithin(y, x))) continue;
    if (differs >= 0 || x === undefined || y === undefined) return undefined;
    differs = c;
  }
  if (differs < 0) return a;
  const joined = joinFacets(a[differs] as Facet, b[differs] as Facet);
  return withFacet(a, differs, facetWithin(space.full(differs), joined) ? undefined : joined);
}

/**
 * The same finds in fewer boxes: a box within another one is dropped, and boxes that differ in one character become
 * one.
 */
function simplified(boxes: readonly Box[], space: Space, budget: Budget): Region {
  if (boxes.length <= 1) return boxes;
  const kept: Box[] = [];
  const todo = [...boxes];
  for (let box = todo.shift(); box !== undefined; box = todo.shift()) {
    budget.spend(kept.length + 1);
    const current = box;
    if (kept.some((k) => boxWithin(current, k))) continue;
    let merged: Box | undefined;
    for (let i = kept.length - 1; i >= 0; i--) {
      const other = kept[i] as Box;
      if (boxWithin(other, current)) {
        kept.splice(i, 1);
        continue;
      }
      merged = mergeBoxes(current, other, space);
      if (merged === undefined) continue;
      kept.splice(i, 1);
      break;
    }
    if (merged === undefined) kept.push(current);
    else todo.push(merged);
  }
  return kept;
}
