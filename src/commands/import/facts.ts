/** What a statement says as something that a key can ask: states of a property, numbers, presence. */
import { slug } from '../../text/slug.js';
import type { NumberSet } from '../../traits/number-set.js';
import { type Amount, comparedIn, countIn, groupedIn, measureIn, partIn, ratioIn } from './amounts.js';
import { partKey, type Statement } from './statements.js';
import {
  ABSENT_WORDS,
  AND_WORDS,
  ARTICLES,
  COPULAS,
  DEGREE_WORDS,
  EITHER_WORDS,
  EMPTY_WORDS,
  NEITHER_WORDS,
  NOT_WORDS,
  NUMBER_WORDS,
  OPEN_WORDS,
  OR_WORDS,
  PLACE_WORDS,
  PREPOSITIONS,
  PRESENT_WORDS,
  RARE_WORDS,
  TIMES_WORDS,
  USUALLY_WORDS,
  VAGUE_WORDS,
  WITH_WORDS,
  WITHOUT_WORDS,
} from './trait-words.js';
import { bare, isColour, isPart, isShade, propertiesOf, stemOf } from './word-kinds.js';

/** One of the states that a lead takes. */
export interface State {
  readonly id: string;
  /** In the words of the print. */
  readonly meaning: string;
  /** Stems of the words that carry it, and of the degrees that go with them. */
  readonly stems: ReadonlySet<string>;
  readonly degrees: ReadonlySet<string>;
  /** How often: `twice` of `twice pinnate`; empty for once. */
  readonly times: string;
  readonly denied: boolean;
  /** The print calls it an exception: other leads may take it too. */
  readonly rare: boolean;
  /** Of several that are denied together: the stems of each. */
  readonly anyOf?: readonly ReadonlySet<string>[];
}

/** One thing said of one part. */
export interface Fact {
  /** In the words of the print; empty for the whole. */
  readonly part: string;
  readonly partKey: string;
  readonly kind: 'presence' | 'states' | 'measure' | 'count';
  /** What is asked: any of these; none when it is no known question. */
  readonly properties: readonly string[];
  readonly states: readonly State[];
  readonly notation?: string;
  readonly numbers?: NumberSet;
  readonly unit?: string;
  /** Of presence: what is there, without what it is a part of. */
  readonly noun?: string;
  /** It holds for most finds only. */
  readonly usually: boolean;
  /** Read with all that stands behind a preposition, for leads that differ in nothing before it. */
  readonly whole?: boolean;
  /** Where on the part it is said of. */
  readonly place?: string;
  readonly statement: Statement;
}

/** More words than these are a description. */
const LONGEST_STATE = 6;

/** The facts of a statement: none when it leaves open what it says. */
export function factsIn(statement: Statement): Fact[] {
  const { said, part, loosened } = statement;
  if (said.length === 0 || said.length > 24 || loosened) return [];
  let words = said.slice();
  while (words.length > 0 && COPULAS.has(bare(words[0] as string))) words = words.slice(1);
  let usually = false;
  while (words.length > 0 && USUALLY_WORDS.has(bare(words[0] as string))) {
    usually = true;
    words = words.slice(1);
  }
  // `rather thick mostly evergreen`: what stands before holds always.
  const middle = words.findIndex((w) => USUALLY_WORDS.has(bare(w)));
  if (middle >= 0 && words.some((w) => OR_WORDS.has(bare(w)))) return [];
  if (middle >= 0) {
    const { place, rest } = placeIn(words);
    if (place !== '' && USUALLY_WORDS.has(bare(rest[0] ?? ''))) usually = true;
    words = usually ? words.filter((_, n) => n !== middle) : words.slice(0, middle);
  }
  if (words.length === 0) return [];
  // `with a groove and without pits`
  const second = words.findIndex(
    (w, n) =>
      n > 0 &&
      AND_WORDS.has(bare(words[n - 1] as string)) &&
      (WITH_WORDS.has(bare(w)) || WITHOUT_WORDS.has(bare(w))),
  );
  if (second > 1)
    return [words.slice(0, second - 1), words.slice(second)].flatMap((own) =>
      factsIn({ ...statement, said: own }),
    );
  const make = (fact: Partial<Fact> & Pick<Fact, 'kind'>): Fact => {
    const own = fact.part ?? part;
    return {
      properties: [],
      states: [],
      usually,
      statement,
      ...fact,
      part: own,
      partKey: partKey(own),
    };
  };
  const numeric = numbersIn(words, part, make);
  if (numeric !== undefined) return numeric;
  const presence = presenceIn(words, part, make);
  if (presence !== undefined) return presence;
  return statesIn(words, part, make);
}

