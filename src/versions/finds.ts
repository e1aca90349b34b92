import { type CompiledCouplet, type CompiledKey, type CompiledLead, compile } from '../engine/compile.js';
import { determine } from '../engine/determine.js';
import { evidenceOf } from '../engine/evidence.js';
import { addImplied } from '../engine/implied.js';
import { Logic } from '../engine/logic.js';
import { Walk } from '../engine/walk.js';
import { completeSpecimen, type Specimen } from '../engine/witness.js';
import type { Taxon } from '../key/key.js';
import { severity } from '../key/severity.js';
import { Budget, NotDecided, type Region, type Space } from '../traits/box.js';
import type { Character } from '../traits/character.js';
import { askedBy, type Check } from '../traits/check.js';
import type { Choice, Observation } from '../traits/collection.js';
import { stateIndices } from '../traits/state-set.js';
import { readValue, type Value, writeValue } from '../traits/value.js';
import { drawFinds } from './draw.js';
import type { JoinedVersions } from './joint.js';

/** A kind of finds that end elsewhere than before, shown by one of them. */
export interface Moved {
  /** The find, by as few characters as show it. */
  readonly find: Specimen;
  /** What it was before, and what it is now; both empty when it fits nothing. */
  readonly was: readonly Taxon[];
  readonly is: readonly Taxon[];
  /** Whether it was found by drawing finds, and not worked out. */
  readonly drawn: boolean;
}

/** Which finds end elsewhere, as far as it was decided. */
export interface FindChanges {
  readonly moved: readonly Moved[];
  /** Taxa about which it was not decided within the limit of work whether their finds have changed. */
  readonly undecided: readonly Taxon[];
  /** How many finds were drawn, where something was undecided. */
  readonly drawn: number;
}

/** How much work is done for one taxon, and for all. */
export interface DiffLimits {
  readonly steps: number;
  readonly draws: number;
}

const LIMITS: DiffLimits = { steps: 300_000, draws: 3000 };

/** Compares where finds end, taxon by taxon, exactly as far as the limit of work allows. */
export function compareFinds(joint: JoinedVersions, limits: DiffLimits = LIMITS): FindChanges {
  return new FindComparison(joint, limits).run();
}

class FindComparison {
  readonly #runs: FindRuns;
  readonly #moved = new Map<string, Moved>();
  readonly #undecided: Taxon[] = [];
  #pairs = MOST_PAIRS;

  constructor(
    readonly joint: JoinedVersions,
    readonly limits: DiffLimits,
  ) {
    this.#runs = new FindRuns(joint);
  }

