/** Everything that the logic rules claim of a key, or do not claim, as questions whose answers a solver must share. */
import type { CompiledCouplet, CompiledLead } from '../../src/engine/compile.js';
import type { Logic } from '../../src/engine/logic.js';
import { describedRegion, endsByTaxon } from '../../src/lint/descriptions.js';
import type { Box, Region } from '../../src/traits/box.js';
import { sampleOf } from '../../src/traits/sample.js';
import { writeValue } from '../../src/traits/value.js';
import type { KeyData, LeadData } from '../support/random-keys.js';
import { claimsOf, type Printed, witnessShows } from './claims.js';
import { and, Formulas, not, or } from './formula.js';
import { named, plainWhen, waysTo } from './plain.js';
import type { Question } from './solver.js';

/** How many claims of each kind were met, so that a run can show that it met them. */
export type Tally = Map<string, number>;

/** What was printed that does not fit together, and the questions to a solver. */
export interface Proof {
  readonly questions: readonly Question[];
  readonly faults: readonly string[];
}

export function proofOf(key: KeyData, prefix: string, tally: Tally): Proof {
  return new Prover(key, prefix, tally).proof();
}

const letterOf = (l: number) => 'abcdefgh'[l] as string;

class Prover {
  readonly #formulas: Formulas;
  readonly #logic: Logic;
  readonly #printed: ReadonlyMap<string, readonly Printed[]>;
  readonly #questions: Question[] = [];
  readonly #faults: string[] = [];
  readonly #shownAlive = new Set<string>();

  constructor(
    readonly key: KeyData,
    readonly prefix: string,
    readonly tally: Tally,
  ) {
    this.#formulas = new Formulas(key, prefix);
    const { logic, printed } = claimsOf(key);
    this.#logic = logic;
    this.#printed = printed;
  }

