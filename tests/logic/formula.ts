/**
 * What a key claims, as formulas for a solver (SMT-LIB), written from the author's data alone. A choice is one
 * of a few bit patterns, a measure a real, a count a whole number; whether a dependent character applies is the formula
 * of its `applies-when`, and what it shows where it does not apply is asked by nothing.
 */
import type { KeyData, LeadData } from '../support/random-keys.js';
import { applicability, eliminate, explicit } from './eliminate.js';
import {
  type Plain,
  type PlainCharacter,
  partingIn,
  plainCharacters,
  plainLead,
  plainWhen,
  SCALE,
  type Stretch,
  stretches,
  waysTo,
} from './plain.js';

/** The formulas of one key. Every name begins with the prefix, so that keys can share one solver. */
export class Formulas {
  readonly characters: ReadonlyMap<string, PlainCharacter>;
  /** Definitions of what each lead asks and who arrives at each couplet, as functions of what a find shows. */
  readonly definitions: string;
  readonly #parameters: string;

  constructor(
    readonly key: KeyData,
    readonly prefix: string,
  ) {
    this.characters = plainCharacters(key);
    this.#parameters = `(${[...this.characters.values()].map((c) => `(${c.id} ${sortOf(c)})`).join(' ')})`;
    const couplets = Object.entries(key.couplets);
    this.definitions = [
      ...[...this.characters.values()].map((c) =>
        this.#define(`applies-${c.id}`, c.applies === undefined ? 'true' : this.#of(c.applies)),
      ),
      this.#define('exists', and([...this.characters.values()].map(domainOf))),
      ...couplets.flatMap(([id, leads]) =>
        leads.map((lead, l) =>
          this.#define(`lead-${id}-${l}`, this.#of(plainLead(leads, lead, this.characters))),
        ),
      ),
      ...couplets.map(([id]) => this.#define(`arrives-${id}`, this.#arrival(id))),
      ...Object.entries(key.taxa).map(([id, taxon]) =>
        this.#define(`described-${id}`, this.#description((taxon as { traits?: object }).traits ?? {})),
      ),
    ].join('\n');
  }

  /**
   * That some find satisfies the claims. What it shows is a variable of its own, or the value that is written of it (`-`
   * where a character does not apply).
   */
  find(
    name: string,
    claims: (find: string) => readonly string[],
    shown: ReadonlyMap<string, string> = new Map(),
  ): { declare: string; formula: string } {
    const own = (id: string) => `${this.prefix}${name}-${id}`;
    const declare = [...this.characters.values()].map((c) => {
      const text = shown.get(c.id);
      return text === undefined || text === '-'
        ? `(declare-const ${own(c.id)} ${sortOf(c)})`
        : `(define-fun ${own(c.id)} () ${sortOf(c)} ${oneValue(c, text)})`;
    });
    const find = [...this.characters.keys()].map(own).join(' ');
    const applies = [...shown].map(([id, text]) => {
      const really = this.call(`applies-${id}`, find);
      return text === '-' ? not(really) : really;
    });
    return {
      declare: declare.join('\n'),
      formula: and([this.call('exists', find), ...applies, ...claims(find)]),
    };
  }

  /** A definition applied to a find. */
  call(name: string, find: string): string {
    return `(${this.prefix}${name} ${find})`;
  }

  /**
   * That no lead of a couplet is fitted by a find which agrees with this one in the characters by which the lead parts the
   * finds. The finds that agree are not asked of the solver as "for all": what a lead says of these characters alone, and
   * of whether they apply, is worked out here.
   */
  noneWithoutAdditions(couplet: string, find: string): string {
    const leads = this.key.couplets[couplet] as LeadData[];
    const seen = leads.map((lead) => {
      const parting = partingIn(leads, lead, this.characters);
      const gone = [...this.characters.values()].filter((c) => !parting.has(c.id));
      const agrees = [...parting].flatMap((id): Plain[] => {
        const applies = this.characters.get(id)?.applies;
        if (applies === undefined) return [];
        const [own, other] = [applicability(id), explicit(applies, this.characters)];
        const both: Plain = { op: 'all', parts: [own, other] };
        return [{ op: 'any', parts: [both, { op: 'not', part: { op: 'any', parts: [own, other] } }] }];
      });
      const asks = explicit(plainLead(leads, lead, this.characters), this.characters);
      return eliminate({ op: 'all', parts: [asks, ...agrees] }, gone);
    });
    return not(or(seen.map((plain) => this.#bare(plain, find))));
  }

  /** That a find shows some of the numbers of a character. */
  shows(id: string, numbers: string, find: string): string {
    const variable = find.split(' ')[[...this.characters.keys()].indexOf(id)] as string;
    const test = plainWhen({ [id]: numbers }, this.characters);
    return and([this.call(`applies-${id}`, find), this.#test(test, variable)]);
  }

  #define(name: string, body: string): string {
    return `(define-fun ${this.prefix}${name} ${this.#parameters} Bool ${body})`;
  }

  #of(plain: Plain): string {
    if (plain.op === 'not') return not(this.#of(plain.part));
    if (plain.op === 'all') return and(plain.parts.map((p) => this.#of(p)));
    if (plain.op === 'any') return or(plain.parts.map((p) => this.#of(p)));
    const applies = this.characters.get(plain.character)?.applies;
    const test = this.#test(plain, plain.character);
    return applies === undefined ? test : and([this.#of(applies), test]);
  }

  /** An explicit condition, for a find. */
  #bare(plain: Plain, find: string): string {
    if (plain.op === 'not') return not(this.#bare(plain.part, find));
    if (plain.op === 'all') return and(plain.parts.map((p) => this.#bare(p, find)));
    if (plain.op === 'any') return or(plain.parts.map((p) => this.#bare(p, find)));
    if (!this.characters.has(plain.character)) return this.call(plain.character, find);
    return this.#test(plain, find.split(' ')[[...this.characters.keys()].indexOf(plain.character)] as string);
  }

  #test(plain: Plain, variable: string): string {
    if (plain.op !== 'states' && plain.op !== 'numbers') throw new TypeError('a test was expected');
    const character = this.characters.get(plain.character) as PlainCharacter;
    const inside =
      plain.op === 'states'
        ? or(plain.states.map((s) => `(= ${variable} ${bits(character.states.indexOf(s))})`))
        : anyOf(plain.stretches, variable, character);
    return plain.except ? not(inside) : inside;
  }

  #arrival(couplet: string): string {
    const ids = [...this.characters.keys()].join(' ');
    return or(
      waysTo(this.key, couplet).map((way) => and(way.map(([c, l]) => this.call(`lead-${c}-${l}`, ids)))),
    );
  }

  #description(traits: object): string {
    return and(
      Object.entries(traits).map(([id, written]) => {
        const words = [written].flat().map(String);
        const shown = words.filter((w) => w !== '-');
        const character = this.characters.get(id) as PlainCharacter;
        const applies = character.applies === undefined ? 'true' : this.#of(character.applies);
        if (shown.length === 0) return not(applies);
        const test = this.#of(plainWhen({ [id]: shown }, this.characters));
        return shown.length < words.length ? or([not(applies), test]) : test;
      }),
    );
  }
}

function sortOf(character: PlainCharacter): string {
  return character.kind === 'choice' ? '(_ BitVec 2)' : character.kind === 'measure' ? 'Real' : 'Int';
}

function domainOf(character: PlainCharacter): string {
  if (character.kind === 'choice')
    return or(character.states.map((_, i) => `(= ${character.id} ${bits(i)})`));
  return anyOf(character.limits, character.id, character);
}

/** One state or one number. */
function oneValue(character: PlainCharacter, text: string): string {
  if (character.kind === 'choice') return bits(character.states.indexOf(text));
  const [{ low, high } = {}] = stretches(text, character.unit);
  if (low === undefined || low.at !== high?.at) throw new Error(`${text} is not one number`);
  return numberOf(character, low.at);
}

function anyOf(all: readonly Stretch[], variable: string, character: PlainCharacter): string {
  const number = (at: bigint) => numberOf(character, at);
  return or(
    all.map(({ low, high }) =>
      and([
        ...(low === undefined ? [] : [`(${low.open ? '>' : '>='} ${variable} ${number(low.at)})`]),
        ...(high === undefined ? [] : [`(${high.open ? '<' : '<='} ${variable} ${number(high.at)})`]),
      ]),
    ),
  );
}

function numberOf(character: PlainCharacter, at: bigint): string {
  if (character.kind === 'count') {
    if (at % SCALE !== 0n) throw new Error('a count is whole');
    return String(at / SCALE);
  }
  return `${at / SCALE}.${
    String(at % SCALE)
      .padStart(12, '0')
      .replace(/0+$/, '') || '0'
  }`;
}

export const and = (parts: readonly string[]) => (parts.length === 0 ? 'true' : `(and ${parts.join(' ')})`);
export const or = (parts: readonly string[]) => (parts.length === 0 ? 'false' : `(or ${parts.join(' ')})`);
export const not = (part: string) => `(not ${part})`;

const bits = (n: number) => `(_ bv${n} 2)`;