  run(): FindChanges {
    const { joint, limits } = this;
    const ways = new Ways();
    const [before, after] = [endsOf(joint.old, joint), endsOf(joint.now, joint)];
    const marks = [ways.of(joint.old), ways.of(joint.now)] as const;
    const open = [...new Set([...before.keys(), ...after.keys()])].filter((n) => {
      const mark = (ends: readonly EndReached[] | undefined, of: ReadonlyMap<CompiledLead, number>) =>
        [...new Set((ends ?? []).map((e) => of.get(e.lead)))].sort().join(' ');
      return mark(before.get(n), marks[0]) !== mark(after.get(n), marks[1]);
    });
    // Where every way is the same nothing has to be worked out.
    if (open.length > 0) {
      const logics = [logicOf(joint.old), logicOf(joint.now)] as const;
      const regions = [new EndRegions(logics[0], before), new EndRegions(logics[1], after)] as const;
      const changes = open.flatMap((number) => this.#changeOf(number, logics[1].space, regions) ?? []);
      for (const change of changes) this.#tell(change, logics[1], regions);
    }
    let drawn = 0;
    if (this.#undecided.length > 0) {
      for (const find of drawFinds(joint, limits.draws)) {
        drawn++;
        this.#add(find, true);
      }
    }
    const moved = [...this.#moved.values()].sort((a, b) => harmOrder(a) - harmOrder(b));
    return { moved, undecided: this.#undecided, drawn };
  }

  /** The finds that a taxon has lost and gained; undefined when there are none, or when that is not decided. */
  #changeOf(
    number: number,
    space: Space,
    regions: readonly [EndRegions, EndRegions],
  ): TaxonChange | undefined {
    const [old, now] = [regions[0].of(number), regions[1].of(number)];
    const budget = new Budget(this.limits.steps);
    try {
      if (old === undefined || now === undefined) throw new NotDecided();
      const lost = space.minus(old, now, budget);
      const gained = space.minus(now, old, budget);
      return lost.length + gained.length === 0 ? undefined : { number, lost, gained };
    } catch (error) {
      if (!(error instanceof NotDecided)) throw error;
      this.#undecided.push(this.joint.same.taxon(number));
      return undefined;
    }
  }

  /** Shows finds of a change: for finds that were lost, the taxon that gained them, and the other way round. */
  #tell(change: TaxonChange, logic: Logic, regions: readonly [EndRegions, EndRegions]): void {
    for (const side of ['lost', 'gained'] as const) {
      const part = change[side];
      if (part.length === 0) continue;
      const stories = part.slice(0, MOST_STORIES);
      // A taxon that keeps its finds may now share them, so those that have not changed are looked at as well.
      const others = regions[side === 'lost' ? 1 : 0];
      for (const other of others.worstFirst(this.joint)) {
        if (other === change.number || this.#pairs-- <= 0) continue;
        const theirs = others.of(other) ?? [];
        const [both] = logic.ask((budget) => logic.space.meet(part, theirs, budget)) ?? [];
        if (both !== undefined) stories.push(both);
      }
      const told = stories.filter((box) => {
        const find = completeSpecimen(logic, box, this.#runs.asked);
        return find !== undefined && this.#add(find, false);
      });
      if (told.length > 0) continue;
      this.#undecided.push(this.joint.same.taxon(change.number));
      return;
    }
  }

  /** Adds a find if it really ends elsewhere: both keys are run with it first. */
  #add(find: Specimen, drawn: boolean): boolean {
    const runs = this.#runs;
    const ends = runs.ends(find);
    if (ends.was === ends.is) return false;
    const mark = `${ends.was} > ${ends.is}`;
    if (this.#moved.has(mark)) return true;
    const shown = [runs.least(find, ends), find].find((f) => runs.confirmed(f, ends));
    if (shown === undefined) return false;
    this.#moved.set(mark, {
      find: shown,
      was: runs.taxa(ends.was, 'old'),
      is: runs.taxa(ends.is, 'now'),
      drawn,
    });
    return true;
  }
}

const MOST_STORIES = 3;
/** More pairs of a changed taxon and another are not looked at one by one; harmful ones come first. */
const MOST_PAIRS = 5000;

/** The finds that no longer end at a taxon, and those that do now and did not. */
interface TaxonChange {
  readonly number: number;
  readonly lost: Region;
  readonly gained: Region;
}

/** Harm first: finds that were a harmful taxon, then finds that are one now. */
function harmOrder({ was, is }: Moved): number {
  const worst = (taxa: readonly Taxon[]) => Math.min(4, ...taxa.map(severity));
  const [before, after] = [worst(was), worst(is)];
  return before < after ? before : after < before ? 5 + after : 10 + after;
}

interface EndReached {
  readonly couplet: CompiledCouplet;
  readonly lead: CompiledLead;
}

/** By number of taxon: the leads that end at it. */
function endsOf(key: CompiledKey, { same }: JoinedVersions): ReadonlyMap<number, readonly EndReached[]> {
  const ends = new Map<number, EndReached[]>();
  for (const couplet of key.couplets)
    for (const lead of couplet.leads)
      for (const taxon of lead.taxa) {
        const number = same.numberOf(key.taxa[taxon] as Taxon);
        const own = ends.get(number);
        if (own === undefined) ends.set(number, [{ couplet, lead }]);
        else own.push({ couplet, lead });
      }
  return ends;
}

function logicOf(key: CompiledKey): Logic {
  return new Logic(key.chain);
}

/** The finds that end at each taxon, worked out when first asked for. */
class EndRegions {
  readonly #known = new Map<number, Region | undefined>();
  #worstFirst: readonly number[] | undefined;

