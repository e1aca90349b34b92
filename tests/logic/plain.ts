/**
 * The author's data of a key read the plainest way, for proofs that must not lean on the program: characters, what a
 * condition says, where a lead goes. Numbers are exact: whole multiples of 10^-12 of the character's unit.
 */
import type { KeyData, LeadData, When } from '../support/random-keys.js';

/** A stretch of numbers as written; a missing end is infinite. */
export interface Stretch {
  readonly low?: { readonly at: bigint; readonly open: boolean };
  readonly high?: { readonly at: bigint; readonly open: boolean };
}

/** A condition in its plainest form. A test fails where its character does not exist, `except` or not. */
export type Plain =
  | {
      readonly op: 'states';
      readonly character: string;
      readonly states: readonly string[];
      readonly except: boolean;
    }
  | {
      readonly op: 'numbers';
      readonly character: string;
      readonly stretches: readonly Stretch[];
      readonly except: boolean;
    }
  | { readonly op: 'all'; readonly parts: readonly Plain[] }
  | { readonly op: 'any'; readonly parts: readonly Plain[] }
  | { readonly op: 'not'; readonly part: Plain };

export interface PlainCharacter {
  readonly id: string;
  readonly kind: 'choice' | 'measure' | 'count';
  readonly states: readonly string[];
  readonly unit: string;
  /** The numbers it can show at all. */
  readonly limits: readonly Stretch[];
  readonly applies: Plain | undefined;
}

export const SCALE = 10n ** 12n;

/** Each unit in hundredths of a millimetre, which hold an inch exactly. */
const LENGTHS: Readonly<Record<string, bigint>> = { mm: 100n, cm: 1000n, dm: 10_000n, in: 2540n };

/** A decimal number, such as `1.25`, in units of 10^-12. */
export function exact(decimal: string): bigint {
  const [whole = '', part = ''] = decimal.replace('-', '').split('.');
  const size = BigInt(whole) * SCALE + BigInt(part.padEnd(12, '0'));
  return decimal.startsWith('-') ? -size : size;
}

/** Numbers in the notation of keys, in the unit of the character. */
export function stretches(text: string, unit: string): Stretch[] {
  if (text === 'any number') return [{}];
  const written = / ([a-z]+)$/.exec(text)?.[1];
  const given = written === undefined || written === 'or' ? unit : written;
  const at = (digits: string) => {
    const value = exact(digits);
    if (given === unit) return value;
    const [from, to] = [LENGTHS[given] as bigint, LENGTHS[unit] as bigint];
    if ((value * from) % to !== 0n) throw new Error(`${digits} ${given} is not exact in ${unit}`);
    return (value * from) / to;
  };
  const digits = given === unit && written !== unit ? text : text.slice(0, -given.length - 1);
  return digits.split(' or ').map((part) => {
    const bound = /^(<=|>=|<|>) ([\d.]+)$/.exec(part);
    if (bound !== null) return bounded(bound[1] as string, at(bound[2] as string));
    const between = /^(>=|>) ([\d.]+) to (<=|<) ([\d.]+)$/.exec(part);
    if (between !== null)
      return {
        ...bounded(between[1] as string, at(between[2] as string)),
        ...bounded(between[3] as string, at(between[4] as string)),
      };
    // `(3-)5-8(-12)`: the outermost numbers are what is possible.
    const ends = part.match(/[\d.]+/g) as string[];
    return {
      low: { at: at(ends[0] as string), open: false },
      high: { at: at(ends[ends.length - 1] as string), open: false },
    };
  });
}

function bounded(sign: string, at: bigint): Stretch {
  const end = { at, open: sign.length === 1 };
  return sign.startsWith('<') ? { high: end } : { low: end };
}