/** All that a statement says as one state, whatever question it answers; undefined when it leaves anything open. */
export function wholeFact(statement: Statement): Fact | undefined {
  let words = statement.said.slice();
  while (words.length > 0 && COPULAS.has(bare(words[0] as string))) words = words.slice(1);
  const held = words.filter((w) => {
    const plain = bare(w);
    return (
      !ARTICLES.has(plain) && !PREPOSITIONS.has(plain) && !DEGREE_WORDS.has(plain) && !WITH_WORDS.has(plain)
    );
  });
  const open = (w: string, n: number) =>
    // `confined to the tips`
    (!(/^to$/i.test(w) && /ed$/.test(words[n - 1] ?? '')) && OPEN_SETS.some((set) => set.has(bare(w)))) ||
    isNumber(w) ||
    /\d|^[^\p{L}]|[^\p{L}.,-]/u.test(w);
  if (
    statement.loosened ||
    lacksNoun(words) ||
    held.length === 0 ||
    held.length > 4 ||
    words.length > 8 ||
    words.some(open)
  )
    return undefined;
  const meaning = words
    .filter((w) => !EMPTY_WORDS.has(bare(w)) && !ARTICLES.has(bare(w)))
    .map((w) => w.replace(/[.,:]+$/, ''))
    .join(' ');
  const id = slug(meaning, 48);
  if (id === '') return undefined;
  const state: State = {
    id,
    meaning,
    stems: new Set(held.map(stemOf)),
    degrees: new Set(words.map(bare).filter((w) => DEGREE_WORDS.has(w))),
    times: '',
    denied: false,
    rare: false,
  };
  const { part } = statement;
  return {
    part,
    partKey: partKey(part),
    kind: 'states',
    properties: [],
    states: [state],
    usually: false,
    whole: true,
    statement,
  };
}
const OPEN_SETS = [
  OPEN_WORDS,
  VAGUE_WORDS,
  USUALLY_WORDS,
  RARE_WORDS,
  OR_WORDS,
  NOT_WORDS,
  WITHOUT_WORDS,
  ABSENT_WORDS,
  PRESENT_WORDS,
  EITHER_WORDS,
  NEITHER_WORDS,
];

type Make = (fact: Partial<Fact> & Pick<Fact, 'kind'>) => Fact;

function numeric({ notation, numbers, unit }: Amount) {
  return { notation, numbers, ...(unit === undefined ? {} : { unit }) };
}

function numbersIn(words: readonly string[], part: string, make: Make): Fact[] | undefined {
  const text = words.join(' ');
  const measure = measureIn(text);
  if (measure !== undefined)
    return [
      make({
        kind: 'measure',
        properties: [measure.dimension ?? 'size'],
        ...numeric(measure),
      }),
    ];
  const ratio = ratioIn(text);
  if (ratio !== undefined)
    return [
      make({
        kind: 'measure',
        properties: ['length by width'],
        unit: '1',
        ...numeric(ratio),
      }),
    ];
  const compared = comparedIn(text);
  if (compared !== undefined) {
    const { amount, side, other } = compared;
    return [
      make({
        kind: 'measure',
        properties: [`${side} to ${other}`],
        unit: '1',
        ...numeric(amount),
      }),
    ];
  }
  const share = partIn(text);
  if (share !== undefined)
    return [
      make({
        kind: 'measure',
        properties: [`${share.state} part`],
        unit: '1',
        ...numeric(share.amount),
      }),
    ];
  const grouped = groupedIn(text);
  if (grouped !== undefined)
    return [
      make({
        kind: 'count',
        properties: [grouped.of],
        ...numeric(grouped.amount),
      }),
      // `in clusters of 2`: that they are in clusters, too.
      ...(grouped.of === 'rows' ? [] : statesIn(words.slice(0, words.indexOf('of')), part, make)),
    ];
  const withNumber =
    WITH_WORDS.has(bare(words[0] ?? '')) ||
    /^(?:of|aus)$/i.test(words[0] ?? '') ||
    COPULAS.has(bare(words[0] ?? ''));
  const counted = countIn((withNumber ? words.slice(1) : words).join(' ').replace(/[.]$/, ''));
  if (counted === undefined) return undefined;
  const { amount, rest } = counted;
  if (rest === '')
    return part === '' || withNumber
      ? []
      : [make({ kind: 'count', properties: ['number'], ...numeric(amount) })];
  const all = rest.split(' ');
  // What follows says where they are, or what else there is.
  const cut = all.findIndex((w, n) => n > 0 && (AND_WORDS.has(bare(w)) || PREPOSITIONS.has(bare(w))));
  const nouns = cut < 0 ? all : all.slice(0, cut);
  if (
    nouns.length > 4 ||
    all.some((w) => DENIES.has(bare(w)) || OR_WORDS.has(bare(w))) ||
    nouns.some((w) => PREPOSITIONS.has(bare(w)))
  )
    return [];
  const head = (nouns.at(-1) as string).replace(/[.,]$/, '');
  if (!/^[\p{L}-]{3,}$/u.test(head) || OPEN_WORDS.has(bare(head))) return [];
  if (propertiesOf(head).length > 0 && !isPart(head)) return [];
  const counting = make({
    kind: 'count',
    part: part === '' ? head : `${part} ${head}`,
    properties: ['number'],
    ...numeric(amount),
  });
  return [counting, ...howIn(nouns.slice(0, -1), head, make)];
}

