/**
 * Keys whose characters depend on each other in several steps, finds that may contradict themselves, and how many slips it
 * takes to take a lead, by the definition: every set of characters is taken back in turn. Shares no code with the engine.
 */
import fc from 'fast-check';
import type { KeyData, LeadData, When } from './random-keys.js';

export type Written = Record<string, string>;

const states = ['p', 'n', 'q'];
const choices = ['g', 'h', 'd', 'e', 'f'];
export const names = [...choices, 'm'];

/** Tests of some characters; those of `m` are of its numbers. */
const testOf = (among: readonly string[]): fc.Arbitrary<When> =>
  fc.constantFrom(...among).chain((name) =>
    name === 'm'
      ? fc
          .tuple(fc.integer({ min: 0, max: 4 }), fc.integer({ min: 0, max: 4 }), fc.boolean())
          .map(([a, b, not]): When => {
            const range = `${Math.min(a, b)}-${Math.max(a, b)}`;
            return { m: not ? { not: range } : range };
          })
      : fc
          .tuple(fc.subarray(states, { minLength: 1, maxLength: 2 }), fc.boolean())
          .map(([some, not]): When => ({ [name]: not ? { not: some } : some })),
  );

const conditionOf = (among: readonly string[]): fc.Arbitrary<When> =>
  fc.letrec<{ when: When }>((tie) => ({
    when: fc.oneof(
      { depthSize: 'small', withCrossShrink: true },
      { arbitrary: testOf(among), weight: 3 },
      {
        arbitrary: fc
          .array(testOf(among), { minLength: 2, maxLength: 3 })
          .map((tests): When => Object.assign({}, ...tests)),
        weight: 2,
      },
      { arbitrary: fc.array(tie('when'), { minLength: 2, maxLength: 3 }).map((any) => ({ any })), weight: 1 },
      { arbitrary: fc.array(tie('when'), { minLength: 2, maxLength: 3 }).map((all) => ({ all })), weight: 1 },
      { arbitrary: tie('when').map((not) => ({ not })), weight: 1 },
    ),
  })).when;

type Gates = Readonly<Record<string, When | undefined>>;

/** By character, what it depends on: on nothing, or on a condition over those before it. */
const gates: fc.Arbitrary<Gates> = fc
  .tuple(
    ...names
      .slice(1)
      .map((_, i) => fc.option(conditionOf(names.slice(0, i + 1)), { nil: undefined, freq: 2 })),
  )
  .map((drawn) => Object.fromEntries(names.slice(1).map((name, i) => [name, drawn[i]])));

const taxa = ['t1', 't2', 't3', 't4', 't5'];

/** Keys of one to four couplets over these characters. */
export const contradictoryKey: fc.Arbitrary<KeyData> = fc
  .tuple(
    gates,
    fc.array(
      fc.record({
        leads: fc.array(
          fc.record({
            when: fc.option(conditionOf(names), { nil: undefined, freq: 8 }),
            jump: fc.integer({ min: 0, max: 2 }),
            taxon: fc.constantFrom(...taxa),
          }),
          { minLength: 2, maxLength: 3 },
        ),
        otherwise: fc.boolean(),
      }),
      { minLength: 1, maxLength: 4 },
    ),
  )
  .map(([depends, drawn]) => ({
    keywright: 1,
    id: 'contradictory',
    title: 'Contradictory',
    version: '1',
    characters: Object.fromEntries(
      names.map((name) => [
        name,
        {
          name,
          ...(name === 'm' ? { kind: 'count' } : { states }),
          ...(depends[name] === undefined ? {} : { 'applies-when': depends[name] }),
        },
      ]),
    ),
    couplets: Object.fromEntries(
      drawn.map(({ leads, otherwise }, i) => [
        String(i + 1),
        leads.map(({ when, jump, taxon }, l): LeadData => {
          const to = i + jump;
          return {
            lead: `lead ${l}`,
            ...(otherwise && l === leads.length - 1
              ? { otherwise: true }
              : when === undefined
                ? {}
                : { when }),
            ...(jump > 0 && to < drawn.length ? { to: String(to + 1) } : { taxon }),
          };
        }),
      ]),
    ),
    taxa: Object.fromEntries(
      taxa.map((id, i) => [id, { name: `Genus ${id}`, concern: { level: i === 0 ? 'deadly' : 'unknown' } }]),
    ),
  }));