/** The characters of a key, each before those that depend on it. */
export function plainCharacters(key: KeyData): Map<string, PlainCharacter> {
  const characters = new Map<string, PlainCharacter>();
  for (const [id, data] of Object.entries(key.characters)) {
    const kind = (data.kind as PlainCharacter['kind'] | undefined) ?? 'choice';
    const unit = (data.unit as string | undefined) ?? '';
    characters.set(id, {
      id,
      kind,
      states: (data.states as string[] | undefined) ?? [],
      unit,
      // Without limits nothing is below zero.
      limits: stretches((data.limits as string | undefined) ?? '>= 0', unit),
      applies: undefined,
    });
  }
  for (const [id, data] of Object.entries(key.characters)) {
    const gate = data['applies-when'];
    if (gate !== undefined)
      characters.set(id, {
        ...(characters.get(id) as PlainCharacter),
        applies: plainWhen(gate as When, characters),
      });
  }
  return characters;
}

/** What a `when` says. */
export function plainWhen(when: When, characters: ReadonlyMap<string, PlainCharacter>): Plain {
  const parts = Object.entries(when).map(([name, value]): Plain => {
    if (name === 'not') return { op: 'not', part: plainWhen(value as When, characters) };
    if (name === 'any' || name === 'all')
      return {
        op: name,
        parts: (value as When[]).map((w) => plainWhen(w, characters)),
      };
    return plainTest(characters.get(name) as PlainCharacter, value, false);
  });
  return parts.length === 1 ? (parts[0] as Plain) : { op: 'all', parts };
}

function plainTest(character: PlainCharacter, value: unknown, except: boolean): Plain {
  if (typeof value === 'object' && value !== null && 'not' in value)
    return plainTest(character, value.not, !except);
  const words = [value].flat().map(String);
  if (character.kind === 'choice') return { op: 'states', character: character.id, states: words, except };
  const all = words.flatMap((w) => stretches(w, character.unit));
  return { op: 'numbers', character: character.id, stretches: all, except };
}

/** The characters that a condition names. */
export function named(plain: Plain): Set<string> {
  if (plain.op === 'states' || plain.op === 'numbers') return new Set([plain.character]);
  return new Set(plain.op === 'not' ? named(plain.part) : plain.parts.flatMap((p) => [...named(p)]));
}

/** What a lead asks of a find: its `when`, or that no other lead fits, or nothing. */
export function plainLead(
  leads: readonly LeadData[],
  lead: LeadData,
  characters: ReadonlyMap<string, PlainCharacter>,
): Plain {
  if (lead.when !== undefined) return plainWhen(lead.when, characters);
  if (!lead.otherwise) return { op: 'all', parts: [] };
  const others = leads.flatMap((l) => (l.when === undefined ? [] : [plainWhen(l.when, characters)]));
  return { op: 'all', parts: others.map((part) => ({ op: 'not', part })) };
}

/**
 * The characters by which a lead parts the finds: those that it asks, or on which what it asks depends, and that another
 * lead asks likewise; all of them where there are none.
 */
export function partingIn(
  leads: readonly LeadData[],
  lead: LeadData,
  characters: ReadonlyMap<string, PlainCharacter>,
): Set<string> {
  const asks = (one: LeadData) => speaksOf(plainWhen(one.when as When, characters), characters);
  const own = asks(lead);
  const elsewhere = new Set(leads.flatMap((other) => (other === lead ? [] : [...asks(other)])));
  const common = [...own].filter((c) => elsewhere.has(c));
  return common.length === 0 ? own : new Set(common);
}

/** The characters that a condition names, and those that these depend on. */
function speaksOf(plain: Plain, characters: ReadonlyMap<string, PlainCharacter>): Set<string> {
  const all = new Set<string>();
  for (const id of named(plain)) {
    all.add(id);
    const { applies } = characters.get(id) as PlainCharacter;
    if (applies !== undefined) for (const other of speaksOf(applies, characters)) all.add(other);
  }
  return all;
}

/** Every way from the first couplet to a couplet, as leads. */
export function waysTo(key: KeyData, couplet: string): (readonly [string, number])[][] {
  const ways: (readonly [string, number])[][] = [];
  const walk = (at: string, way: (readonly [string, number])[]) => {
    if (at === couplet) {
      ways.push(way);
      return;
    }
    (key.couplets[at] as LeadData[]).forEach((lead, l) => {
      if (lead.to !== undefined) walk(lead.to, [...way, [at, l]]);
    });
  };
  walk('1', []);
  return ways;
}