/** A bare number in the unit of another. */
export function withUnitOf(fact: Fact, other: Fact): Fact | undefined {
  const measured = measureIn(`${fact.notation ?? ''} ${other.unit ?? ''}`);
  if (measured === undefined) return undefined;
  return {
    ...fact,
    kind: 'measure',
    properties: other.properties,
    ...numeric(measured),
  };
}

const DENIES = new Set([...NOT_WORDS, ...WITHOUT_WORDS, ...ABSENT_WORDS, ...NEITHER_WORDS]);

function present(there: boolean, rare = false): State {
  const id = there ? 'present' : 'absent';
  return {
    id,
    meaning: id,
    stems: new Set([id]),
    degrees: new Set(),
    times: '',
    denied: false,
    rare,
  };
}

/** The same of what is present, or absent. */
export function presenceOf(fact: Fact, there: boolean): Fact {
  return { ...fact, states: [present(there)] };
}

function presenceIn(words: readonly string[], part: string, make: Make): Fact[] | undefined {
  const plain = words.map(bare);
  const [first = ''] = plain;
  if (part !== '' && words.length === 1 && (ABSENT_WORDS.has(first) || PRESENT_WORDS.has(first)))
    return eachPart(part).map((own) =>
      make({
        kind: 'presence',
        part: own,
        states: [present(PRESENT_WORDS.has(first))],
      }),
    );
  if (part !== '' && NOT_WORDS.has(first) && PRESENT_WORDS.has(plain[1] ?? '') && words.length === 2)
    return eachPart(part).map((own) => make({ kind: 'presence', part: own, states: [present(false)] }));
  const without = WITHOUT_WORDS.has(first) || /^(?:lacking|wanting)$/.test(first);
  if (!without && !WITH_WORDS.has(first)) return undefined;
  let rest = words.slice(1);
  while (
    rest.length > 1 &&
    (ARTICLES.has(bare(rest[0] as string)) || /^(?:any|no)$/.test(bare(rest[0] as string)))
  ) {
    rest = rest.slice(1);
  }
  // `with the markings less extensive`: how they are, not that they are there.
  const degree = rest.findIndex(
    (w, n) => n > 0 && DEGREE_WORDS.has(bare(w)) && isNoun(rest[n - 1] as string),
  );
  if (!without && degree > 0 && degree <= 3 && degree + 1 < rest.length)
    return statesIn(rest.slice(degree), rest.slice(0, degree).join(' '), make);
  // What stands behind a preposition says more of the noun.
  const cut = rest.findIndex(
    (w, i) =>
      i > 0 && (PREPOSITIONS.has(bare(w)) || WITH_WORDS.has(bare(w)) || (!without && AND_WORDS.has(bare(w)))),
  );
  if (without && cut < 0 && rest.some((w) => OR_WORDS.has(bare(w)) || AND_WORDS.has(bare(w))))
    return listed(rest).map((own) =>
      make({
        kind: 'presence',
        part: `${part} ${own}`.trim(),
        noun: own,
        states: [present(false)],
      }),
    );
  const noun = (cut < 0 ? rest : rest.slice(0, cut)).filter((w) => !ARTICLES.has(bare(w)));
  if (noun.length === 0 || noun.length > 4) return [];
  if (
    noun.some(
      (w) => OR_WORDS.has(bare(w)) || AND_WORDS.has(bare(w)) || OPEN_WORDS.has(bare(w)) || /\d/.test(w),
    )
  )
    return [];
  // Without a coarse thing, there may still be a fine one.
  const head = without ? noun.join(' ') : (noun.at(-1) as string);
  const which = noun.length === 2 ? propertiesOf(noun[0] as string) : [];
  // `with bristly margins` says how the margin is; that there is one is no news.
  if (!without && which.length > 0 && SPOT.test(head.replace(/s$/, '')))
    return statesIn([noun[0] as string], `${part} ${head.replace(/s$/, '')}`.trim(), make);
  if (propertiesOf(noun.at(-1) as string).length > 0 && !without && !isPart(noun.at(-1) as string))
    return cut > 0 && AND_WORDS.has(bare(rest[cut] as string)) ? [] : undefined;
  if (cut >= 0 && without) return [];
  const own = part === '' ? head : `${part} ${head}`;
  const found = [
    make({
      kind: 'presence',
      part: own.replace(/[.]$/, ''),
      noun: head,
      states: [present(!without)],
    }),
  ];
  return without ? found : [...found, ...howIn(noun.slice(0, -1), head, make)];
}