  constructor(
    readonly logic: Logic,
    readonly ends: ReadonlyMap<number, readonly EndReached[]>,
  ) {}

  /** The numbers of the taxa, harmful ones first. */
  worstFirst({ same }: JoinedVersions): readonly number[] {
    this.#worstFirst ??= [...this.ends.keys()].sort(
      (a, b) => severity(same.taxon(a)) - severity(same.taxon(b)),
    );
    return this.#worstFirst;
  }

  /** By number of taxon; undefined when not decided within the limit. */
  of(number: number): Region | undefined {
    if (!this.#known.has(number)) this.#known.set(number, this.#regionOf(this.ends.get(number) ?? []));
    return this.#known.get(number);
  }

  #regionOf(ends: readonly EndReached[]): Region | undefined {
    const { logic } = this;
    const parts: Region[] = [];
    for (const { couplet, lead } of ends) {
      const own = logic.key.couplets[couplet.index] as CompiledCouplet;
      const taken = logic.taken(own, own.leads[couplet.leads.indexOf(lead)] as CompiledLead);
      if (taken === undefined) return undefined;
      parts.push(taken);
    }
    return parts.length === 0 ? [] : logic.ask((budget) => logic.space.join(parts, budget));
  }
}

/**
 * Numbers for paths: two leads have the same number only when the paths to them ask exactly the same. So what was only
 * renumbered or moved in the file is known to be the same without any logic.
 */
class Ways {
  readonly #numbers = new Map<string, number>();

  of(key: CompiledKey): ReadonlyMap<CompiledLead, number> {
    const leads = new Map<CompiledLead, number>();
    const into = new Map<number, number[]>();
    for (const couplet of key.couplets) {
      const from = [...new Set(into.get(couplet.index) ?? [])].sort((a, b) => a - b).join(' ');
      const start = couplet.index === key.start ? 'start' : '';
      const others = couplet.leads.map((l) => JSON.stringify(l.check ?? null)).sort();
      for (const lead of couplet.leads) {
        if (start === '' && from === '') {
          leads.set(lead, -1);
          continue;
        }
        const asks = lead.otherwise ? `otherwise ${others.join(' ')}` : JSON.stringify(lead.check ?? null);
        const number = this.#number(`${start} ${from} ${asks}`);
        leads.set(lead, number);
        if (lead.next >= 0) into.set(lead.next, [...(into.get(lead.next) ?? []), number]);
      }
    }
    return leads;
  }

  #number(mark: string): number {
    const known = this.#numbers.get(mark);
    if (known !== undefined) return known;
    this.#numbers.set(mark, this.#numbers.size);
    return this.#numbers.size - 1;
  }
}

interface Ends {
  /** The numbers of the taxa, joined. */
  readonly was: string;
  readonly is: string;
}

/** Runs finds through both versions. */
class FindRuns {
  /** The characters that either asks, and those on which they depend. */
  readonly asked: readonly number[];
  readonly #walks: readonly [Walk, Walk];
  readonly #real: readonly [CompiledKey, CompiledKey];
  readonly #values = new Map<string, Value>();

  constructor(readonly joint: JoinedVersions) {
    const { old, now } = joint;
    this.#walks = [new Walk(old), new Walk(now)];
    this.asked = askedIn([old, now]);
    // What is shown is confirmed with the keys as they are.
    this.#real = [compile(joint.oldChain), compile(joint.newChain)];
  }

  ends(find: Specimen): Ends {
    const [was, is] = this.#walks.map((walk) => this.#reached(walk, find));
    return { was: was ?? '', is: is ?? '' };
  }

  taxa(numbers: string, side: 'old' | 'now'): readonly Taxon[] {
    const { same } = this.joint;
    return numbers === ''
      ? []
      : numbers.split(' ').map((n) => (side === 'old' ? same.taxon(Number(n)) : same.newTaxon(Number(n))));
  }

  /** The find by as few characters as lead to the same ends. */
  least(find: Specimen, ends: Ends): Specimen {
    let least = find;
    for (const character of [...find.keys()].reverse()) {
      const fewer = new Map(least);
      fewer.delete(character);
      const now = this.ends(fewer);
      if (now.was === ends.was && now.is === ends.is) least = fewer;
    }
    return least;
  }

