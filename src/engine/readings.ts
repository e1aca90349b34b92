import type { Character } from '../traits/character.js';
import type { Choice, Collection, Observation } from '../traits/collection.js';
import { joinValues, type Value } from '../traits/value.js';
import { counts } from './ages.js';
import { askedByLead } from './choices.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import type { Side } from './contradiction.js';
import {
  type Dropped,
  type Evidence,
  evidenceOf,
  evidenceOn,
  joined,
  type SpecimenEvidence,
  specimensOf,
  wanting,
} from './evidence.js';

/*
 * The readings of a find by which its verdict is given. All the evidence together gives a name, but two things that it
 * rests on may not vouch for the verdict: what the person doubted, and one specimen for another.
 *
 * Of every specimen, what it shows itself counts, and what was told of the whole find. Of the others it borrows only what
 * it cannot show at its own age, and that only where each of them that could show it was looked at. What some specimen may
 * be is possible at worst. Each observation only ever narrows a reading; so to take one away or to doubt it never takes
 * anything out of what is possible at worst, nor does another specimen, unless it shows what no other could at its age.
 *
 * That holds for finds that do not contradict themselves. Where they do, both sides are taken back in turn: then something
 * that was refused may count again.
 */

/** Something that may be wrong: doubted by the person, or contradicted by something else. */
export interface Doubt {
  /** Labels of leads and ids of characters. */
  readonly names: readonly string[];
  readonly dropped: Dropped;
}

/** A specimen, and what is known of it when it borrows from the others only what it cannot show itself. */
export interface SpecimenReading {
  readonly specimen: string;
  readonly evidence: Evidence;
  /** The characters that it could show at its age and that are not known of it. */
  readonly unknown: readonly number[];
}

/** A collection as it can be read. */
export class Readings {
  readonly specimens: readonly string[];
  readonly #ages: ReadonlyMap<string, ReadonlySet<string>>;

  constructor(
    readonly key: CompiledKey,
    readonly collection: Collection,
    readonly evidence: Evidence,
  ) {
    this.specimens = evidence.several ? specimensOf(collection) : [];
    this.#ages = agesOf(collection, this.specimens);
  }

  /** The readings by which the verdict is given, besides the evidence as it stands. */
  forVerdict(): Evidence[] {
    const { doubted } = this;
    const drops = [undefined, ...(doubted === undefined ? [] : [doubted.dropped])];
    const sides = [undefined, ...this.contradicted().map((s) => s.dropped)];
    return drops.flatMap((drop) => sides.flatMap((side) => this.#each(both(drop, side))));
  }

  /** What may be read of a find without something: specimen by specimen where some are named. */
  #each(dropped: Dropped | undefined): Evidence[] {
    if (this.specimens.length > 0) return this.bySpecimen(dropped).map((s) => s.evidence);
    return dropped === undefined ? [] : [this.together(dropped)];
  }

  /** All that was doubted, taken back at once; undefined when nothing was. */
  get doubted(): Doubt | undefined {
    const each = this.doubts();
    if (each.length === 0) return undefined;
    return {
      names: each.flatMap((d) => d.names),
      dropped: each.map((d) => d.dropped).reduce((a, b) => both(a, b) as Dropped),
    };
  }

  /** What was doubted, one by one. */
  doubts(): Doubt[] {
    if (!this.evidence.doubted) return [];
    const { observations, choices } = this.collection;
    const characters = new Set(
      observations.flatMap((o) => (o.doubted === true && o.value !== undefined ? [o.character] : [])),
    );
    return [
      ...choices.flatMap((c): Doubt[] =>
        c.doubted === true
          ? [{ names: [labelOf(this.key, c)], dropped: { seen: () => false, choices: new Set([c]) } }]
          : [],
      ),
      ...[...characters].map(
        (id): Doubt => ({
          names: [id],
          dropped: { seen: (o) => o.doubted === true && o.character === id, choices: new Set() },
        }),
      ),
    ];
  }

  /** The sides of what contradicts itself: of one contradiction each side in turn, of several all at once. */
  contradicted(): Doubt[] {
    const { contradictions } = this.evidence;
    const [first, another] = contradictions;
    if (first === undefined) return [];
    if (another === undefined)
      return first.sides.map((side) => this.#without([{ specimen: first.specimen, side }]));
    return [
      this.#without(
        contradictions.flatMap(({ specimen, sides }) => sides.map((side) => ({ specimen, side }))),
      ),
    ];
  }

  #without(sides: readonly { readonly specimen: string | undefined; readonly side: Side }[]): Doubt {
    const ids = (side: Side) => side.characters.map((c) => (this.key.characters[c] as Character).id);
    const seen = (o: Observation) =>
      sides.some(
        ({ specimen, side }) =>
          ids(side).includes(o.character) &&
          (specimen === undefined || o.specimen === undefined || o.specimen === specimen),
      );
    const choices = new Set(sides.flatMap(({ side }) => side.choices));
    const names = sides.flatMap(({ side }) => [
      ...side.choices.map((c) => labelOf(this.key, c)),
      ...ids(side),
    ]);
    return { names: [...new Set(names)], dropped: { seen, choices } };
  }