/** `with radiating ribs` also says how the ribs are. */
function howIn(how: readonly string[], noun: string, make: Make): Fact[] {
  const known = how.length > 0 && how.every((w) => propertiesOf(w).length > 0 || DEGREE_WORDS.has(bare(w)));
  return known ? statesIn(how, noun.replace(/[.]$/, ''), make) : [];
}

function isNoun(word: string): boolean {
  const plain = bare(word);
  return (
    isPart(word) ||
    (propertiesOf(word).length === 0 &&
      !ARTICLES.has(plain) &&
      !DEGREE_WORDS.has(plain) &&
      !PREPOSITIONS.has(plain))
  );
}

/** What is denied together: `without hairs or scales`; none when a piece of it is no plain noun. */
function listed(words: readonly string[]): string[] {
  const pieces: string[][] = [[]];
  for (const word of words)
    if (OR_WORDS.has(bare(word)) || AND_WORDS.has(bare(word))) pieces.push([]);
    else if (!ARTICLES.has(bare(word))) (pieces.at(-1) as string[]).push(word.replace(/[.,]$/, ''));
  const plain = pieces.every(
    (p) =>
      p.length > 0 &&
      p.length <= 3 &&
      !p.some((w) => OPEN_WORDS.has(bare(w)) || VAGUE_WORDS.has(bare(w)) || /\d/.test(w)),
  );
  // `without long or short hairs`: the first is no noun.
  return plain &&
    pieces.every((p) => propertiesOf(p.at(-1) as string).length === 0 || isPart(p.at(-1) as string))
    ? pieces.map((p) => p.join(' '))
    : [];
}

/** `Volva and annulus`: both; of `volva or annulus` nobody knows which. */
function eachPart(part: string): string[] {
  if (/\s(?:or|od|oder|nor)\.?\s/.test(part)) return [];
  return part.split(/\s+(?:and|und|u)\.?\s+/);
}

/** The place that is meant, at the beginning or the end of what is said: `beneath`, `at the apex`, `am Grunde`. */
function placeIn(words: readonly string[]): {
  place: string;
  rest: readonly string[];
} {
  const last = bare(words.at(-1) ?? '');
  if (words.length > 1 && PLACE_WORDS.has(last)) return { place: last, rest: words.slice(0, -1) };
  if (words.length > 1 && PLACE_WORDS.has(bare(words[0] ?? '')))
    return { place: bare(words[0] as string), rest: words.slice(1) };
  const at = (from: number) => {
    if (!/^(?:at|on|am|an|auf)$/.test(bare(words[from] ?? ''))) return 0;
    const article = ARTICLES.has(bare(words[from + 1] ?? '')) ? 1 : 0;
    return SPOT.test(bare(words[from + 1 + article] ?? '')) ? 2 + article : 0;
  };
  const begins = at(0);
  if (begins > 0 && begins < words.length)
    return {
      place: bare(words[begins - 1] as string),
      rest: words.slice(begins),
    };
  for (const back of [2, 3]) {
    const from = words.length - back;
    if (from > 0 && at(from) === back) return { place: last, rest: words.slice(0, from) };
  }
  return { place: '', rest: words };
}
const SPOT = /^(?:apex|tip|base|margin|surface|grunde|rande|spitze|unterseite|oberseite)$/;

