import type { Chain } from '../key/chain.js';
import { reachableFrom } from '../key/graph.js';
import { type Box, Budget, EVERYTHING, NotDecided, type Region, Space } from '../traits/box.js';
import { askedBy } from '../traits/check.js';
import type { Value } from '../traits/value.js';
import { type CompiledCouplet, type CompiledKey, type CompiledLead, compile } from './compile.js';
import type { Evidence } from './evidence.js';
import { Walk } from './walk.js';

// Real keys need a few boxes a couplet. The limits stop an adversarial key after about a second; what they stop is
// reported as not decided.
const STEPS_A_QUESTION = 100_000;
const STEPS_IN_ALL = 30_000_000;
const MOST_BOXES = 400;

/**
 * Which finds can arrive at each couplet of a chain and take each lead, exactly. Where branches join, their finds are
 * joined. A question that would cost too much has the answer undefined, and so has every question that builds on it.
 *
 * For a key that was loaded in spite of errors there are two answers: the finds that certainly arrive and
 * take a lead, and all that may (`mayArrive`, `mayTake`), whatever the unreadable conditions and ends mean. A
 * claim that some find does something rests on the first, a claim that none does on the second. For a sound
 * key the two are the same.
 */
export class Logic {
  readonly key: CompiledKey;
  readonly space: Space;
  readonly #all = new Budget(STEPS_IN_ALL);
  readonly #conditions = new Map<CompiledLead, Region | undefined>();
  readonly #arrivals: (Region | undefined)[] = [];
  readonly #taken = new Map<CompiledLead, Region | undefined>();
  readonly #asked = new Map<CompiledLead, readonly number[]>();
  /** Set for a key with leads of which not all is known. */
  readonly #unknown: UnknownTargets | undefined;
  readonly #mayArrive: (Region | undefined)[] = [];
  readonly #mayTake = new Map<CompiledLead, Region | undefined>();
  /** Values of finds by what they say, so that equal ones are one object. */
  readonly values = new Map<string, Value>();
  /** One walk for all finds, for its room grows with the key. */
  #walk: Walk | undefined;
  /** The leads that lead to it, as pairs of couplet and lead number. */
  readonly into: readonly (readonly (readonly [number, number])[])[];
  /** By couplet: the fewest leads from the start; undefined where no lead leads there. */
  readonly depths: readonly (number | undefined)[];