  proof(): Proof {
    for (const couplet of this.#logic.key.couplets) {
      const arrives = this.#logic.arrival(couplet.index)?.length !== 0;
      if (couplet.index !== this.#logic.key.start)
        this.#ask(`arrives at ${couplet.name}`, arrives, (find) => [this.#arrives(couplet, find)], {
          found: this.#logic.arrival(couplet.index),
        });
      if (this.#logic.depths[couplet.index] === undefined) continue;
      if (!arrives) this.#count('couplets where no find arrives');
      this.#overlaps(couplet);
      this.#gap(couplet);
      if (!arrives) continue;
      this.#deadLeads(couplet);
      this.#deciding(couplet);
    }
    this.#descriptions();
    for (const { message } of this.#of('logic-decided')) this.#fault(message);
    return { questions: this.#questions, faults: this.#faults };
  }

  #deadLeads(couplet: CompiledCouplet): void {
    this.#leads(couplet).forEach((data, l) => {
      const label = couplet.name + letterOf(l);
      const lead = couplet.leads[l] as CompiledLead;
      const taken = this.#logic.taken(couplet, lead);
      const alive = taken?.length !== 0;
      if (!alive) this.#count('dead leads');
      if (!this.#shownAlive.has(label))
        this.#ask(
          `${alive ? 'some' : 'no'} find takes ${label}`,
          alive,
          (find) => [this.#arrives(couplet, find), this.#lead(couplet, l, find)],
          { found: taken },
        );
      const unaskable = this.#of('character-applies').filter((p) => p.message.startsWith(`${label} asks`));
      const asked =
        data.when === undefined ? [] : [...named(plainWhen(data.when, this.#formulas.characters))];
      for (const id of asked) {
        if (this.#formulas.characters.get(id)?.applies === undefined) continue;
        const never = unaskable.some((p) => p.message.startsWith(`${label} asks the ${id},`));
        this.#ask(
          `${id} asked in ${label} ${never ? 'never ' : ''}applies`,
          !never,
          (find) => [this.#arrives(couplet, find), this.#formulas.call(`applies-${id}`, find)],
          { found: this.#both(this.#logic.arrival(couplet.index), this.#existence(id)) },
        );
      }
      const printed = this.#of('lead-possible').filter((p) => p.message.includes(`take lead ${label}`));
      if (printed.length !== (alive || unaskable.length > 0 ? 0 : 1))
        this.#fault(`${label} is ${alive ? 'alive' : 'dead'}, printed ${printed.length} times`);
      for (const { message, witness } of printed) {
        if (witness !== undefined) this.#deadWitness(couplet, l, witness);
        else if (/contradicts itself|nothing for it/.test(message))
          this.#ask(`${label} is impossible`, false, (find) => [this.#lead(couplet, l, find)]);
        else this.#fault(`no witness: ${message}`);
      }
    });
  }

  #deadWitness(couplet: CompiledCouplet, l: number, witness: string): void {
    const shown = this.#shown(witness);
    this.#ask(`${witness} (fits)`, true, (find) => [this.#lead(couplet, l, find)], { shown });
    this.#ask(`${witness} (may not fit)`, false, (find) => [not(this.#lead(couplet, l, find))], { shown });
    this.#ask(`${witness} (arrives)`, false, (find) => [this.#arrives(couplet, find)], { shown });
  }

  #overlaps(couplet: CompiledCouplet): void {
    const leads = this.#leads(couplet);
    // Of a lead that overlaps so many earlier ones no more is told.
    const told = leads.map(() => 0);
    leads.forEach((first, i) => {
      leads.forEach((second, j) => {
        if (j <= i || told[j] === 3 || first.when === undefined || second.when === undefined) return;
        const [a, b] = [couplet.name + letterOf(i), couplet.name + letterOf(j)];
        const printed = [
          ...this.#of('leads-exclusive').filter((p) =>
            p.message.startsWith(`a find can fit both ${a} and ${b}`),
          ),
          ...this.#of('ranges-meet').filter((p) => p.message.startsWith(`${a} and ${b} both take`)),
        ];
        told[j] = (told[j] ?? 0) + printed.length;
        if (printed.length > 1) this.#fault(`${a} and ${b}: printed ${printed.length} times`);
        const fitsBoth = (find: string) => [this.#lead(couplet, i, find), this.#lead(couplet, j, find)];
        if (printed.length === 0) {
          this.#ask(`${a} and ${b} exclude each other`, false, (find) => [
            this.#arrives(couplet, find),
            ...fitsBoth(find),
          ]);
          this.#count('leads that exclude each other');
        }
        // A specimen that arrives and fits both shows the overlap, and that both leads can be taken.
        for (const { message, witness } of printed) {
          this.#shownAlive.add(a).add(b);
          this.#count(message.startsWith('a find') ? 'overlaps' : 'overlapping numbers');
          if (witness === undefined) this.#fault(`no witness: ${message}`);
          else {
            const shown = this.#shown(witness);
            const arrives = (find: string) => [this.#arrives(couplet, find), ...fitsBoth(find)];
            this.#ask(`${witness} (arrives and does)`, true, arrives, { shown });
            this.#ask(`${witness} (may not)`, false, (find) => [not(and(fitsBoth(find)))], { shown });
          }
        }
      });
    });
  }

  #gap(couplet: CompiledCouplet): void {
    const leads = this.#leads(couplet);
    const judged = leads.every((lead) => lead.when !== undefined);
    const { name } = couplet;
    const printed = [
      ...this.#of('leads-exhaustive').filter((p) => p.message.includes(`arrives at couplet ${name} can fit`)),
      ...this.#of('ranges-meet').filter((p) => p.message.startsWith(`no lead of couplet ${name} takes`)),
    ];
    if (printed.length > (judged ? 1 : 0)) this.#fault(`gap of ${name}: printed ${printed.length} times`);
    if (!judged) return;
    const noLead = (find: string) => not(or(leads.map((_, l) => this.#lead(couplet, l, find))));
    if (printed.length === 0) {
      this.#ask(`${name} has no gap`, false, (find) => [
        this.#arrives(couplet, find),
        this.#formulas.noneWithoutAdditions(name, find),
      ]);
      this.#count('couplets without gap');
    }
    for (const { message, witness } of printed) {
      const numbers = /takes (\w+) (.*?)(?: in (a find with .*?))?(?:; if that is meant|$)/.exec(message);
      this.#count(numbers === null ? 'gaps' : 'gaps between numbers');
      if (numbers !== null) {
        const [, id = '', text = '', where] = numbers;
        if (where !== undefined) this.#count('gaps between numbers in some finds');
        this.#ask(
          `${message} (some lead does)`,
          false,
          (find) => [this.#formulas.shows(id, text, find), not(noLead(find))],
          where === undefined ? {} : { shown: this.#shown(`${where} fits`) },
        );
      }
      if (leads.length > 2 && !this.#inCommon(leads)) this.#count('gaps in what not all leads ask');
      if (witness === undefined) this.#fault(`no witness: ${message}`);
      else {
        const shown = this.#shown(witness);
        const arrives = (find: string) => [
          this.#arrives(couplet, find),
          this.#formulas.noneWithoutAdditions(name, find),
        ];
        this.#ask(`${witness} (arrives and does)`, true, arrives, { shown });
        this.#ask(`${witness} (may fit one)`, false, (find) => [not(noLead(find))], { shown });
      }
    }
  }

  /** Whether there is a character that all leads of a couplet name. */
  #inCommon(leads: readonly LeadData[]): boolean {
    const [first = new Set<string>(), ...others] = leads.map(({ when }) =>
      named(plainWhen(when as NonNullable<typeof when>, this.#formulas.characters)),
    );
    return [...first].some((c) => others.every((o) => o.has(c)));
  }

  #deciding(couplet: CompiledCouplet): void {
    if (couplet.leads.some((lead) => this.#logic.taken(couplet, lead)?.length === 0)) return;
    const start = `every find that arrives at couplet ${couplet.name} already fits ${couplet.name}`;
    const printed = this.#of('couplet-decides').filter((p) => p.message.startsWith(start));
    const settled = printed.map((p) => /^[a-z]+/.exec(p.message.slice(start.length))?.[0]);
    if (settled.length > 1) this.#fault(`couplet ${couplet.name}: settled ${settled.join(', ')}`);
    for (const [l, lead] of this.#leads(couplet).entries()) {
      if (lead.when === undefined) continue;
      const letter = letterOf(l);
      this.#ask(
        `arriving at ${couplet.name} ${settled.includes(letter) ? 'settles' : 'leaves open'} ${letter}`,
        !settled.includes(letter),
        (find) => [this.#arrives(couplet, find), not(this.#lead(couplet, l, find))],
        { found: this.#outside(couplet, couplet.leads[l] as CompiledLead) },
      );
      // The first settled lead is the one that is told.
      if (settled.includes(letter)) {
        this.#count('settled couplets');
        return;
      }
    }
  }

  #descriptions(): void {
    const ends = endsByTaxon(this.#logic);
    for (const [id, data] of Object.entries(this.key.taxa)) {
      const { traits } = data as { traits?: Record<string, unknown> };
      const own = ends.get(id) ?? [];
      const taxon = this.#logic.key.taxa.find((t) => t.id === id);
      const described = taxon === undefined ? undefined : describedRegion(this.#logic, taxon);
      if (traits === undefined || described === undefined) continue;
      this.#ask(
        `some find is as ${id} is described`,
        described.length > 0,
        (find) => [this.#formulas.call(`described-${id}`, find)],
        { found: described },
      );
      if (described.length === 0) {
        this.#impossible(id, data.name);
        continue;
      }
      if (own.length === 0) continue;
      this.#agreement(id, data.name, own, described);
      this.#reaching(id, data.name, own, traits);
    }
  }

  #impossible(id: string, name: string): void {
    this.#count('impossible descriptions');
    const told = this.#of('description-agrees').map((p) => p.message);
    const own = told.filter(
      (m) => m.startsWith('no find can show ') && m.endsWith(` as described for ${name}`),
    );
    if (own.length !== 1 || told.some((m) => m.includes(`way to ${name} `)))
      this.#fault(`impossible description of ${id}: ${told.join('; ')}`);
    if (this.#of('taxon-reaches-itself').some((p) => p.message.includes(`, ${name} `)))
      this.#fault(`impossible description of ${id} runs`);
  }

  #agreement(
    id: string,
    name: string,
    own: readonly { couplet: CompiledCouplet; lead: CompiledLead }[],
    described: NonNullable<ReturnType<typeof describedRegion>>,
  ): void {
    let contradicted = 0;
    for (const { couplet, lead } of own) {
      const l = couplet.leads.indexOf(lead);
      const taken = this.#logic.taken(couplet, lead);
      if (taken === undefined || taken.length === 0) continue;
      const agrees =
        this.#logic.ask((budget) => this.#logic.space.meet(described, taken, budget))?.length !== 0;
      if (!agrees) contradicted++;
      this.#ask(
        `the description of ${id} ${agrees ? 'agrees with' : 'contradicts'} ${lead.label}`,
        agrees,
        (find) => [
          this.#formulas.call(`described-${id}`, find),
          this.#arrives(couplet, find),
          this.#lead(couplet, l, find),
        ],
      );
    }
    const printed = this.#of('description-agrees').filter((p) => p.message.includes(`way to ${name} `));
    for (const _ of printed) this.#count('contradicted descriptions');
    if (printed.length !== contradicted)
      this.#fault(`${id}: ${contradicted} ends contradicted, ${printed.length} printed`);
  }

  #reaching(
    id: string,
    name: string,
    own: readonly { couplet: CompiledCouplet; lead: CompiledLead }[],
    traits: Record<string, unknown>,
  ): void {
    const printed = this.#of('taxon-reaches-itself').filter((p) =>
      p.message.includes(`description, ${name} `),
    );
    if (printed.length > 1) this.#fault(`${id}: printed ${printed.length} times`);
    const message = printed[0]?.message ?? '';
    if (message !== '') this.#count('descriptions that run elsewhere');
    const described = (find: string) => this.#formulas.call(`described-${id}`, find);
    this.#ask(`the description of ${id} reaches its end`, !message.includes('does not reach'), (find) => [
      described(find),
      or(own.map(({ couplet, lead }) => this.#takes(couplet, couplet.leads.indexOf(lead), find))),
    ]);
    const elsewhere = new Set(message.match(/\b\d+[a-e](?= \()/g) ?? []);
    for (const couplet of this.#logic.key.couplets) {
      this.#leads(couplet).forEach((data, l) => {
        if (data.taxon === undefined || [data.taxon].flat().includes(id)) return;
        const label = couplet.name + letterOf(l);
        const ways = waysTo(this.key, couplet.name)
          .map((way) => [...way, [couplet.name, l] as const])
          .filter((way) => way.every(([c, i]) => this.#judgedBy(c, i, traits)));
        this.#ask(
          `the description of ${id} ${elsewhere.has(label) ? 'also' : 'never'} reaches ${label}`,
          elsewhere.has(label),
          (find) => [
            described(find),
            or(ways.map((way) => and(way.map(([c, i]) => this.#formulas.call(`lead-${c}-${i}`, find))))),
          ],
        );
      });
    }
    const witness = printed[0]?.witness;
    if (witness === undefined) return;
    const shown = this.#shown(witness);
    const [, c = '', letter = ''] = /takes (\d+)([a-e])$/.exec(witness) ?? [];
    const couplet = this.#logic.key.couplets.find((one) => one.name === c) as CompiledCouplet;
    const l = 'abcde'.indexOf(letter);
    const takes = (find: string) => [described(find), this.#takes(couplet, l, find)];
    this.#ask(`${witness} (does)`, true, takes, { shown });
    this.#ask(`${witness} (may not fit)`, false, (find) => [not(this.#lead(couplet, l, find))], { shown });
  }

  /** Whether a description says enough to judge a lead: it speaks of every character that the lead asks. */
  #judgedBy(couplet: string, l: number, traits: Record<string, unknown>): boolean {
    const leads = this.key.couplets[couplet] as LeadData[];
    const lead = leads[l] as LeadData;
    return (lead.otherwise ? leads.filter((other) => other !== lead) : [lead]).every(
      ({ when }) =>
        when !== undefined &&
        [...named(plainWhen(when, this.#formulas.characters))].every((c) => c in traits),
    );
  }

  #leads(couplet: CompiledCouplet): LeadData[] {
    return this.key.couplets[couplet.name] as LeadData[];
  }

  #lead(couplet: CompiledCouplet, l: number, find: string): string {
    return this.#formulas.call(`lead-${couplet.name}-${l}`, find);
  }

  #arrives(couplet: CompiledCouplet, find: string): string {
    return this.#formulas.call(`arrives-${couplet.name}`, find);
  }

  #takes(couplet: CompiledCouplet, l: number, find: string): string {
    return and([this.#arrives(couplet, find), this.#lead(couplet, l, find)]);
  }

  #shown(witness: string): Map<string, string> {
    this.#count('witnesses');
    return witnessShows(witness, this.#formulas.characters.keys());
  }

  #of(rule: string): readonly Printed[] {
    return this.#printed.get(rule) ?? [];
  }

  /** Of finds that show what is `shown`; `found` are finds that the program says satisfy the claims. */
  #ask(
    about: string,
    expected: boolean,
    claims: (find: string) => readonly string[],
    { shown, found }: { shown?: ReadonlyMap<string, string>; found?: Region | undefined } = {},
  ): void {
    const name = `q${this.#questions.length}`;
    const { definitions } = this.#formulas;
    const sample = expected ? this.#sample(found?.[0]) : undefined;
    this.#questions.push({
      about: `${about} in ${JSON.stringify(this.key)}`,
      definitions,
      ...this.#formulas.find(name, claims, shown),
      expected,
      likely: sample === undefined ? undefined : this.#formulas.find(name, claims, sample),
    });
  }

  #sample(box: Box | undefined): Map<string, string> | undefined {
    if (box === undefined) return undefined;
    const { characters } = this.#logic.key;
    return new Map(
      [...sampleOf(box, this.#logic.space)].map(([c, value]) => {
        const character = characters[c] as (typeof characters)[number];
        return [character.id, writeValue(character, value)];
      }),
    );
  }

  /** The finds that arrive and do not fit a lead. */
  #outside(couplet: CompiledCouplet, lead: CompiledLead): Region | undefined {
    const [arrival, condition] = [this.#logic.arrival(couplet.index), this.#logic.condition(couplet, lead)];
    if (arrival === undefined || condition === undefined) return undefined;
    return this.#logic.ask((budget) => this.#logic.space.minus(arrival, condition, budget));
  }

  #existence(id: string): Region | undefined {
    const { space } = this.#logic;
    return this.#logic.ask((budget) => space.existence(space.index.get(id) as number, budget));
  }

  /** The finds of both regions. */
  #both(a: Region | undefined, b: Region | undefined): Region | undefined {
    if (a === undefined || b === undefined) return undefined;
    return this.#logic.ask((budget) => this.#logic.space.meet(a, b, budget));
  }

  #fault(text: string): void {
    this.#faults.push(`${text} in ${JSON.stringify(this.key)}`);
  }

  #count(what: string): void {
    this.tally.set(what, (this.tally.get(what) ?? 0) + 1);
  }
}
