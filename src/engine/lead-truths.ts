import { askedBy, type Check } from '../traits/check.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from './compile.js';
import { evaluate, evaluateLeads, FAILS, FITS, OPEN, type Truth } from './evaluate.js';
import type { Evidence } from './evidence.js';
import { FREE, JOINED, OTHERWISE, PLAIN, type Plan } from './plan.js';
import { blameLead } from './slips.js';

const NOT_ASKED = new Uint8Array(0);

/** The truth of the leads of a key for one find, evaluated couplet by couplet as needed. */
export class LeadTruths {
  /** By lead; set once its couplet was evaluated. */
  readonly truths: Uint8Array;
  /** By character, the truth of each of its tests; empty until asked for. */
  readonly #valueTruths: Uint8Array[];
  #evidence: Evidence;

  constructor(
    readonly key: CompiledKey,
    readonly plan: Plan,
    evidence: Evidence,
  ) {
    this.truths = new Uint8Array(plan.leads.length);
    this.#valueTruths = key.characters.map(() => NOT_ASKED);
    this.#evidence = evidence;
  }

  /** Starts with another find. */
  begin(evidence: Evidence): void {
    this.#evidence = evidence;
    this.#valueTruths.fill(NOT_ASKED);
  }

  /** Evaluates the leads of a couplet: those from `first` to before `end`. */
  evaluate(couplet: number, first: number, end: number): void {
    const { only, quick } = this.plan;
    const { chosen } = this.#evidence;
    if (chosen.size > 0 && chosen.has(couplet)) this.#evaluateJoined(couplet, first);
    else if ((only[couplet] as number) >= 0) this.#evaluateOnly(only[couplet] as number, first, end);
    else if (quick[couplet] === 1) this.#evaluateQuick(first, end);
    else this.#evaluateJoined(couplet, first);
  }