  /** Whether the keys themselves, with the find as a person would write it, end there. */
  confirmed(find: Specimen, ends: Ends): boolean {
    // That none of some leads is taken cannot be told to a key, nor what a person would answer where only the other
    // version has a condition; the versions brought together have been run with it.
    if ([...find].some(([c, value]) => this.#isNone(c, value))) return true;
    const { borrowed } = this.joint;
    if (borrowed.old.size + borrowed.now.size > 0) {
      this.ends(find);
      const sides = [borrowed.old, borrowed.now] as const;
      if (this.#walks.some((w, i) => [...(sides[i] ?? [])].some((c) => w.arrivesAt(c)))) return true;
    }
    const sides = ['old', 'now'] as const;
    const said = sides.map((side, i) => {
      const key = this.#real[i] as CompiledKey;
      const collection = this.#collection(find, side, key);
      if (collection === undefined) return undefined;
      const own = this.joint[side];
      const { possible } = determine(key, collection);
      return this.#numbers(possible.map((t) => own.taxa[key.taxa.indexOf(t)] as Taxon));
    });
    return said[0] === ends.was && said[1] === ends.is;
  }

  #isNone(character: number, value: Value): boolean {
    const question = this.joint.questions.get(this.joint.now.characters[character]?.id ?? '');
    if (question === undefined || value.kind !== 'states') return false;
    return stateIndices(value.set).some((state) => {
      const { old, now } = question.answers[state] ?? {};
      return old === undefined || now === undefined;
    });
  }

  #collection(find: Specimen, side: 'old' | 'now', key: CompiledKey) {
    const observations: Observation[] = [];
    const choices: Choice[] = [];
    for (const [index, value] of find) {
      const character = this.joint[side].characters[index] as Character;
      const question = this.joint.questions.get(character.id);
      if (question !== undefined) {
        if (value.kind !== 'states') continue;
        const [state] = stateIndices(value.set);
        const answer = question.answers[state ?? -1]?.[side];
        if (answer !== undefined) choices.push(answer);
        continue;
      }
      const own = key.chain.characters.get(this.joint.ids.get(character.id)?.[side] ?? '');
      if (own === undefined) continue;
      const both = this.joint.stateIds.get(character.id);
      const written =
        both === undefined || value.kind !== 'states'
          ? writeValue(character, value)
          : stateIndices(value.set).map((i) => both[i]?.[side] ?? '');
      const read = readValue(own, written);
      if (!read.ok) return undefined;
      observations.push({ character: own.id, value: read.value });
    }
    return { id: '', observations, choices, stages: [], expect: [] };
  }

  #reached(walk: Walk, find: Specimen): string {
    const known = new Array<Value | undefined>(walk.key.characters.length).fill(undefined);
    for (const [index, value] of find) known[index] = this.#once(index, value);
    addImplied(walk.key, known);
    walk.follow(evidenceOf(known), 0);
    return this.#numbers(walk.reached.map((t) => walk.key.taxa[t] as Taxon));
  }

  /** The engine remembers what a value says of all tests, so equal values are one object here. */
  #once(index: number, value: Value): Value {
    const mark = `${index} ${JSON.stringify(value)}`;
    const known = this.#values.get(mark);
    if (known !== undefined) return known;
    this.#values.set(mark, value);
    return value;
  }

  #numbers(taxa: readonly Taxon[]): string {
    return [...new Set(taxa.map((t) => this.joint.same.numberOf(t)))].sort((a, b) => a - b).join(' ');
  }
}

function askedIn(keys: readonly CompiledKey[]): number[] {
  const all = new Set<number>();
  const gates = keys[0]?.gates ?? [];
  const add = (check: Check | undefined): void => {
    if (check === undefined) return;
    for (const character of askedBy(check)) {
      if (all.has(character)) continue;
      all.add(character);
      add(gates[character]);
    }
  };
  for (const key of keys)
    for (const couplet of key.couplets) for (const lead of couplet.leads) add(lead.check);
  return [...all].sort((a, b) => a - b);
}