function statesIn(words: readonly string[], part: string, make: Make): Fact[] {
  if (words.some((w) => OPEN_WORDS.has(bare(w)))) return [];
  const { place, rest } = placeIn(words);
  const located = place === '' ? part : `${part} ${place}`.trim();
  const conjuncts = conjunctsIn(rest);
  const facts: Fact[] = [];
  const whole = conjuncts.length === 1 ? alternativesIn(rest, true) : undefined;
  for (const conjunct of conjuncts) {
    const states = alternativesIn(conjunct);
    if (conjunct.every((w) => PRESENT_WORDS.has(bare(w)) || DEGREE_WORDS.has(bare(w))) && part !== '') {
      facts.push(make({ kind: 'presence', part: located, states: [present(true)] }));
      continue;
    }
    if (states === undefined || states.length === 0) return [];
    const nothing = states.some((s) => s.meaning === 'absent');
    if (nothing && part === '') return [];
    if (states.every((s) => s.meaning === 'absent'))
      return [make({ kind: 'presence', part: located, states: [present(false)] })];
    const properties = commonProperties(states);
    facts.push(
      make({
        kind: 'states',
        part: located,
        properties,
        ...(place === '' ? {} : { place }),
        states: states.map(withoutAnswers),
      }),
    );
  }
  const said = facts.flatMap((f) => f.states.map((s) => s.id)).join();
  if (
    whole !== undefined &&
    whole.length > 0 &&
    !whole.some((s) => s.rare || s.meaning === 'absent') &&
    whole.map((s) => s.id).join() !== said
  )
    facts.push(
      make({
        kind: 'states',
        part: located,
        whole: true,
        properties: commonProperties(whole),
        states: whole.map(withoutAnswers),
      }),
    );
  return facts;
}

function withoutAnswers({ properties: _, ...state }: Answered): State {
  return state;
}

/** `smooth and dark grey` says two things; `soft and fleshy` one. */
function conjunctsIn(words: readonly string[]): (readonly string[])[] {
  const at = words.findIndex((w) => AND_WORDS.has(bare(w)));
  if (at <= 0 || words.some((w) => OR_WORDS.has(bare(w)))) return [words];
  // `long and covered with hairs`
  if (/ed$/.test(bare(words[at + 1] ?? '')) && WITH_WORDS.has(bare(words[at + 2] ?? '')))
    return [words.slice(0, at)];
  const [left, right] = [words.slice(0, at), words.slice(at + 1)];
  const of = (list: readonly string[]) =>
    list.flatMap((w) => (PRESENT_WORDS.has(bare(w)) ? ['presence'] : propertiesOf(w)));
  const [a, b] = [of(left), of(right)];
  if (a.length === 0 || b.length === 0 || a.some((p) => b.includes(p))) return [words];
  return [left, ...conjunctsIn(right)];
}

interface Answered extends State {
  readonly properties: readonly string[];
}

function commonProperties(states: readonly Answered[]): readonly string[] {
  const all = states.filter((s) => s.properties.length > 0).map((s) => s.properties);
  const [first, ...others] = all;
  if (first === undefined || (all.length < states.length && first.includes('colour'))) return [];
  // An exception that is of another kind says something else.
  if (states.some((s) => s.rare && s.properties.length === 0)) return [];
  return first.filter((p) => others.every((o) => o.includes(p)));
}

