import type { Taxon } from '../key/key.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { FAILS, OPEN, type Truth } from './evaluate.js';
import { type Evidence, evidenceOf } from './evidence.js';
import { LeadTruths } from './lead-truths.js';
import type { Against, Candidate, EndPoint, Undecided } from './outcome.js';
import { type Plan, planOf } from './plan.js';

// A path costs its slips first, then its open leads, then its length; each fits below the next in one exact number,
// so that one comparison finds the best path. Keys have fewer than 2^20 couplets.
const STEP = 1;
const UNDECIDED = 2 ** 20;
const SLIP = 2 ** 40;

const slipsOf = (cost: number) => Math.floor(cost / SLIP);
const openOf = (cost: number) => Math.floor((cost % SLIP) / UNDECIDED);

/** A couplet that was reached, and what the evidence says of its leads. */
export interface Visit {
  readonly couplet: CompiledCouplet;
  readonly truths: readonly Truth[];
  readonly cost: number;
}

/** An end that was reached: the number of the lead, and what the best path to it costs. */
interface Ending {
  readonly lead: number;
  readonly cost: number;
}

/**
 * Follows evidence through a key and remembers the best way each couplet was reached. One walk can be used for many
 * finds, one after another: `follow` forgets the one before. Making one takes longer than following it. Without evidence it has
 * followed nothing yet.
 */
export class Walk {
  readonly #plan: Plan;
  #evidence: Evidence;
  readonly #costs: Float64Array;
  /** By couplet, the lead by which it was reached best. */
  readonly #arrivals: Int32Array;
  readonly #leadTruths: LeadTruths;
  // Lists of fixed capacity with their lengths: growing a list anew for each find costs more than following the find.
  readonly #visited: Int32Array;
  #visits = 0;
  /** The taxa that were reached, in the order of the key, and by taxon the best cost. */
  readonly #reached: Int32Array;
  #taxa = 0;
  readonly #best: Float64Array;
  /** The ends that were reached. */
  readonly #endTaxa: Int32Array;
  readonly #endLeads: Int32Array;
  readonly #endCosts: Float64Array;
  #ends = 0;

  constructor(
    readonly key: CompiledKey,
    evidence?: Evidence,
    slips = 0,
  ) {
    this.#plan = planOf(key);
    this.#evidence = evidence ?? evidenceOf([]);
    this.#costs = new Float64Array(key.couplets.length);
    this.#arrivals = new Int32Array(key.couplets.length);
    this.#leadTruths = new LeadTruths(key, this.#plan, this.#evidence);
    this.#best = new Float64Array(key.taxa.length);
    this.#visited = new Int32Array(key.couplets.length);
    this.#reached = new Int32Array(key.taxa.length);
    const ends = this.#plan.leads.reduce((n, lead) => n + lead.taxa.length, 0);
    this.#endTaxa = new Int32Array(ends);
    this.#endLeads = new Int32Array(ends);
    this.#endCosts = new Float64Array(ends);
    if (evidence !== undefined) this.follow(evidence, slips);
  }