  /** All evidence together, but for what is dropped. */
  together(dropped?: Dropped): Evidence {
    const { key, collection } = this;
    if (this.specimens.length === 0) return plain(evidenceOn(key, collection, onlyName(collection), dropped));
    return plain(joined(key, this.#apart(dropped)));
  }

  /**
   * Each specimen by what is known of itself, with what it borrows. With `freely` it borrows also where one of those that
   * could show a character was not looked at: then that one is to blame for what is open, and not this one.
   */
  bySpecimen(dropped?: Dropped, freely = false): SpecimenReading[] {
    const each = this.#apart(dropped);
    const lent = this.key.characters.map((_, c) => this.#lent(each, c, freely));
    return each.map((s): SpecimenReading => {
      const unknown: number[] = [];
      const known = s.known.map((value, c) => {
        if (value !== undefined || wanting(this.key, s, c)) return value;
        if (!this.#canShow(s, c)) return lent[c];
        unknown.push(c);
        return undefined;
      });
      const evidence = evidenceOf(known, this.#chosenFor(s, each));
      return { specimen: s.specimen as string, evidence, unknown };
    });
  }

  /** What the specimens that can show a character show of it; undefined when one of them was not looked at. */
  #lent(each: readonly SpecimenEvidence[], character: number, freely: boolean): Value | undefined {
    const values: Value[] = [];
    for (const s of each) {
      const value = wanting(this.key, s, character) ? INAPPLICABLE : s.known[character];
      if (value !== undefined) values.push(value);
      else if (!freely && this.#canShow(s, character)) return undefined;
    }
    return values.length === 0 ? undefined : values.reduce((a, b) => (a === b ? a : joinValues(a, b)));
  }

  #apart(dropped: Dropped | undefined): SpecimenEvidence[] {
    return this.specimens.map((s) => evidenceOn(this.key, this.collection, s, dropped));
  }

  /** Whether a specimen could show a character at its age; one of unknown age could show all. */
  #canShow({ specimen }: SpecimenEvidence, character: number): boolean {
    const ages = this.#ages.get(specimen as string);
    if (ages === undefined || ages.size === 0) return true;
    return [...ages].some((age) => counts(this.key.characters[character] as Character, age));
  }

  /** The leads taken for a specimen: its own, and where it can show nothing of what a lead asks, those of all that can. */
  #chosenFor(own: SpecimenEvidence, each: readonly SpecimenEvidence[]): Map<number, number> {
    const chosen = new Map(own.chosen);
    for (const other of each)
      for (const [couplet, lead] of other.chosen) {
        if (chosen.has(couplet)) continue;
        const asking = this.key.couplets[couplet] as CompiledCouplet;
        const asked = askedByLead(asking, asking.leads[lead] as CompiledLead);
        const lends = (s: SpecimenEvidence) =>
          s.chosen.get(couplet) === lead || (asked.length > 0 && asked.every((c) => !this.#canShow(s, c)));
        if (each.every(lends)) chosen.set(couplet, lead);
      }
    return chosen;
  }
}

const INAPPLICABLE: Value = { kind: 'inapplicable' };

function plain({ known, chosen }: SpecimenEvidence): Evidence {
  return evidenceOf(known, chosen);
}

/** The only specimen that is named, if any. */
function onlyName({ observations, choices }: Collection): string | undefined {
  return [...observations, ...choices].find((o) => o.specimen !== undefined)?.specimen;
}

/** By specimen, the ages that were told of it. */
function agesOf(
  { observations, choices }: Collection,
  specimens: readonly string[],
): ReadonlyMap<string, ReadonlySet<string>> {
  const ages = new Map(specimens.map((s) => [s, new Set<string>()]));
  for (const { specimen, stage } of [...observations, ...choices])
    if (specimen !== undefined && stage !== undefined) ages.get(specimen)?.add(stage);
  return ages;
}

function labelOf(key: CompiledKey, { couplet, letter }: Choice): string {
  const index = key.coupletIndex.get(couplet);
  const leads = index === undefined ? [] : (key.couplets[index] as CompiledCouplet).leads;
  return leads.find((l) => l.lead.letter === letter)?.label ?? `${couplet}${letter}`;
}

function both(a: Dropped | undefined, b: Dropped | undefined): Dropped | undefined {
  if (a === undefined) return b;
  if (b === undefined) return a;
  return { seen: (o) => a.seen(o) || b.seen(o), choices: new Set([...a.choices, ...b.choices]) };
}
