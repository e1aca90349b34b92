import type { Chain } from '../key/chain.js';
import type { Taxon } from '../key/key.js';
import { plainName } from '../key/taxon-names.js';
import { normalized } from '../text/normalized.js';
import { byCodeUnit, listed } from '../text/words.js';
import type { Character, State } from '../traits/character.js';
import { sharedCharacters } from './check.js';
import type { TaxonRelation } from './read.js';

/** States that a state may be, and why. */
export interface ProposedState {
  readonly state: State;
  /** Empty where nothing was found that corresponds. */
  readonly others: readonly State[];
  readonly why: string;
  /** Whether it says the same or has the same id; else some words are in common, which proves little. */
  readonly sure: boolean;
}

/** A character that may be one of the other key, and why. */
export interface ProposedCharacter {
  readonly from: Character;
  readonly to: Character;
  readonly states: readonly ProposedState[];
  readonly why: string;
}

/** A taxon that may be, lie within or contain others, and why. */
export interface ProposedTaxon {
  readonly from: Taxon;
  readonly how: TaxonRelation;
  readonly others: readonly Taxon[];
  readonly why: string;
}

/** What may correspond in two keys, for a person to confirm, and what nothing was found for. */
export interface Proposals {
  readonly characters: readonly ProposedCharacter[];
  readonly taxa: readonly ProposedTaxon[];
  /** Characters of the one and the other key for which nothing was found. */
  readonly alone: { readonly from: readonly Character[]; readonly to: readonly Character[] };
  /** The ids of characters that both keys take from one file. */
  readonly shared: readonly string[];
  /** How many taxa are known to be the same by id, name or synonym. */
  readonly sameTaxa: number;
  /** Taxa at which the one and the other key end and for which nothing was found. */
  readonly taxaAlone: { readonly from: readonly Taxon[]; readonly to: readonly Taxon[] };
}

/** What a person has written already: nothing is proposed for it. */
export interface Settled {
  /** The ids of characters of the one and of the other key. */
  readonly from: ReadonlySet<string>;
  readonly to: ReadonlySet<string>;
  /** The ids of taxa of the one key, and of those of the other that stand in its entries. */
  readonly taxa: ReadonlySet<string>;
  readonly taxaTo: ReadonlySet<string>;
}

const NONE: ReadonlySet<string> = new Set();
const NOTHING_SETTLED: Settled = { from: NONE, to: NONE, taxa: NONE, taxaTo: NONE };

/**
 * Proposes what corresponds in two keys: characters and states with equal ids or words, or with words of which the glossaries say the
 * same, and taxa by common names, genus and `within`. Nothing of it is known to be right.
 */
export function propose(from: Chain, to: Chain, settled: Settled = NOTHING_SETTLED): Proposals {
  const glossary = new Glossary(from, to);
  const shared = sharedCharacters(from, to);
  const own = [...from.characters.values()].filter((c) => !shared.has(c.id) && !settled.from.has(c.id));
  const others = [...to.characters.values()].filter((c) => !shared.has(c.id) && !settled.to.has(c.id));
  const ranked = own
    .flatMap((a) => others.flatMap((b) => ranking(a, b, glossary) ?? []))
    .sort((x, y) => y.score - x.score || byCodeUnit(x.from.id, y.from.id) || byCodeUnit(x.to.id, y.to.id));
  const taken = new Set<Character>();
  const characters: ProposedCharacter[] = [];
  for (const { from: a, to: b, states, why } of ranked) {
    if (taken.has(a) || taken.has(b)) continue;
    taken.add(a).add(b);
    characters.push({ from: a, to: b, states, why });
  }
  const order = new Map(own.map((c, i) => [c, i]));
  characters.sort((x, y) => (order.get(x.from) ?? 0) - (order.get(y.from) ?? 0));
  return {
    characters,
    ...proposedTaxa(from, to, settled),
    alone: { from: own.filter((c) => !taken.has(c)), to: others.filter((c) => !taken.has(c)) },
    shared: [...shared],
  };
}

/** What the glossaries of two keys say of words. */
export class Glossary {
  readonly #meanings = new Map<string, string>();

  constructor(...chains: readonly Chain[]) {
    for (const chain of chains)
      for (const key of chain.keys)
        for (const [term, meaning] of key.glossary) this.#meanings.set(wordsOf(term).join(' '), meaning);
  }

  meaningOf(text: string): string | undefined {
    return this.#meanings.get(wordsOf(text).join(' '));
  }
}

const IDLE: ReadonlySet<string> = new Set(
  'a an the of in on at from to or and with its it is are by as nearly so'.split(' '),
);
/** Words that join others and of themselves point at nothing. */
const LINKS =
  'one any each all some only where there which that than more less into out over up off no not'.split(' ');
/** Spellings of two countries: words of colours and the like stand in every key. */
const SPELLINGS: Readonly<Record<string, string>> = { color: 'colour', gray: 'grey', colored: 'coloured' };

/** The words of a text in order, without those that say nothing by themselves, small and in the singular. */
function wordsOf(text: string): string[] {
  return (normalized(text).match(/[\p{L}\p{M}\p{N}]+/gu) ?? [])
    .map((word) => SPELLINGS[singular(word)] ?? singular(word))
    .filter((word) => !IDLE.has(word));
}