  /** Evaluates the leads of a couplet that asks one character, once in each lead. */
  #evaluateOnly(character: number, first: number, end: number): void {
    const { onlySlot } = this.plan;
    const { truths } = this;
    const says = this.#valueTruthsOf(character);
    let anyFits = false;
    let allFail = true;
    let otherwise = -1;
    for (let lead = first; lead < end; lead++) {
      const slot = onlySlot[lead] as number;
      if (slot < 0) {
        otherwise = lead;
        continue;
      }
      const truth = says[slot] as Truth;
      truths[lead] = truth;
      if (truth === FITS) anyFits = true;
      if (truth !== FAILS) allFail = false;
    }
    if (otherwise < 0) return;
    const truth = anyFits ? FAILS : allFail ? FITS : OPEN;
    for (let lead = otherwise; lead >= first; lead--)
      if ((onlySlot[lead] as number) < 0) truths[lead] = truth;
  }

  /** Evaluates the leads of a couplet that are plain, free or `otherwise`. */
  #evaluateQuick(first: number, end: number): void {
    const { kind } = this.plan;
    const { truths } = this;
    let anyFits = false;
    let allFail = true;
    let otherwise = false;
    for (let lead = first; lead < end; lead++) {
      const how = kind[lead];
      if (how === OTHERWISE) {
        otherwise = true;
        continue;
      }
      const truth = how === PLAIN ? this.#plain(lead) : OPEN;
      truths[lead] = truth;
      if (truth === FITS) anyFits = true;
      if (truth !== FAILS) allFail = false;
    }
    if (!otherwise) return;
    const truth = anyFits ? FAILS : allFail ? FITS : OPEN;
    for (let lead = first; lead < end; lead++) if (kind[lead] === OTHERWISE) truths[lead] = truth;
  }

  #evaluateJoined(couplet: number, first: number): void {
    const { known, chosen } = this.#evidence;
    const { couplets, gates } = this.key;
    const judged = evaluateLeads(couplets[couplet] as CompiledCouplet, known, gates, chosen.get(couplet));
    for (let i = 0; i < judged.length; i++) this.truths[first + i] = judged[i] as Truth;
  }

  /** The truth of a plain lead: that of the worst of its tests. */
  #plain(lead: number): Truth {
    const { firstTest } = this.plan;
    let worst: Truth = FITS;
    for (let test = firstTest[lead] as number; test < (firstTest[lead + 1] as number); test++) {
      const truth = this.#test(test);
      if (truth === FAILS) return FAILS;
      if (truth < worst) worst = truth;
    }
    return worst;
  }

  #test(test: number): Truth {
    const { testCharacter, testSlot } = this.plan;
    return this.#valueTruthsOf(testCharacter[test] as number)[testSlot[test] as number] as Truth;
  }

  /** The truth of each test of a character. */
  #valueTruthsOf(character: number): Uint8Array {
    let says = this.#valueTruths[character] as Uint8Array;
    if (says === NOT_ASKED) {
      says = this.plan.truthsOf(character, this.#evidence.known[character]);
      this.#valueTruths[character] = says;
    }
    return says;
  }

  /** How many slips following a failing lead costs. */
  slips(lead: number): number {
    const { kind, firstTest } = this.plan;
    if (kind[lead] !== PLAIN) return this.#onlyOf(lead) >= 0 ? 1 : Math.max(1, this.blame(lead).length);
    let failing = 0;
    for (let test = firstTest[lead] as number; test < (firstTest[lead + 1] as number); test++)
      if (this.#test(test) === FAILS) failing++;
    return Math.max(1, failing);
  }

  /** The characters that speak against a lead that fails. */
  blame(lead: number): readonly number[] {
    const { kind, firstTest, testCharacter } = this.plan;
    if (kind[lead] === PLAIN) {
      const failing: number[] = [];
      for (let test = firstTest[lead] as number; test < (firstTest[lead + 1] as number); test++)
        if (this.#test(test) === FAILS) failing.push(testCharacter[test] as number);
      return failing;
    }
    const character = this.#onlyOf(lead);
    if (character >= 0) return [character];
    const couplet = this.plan.couplet[lead] as number;
    return blameLead(
      this.key.couplets[couplet] as CompiledCouplet,
      this.plan.leads[lead] as CompiledLead,
      this.#evidence.known,
      this.key.gates,
    );
  }

  /**
   * The one character by which `otherwise` fails in a couplet that asks no other; -1 when there is no such character.
   */
  #onlyOf(lead: number): number {
    const couplet = this.plan.couplet[lead] as number;
    return this.plan.kind[lead] === OTHERWISE && !this.#evidence.chosen.has(couplet)
      ? (this.plan.only[couplet] as number)
      : -1;
  }

  /** The truths of the leads of a couplet that was evaluated. */
  at(couplet: number): Truth[] {
    const { firstLead } = this.plan;
    return [...this.truths.subarray(firstLead[couplet], firstLead[couplet + 1])] as Truth[];
  }

  /**
   * Adds the characters that would decide the open leads of a couplet, those that others depend on first. True when
   * only a person can decide one of them.
   */
  open(couplet: number, found: number[]): boolean {
    const { firstLead, firstTest, testCharacter, kind, leads } = this.plan;
    let free = false;
    for (let lead = firstLead[couplet] as number; lead < (firstLead[couplet + 1] as number); lead++) {
      if (this.truths[lead] !== OPEN) continue;
      if (kind[lead] === FREE) free = true;
      else if (kind[lead] === JOINED) this.#openIn((leads[lead] as CompiledLead).check as Check, found);
      else if (kind[lead] === PLAIN)
        for (let test = firstTest[lead] as number; test < (firstTest[lead + 1] as number); test++)
          if (this.#test(test) === OPEN) addOnce(found, testCharacter[test] as number);
    }
    return free;
  }

  #openIn(check: Check, found: number[]): void {
    const { known } = this.#evidence;
    const { gates } = this.key;
    if (evaluate(check, known, gates) !== OPEN) return;
    if (check.op === 'states' || check.op === 'numbers') {
      const gate = gates[check.character];
      if (gate !== undefined && evaluate(gate, known, gates) === OPEN)
        for (const c of askedBy(gate)) addOnce(found, c);
      addOnce(found, check.character);
    } else if (check.op === 'not') this.#openIn(check.part, found);
    else for (const part of check.parts) this.#openIn(part, found);
  }
}

/** For a handful of items, searching a list is faster than building a set. */
function addOnce(list: number[], item: number): void {
  if (!list.includes(item)) list.push(item);
}