/** The alternatives of what is said; undefined when one of them cannot be told. */
function alternativesIn(words: readonly string[], whole = false): Answered[] | undefined {
  const first = bare(words[0] ?? '');
  const neither = NEITHER_WORDS.has(first);
  const bareWords = neither || EITHER_WORDS.has(first) ? words.slice(1) : words;
  const ranged = bareWords.some((w) => /^(?:to|bis)$/i.test(w));
  const items: string[][] = [[]];
  for (const [n, word] of bareWords.entries()) {
    const plain = bare(word);
    const counts = isNumber(bareWords[n - 1]) && isNumber(bareWords[n + 1]);
    if (counts && OR_WORDS.has(plain)) (items.at(-1) as string[]).push(word);
    else if (
      (OR_WORDS.has(plain) && !(ranged && /^(?:to|bis)$/.test(plain))) ||
      (neither && plain === 'noch')
    )
      items.push([]);
    else {
      (items.at(-1) as string[]).push(word.replace(/,$/, ''));
      if (word.endsWith(',')) items.push([]);
    }
  }
  const said = items
    .filter((i) => i.length > 0)
    .map((item, n, all) => denialCompleted(item, all[n - 1], all[n + 1]));
  if (neither) {
    const all = said.map((i) => stateOf(['not', ...i], whole));
    return all.some((s) => s === undefined || s === 'nothing')
      ? undefined
      : [joinedDenials(all as Answered[])];
  }
  const states: Answered[] = [];
  for (const item of said) {
    const state = stateOf(item, whole);
    if (state === undefined) return undefined;
    if (state !== 'nothing') states.push(state);
  }
  // `not bristly or hispid` may deny both or only the first.
  if (states.length > 1 && states[0]?.denied === true && !states.every((s) => s.denied)) return undefined;
  return states;
}

function isNumber(word: string | undefined): boolean {
  return (
    word !== undefined &&
    (/^\d+(?:-\d+)?[,.]?$/.test(word) ||
      (bare(word) in NUMBER_WORDS && !TIMES_WORDS.has(bare(word)) && !ARTICLES.has(bare(word))))
  );
}

/** `little decurrent or not at all`, `nicht od. wenig schuppig`: what is denied stands beside it. */
function denialCompleted(
  item: string[],
  before: string[] | undefined,
  after: string[] | undefined,
): string[] {
  const plain = item.map(bare);
  if (!NOT_WORDS.has(plain[0] ?? '') || plain.length > (plain[1] === 'at' ? 3 : 1)) return item;
  const said = (after ?? before ?? []).filter((w) => !DEGREE_WORDS.has(bare(w)));
  return ['not', ...said];
}

function joinedDenials(states: readonly Answered[]): Answered {
  const meaning = states.map((s) => s.meaning).join(', ');
  const [first] = states;
  return {
    ...(first as Answered),
    id: slug(meaning, 40),
    meaning,
    stems: new Set(states.flatMap((s) => [...s.stems])),
    anyOf: states.map((s) => s.stems),
  };
}

/** What only an adjective says. */
const QUALITIES = new Set([
  'size',
  'length',
  'width',
  'height',
  'depth',
  'thickness',
  'hairiness',
  'colour',
  'number',
]);

function lacksNoun(words: readonly string[]): boolean {
  const first = bare(words[0] ?? '');
  const opens = PREPOSITIONS.has(first) || WITH_WORDS.has(first);
  return opens && propertiesOf(words.at(-1) as string).some((p) => QUALITIES.has(p));
}

