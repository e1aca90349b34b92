import { tooWeakForHarm } from '../../analysis/weakness.js';
import type { Reporter } from '../../key/fields.js';
import type { Taxon, Trait } from '../../key/key.js';
import { isHarmful } from '../../key/severity.js';
import { listed } from '../../text/words.js';
import { Space } from '../../traits/box.js';
import { type Character, numbersOf } from '../../traits/character.js';
import { type Interval, meetNumbers, type NumberSet, noNumbers } from '../../traits/number-set.js';
import { addBit, type Bits, noBits } from './bits.js';
import {
  evaluateGate,
  everyState,
  type Gate,
  type KnownAtGate,
  MOST_STATES,
  maskOf,
  toGate,
} from './gates.js';

/** What the descriptions say of one character, by taxon. */
export interface CharacterFacts {
  readonly character: Character;
  /** Whether leads can ask it: it has two states or more, and not too many, or numbers. */
  readonly usable: boolean;
  readonly gate: Gate | undefined;
  /** Why no harm should depend on it alone, in words. */
  readonly weak: string | undefined;
  /** Taxa of which nothing is said here: they can show anything. */
  readonly silent: Bits;
  /** Of a choice: by taxon the states as bits; 0 = it never applies. */
  readonly masks: Int32Array;
  /** Of a choice: by state the taxa that can show it. */
  readonly shows: readonly Bits[];
  /** Of numbers: by taxon the least and the greatest, and the intervals. */
  readonly low: Float64Array;
  readonly high: Float64Array;
  readonly spans: readonly (readonly Interval[])[];
  /** The taxa with finite numbers, by their greatest and by their least. */
  readonly byHigh: readonly number[];
  readonly byLow: readonly number[];
  /** Cuts that were worked out, by the numbers that they stand between. */
  readonly cuts: Map<number, Map<number, number>>;
}

/** How one described trait is to be written in the key, when not as the table has it. */
interface Amended {
  readonly taxon: string;
  readonly character: string;
  /** `-` is added beside the values, or the trait is left out. */
  readonly how: 'partly' | 'left out';
}

/** Everything that a draft knows: the taxa to be told apart, by number, and what they show. */
export interface Facts {
  readonly characters: readonly Character[];
  readonly taxa: readonly Taxon[];
  readonly facets: readonly CharacterFacts[];
  /** How often each taxon is met; 1 when the table does not say. */
  readonly weights: Float64Array;
  readonly weighted: boolean;
  readonly harmful: Bits;
  readonly amended: readonly Amended[];
  /** Groups without a description or members. */
  readonly leftOut: readonly Taxon[];
  /** What the author of the table should know, in sentences. */
  readonly remarks: readonly string[];
}

const KINDS_OF_ITS_OWN = new Set(['species', 'aggregate', 'subspecies', 'variety', 'form']);

/**
 * The taxa that a key has to lead to: those that are described, and those that hold no other. A genus or group that is
 * neither described nor holds any other taxon stands for what lies in another key, and is left out.
 */
function taxaToKey(taxa: ReadonlyMap<string, Taxon>): { keyed: Taxon[]; leftOut: Taxon[] } {
  const all = [...taxa.values()];
  const named = new Set(all.flatMap((t) => [...(t.within === undefined ? [] : [t.within]), ...t.alike]));
  const holders = new Set(all.flatMap((t) => t.within ?? []));
  const leftOut = all.filter(
    (t) => t.traits.size === 0 && !named.has(t.id) && t.rank !== undefined && !KINDS_OF_ITS_OWN.has(t.rank),
  );
  const keyed = all.filter((t) => !leftOut.includes(t) && (t.traits.size > 0 || !holders.has(t.id)));
  return { keyed, leftOut };
}

/**
 * Gathers what the table says. A description that no find can show is reported; one that leaves open whether a
 * character applies is read as "where it applies", and said to be.
 */