  constructor(chain: Chain) {
    this.key = compile(chain);
    this.space = new Space(this.key.characters);
    const into: [number, number][][] = this.key.couplets.map(() => []);
    this.key.couplets.forEach((couplet, c) => {
      couplet.leads.forEach((lead, l) => {
        if (lead.next >= 0) into[lead.next]?.push([c, l]);
      });
    });
    this.into = into;
    this.depths = depthsOf(this.key);
    for (let c = 0; c < this.key.couplets.length; c++) this.#arrivals[c] = this.#computeArrival(c);
    this.#unknown = unknownTargets(this.key, into);
    for (const c of this.#unknown?.order ?? []) this.#mayArrive[c] = this.#computeMayArrive(c);
  }

  /** The engine's walk of a find through the chain. It is the same object each time: what it says is to be read at once. */
  follow(evidence: Evidence): Walk {
    this.#walk ??= new Walk(this.key);
    this.#walk.follow(evidence, 0);
    return this.#walk;
  }

  /** Answers a question within the budget; undefined when it would cost more. */
  ask<T>(question: (budget: Budget) => T): T | undefined {
    try {
      return question(new Budget(STEPS_A_QUESTION, this.#all));
    } catch (error) {
      if (error instanceof NotDecided) return undefined;
      throw error;
    }
  }

  /** The finds that can arrive at a couplet: none when no way leads there; undefined when not decided. */
  arrival(couplet: number): Region | undefined {
    return this.#arrivals[couplet];
  }

  /** Whether doubt about an arrival begins at this couplet: everything before it is decided. */
  originOfDoubt(couplet: number): boolean {
    return (this.into[couplet] ?? []).every(([from, lead]) => {
      const parent = this.key.couplets[from] as CompiledCouplet;
      return this.taken(parent, parent.leads[lead] as CompiledLead) !== undefined;
    });
  }

  /** The finds that the condition of a lead allows, wherever they come from. A lead without condition allows all. */
  condition(couplet: CompiledCouplet, lead: CompiledLead): Region | undefined {
    if (!this.#conditions.has(lead))
      this.#conditions.set(
        lead,
        // No find is sure to fit what cannot be read.
        hasUnreadCondition(couplet, lead)
          ? []
          : this.ask((budget) => this.#computeCondition(couplet, lead, budget)),
      );
    return this.#conditions.get(lead);
  }

  /** The finds that can arrive at a couplet and take a lead. */
  taken(couplet: CompiledCouplet, lead: CompiledLead): Region | undefined {
    if (!this.#taken.has(lead)) {
      this.#taken.set(lead, this.#both(this.#arrivals[couplet.index], this.condition(couplet, lead)));
    }
    return this.#taken.get(lead);
  }

  /** The finds that a lead's condition may allow, whatever stands where it cannot be read. */
  mayFit(couplet: CompiledCouplet, lead: CompiledLead): Region | undefined {
    if (!hasUnreadCondition(couplet, lead)) return this.condition(couplet, lead);
    return this.ask((budget) => this.#computeCondition(couplet, lead, budget));
  }

  /** The finds that may arrive at a couplet. */
  mayArrive(couplet: number): Region | undefined {
    return this.#unknown === undefined ? this.#arrivals[couplet] : this.#mayArrive[couplet];
  }

  /** The finds that may arrive at a couplet and take a lead. */
  mayTake(couplet: CompiledCouplet, lead: CompiledLead): Region | undefined {
    if (this.#unknown === undefined) return this.taken(couplet, lead);
    if (!this.#mayTake.has(lead)) {
      this.#mayTake.set(lead, this.#both(this.mayArrive(couplet.index), this.mayFit(couplet, lead)));
    }
    return this.#mayTake.get(lead);
  }

  /** The characters that a lead asks, each once. */
  askedIn(lead: CompiledLead): readonly number[] {
    let asked = this.#asked.get(lead);
    if (asked === undefined) {
      asked = lead.check === undefined ? [] : askedBy(lead.check);
      this.#asked.set(lead, asked);
    }
    return asked;
  }

  /** The characters that the leads of a couplet ask, each once. */
  asked(couplet: CompiledCouplet): number[] {
    return [...new Set(couplet.leads.flatMap((lead) => this.askedIn(lead)))];
  }

  /** The finds of an arrival that fit a condition. */
  #both(arrival: Region | undefined, condition: Region | undefined): Region | undefined {
    if (arrival === undefined || condition === undefined) return undefined;
    return this.ask((budget) => bounded(this.space.meet(arrival, condition, budget)));
  }

  #computeArrival(couplet: number): Region | undefined {
    if (couplet === this.key.start) return this.key.chain.main.unknown?.start ? [] : [EVERYTHING];
    const parts: Region[] = [];
    for (const [from, lead] of this.into[couplet] ?? []) {
      const parent = this.key.couplets[from] as CompiledCouplet;
      const taken = this.taken(parent, parent.leads[lead] as CompiledLead);
      if (taken === undefined) return undefined;
      parts.push(taken);
    }
    if (parts.length === 0) return [];
    return this.ask((budget) => bounded(this.space.join(parts, budget)));
  }

  #computeMayArrive(couplet: number): Region | undefined {
    if (couplet === this.key.start) return [EVERYTHING];
    const { ends, before, anyWay } = this.#unknown as UnknownTargets;
    if (anyWay) return [EVERYTHING];
    const parts: (Region | undefined)[] = (this.into[couplet] ?? []).map(([from, lead]) => {
      const parent = this.key.couplets[from] as CompiledCouplet;
      return this.mayTake(parent, parent.leads[lead] as CompiledLead);
    });
    if (!before.has(couplet))
      for (const end of ends)
        parts.push(
          before.size > 0 ? this.mayTake(end.couplet, end.lead) : this.mayFit(end.couplet, end.lead),
        );
    if (parts.includes(undefined)) return undefined;
    if (parts.length === 0) return [];
    return this.ask((budget) => bounded(this.space.join(parts as Region[], budget)));
  }

  #computeCondition(couplet: CompiledCouplet, lead: CompiledLead, budget: Budget): Region {
    if (lead.check !== undefined) return bounded(this.space.region(lead.check, true, budget));
    let rest: Region = [EVERYTHING];
    if (!lead.otherwise) return rest;
    for (const other of couplet.leads) {
      if (other.check === undefined) continue;
      rest = bounded(this.space.meet(rest, this.space.region(other.check, false, budget), budget));
    }
    return rest;
  }
}

/** The leads of a key whose targets are unknown. */
interface UnknownTargets {
  /** Whether any find may arrive anywhere. */
  readonly anyWay: boolean;
  readonly ends: readonly { readonly couplet: CompiledCouplet; readonly lead: CompiledLead }[];
  /** The couplets before the only such lead, its own included, to which it cannot lead; none when there are several. */
  readonly before: ReadonlySet<number>;
  /** The couplets in an order in which what may arrive can be worked out. */
  readonly order: readonly number[];
}

/**
 * The leads of a key that may lead to any couplet, because their end cannot be read, is not there, or because
 * they run in a circle, in which any number may be the wrong one. undefined for a sound key.
 */
function unknownTargets(
  key: CompiledKey,
  into: readonly (readonly (readonly [number, number])[])[],
): UnknownTargets | undefined {
  const { nodes, keys } = key.chain;
  const anyWay = keys.some((k) => k.unknown?.ways === true || k.unknown?.start === true);
  const circles = nodes.some((n) => n.circle !== undefined);
  const ends = key.couplets.flatMap((couplet) =>
    couplet.leads.flatMap((lead, l) => {
      return hasUnknownTarget(lead) || nodes[couplet.index]?.circle?.has(l) ? [{ couplet, lead }] : [];
    }),
  );
  if (!anyWay && ends.length === 0 && !key.couplets.some((c) => c.leads.some((l) => l.lead.unread)))
    return undefined;
  const all = [...key.couplets.keys()];
  const [only] = ends;
  if (only === undefined || ends.length > 1 || circles)
    return { anyWay, ends, before: new Set(), order: all };
  const before = reachableFrom(
    only.couplet.index,
    into.map((ways) => ways.map(([from]) => from)),
  );
  return {
    anyWay,
    ends,
    before,
    order: [...all.filter((c) => before.has(c)), ...all.filter((c) => !before.has(c))],
  };
}

/** Whether a lead goes to a missing couplet, or its target is unknown. */
function hasUnknownTarget({ next, lead: { end } }: CompiledLead): boolean {
  return next < 0 && (end.kind === 'couplet' || (end.kind === 'taxa' && end.taxa.length === 0));
}

/** Whether the condition of a lead could not be read in full, or that of another lead of an `otherwise`. */
function hasUnreadCondition(couplet: CompiledCouplet, lead: CompiledLead): boolean {
  return lead.lead.unread === true || (lead.otherwise && couplet.leads.some((l) => l.lead.unread));
}

/** Leads go forward, so one pass in order finds the fewest steps to each couplet. */
function depthsOf(key: CompiledKey): (number | undefined)[] {
  const depths = new Array<number | undefined>(key.couplets.length).fill(undefined);
  depths[key.start] = 0;
  for (const couplet of key.couplets) {
    const depth = depths[couplet.index];
    if (depth === undefined) continue;
    for (const { next } of couplet.leads)
      if (next >= 0) depths[next] = Math.min(depths[next] ?? Infinity, depth + 1);
  }
  return depths;
}

function bounded(region: readonly Box[]): Region {
  if (region.length > MOST_BOXES) throw new NotDecided();
  return region;
}