/** A state; `nothing` for an addition such as "nearly so". */
function stateOf(item: readonly string[], whole = false): Answered | 'nothing' | undefined {
  let words = item.slice();
  let rare = false;
  let denied = false;
  for (;;) {
    const plain = bare(words[0] ?? '');
    if (RARE_WORDS.has(plain)) rare = true;
    else if (plain === 'but' && words.length > 1) {
      // `but never serrate`.
    } else if (NOT_WORDS.has(plain)) denied = !denied;
    else if (ARTICLES.has(plain) || COPULAS.has(plain)) {
      // Nothing is said by these.
    } else break;
    words = words.slice(1);
  }
  if (denied && words.some((w) => EMPTY_WORDS.has(bare(w)))) return undefined;
  words = words.filter((w) => !EMPTY_WORDS.has(bare(w)));
  while (words.length > 1 && bare(words.at(-1) as string) === 'more-or-less') words.pop();
  if (words.length === 0) return 'nothing';
  const lead = bare(words[0] as string);
  // `in long, hanging panicles`: the noun stands elsewhere.
  if (lacksNoun(words)) return undefined;
  if (words.length > 1 && /^(?:in|of)$/.test(lead)) words = words.slice(1);
  // `in jedem Fache zweireihig`: where it is so.
  const noun = lead === 'in' ? words.slice(0, 3).findIndex((w) => /^\p{Lu}/u.test(w)) : -1;
  if (noun > 0 && noun + 1 < words.length) words = words.slice(noun + 1);
  if (words.every((w) => DEGREE_WORDS.has(bare(w)) || bare(w) === 'so'))
    return denied ? undefined : 'nothing';
  if (words.some((w) => NOT_WORDS.has(bare(w)) || RARE_WORDS.has(bare(w)))) return undefined;
  const head = words.filter((w) => !DEGREE_WORDS.has(bare(w)));
  if (head.length === 1 && ABSENT_WORDS.has(bare(head[0] as string)))
    return denied ? undefined : { ...present(false, rare), meaning: 'absent', properties: [] };
  // What stands behind a preposition or "with" says more of what is known already.
  const cut = words.findIndex(
    (w, i) => i > 0 && (PREPOSITIONS.has(bare(w)) || WITH_WORDS.has(bare(w)) || WITHOUT_WORDS.has(bare(w))),
  );
  const ranges =
    cut > 0 &&
    /^(?:to|bis)$/.test(bare(words[cut] as string)) &&
    propertiesOf(words[cut + 1] ?? '').length > 0;
  const front =
    cut < 0 || ranges || /^(?:tinged|überlaufen)$/.test(bare(words[0] as string))
      ? words
      : words.slice(0, cut);
  // What a preposition begins is known by its first noun alone when that is said to be in or of it.
  const known = PREPOSITIONS.has(bare(words[0] as string)) ? [] : answersOf(front);
  // A denial of more words denies all of them together.
  let own = known.length > 0 && !denied && !whole ? front : words;
  // `a small, dry pod` is a pod: what it is like is another question.
  if (known.includes('type') && !denied && !whole)
    own = own.filter((w) => propertiesOf(w).includes('type')).slice(-1);
  // A long description says its main point first.
  const and = own.length > LONGEST_STATE && !denied ? own.findIndex((w) => AND_WORDS.has(bare(w))) : -1;
  if (and > 0) own = own.slice(0, and);
  if (own.length === 0 || own.length > LONGEST_STATE) return undefined;
  if (own.some((w) => VAGUE_WORDS.has(bare(w)) || isNumber(w))) return undefined;
  let times = '';
  const stems = new Set<string>();
  const degrees = new Set<string>();
  for (const word of own) {
    const plain = bare(word);
    if (TIMES_WORDS.has(plain) && own.length > 1)
      times = plain === 'once' || plain === 'einfach' ? '' : plain;
    else if (DEGREE_WORDS.has(plain)) degrees.add(plain);
    else if (!ARTICLES.has(plain) && !AND_WORDS.has(plain) && !PREPOSITIONS.has(plain))
      stems.add(stemOf(word));
  }
  if (stems.size === 0) return undefined;
  const meaning = `${denied ? 'not ' : ''}${own.map((w) => w.replace(/[.,:]+$/, '')).join(' ')}`;
  const id = slug(meaning, 48);
  if (id === '') return undefined;
  return {
    id,
    meaning,
    stems,
    degrees,
    times,
    denied,
    rare,
    properties: known,
  };
}

/** The questions that words answer: those of the last word that answers any; colour only where all others are shades. */
function answersOf(words: readonly string[]): readonly string[] {
  const telling = words.filter((w) => !DEGREE_WORDS.has(bare(w)) && !ARTICLES.has(bare(w)));
  if (telling.length > 0 && telling.some(isColour))
    return telling.every(
      (w) =>
        isColour(w) ||
        isShade(w) ||
        AND_WORDS.has(bare(w)) ||
        /^(?:to|bis)$/.test(w) ||
        /^(?:with|mit)$/.test(w),
    ) || /^(?:tinged)$/.test(telling[0] ?? '')
      ? ['colour']
      : lastAnswer(telling.filter((w) => !isColour(w)));
  return lastAnswer(telling);
}

function lastAnswer(words: readonly string[]): readonly string[] {
  for (let n = words.length - 1; n >= 0; n--) {
    const found = propertiesOf(words[n] as string);
    if (found.length > 0) return found;
  }
  return [];
}
