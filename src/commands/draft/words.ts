/** The words of leads: the part first, then what it is like; all leads of a couplet in one form. */
import { capital } from '../../text/words.js';
import type { Character, State } from '../../traits/character.js';
import { writeNumbers } from '../../traits/notation.js';
import { fromBase } from '../../traits/units.js';
import { bitsOf } from './candidates.js';
import { filled, type LeadWords, leadWordsOf, PRESENT } from './lead-words.js';
import { type LeadTests, numbersIn, type SplitTest } from './splits.js';

/** A longer meaning explains a state and does not name it. */
const MOST_WORDS = 4;

/** Makes the words of leads in one language. */
export class Wording {
  readonly #words: LeadWords;

  constructor(language: string | undefined) {
    this.#words = leadWordsOf(language);
  }

  /** The words of each lead of a couplet; no two are alike. */
  leads(leads: readonly LeadTests[], characters: readonly Character[]): string[] {
    const texts = leads.map((l) => this.#lead(l, characters, false));
    // Two states of the same meaning are told apart by what they are called in the file.
    return new Set(texts).size === texts.length ? texts : leads.map((l) => this.#lead(l, characters, true));
  }

  #lead({ join, tests }: LeadTests, characters: readonly Character[], byId: boolean): string {
    const parts = tests.map((t) => this.#statement(t, characters[t.character] as Character, byId));
    const [first = '', ...rest] = parts;
    return [capital(first), ...rest].join(join === 'all' ? '; ' : `, ${this.#words.or} `);
  }

  #statement(test: SplitTest, character: Character, byId: boolean): string {
    const value = 'mask' in test ? this.#states(test.mask, character, byId) : this.#numbers(test, character);
    return `${this.subject(character)} ${value}`;
  }

  /** What a lead speaks of: `spore print` for `colour of the spore print`, `cap width` for `width of the cap`. */
  subject(character: Character): string {
    const name = character.name.trim();
    const { of, implied, question, between, longPart, cases } = this.#words;
    if (question.test(name))
      return `${organIn(name, character.id) ?? name}${character.kind === 'choice' ? '' : ':'}`;
    const [, what, whose] = of.exec(name) ?? [];
    if (what === undefined || whose === undefined) return name;
    const long = longPart.test(whose);
    if (long && cases !== undefined) return name;
    const ending = cases?.names.test(name) ? cases.endings.find((e) => e.test(whose)) : undefined;
    const part = ending === undefined ? whose : whose.replace(ending, '');
    if (implied.test(what)) return part;
    // `length of the hairs on the stem` is not to become `hairs on the stem length`.
    return long || what.includes(' ') ? name : `${part}${between}${what}`;
  }

  #states(mask: number, character: Character, byId: boolean): string {
    const states = bitsOf(mask).map((bit) => character.states[31 - Math.clz32(bit)] as State);
    const asked = this.#words.question.test(character.name.trim());
    const names = states.map((s) => this.#state(s, byId || asked));
    return this.#either(names);
  }

  #either(names: readonly string[]): string {
    const { or, joined } = this.#words;
    if (names.length === 1) return names[0] as string;
    const [last, ...before] = [...names].reverse() as [string, ...string[]];
    const list = before.reverse().join(', ');
    return `${list}${names.some((n) => joined.test(n)) ? ',' : ''} ${or} ${last}`;
  }

  #state({ id, meaning }: State, byId: boolean): string {
    const name = id.replaceAll('-', ' ');
    if (byId || PRESENT.test(id)) return name;
    const words = meaning.trim().replace(/[.;]+$/, '');
    if (PRESENT.test(words) || words.toLowerCase() === name) return words;
    return words.split(/\s+/).length > MOST_WORDS || this.#words.joined.test(words) || /\?/.test(words)
      ? name
      : words;
  }

  #numbers({ from, below }: Extract<SplitTest, { from: number }>, character: Character): string {
    const { unit } = character;
    const { orMore, under, orFewer, decimalComma } = this.#words;
    const value = (n: number) => {
      const written = fromBase(n, unit);
      const shown = decimalComma ? written.replace('.', ',') : written;
      return `${shown}${unit.id === '1' ? '' : ` ${shownUnit(unit.id)}`}`;
    };
    if (from !== -Infinity) return filled(orMore, value(from));
    if (character.kind !== 'count') return filled(under, value(below));
    return below <= 1 ? value(0) : filled(orFewer, value(below - 1));
  }
}

/** The condition of a test as it is written in a key. */
export function conditionOf(test: SplitTest, character: Character): string | readonly string[] {
  if ('mask' in test) {
    const ids = bitsOf(test.mask).map((bit) => (character.states[31 - Math.clz32(bit)] as State).id);
    return ids.length === 1 ? (ids[0] as string) : ids;
  }
  const { from, below } = test;
  const value = fromBase(from === -Infinity ? below : from, character.unit);
  if (from !== -Infinity) return `>= ${value}`;
  if (character.kind !== 'count') return `< ${value}`;
  const set = numbersIn(character, from, below);
  return below <= 1 ? writeNumbers(set, character.unit) : `<= ${fromBase(below - 1, character.unit)}`;
}

function shownUnit(id: string): string {
  return id === 'um' ? 'µm' : id === 'deg' ? '°' : id;
}

/** The noun of a name that asks: the first word of it that the id has too. */
function organIn(name: string, id: string): string | undefined {
  const ids = id.split('-');
  return name
    .toLowerCase()
    .split(/[^\p{L}\p{N}]+/u)
    .find((word) => word.length > 2 && ids.includes(word));
}
