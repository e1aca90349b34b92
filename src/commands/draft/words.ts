/** The words of leads: the part first, then what it is like; all leads of a couplet in one form. */
import { capital } from '../../text/words.js';
import type { Character, State } from '../../traits/character.js';
import { writeNumbers } from '../../traits/notation.js';
import { fromBase } from '../../traits/units.js';
import { bitsOf } from './candidates.js';
import { type LeadTests, numbersIn, type SplitTest } from './splits.js';

/** The small words of a language in which leads can be put. */
interface LanguageWords {
  readonly or: string;
  under(value: string): string;
  orMore(value: string): string;
  orFewer(value: string): string;
  /** `colour of the cap`: what is looked at, and the part it belongs to. */
  readonly of: RegExp;
  /** What goes without saying when the part and its state are named: `cap red`. */
  readonly implied: RegExp;
  /** Names that are no noun: `how the gills meet the stem`. */
  readonly question: RegExp;
  /** Words in a meaning that make a phrase of several of them hard to read. */
  readonly joined: RegExp;
}

const ENGLISH: LanguageWords = {
  or: 'or',
  under: (value) => `under ${value}`,
  orMore: (value) => `${value} or more`,
  orFewer: (value) => `${value} or fewer`,
  of: /^(.+?) of (?:the |an? )?(.+)$/i,
  implied: /^(?:colou?r|number|count|presence)$/i,
  question: /^(?:how|what|where|whether|which|when|is|are|does|do|has|have)\b/i,
  joined: /,|;|\b(?:or|and|with|without)\b/i,
};

const GERMAN: LanguageWords = {
  or: 'oder',
  under: (value) => `unter ${value}`,
  orMore: (value) => `${value} oder mehr`,
  orFewer: (value) => `${value} oder weniger`,
  of: /^(.+?) (?:der|des) (.+)$/i,
  // A German genitive cannot simply be inverted, so names stay as they are.
  implied: /^$/,
  question: /^(?:wie|was|wo|ob|welche[rsnm]?|wann|ist|sind|hat|haben)\b/i,
  joined: /,|;|\b(?:oder|und|mit|ohne)\b/i,
};

/** For other languages: signs in place of words. */
const SIGNS: LanguageWords = {
  or: '/',
  under: (value) => `< ${value}`,
  orMore: (value) => `>= ${value}`,
  orFewer: (value) => `<= ${value}`,
  of: /^$/,
  implied: /^$/,
  question: /^$/,
  joined: /[,;]/,
};

const PRESENT = /^(?:present|absent|vorhanden|fehlend)$/i;
/** A longer meaning explains a state and does not name it. */
const MOST_WORDS = 4;

/** Makes the words of leads in one language. */
export class Wording {
  readonly #words: LanguageWords;
  readonly #turned: boolean;

  constructor(language: string | undefined) {
    const [tag] = (language ?? 'en').toLowerCase().split('-');
    this.#words = tag === 'en' ? ENGLISH : tag === 'de' ? GERMAN : SIGNS;
    this.#turned = tag === 'en';
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
    const { of, implied, question } = this.#words;
    if (question.test(name))
      return `${organIn(name, character.id) ?? name}${character.kind === 'choice' ? '' : ':'}`;
    if (!this.#turned) return name;
    const [, what, part] = of.exec(name) ?? [];
    if (what === undefined || part === undefined) return name;
    if (implied.test(what)) return part;
    // `length of the hairs on the stem` is not to become `hairs on the stem length`.
    return /\b(?:of|on|in|at|to|from|with|between|below|above)\b/i.test(part) || what.includes(' ')
      ? name
      : `${part} ${what}`;
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
    const value = (n: number) => `${fromBase(n, unit)}${unit.id === '1' ? '' : ` ${shownUnit(unit.id)}`}`;
    if (from !== -Infinity) return this.#words.orMore(value(from));
    if (character.kind !== 'count') return this.#words.under(value(below));
    return below <= 1 ? value(0) : this.#words.orFewer(value(below - 1));
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