/** What is written of each character, whatever the others say: nothing, one or two states, numbers, or `-`. */
export const contradictoryFind: fc.Arbitrary<Written> = fc.record(
  Object.fromEntries(
    names.map((name) => [
      name,
      fc.oneof(
        { arbitrary: fc.constantFrom('', '?'), weight: 1 },
        { arbitrary: fc.constant('-'), weight: 2 },
        name === 'm'
          ? { arbitrary: fc.constantFrom('0', '1', '2', '3', '1-2', '2-4'), weight: 4 }
          : { arbitrary: fc.constantFrom(...states, 'p | n', 'n | q'), weight: 4 },
      ),
    ]),
  ),
);

type Truth = -1 | 0 | 1;

/** A key and what it says of a find, worked out from its data alone. */
export class ByDefinition {
  readonly #gates: Gates;

  constructor(readonly key: KeyData) {
    this.#gates = Object.fromEntries(
      Object.entries(key.characters).map(([id, c]) => [id, c['applies-when'] as When | undefined]),
    );
  }

  /** 1 = fits, 0 = open, -1 = fails. */
  judge(when: When, written: Written): Truth {
    return Math.min(
      ...Object.entries(when).map(([name, value]) => {
        if (name === 'all') return Math.min(...(value as When[]).map((w) => this.judge(w, written)));
        if (name === 'any') return Math.max(...(value as When[]).map((w) => this.judge(w, written)));
        if (name === 'not') return -this.judge(value as When, written);
        return this.#test(name, value, written);
      }),
    ) as Truth;
  }

  #test(name: string, value: unknown, written: Written): Truth {
    const gate = this.#gates[name];
    if (gate !== undefined && this.judge(gate, written) < 0) return -1;
    const text = written[name] ?? '';
    if (text === '' || text === '?') return 0;
    if (text === '-') return -1;
    const refused = typeof value === 'object' && value !== null && 'not' in value;
    const named = numbered(name, refused ? (value as { not: unknown }).not : value);
    const shown = shownBy(name, text);
    const hits = shown.filter((s) => named.includes(s) !== refused).length;
    return hits === 0 ? -1 : hits === shown.length ? 1 : 0;
  }

  lead(couplet: string, index: number, written: Written): Truth {
    const leads = this.key.couplets[couplet] as LeadData[];
    const lead = leads[index] as LeadData;
    const own = (l: LeadData) => (l.when === undefined ? 0 : this.judge(l.when, written));
    if (lead.otherwise !== true) return own(lead);
    const others = leads.filter((l) => l !== lead).map(own);
    return others.includes(1) ? -1 : others.every((t) => t === -1) ? 1 : 0;
  }

  /**
   * What is written, with what follows from it: where a character is seen, what it depends on is there. `by` are
   * the characters from which each follows; nothing follows of `withheld`.
   */
  closed(written: Written, withheld?: string): { written: Written; by: Map<string, string[]> } {
    const told = new Map<string, { allowed: unknown[]; by: string[] }>();
    for (const name of names) {
      const gate = this.#gates[name];
      if (gate === undefined || ['', '?', '-', undefined].includes(written[name])) continue;
      if (this.judge(gate, written) !== 0) continue;
      for (const [on, allowed] of this.#facts(gate)) {
        if (on === withheld) continue;
        const before = told.get(on);
        told.set(on, {
          allowed: before === undefined ? allowed : before.allowed.filter((a) => allowed.includes(a)),
          by: [...new Set([...(before?.by ?? []), name])],
        });
      }
    }
    const closed = { ...written };
    const by = new Map<string, string[]>();
    for (const [on, { allowed, by: those }] of told) {
      const text = written[on] ?? '';
      const before = ['', '?'].includes(text) ? domain(on) : text === '-' ? [] : shownBy(on, text);
      const after = before.filter((b) => allowed.includes(b));
      if (after.length === 0 || (after.length === before.length && !['', '?'].includes(text))) continue;
      closed[on] = after.join(on === 'm' ? ' or ' : ' | ');
      by.set(on, those);
    }
    return { written: closed, by };
  }

  /** What a condition says of single characters when it holds, or when it is `denied`. */
  #facts(when: When, denied = false): [string, unknown[]][] {
    const entries = Object.entries(when);
    // Of several things that are not all so, nobody knows which is not.
    if (denied && entries.length > 1) return [];
    return entries.flatMap(([name, value]): [string, unknown[]][] => {
      if (name === 'not') return this.#facts(value as When, !denied);
      if (name === 'all' || name === 'any') {
        const parts = value as When[];
        if ((name === 'all') !== denied) return parts.flatMap((w) => this.#facts(w, denied));
        const different = new Set(parts.map((w) => JSON.stringify(spelledOut(w))));
        return different.size > 1 ? [] : this.#facts(parts[0] as When, denied);
      }
      const gate = this.#gates[name];
      const allowed = allowedBy(name, value);
      if (!denied) return [...(gate === undefined ? [] : this.#facts(gate)), [name, allowed]];
      return gate === undefined ? [[name, domain(name).filter((d) => !allowed.includes(d))]] : [];
    });
  }

  /** What is left when characters are taken back: what is recorded as not applying goes with what it depends on. */
  without(gone: readonly string[], written: Written): Written {
    return Object.fromEntries(
      Object.entries(written).filter(
        ([name, text]) =>
          !gone.includes(name) && !(text === '-' && gone.some((g) => this.#dependsOn(name, g))),
      ),
    );
  }

  #dependsOn(name: string, on: string): boolean {
    const gate = this.#gates[name];
    return gate !== undefined && askedIn(gate).some((asked) => asked === on || this.#dependsOn(asked, on));
  }

  /** The fewest characters without which a lead is not ruled out. */
  slips(couplet: string, index: number, written: Written): number {
    const recorded = names.filter((n) => !['', '?', undefined].includes(written[n]));
    let fewest = Number.POSITIVE_INFINITY;
    for (let bits = 0; bits < 1 << recorded.length; bits++) {
      const gone = recorded.filter((_, i) => bits & (1 << i));
      if (gone.length < fewest && this.lead(couplet, index, this.without(gone, written)) >= 0)
        fewest = gone.length;
    }
    return fewest;
  }

  /** The fewest slips to each taxon, by every path. */
  reached(written: Written): Map<string, number> {
    const found = new Map<string, number>();
    const walk = (couplet: string, cost: number) =>
      (this.key.couplets[couplet] as LeadData[]).forEach((lead, i) => {
        const total = cost + this.slips(couplet, i, written);
        if (lead.to !== undefined) walk(lead.to, total);
        else found.set(String(lead.taxon), Math.min(total, found.get(String(lead.taxon)) ?? total));
      });
    walk('1', 0);
    return found;
  }
}

/** Every state, and more numbers than any test asks. */
const domain = (name: string): unknown[] => (name === 'm' ? Array.from({ length: 10 }, (_, i) => i) : states);

const shownBy = (name: string, text: string): unknown[] =>
  name === 'm' ? text.split(' or ').flatMap((part) => numbered(name, part)) : text.split(' | ');

function allowedBy(name: string, value: unknown): unknown[] {
  const refused = typeof value === 'object' && value !== null && 'not' in value;
  const named = numbered(name, refused ? (value as { not: unknown }).not : value);
  return refused ? domain(name).filter((d) => !named.includes(d)) : named;
}

function numbered(name: string, value: unknown): unknown[] {
  if (name !== 'm') return [value].flat();
  const [low = '', high = low] = String(value).split('-');
  return Array.from({ length: Number(high) - Number(low) + 1 }, (_, i) => Number(low) + i);
}

/** A condition with all that each test allows, so that two ways to write one test are the same. */
function spelledOut(when: When): unknown {
  return Object.entries(when).map(([name, value]): unknown => {
    if (name === 'all' || name === 'any') return [name, (value as When[]).map(spelledOut)];
    return name === 'not' ? [name, spelledOut(value as When)] : [name, allowedBy(name, value)];
  });
}

function askedIn(when: When): string[] {
  return Object.entries(when).flatMap(([name, value]) =>
    name === 'all' || name === 'any'
      ? (value as When[]).flatMap(askedIn)
      : name === 'not'
        ? askedIn(value as When)
        : [name],
  );
}
