/** Proposes characters and conditions for couplets whose leads contrast plainly. */
import { slug } from '../../text/slug.js';
import { partName, propertyName } from './character-names.js';
import { consistent } from './consistent.js';
import { type Contrast, contrastsOf } from './contrasts.js';
import type { Fact } from './facts.js';
import type { LinkedCouplet, LinkedLead } from './linked.js';
import { ARTICLES, EXCLUSIVE_PROPERTIES, PREPOSITIONS, SYNONYMS } from './trait-words.js';
import { sameStem, stemOf } from './word-kinds.js';

/** A character that the words of one or more couplets describe. */
export interface ProposedCharacter {
  readonly id: string;
  readonly name: string;
  readonly kind: 'choice' | 'measure' | 'count';
  readonly unit?: string;
  /** State ids with their meanings, in the order met. */
  readonly states: Map<string, string>;
}

/** What one lead would ask of one character. */
interface ProposedTest {
  readonly character: ProposedCharacter;
  /** State ids, or one number notation. */
  readonly values: readonly string[];
  readonly said: string;
  /** It only supports the lead: the print says that it is usually so. */
  readonly usually: boolean;
}

export interface Proposals {
  readonly characters: readonly ProposedCharacter[];
  readonly tests: ReadonlyMap<LinkedLead, readonly ProposedTest[]>;
}

/** Proposes conditions for the couplets of a key in a language. */
export function propose(couplets: readonly LinkedCouplet[], language: string | undefined): Proposals {
  const german = language?.split('-')[0] === 'de';
  const contrasts = couplets.flatMap((couplet) => contrastsOf(couplet, german));
  const gathered = new Characters(german ? 'de' : 'en');
  const asked = contrasts.map((contrast) => {
    const { character, states } = gathered.of(contrast);
    return { contrast, character, states, id: character.id };
  });
  const kept = consistent(couplets, asked);
  const tests = new Map<LinkedLead, ProposedTest[]>();
  const used = new Set<ProposedCharacter>();
  for (const { contrast, character, states } of kept) {
    contrast.couplet.leads.forEach((lead, i) => {
      const fact = contrast.facts[i];
      if (fact === undefined) return;
      const values = fact.notation === undefined ? (states[i] ?? []) : [fact.notation];
      const own = tests.get(lead) ?? [];
      if (own.some((t) => t.character === character)) return;
      own.push({
        character,
        values: [...new Set(values)],
        said: fact.statement.text,
        usually: fact.usually,
      });
      tests.set(lead, own);
      used.add(character);
    });
  }
  return { characters: gathered.all.filter((c) => used.has(c)), tests };
}

/**
 * Joins the contrasts of several couplets into characters, so that what is asked of a part has one name in a key. Numbers
 * join when they measure the same; states join when they share one or no find can have two of the question, and none of
 * them says another more closely: `pale yellow` beside `yellow` is another question.
 */
class Characters {
  readonly all: ProposedCharacter[] = [];
  readonly #byBase = new Map<string, ProposedCharacter[]>();
  readonly #taken = new Set<string>();
  readonly #names = new Set<string>();

  constructor(readonly language: 'en' | 'de') {}

  /** The character that a contrast asks, and the ids under which it has the states of each lead. */
  of(contrast: Contrast): {
    character: ProposedCharacter;
    states: readonly (readonly string[] | undefined)[];
  } {
    const base = `${contrast.partKey}|${contrast.kind}|${contrast.property}`;
    const facts = contrast.facts.filter((f) => f !== undefined);
    const said = new Map(facts.flatMap((f) => f.states.map((s) => [s.id, s.meaning] as const)));
    const own = this.#byBase.get(base) ?? [];
    // Under the name that a state has already: `gegenst.` is `gegenständig`.
    const renamed = (c: ProposedCharacter) =>
      new Map(
        [...said].map(
          ([id]) => [id, [...c.states.keys()].find((s) => alike(s, id, this.language)) ?? id] as const,
        ),
      );
    const under = (names: ReadonlyMap<string, string>) =>
      new Map([...said].map(([id, meaning]) => [names.get(id) ?? id, meaning] as const));
    const character =
      own.find((c) => joins(c, contrast, facts, under(renamed(c)))) ?? this.#made(contrast, facts, said, own);
    if (!own.includes(character)) this.#byBase.set(base, [...own, character]);
    const names = renamed(character);
    for (const [id, meaning] of under(names))
      if (!character.states.has(id)) character.states.set(id, meaning);
    if (contrast.kind === 'presence')
      for (const state of ['present', 'absent'])
        if (!character.states.has(state)) character.states.set(state, state);
    return {
      character,
      states: contrast.facts.map((f) => f?.states.map((s) => names.get(s.id) ?? s.id)),
    };
  }