function singular(word: string): string {
  if (word.length < 4 || /(?:ss|us|is)$/.test(word)) return word;
  if (word.endsWith('ies')) return `${word.slice(0, -3)}y`;
  return word.replace(/(?<=(?:s|x|ch|sh))es$|s$/, '');
}

/** Whether two texts have the same words, in whatever order. */
function sameWords(a: string, b: string): boolean {
  const [one, other] = [a, b].map((t) => [...new Set(wordsOf(t))].sort());
  return one !== undefined && other !== undefined && one.length > 0 && one.join(' ') === other.join(' ');
}

interface Ranking extends ProposedCharacter {
  readonly score: number;
}

/** How much speaks for two characters being one; undefined where too little does, or where it cannot be. */
function ranking(from: Character, to: Character, glossary: Glossary): Ranking | undefined {
  if ((from.kind === 'choice') !== (to.kind === 'choice')) return undefined;
  if (from.kind !== 'choice' && from.unit.dimension !== to.unit.dimension) return undefined;
  const why: string[] = [];
  let score = 0;
  const say = (points: number, reason: string) => {
    score += points;
    why.push(reason);
  };
  if (from.id === to.id) say(4, 'the same id');
  else if (sameWords(from.id, to.id)) say(3, 'the same words in the id');
  if (sameWords(from.name, to.name)) say(4, 'the same words in the name');
  else if (sameWords(from.name, to.id) || sameWords(from.id, to.name))
    say(3, 'the id of the one has the words of the name of the other');
  else if (sameMeaning(from.name, to.name, glossary)) say(3, 'the glossaries explain the names alike');
  const states = from.states.map((s) => proposedState(s, from, to, glossary));
  if (from.kind === 'choice') {
    const found = new Set(states.flatMap((s) => s.others));
    const most = Math.max(from.states.length, to.states.length);
    const many = states.filter((s) => s.others.length > 0).length;
    // Many characters are present or absent: two states in common alone prove little.
    if (many >= 3 && 2 * Math.min(many, found.size) > most) say(2, `${many} states alike`);
    else score += many / (most + 1);
  } else if (score > 0)
    why.push(
      from.unit.id === to.unit.id ? 'the same unit' : `${from.unit.id} is converted into ${to.unit.id}`,
    );
  return score < 2 ? undefined : { from, to, states, why: listed(why), score };
}

function sameMeaning(a: string, b: string, glossary: Glossary): boolean {
  const [one, other] = [glossary.meaningOf(a), glossary.meaningOf(b)];
  return (
    (one !== undefined && (sameWords(one, b) || (other !== undefined && sameWords(one, other)))) ||
    (other !== undefined && sameWords(other, a))
  );
}

/**
 * The states of a character that one of another may be: those that say the same, else the one of its id and all that share a word
 * with it.
 */
export function proposedState(
  state: State,
  from: Character,
  to: Character,
  glossary: Glossary,
): ProposedState {
  const steps: readonly (readonly [why: string, test: (other: State) => boolean])[] = [
    ['the same id and meaning', (o) => sameWords(o.id, state.id) && sameWords(o.meaning, state.meaning)],
    ['the same words', (o) => sameWords(o.meaning, state.meaning)],
    [
      'the glossaries explain them alike',
      (o) =>
        [o.id, o.meaning].some((t) => [state.id, state.meaning].some((s) => sameMeaning(s, t, glossary))),
    ],
  ];
  for (const [why, test] of steps) {
    const others = to.states.filter(test);
    if (others.length > 0) return { state, others, why, sure: true };
  }
  // Where words differ, a state may be any at which the words of both sides point; those of the characters stand at all of them.
  const common = new Set([...wordsOf(`${from.id} ${from.name} ${to.id} ${to.name}`), ...LINKS]);
  const mine = new Set(wordsOf(`${state.id} ${state.meaning}`).filter((w) => !common.has(w)));
  const shared = new Set<string>();
  const sameId = (o: State) => sameWords(o.id, state.id);
  const others = to.states.filter((o) => {
    const words = wordsOf(`${o.id} ${o.meaning}`).filter((w) => [...mine].some((m) => alike(w, m)));
    for (const word of words) if (!common.has(word)) shared.add(word);
    return words.some((w) => !common.has(w)) || sameId(o);
  });
  const sure = others.some(sameId);
  const words = shared.size === 0 ? [] : [`words in both: ${listed([...shared].slice(0, 4))}`];
  return { state, others, why: [...(sure ? ['the same id'] : []), ...words].join('; '), sure };
}

/** Whether two words are one, or one begins with the other, as rusty does with rust. */
function alike(a: string, b: string): boolean {
  const [short, long] = a.length < b.length ? [a, b] : [b, a];
  return a === b || (short.length >= 4 && long.length - short.length <= 4 && long.startsWith(short));
}

type TaxaProposals = Pick<Proposals, 'taxa' | 'sameTaxa' | 'taxaAlone'>;