  /** Whether a couplet was reached. */
  arrivesAt(couplet: number): boolean {
    return (this.#costs[couplet] as number) < Infinity;
  }

  /**
   * Takes every lead that costs at most `slips` slips in all. Couplets are in forward order, so each is evaluated once,
   * after all ways to it: the cost grows with the leads that are reached, not with the number of paths. With `grave`
   * only slips that can end at a taxon of grave harm are made; ends that need no slip are all reached.
   */
  follow(evidence: Evidence, slips: number, grave = false): void {
    const { next, firstLead, leadDanger, leads } = this.#plan;
    const [best, reached] = [this.#best, this.#reached];
    const [endTaxa, endLeads, endCosts] = [this.#endTaxa, this.#endLeads, this.#endCosts];
    const judged = this.#leadTruths;
    const { truths } = judged;
    const costs = this.#costs;
    const arrivals = this.#arrivals;
    const { start } = this.key;
    this.#evidence = evidence;
    judged.begin(evidence);
    this.#visits = 0;
    this.#taxa = 0;
    this.#ends = 0;
    best.fill(Infinity);
    costs.fill(Infinity);
    costs[start] = 0;
    arrivals[start] = -1;
    const most = (slips + 1) * SLIP;
    const visited = this.#visited;
    let visits = 0;
    let furthest = start;
    for (let i = start; i <= furthest; i++) {
      const cost = costs[i] as number;
      if (cost >= most) continue;
      visited[visits++] = i;
      const first = firstLead[i] as number;
      const end = firstLead[i + 1] as number;
      judged.evaluate(i, first, end);
      const slipped = cost >= SLIP;
      const last = cost + SLIP >= most;
      for (let lead = first; lead < end; lead++) {
        const truth = truths[lead];
        if (truth === FAILS && last) continue;
        if (grave && (slipped || truth === FAILS) && leadDanger[lead] === 0) continue;
        let total = cost + STEP;
        if (truth === OPEN) total += UNDECIDED;
        else if (truth === FAILS) {
          total += SLIP * judged.slips(lead);
          if (total >= most) continue;
        }
        const to = next[lead] as number;
        if (to < 0) {
          // Not a separate method: passing the cost on would allocate a number object each time.
          const { taxa } = leads[lead] as CompiledLead;
          for (let n = 0; n < taxa.length; n++) {
            const taxon = taxa[n] as number;
            const known = best[taxon] as number;
            if (known === Infinity) reached[this.#taxa++] = taxon;
            else if (total < SLIP && known >= SLIP) this.#toLast(taxon);
            if (total < known) best[taxon] = total;
            const ending = this.#ends++;
            endTaxa[ending] = taxon;
            endLeads[ending] = lead;
            endCosts[ending] = total;
          }
        } else if (total < (costs[to] as number)) {
          costs[to] = total;
          arrivals[to] = lead;
          if (to > furthest) furthest = to;
        }
      }
    }
    this.#visits = visits;
  }

  /**
   * Taxa are listed by where they were reached without a slip, so that their order does not depend on the slips
   * allowed.
   */
  #toLast(taxon: number): void {
    const at = this.#reached.indexOf(taxon);
    this.#reached.copyWithin(at, at + 1, this.#taxa);
    this.#reached[this.#taxa - 1] = taxon;
  }

  /** The couplets that were reached, in the order of the key. */
  get visits(): Visit[] {
    return Array.from(this.#visited.subarray(0, this.#visits), (i) => ({
      couplet: this.key.couplets[i] as CompiledCouplet,
      truths: this.#leadTruths.at(i),
      cost: this.#costs[i] as number,
    }));
  }

  /** The numbers of the taxa that were reached, with slips or without, in the order of the key. */
  get reached(): number[] {
    return Array.from(this.#reached.subarray(0, this.#taxa));
  }

  /** How many taxa were reached. */
  get taxaReached(): number {
    return this.#taxa;
  }

  /** The number of the n-th taxon that was reached, in the order of the key. */
  taxonReached(n: number): number {
    return this.#reached[n] as number;
  }

  /** The fewest slips with which a taxon was reached; Infinity when it was not. */
  slipsTo(taxon: number): number {
    return slipsOf(this.#best[taxon] as number);
  }

  /** How many leads are open on the best path to a taxon that was reached. */
  openTo(taxon: number): number {
    return openOf(this.#best[taxon] as number);
  }

  /** What would decide the leads that are open on the paths without a slip. */
  undecided(): Undecided {
    const characters: number[] = [];
    const couplets: string[] = [];
    for (let n = 0; n < this.#visits; n++) {
      const i = this.#visited[n] as number;
      if ((this.#costs[i] as number) < SLIP && this.#leadTruths.open(i, characters))
        couplets.push((this.key.couplets[i] as CompiledCouplet).name);
    }
    return {
      characters: characters.map((c) => this.key.characters[c]?.id ?? ''),
      couplets,
    };
  }

  /** The taxa that were reached with no slip, in the order of the key; and those reached only with slips. */
  results(): { candidates: Candidate[]; near: Candidate[] } {
    const endings = new Map<number, Ending[]>();
    for (let n = 0; n < this.#taxa; n++) endings.set(this.taxonReached(n), []);
    for (let i = 0; i < this.#ends; i++) endings.get(this.#endTaxa[i] as number)?.push(this.#ending(i));
    const candidates: Candidate[] = [];
    const near: Candidate[] = [];
    for (const [taxon, own] of endings) {
      const candidate = this.#candidate(taxon, own);
      (candidate.slips === 0 ? candidates : near).push(candidate);
    }
    return { candidates, near };
  }

  #ending(i: number): Ending {
    return { lead: this.#endLeads[i] as number, cost: this.#endCosts[i] as number };
  }

  /** One taxon that was reached, with its ends and the best path to it. */
  candidate(taxon: number): Candidate {
    const own: Ending[] = [];
    for (let i = 0; i < this.#ends; i++) if (this.#endTaxa[i] === taxon) own.push(this.#ending(i));
    return this.#candidate(taxon, own);
  }

  /** What speaks against a taxon that was reached with slips, on the best path to it. */
  against(taxon: number): Against {
    let best = -1;
    for (let i = 0; i < this.#ends; i++)
      if (
        this.#endTaxa[i] === taxon &&
        (best < 0 || (this.#endCosts[i] as number) < (this.#endCosts[best] as number))
      )
        best = i;
    return this.#against(this.#endLeads[best] as number);
  }

  #candidate(taxon: number, endings: Ending[]): Candidate {
    endings.sort((a, b) => a.cost - b.cost);
    const best = endings[0] as Ending;
    const slips = slipsOf(best.cost);
    const path = this.#path(best.lead);
    const against = slips === 0 ? NOTHING_AGAINST : this.#against(best.lead);
    return {
      taxon: this.key.taxa[taxon] as Taxon,
      ends: endings.filter((e) => slipsOf(e.cost) === slips).map((e) => this.#endPoint(e.lead)),
      path: path.map((lead) => (this.#plan.leads[lead] as CompiledLead).label),
      slips,
      open: openOf(best.cost),
      recheck: against.characters,
      reconsider: against.answers,
    };
  }

  #endPoint(lead: number): EndPoint {
    const { key, couplet } = this.key.chain.nodes[this.#plan.couplet[lead] as number] as {
      key: { id: string };
      couplet: { id: string };
    };
    return { key: key.id, couplet: couplet.id, lead: (this.#plan.leads[lead] as CompiledLead).lead.letter };
  }

  /** The leads of the best path to an end, that of the end last. */
  #path(end: number): number[] {
    const path: number[] = [];
    for (let lead = end; lead >= 0; lead = this.#arrivals[this.#plan.couplet[lead] as number] as number)
      path.push(lead);
    return path.reverse();
  }

  /** What speaks against the failing leads of the best path to an end. */
  #against(end: number): Against {
    let characters: readonly number[] = [];
    const answers: string[] = [];
    for (let lead = end; lead >= 0; lead = this.#arrivals[this.#plan.couplet[lead] as number] as number) {
      if (this.#leadTruths.truths[lead] !== FAILS) continue;
      const couplet = this.#plan.couplet[lead] as number;
      const chosen = this.#evidence.chosen.get(couplet);
      if (chosen !== undefined) answers.push(this.key.couplets[couplet]?.leads[chosen]?.label ?? '');
      const blamed = this.#leadTruths.blame(lead);
      // The path is followed backwards; its first characters are to be named first.
      characters = characters.length === 0 ? blamed : [...blamed, ...characters];
    }
    if (answers.length === 0 && characters.length === 1)
      return this.#plan.againstOne[characters[0] as number] as Against;
    const once = characters.length > 1 ? [...new Set(characters)] : characters;
    return { characters: once.map((c) => this.key.characters[c]?.id ?? ''), answers: answers.reverse() };
  }
}

const NOTHING_AGAINST: Against = { characters: [], answers: [] };