export function gatherFacts(
  characters: readonly Character[],
  all: ReadonlyMap<string, Taxon>,
  report: Reporter,
): Facts {
  const { keyed: taxa, leftOut } = taxaToKey(all);
  const index = new Map(characters.map((c, i) => [c.id, i]));
  const amended: Amended[] = [];
  const remarks: string[] = [];
  if (leftOut.length > 0)
    remarks.push(
      `neither described nor holding another taxon, and left out: ${listed(leftOut.map((t) => `${t.name} (${t.rank ?? ''})`))}`,
    );
  const table = new Descriptions(characters, index, report, amended, remarks);
  const rows = taxa.map((taxon) => table.row(taxon));
  const facets = characters.map((character, c) => facetOf(character, c, rows, table.gates[c]));
  for (const { usable, character } of facets)
    if (!usable)
      remarks.push(
        character.states.length < 2
          ? `${character.name} has only one state and separates nothing`
          : `${character.name} has ${character.states.length} states, more than leads can offer (${MOST_STATES}); it is not asked`,
      );
  const stated = taxa.flatMap((t) => t.frequency ?? []);
  const least = Math.min(...stated);
  const weights = Float64Array.from(taxa, (t) => (stated.length === 0 ? 1 : (t.frequency ?? least)));
  const missing = taxa.length - stated.length;
  if (stated.length > 0 && missing > 0)
    remarks.push(
      `${missing} of ${taxa.length} taxa do not say how often they are met; they are taken to be as rare as the rarest that does`,
    );
  const harmful = noBits(taxa.length);
  taxa.forEach((t, i) => {
    if (isHarmful(t.concern.level)) addBit(harmful, i);
  });
  return {
    characters,
    taxa,
    facets,
    weights,
    weighted: stated.length > 0,
    harmful,
    amended,
    leftOut,
    remarks,
  };
}

/** What one taxon shows of each character while it is being worked out. */
type ShownByTaxon =
  | { readonly kind: 'silent' }
  | { readonly kind: 'never' }
  | { readonly kind: 'states'; readonly mask: number; readonly partly: boolean; readonly inferred?: boolean }
  | { readonly kind: 'numbers'; readonly set: NumberSet; readonly partly: boolean };

const SILENT: ShownByTaxon = { kind: 'silent' };
const NEVER: ShownByTaxon = { kind: 'never' };

class Descriptions {
  readonly gates: readonly (Gate | undefined)[];
  readonly #dependentFirst: readonly number[];

  constructor(
    readonly characters: readonly Character[],
    readonly index: ReadonlyMap<string, number>,
    readonly report: Reporter,
    readonly amended: Amended[],
    readonly remarks: string[],
  ) {
    this.gates = characters.map((c) =>
      c.appliesWhen === undefined ? undefined : toGate(c.appliesWhen, characters, index),
    );
    this.#dependentFirst = new Space(characters).dependentFirst;
  }

  row(taxon: Taxon): ShownByTaxon[] {
    const shown = this.characters.map((c, i) => this.#read(taxon, c, i));
    if (taxon.traits.size === 0)
      this.report.add(
        'taxon-described',
        `${taxon.name} is not described, so a key could lead to it anywhere; describe it, or take it out`,
        ['taxa', taxon.id],
        { side: 'name', expected: 'traits' },
      );
    // What a dependent character says of the one it depends on comes first; whether it applies at all is seen the
    // other way.
    for (const c of this.#dependentFirst) this.#settle(taxon, c, shown, false);
    for (const c of [...this.#dependentFirst].reverse()) this.#settle(taxon, c, shown, true);
    return shown;
  }

  #read(taxon: Taxon, character: Character, c: number): ShownByTaxon {
    const trait: Trait | undefined = taxon.traits.get(character.id);
    if (trait === undefined) return SILENT;
    if (trait.kind === 'inapplicable') {
      if (this.gates[c] !== undefined) return NEVER;
      this.#amend(taxon, character, 'left out');
      this.remarks.push(
        `${character.name} is said not to apply to ${taxon.name}, but nothing says when it applies; it is taken as not described (give it an applies-when)`,
      );
      return SILENT;
    }
    if (trait.allowed.kind === 'states')
      return { kind: 'states', mask: maskOf(trait.allowed, character), partly: trait.partly };
    const set = meetNumbers(trait.allowed.set, numbersOf(character));
    if (noNumbers(set)) {
      this.report.add(
        'number-limits',
        `what ${taxon.name} is described to show of ${character.name} lies outside the limits of the character`,
        ['taxa', taxon.id, 'traits', character.id],
      );
      return SILENT;
    }
    return { kind: 'numbers', set, partly: trait.partly };
  }

  /** Brings a character that depends on others into agreement with them. */
  #settle(taxon: Taxon, c: number, shown: ShownByTaxon[], last: boolean): void {
    const gate = this.gates[c];
    const own = shown[c] as ShownByTaxon;
    if (gate === undefined || own.kind === 'silent') return;
    const holds = evaluateGate(gate, (other) => this.#known(other, shown));
    if (own.kind === 'never') {
      if (holds === 'no') return;
      if (holds === 'yes') {
        if (last) this.#contradiction(taxon, c);
      } else if (!this.#narrow(gate, shown, false, true) && last) {
        this.#amend(taxon, this.characters[c] as Character, 'left out');
        shown[c] = SILENT;
      }
      return;
    }
    if (own.partly || holds === 'yes') return;
    if (holds === 'no') {
      if (last) this.#contradiction(taxon, c);
    } else if (!this.#narrow(gate, shown, true, false) && last) {
      this.#amend(taxon, this.characters[c] as Character, 'partly');
      shown[c] = { ...own, partly: true };
    }
  }

  /** A taxon with a fibrous ring has a ring: fills in what the gate asks, where it asks one thing. */
  #narrow(gate: Gate, shown: ShownByTaxon[], holds: boolean, described: boolean): boolean {
    if (gate.op !== 'states') return false;
    const known = shown[gate.character] as ShownByTaxon;
    const every = everyState(this.characters[gate.character] as Character);
    const wanted = holds ? gate.mask : every & ~gate.mask;
    // A gate that may not apply itself is left to the exact logic.
    if (this.gates[gate.character] !== undefined) return false;
    if (known.kind === 'silent') {
      if (wanted === 0) return false;
      shown[gate.character] = { kind: 'states', mask: wanted, partly: false, inferred: true };
      return true;
    }
    if (known.kind !== 'states' || !described || (known.mask & wanted) === 0) return false;
    shown[gate.character] = { ...known, mask: known.mask & wanted };
    return true;
  }

  #known(c: number, shown: readonly ShownByTaxon[]): KnownAtGate {
    const of = shown[c] as ShownByTaxon;
    const character = this.characters[c] as Character;
    if (of.kind === 'never') return { mask: 0, missing: true };
    if (of.kind === 'states') return { mask: of.mask, missing: of.partly };
    if (of.kind === 'numbers') return { set: of.set, missing: of.partly };
    const missing = this.gates[c] !== undefined;
    return character.kind === 'choice'
      ? { mask: everyState(character), missing }
      : { set: numbersOf(character), missing };
  }

  #amend(taxon: Taxon, character: Character, how: Amended['how']): void {
    this.amended.push({ taxon: taxon.id, character: character.id, how });
  }