  #made(
    contrast: Contrast,
    facts: readonly Fact[],
    states: ReadonlyMap<string, string>,
    own: readonly ProposedCharacter[],
  ): ProposedCharacter {
    const { kind, property } = contrast;
    const part = partName(contrast.part, this.language, kind === 'presence');
    const asked = kind === 'presence' || property === '' ? '' : property;
    // A second question of the same name, and one without a name, is told apart by its answers.
    const answers = [...states.values()];
    const told = own.length > 0 || (kind === 'states' && asked === '') ? answers.slice(0, 2).join(', ') : '';
    const [first] = states.keys();
    const ids = [
      slug(part, 40) || 'character',
      slug(propertyName(asked, this.language), 30),
      told === '' ? '' : shortly(first ?? ''),
    ];
    const id = this.#free(
      ids
        .filter((p) => p !== '')
        .join('-')
        .slice(0, 60)
        .replace(/-$/, ''),
      kind,
      states,
    );
    const unit = facts[0]?.unit;
    const character: ProposedCharacter = {
      id,
      name: this.#freeName(part, kind, asked, told),
      kind: kind === 'measure' || kind === 'count' ? kind : 'choice',
      ...(unit === undefined ? {} : { unit }),
      states: new Map(),
    };
    this.all.push(character);
    return character;
  }

  #free(base: string, kind: Contrast['kind'], states: ReadonlyMap<string, string>): string {
    const wanted = ['any', 'all', 'not'].includes(base) ? `${base}-of-it` : base;
    const beside = isNumeric(kind) ? [slug(this.#told(kind), 20)] : [...states.keys()].map(shortly);
    const tries = [wanted, ...beside.map((s) => `${wanted}-${s}`)];
    let id = tries.find((t) => !this.#taken.has(t));
    for (let n = 2; id === undefined; n++) if (!this.#taken.has(`${wanted}-${n}`)) id = `${wanted}-${n}`;
    this.#taken.add(id);
    return id;
  }

  /** What tells a number from words on the same question. */
  #told(kind: Contrast['kind']): string {
    return { en: ['measured', 'counted'], de: ['gemessen', 'gezählt'] }[this.language][
      kind === 'measure' ? 0 : 1
    ] as string;
  }

  #freeName(part: string, kind: Contrast['kind'], asked: string, told: string): string {
    const label = propertyName(kind === 'presence' ? 'presence' : asked, this.language);
    const base = label === '' || label === undefined ? part : `${part}: ${label}`;
    let name = told === '' ? base : label === '' ? `${part}: ${told}` : `${base} (${told})`;
    if (this.#names.has(name) && isNumeric(kind)) name = `${base} (${this.#told(kind)})`;
    for (let n = 2; this.#names.has(name); n++) name = `${base} ${n}`;
    this.#names.add(name);
    return name;
  }
}

function isNumeric(kind: Contrast['kind']): boolean {
  return kind === 'measure' || kind === 'count';
}

/** The first words of an id that tell what it is about. */
function shortly(id: string): string {
  const empty = (w: string) => ARTICLES.has(w) || PREPOSITIONS.has(w);
  const words = id
    .split('-')
    .filter((w) => !ARTICLES.has(w))
    .slice(0, 3);
  while (words.length > 1 && empty(words.at(-1) as string)) words.pop();
  return words.join('-');
}

/** Whether two ids say the same: words that differ in their endings, or that one shortens, or synonyms. */
function alike(a: string, b: string, language: 'en' | 'de'): boolean {
  if (a === b) return true;
  const [left, right] = [a.split('-'), b.split('-')];
  return (
    left.length === right.length &&
    left.every((w, n) => {
      const other = right[n] as string;
      const [x, y] = [stemOf(w), stemOf(other)];
      // Prints in German shorten their words; in English, what is longer says something else: `yellow`, `yellowish`.
      const same = x === y || (language === 'de' && sameStem(x, y));
      return same || SYNONYMS.some((words) => words.has(w) && words.has(other));
    })
  );
}

function joins(
  character: ProposedCharacter,
  contrast: Contrast,
  facts: readonly Fact[],
  states: ReadonlyMap<string, string>,
): boolean {
  if (contrast.kind === 'presence') return true;
  if (contrast.kind !== 'states') return sameScale(character.unit, facts[0]?.unit);
  const [has, more] = [[...character.states.keys()], [...states.keys()]];
  if (more.every((s) => has.includes(s)) || has.every((s) => more.includes(s))) return !closer(has, more);
  const shared = more.some((s) => has.includes(s));
  return (shared || EXCLUSIVE_PROPERTIES.has(contrast.property)) && !closer(has, more);
}

function sameScale(a: string | undefined, b: string | undefined): boolean {
  return (a === undefined) === (b === undefined) && (a === '1') === (b === '1');
}

/** Whether a state says another one more closely, or denies one of more words. */
function closer(has: readonly string[], more: readonly string[]): boolean {
  return more.some((s) => has.some((h) => h !== s && within(h.split('-'), s.split('-'))));
}

function within(a: readonly string[], b: readonly string[]): boolean {
  if (a[0] === 'not' || b[0] === 'not') {
    const [x, y] = [a.filter((w) => w !== 'not').join(), b.filter((w) => w !== 'not').join()];
    // A denial stands beside just what it denies; what else there is may be denied by it too.
    return x !== y;
  }
  return a.every((w) => b.includes(w)) || b.every((w) => a.includes(w));
}