function proposedTaxa(from: Chain, to: Chain, settled: Settled): TaxaProposals {
  const names = (t: Taxon) => [t.name, ...t.synonyms].map(plainName);
  const known = new Map<string, Taxon[]>();
  const put = (word: string, taxon: Taxon) => known.set(word, [...(known.get(word) ?? []), taxon]);
  for (const taxon of to.taxa.values()) {
    put(`id ${taxon.id}`, taxon);
    for (const name of names(taxon)) put(`name ${name}`, taxon);
    for (const word of taxon.common) put(`common ${wordsOf(word).join(' ')}`, taxon);
  }
  const same = new Map<Taxon, Taxon>();
  for (const taxon of from.taxa.values()) {
    const [first] = [`id ${taxon.id}`, ...names(taxon).map((n) => `name ${n}`)].flatMap(
      (w) => known.get(w) ?? [],
    );
    if (first !== undefined) same.set(taxon, first);
  }
  const [above, below] = [lineages(from), lineages(to)];
  const written = (chain: Chain, ids: ReadonlySet<string>) =>
    [...ids].flatMap((id) => chain.taxa.get(id) ?? []);
  const taken = new Set<Taxon>([...same.values(), ...written(to, settled.taxaTo)]);
  const taxa: ProposedTaxon[] = [];
  const found = new Set<Taxon>([...same.keys(), ...written(from, settled.taxa)]);
  const tell = (proposal: ProposedTaxon) => {
    taxa.push(proposal);
    found.add(proposal.from);
    for (const other of proposal.others) taken.add(other);
  };
  for (const taxon of from.taxa.values()) {
    if (settled.taxa.has(taxon.id)) continue;
    const placed = placedBy(taxon, to, same, above, below);
    for (const proposal of placed) tell(proposal);
    if (same.has(taxon)) continue;
    const common = taxon.common.flatMap((word) =>
      (known.get(`common ${wordsOf(word).join(' ')}`) ?? []).map((other) => ({ word, other })),
    );
    const [one] = common;
    if (one !== undefined && new Set(common.map((c) => c.other)).size === 1)
      tell({ from: taxon, how: 'same', others: [one.other], why: `both are called ${one.word}` });
  }
  const alone = (chain: Chain, done: ReadonlySet<Taxon>, up: Lineages) => {
    const covered = (t: Taxon) => [t, ...(up.get(t) ?? [])].some((x) => done.has(x));
    return [...endsOf(chain)].filter((t) => !covered(t));
  };
  return {
    taxa,
    sameTaxa: same.size,
    taxaAlone: { from: alone(from, found, above), to: alone(to, taken, below) },
  };
}

type Lineages = ReadonlyMap<Taxon, readonly Taxon[]>;

/** By taxon, what it lies within by its key, the lowest first. */
function lineages(chain: Chain): Lineages {
  return new Map(
    [...chain.taxa.values()].map((taxon) => {
      const line: Taxon[] = [];
      let at = chain.taxa.get(taxon.within ?? '');
      while (at !== undefined && !line.includes(at)) {
        line.push(at);
        at = chain.taxa.get(at.within ?? '');
      }
      return [taxon, line];
    }),
  );
}

function endsOf(chain: Chain): ReadonlySet<Taxon> {
  const ids = chain.nodes.flatMap(({ couplet }) =>
    couplet.leads.flatMap(({ end }) => (end.kind === 'taxa' ? end.taxa : [])),
  );
  return new Set(ids.flatMap((id) => chain.taxa.get(id) ?? []));
}

/** The genus in the name of a species; undefined for what is no binary name. */
function genusOf({ name }: Taxon): string | undefined {
  return /^(?:×\s*)?(\p{Lu}[\p{L}-]+) (?:×\s*)?\p{Ll}[\p{L}-]{2,}/u.exec(name)?.[1];
}

/** Where one key ends at a genus and the other at its species, and the keys themselves do not say that they belong together. */
function placedBy(
  taxon: Taxon,
  to: Chain,
  same: ReadonlyMap<Taxon, Taxon>,
  above: Lineages,
  below: Lineages,
): ProposedTaxon[] {
  const names = [taxon.name, ...taxon.synonyms].map(plainName);
  const other = same.get(taxon);
  const inIt = [...to.taxa.values()].filter((t) => {
    const genus = genusOf(t);
    if (genus === undefined || !names.includes(plainName(genus)) || t === other) return false;
    return !(below.get(t) ?? []).some((up) => up === other || names.includes(plainName(up.name)));
  });
  const contains: ProposedTaxon[] =
    inIt.length === 0
      ? []
      : [{ from: taxon, how: 'contains', others: inIt, why: 'their names begin with it' }];
  const genus = genusOf(taxon);
  if (genus === undefined || other !== undefined) return contains;
  const line = above.get(taxon) ?? [];
  const holder = [...to.taxa.values()].find((t) =>
    [t.name, ...t.synonyms].map(plainName).includes(plainName(genus)),
  );
  const known = holder !== undefined && line.some((up) => same.get(up) === holder);
  return holder === undefined || known
    ? contains
    : [
        ...contains,
        { from: taxon, how: 'within', others: [holder], why: `its name begins with ${holder.name}` },
      ];
}
