import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import type { Evidence } from './evidence.js';
import { blameLead, FAILS, judgeLeads, OPEN, type Truth } from './judge.js';
import type { Candidate, EndPoint } from './outcome.js';

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

interface Arrival {
  readonly from: number;
  readonly lead: number;
}

interface Ending {
  readonly couplet: number;
  readonly lead: number;
  readonly cost: number;
}

/** Follows evidence through a key and remembers how each couplet was reached best. */
export class Walk {
  readonly visits: Visit[] = [];
  readonly #arrivals: (Arrival | undefined)[] = [];
  readonly #truths: (readonly Truth[])[] = [];
  readonly #endings = new Map<number, Ending[]>();

  /**
   * Takes every lead that costs at most `slips` slips in all. Couplets are in forward order, so each is judged once,
   * after all ways to it: the cost grows with the leads that are reached, not with the number of paths.
   */
  constructor(
    readonly key: CompiledKey,
    readonly evidence: Evidence,
    slips: number,
  ) {
    const { couplets } = key;
    const most = (slips + 1) * SLIP;
    const costs = new Float64Array(couplets.length).fill(Infinity);
    costs[key.start] = 0;
    let furthest = key.start;
    for (let i = key.start; i <= furthest; i++) {
      const cost = costs[i] as number;
      if (cost >= most) continue;
      const couplet = couplets[i] as CompiledCouplet;
      const truths = judgeLeads(couplet, evidence.known, key.gates, evidence.chosen.get(i));
      this.visits.push({ couplet, truths, cost });
      this.#truths[i] = truths;
      for (let l = 0; l < truths.length; l++) {
        const lead = couplet.leads[l] as CompiledLead;
        const total = cost + STEP + this.#leadCost(couplet, lead, truths, l, cost, most);
        if (total >= most) continue;
        if (lead.next >= 0) {
          if (total < (costs[lead.next] as number)) {
            costs[lead.next] = total;
            this.#arrivals[lead.next] = { from: i, lead: l };
            if (lead.next > furthest) furthest = lead.next;
          }
        } else for (const taxon of lead.taxa) this.#end(taxon, { couplet: i, lead: l, cost: total });
      }
    }
  }

  #leadCost(
    couplet: CompiledCouplet,
    lead: CompiledLead,
    truths: readonly Truth[],
    index: number,
    before: number,
    most: number,
  ): number {
    const truth = truths[index] as Truth;
    if (truth !== FAILS) return truth === OPEN ? UNDECIDED : 0;
    if (before + SLIP >= most) return most;
    return SLIP * Math.max(1, blameLead(couplet, lead, truths, this.evidence.known, this.key.gates).length);
  }

  #end(taxon: number, ending: Ending): void {
    const known = this.#endings.get(taxon);
    if (known === undefined) this.#endings.set(taxon, [ending]);
    else known.push(ending);
  }

  /** The taxa that were reached with no slip, in the order of the key; and those reached only with slips, fewest first. */
  results(): { candidates: Candidate[]; near: Candidate[] } {
    const candidates: Candidate[] = [];
    const near: Candidate[] = [];
    for (const [taxon, endings] of this.#endings) {
      endings.sort((a, b) => a.cost - b.cost);
      const best = endings[0] as Ending;
      const slips = slipsOf(best.cost);
      const same = endings.filter((e) => slipsOf(e.cost) === slips);
      (slips === 0 ? candidates : near).push(this.#candidate(taxon, best, same, slips));
    }
    return { candidates, near };
  }

  #candidate(taxon: number, best: Ending, endings: readonly Ending[], slips: number): Candidate {
    const steps = this.#steps(best);
    const recheck = slips === 0 ? NOTHING : this.#against(steps);
    return {
      taxon: this.key.taxa[taxon] as (typeof this.key.taxa)[number],
      ends: endings.map((e) => this.#endPoint(e)),
      path: steps.map((s) => this.#lead(s.from, s.lead).label),
      slips,
      open: openOf(best.cost),
      recheck: recheck.characters,
      reconsider: recheck.answers,
    };
  }

  #lead(couplet: number, lead: number): CompiledLead {
    return this.key.couplets[couplet]?.leads[lead] as CompiledLead;
  }

  #endPoint(end: Ending): EndPoint {
    const node = this.key.chain.nodes[end.couplet] as (typeof this.key.chain.nodes)[number];
    return {
      key: node.key.id,
      couplet: node.couplet.id,
      lead: this.#lead(end.couplet, end.lead).lead.letter,
    };
  }

  #steps(end: Ending): Arrival[] {
    const steps: Arrival[] = [{ from: end.couplet, lead: end.lead }];
    for (let at = this.#arrivals[end.couplet]; at !== undefined; at = this.#arrivals[at.from]) steps.push(at);
    return steps.reverse();
  }

  /** What speaks against the failing leads of a path: characters, and answers that a person gave. */
  #against(steps: readonly Arrival[]): { characters: string[]; answers: string[] } {
    const characters = new Set<string>();
    const answers = new Set<string>();
    const { key, evidence } = this;
    for (const step of steps) {
      const couplet = key.couplets[step.from] as CompiledCouplet;
      const chosen = evidence.chosen.get(step.from);
      const truths = this.#truths[step.from] as readonly Truth[];
      if (truths[step.lead] !== FAILS) continue;
      for (const c of blameLead(couplet, this.#lead(step.from, step.lead), truths, evidence.known, key.gates))
        characters.add(key.characters[c]?.id ?? '');
      if (chosen !== undefined) answers.add(this.#lead(step.from, chosen).label);
    }
    return { characters: [...characters], answers: [...answers] };
  }
}

const NOTHING = { characters: [] as string[], answers: [] as string[] };