  #contradiction(taxon: Taxon, c: number): void {
    const character = this.characters[c] as Character;
    this.report.add(
      'description-agrees',
      `no find can show what ${taxon.name} is described to show of ${character.name} together with the rest of its description`,
      ['taxa', taxon.id, 'traits', character.id],
    );
  }
}

function facetOf(
  character: Character,
  c: number,
  rows: readonly (readonly ShownByTaxon[])[],
  gate: Gate | undefined,
): CharacterFacts {
  const n = rows.length;
  const choice = character.kind === 'choice';
  const count = character.states.length;
  const usable = !choice || (count >= 2 && count <= MOST_STATES);
  const silent = noBits(n);
  const masks = new Int32Array(n);
  const shows = choice && usable ? character.states.map(() => noBits(n)) : [];
  const low = new Float64Array(n).fill(-Infinity);
  const high = new Float64Array(n).fill(Infinity);
  const everywhere = numbersOf(character).intervals;
  const spans: (readonly Interval[])[] = [];
  rows.forEach((row, i) => {
    const shown = row[c] as ShownByTaxon;
    if (shown.kind === 'silent') addBit(silent, i);
    if (choice) {
      if (!usable) return;
      masks[i] = shown.kind === 'states' ? shown.mask : shown.kind === 'silent' ? everyState(character) : 0;
      shows.forEach((bits, s) => {
        if (((masks[i] as number) >>> s) & 1) addBit(bits, i);
      });
      return;
    }
    const intervals =
      shown.kind === 'numbers' ? shown.set.intervals : shown.kind === 'silent' ? everywhere : [];
    spans.push(intervals);
    low[i] = intervals[0]?.low ?? Infinity;
    high[i] = intervals[intervals.length - 1]?.high ?? -Infinity;
  });
  const sorted = (ends: Float64Array) =>
    rows
      .flatMap((_, i) => (Number.isFinite(ends[i]) ? [i] : []))
      .sort((a, b) => (ends[a] as number) - (ends[b] as number));
  return {
    byHigh: choice ? [] : sorted(high),
    byLow: choice ? [] : sorted(low),
    cuts: new Map(),
    character,
    usable,
    gate,
    weak: tooWeakForHarm(character),
    silent,
    masks,
    shows,
    low,
    high,
    spans,
  };
}

/** What is said of a character where no description says anything of it. */
export function leftOpen({ character, gate }: CharacterFacts, taxa: number): CharacterFacts {
  return facetOf(character, 0, new Array(taxa).fill([SILENT]), gate);
}
