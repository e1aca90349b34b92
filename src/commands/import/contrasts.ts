/** What the leads of a couplet say differently of the same part. */
import { meetNumbers } from '../../traits/number-set.js';
import { type Fact, factsIn, presenceOf, type State, wholeFact, withUnitOf } from './facts.js';
import type { LinkedCouplet } from './linked.js';
import { partKey, type Statement, statementsOf } from './statements.js';
import {
  ABSENT_WORDS,
  AND_WORDS,
  ARTICLES,
  DEGREE_WORDS,
  HIGH_WORDS,
  LOW_WORDS,
  NOT_WORDS,
  OPEN_WORDS,
  OR_WORDS,
  PREPOSITIONS,
  PROPERTY_WORDS,
  RARE_WORDS,
  USUALLY_WORDS,
  WITHOUT_WORDS,
} from './trait-words.js';
import { bare, isShade, propertiesOf, sameStem, stemOf, stemsOf } from './word-kinds.js';

/** One question, and what each lead answers; undefined where a lead does not speak of it. */
export interface Contrast {
  readonly couplet: LinkedCouplet;
  readonly part: string;
  readonly partKey: string;
  readonly kind: Fact['kind'];
  /** The name of the question; empty when it has none but its answers. */
  readonly property: string;
  readonly facts: readonly (Fact | undefined)[];
}

/** Couplets of more leads are lists of taxa. */
const MOST_LEADS = 12;

/** The contrasts of a couplet. `german`: nouns are told by their capitals. */
export function contrastsOf(couplet: LinkedCouplet, german: boolean): Contrast[] {
  const { leads } = couplet;
  if (leads.length < 2 || leads.length > MOST_LEADS) return [];
  const statements = leads.map((lead) => statementsOf(lead.words, german));
  const facts = statements.map((list) => withoutContradictions(list.flatMap(factsIn)));
  meetAbsence(statements, facts);
  lendUnits(facts);
  const found: Contrast[] = [];
  const used = new Set<Fact>();
  for (const { property, kind, choices } of questionsOf(facts, statements)) {
    const spoken = new Set([...used].map((f) => f.statement));
    const free = (f: Fact) => !used.has(f) && (f.whole !== true || !spoken.has(f.statement));
    const chosen = bestAnswers(
      choices.map((list) => list.filter(free)),
      property === '' && kind === 'states',
    );
    const first = chosen?.find((f) => f !== undefined);
    if (chosen === undefined || first === undefined) continue;
    // Of many leads, a question that few of them answer is not what the couplet asks.
    const answers = chosen.filter((f) => f !== undefined).length;
    if (leads.length > 2 && answers < Math.ceil(leads.length / 2)) continue;
    for (const fact of chosen) if (fact !== undefined) used.add(fact);
    found.push({
      couplet,
      part: first.part,
      partKey: first.partKey,
      kind,
      property,
      facts: chosen,
    });
  }
  if (found.length === 0) {
    const opening = openingsOf(statements);
    const first = opening?.find((f) => f !== undefined);
    if (opening !== undefined && first !== undefined)
      found.push({
        couplet,
        part: first.part,
        partKey: first.partKey,
        kind: 'states',
        property: '',
        facts: opening,
      });
  }
  return found;
}

/** What is said first of the same part in every lead, where each says something else: leads are written so to be told apart. */
function openingsOf(statements: readonly (readonly Statement[])[]): (Fact | undefined)[] | undefined {
  const first = statements.map((list) => list[0]);
  const facts = first.map((s) => (s === undefined ? undefined : wholeFact(s)));
  const properties = first.map((s) => (s === undefined ? [] : factsIn(s).flatMap((f) => f.properties)));
  const said = facts.filter((f) => f !== undefined);
  const [one] = said;
  const spoken = statements.filter((list) => list.length > 0).length;
  if (one === undefined || one.part === '' || said.length < Math.max(spoken, 2)) return undefined;
  const key = (f: Fact) => partKey(f.statement.part);
  if (!said.every((f) => key(f) === key(one))) return undefined;
  const told = (a: Fact | undefined, i: number, b: Fact | undefined, j: number): boolean => {
    if (a === undefined || b === undefined || i === j) return true;
    const [left, right] = [properties[i] ?? [], properties[j] ?? []];
    // What is known to answer two questions, or one, is told apart by what is known of it.
    if (left.length > 0 && right.length > 0) return left.some((p) => right.includes(p)) && excludes(a, b);
    return excludes(a, b) || beginOtherwise(a, b);
  };
  return facts.every((a, i) => facts.every((b, j) => told(a, i, b, j))) ? facts : undefined;
}

/** `confined to the ends of the seed`, `surrounding the seed`: two things are said, though of one other. */
function beginOtherwise(a: Fact, b: Fact): boolean {
  const [left, right] = [a, b].map((f) => [...(f.states[0]?.stems ?? [])]) as [string[], string[]];
  const within = (x: readonly string[], y: readonly string[]) =>
    x.every((s) => y.some((t) => sameStem(s, t)));
  return !sameStem(left[0] ?? '', right[0] ?? '') && !within(left, right) && !within(right, left);
}

/** `Sessile; very short stalked`: a lead that gives two answers leaves the question open. */
function withoutContradictions(list: readonly Fact[]): Fact[] {
  const plain = list.filter((f) => f.kind === 'states' && f.whole !== true && f.place === undefined);
  return list.filter(
    (a) =>
      !plain.includes(a) ||
      !plain.some(
        (b) =>
          a.statement !== b.statement &&
          a.partKey === b.partKey &&
          a.properties.some((p) => EITHER_OR.has(p) && b.properties.includes(p)) &&
          excludes(a, b),
      ),
  );
}
/** Of these, a part has one; a colour or a shape may be told of several things beside it. */
const EITHER_OR = new Set(['attachment', 'size', 'length', 'width', 'height', 'arrangement', 'habit', 'sex']);

/** Where a lead says that something is absent, another that speaks of having it says that it is present. */
function meetAbsence(statements: readonly (readonly Statement[])[], facts: Fact[][]): void {
  const absent = facts.flatMap((list, i) =>
    list.filter((f) => f.kind === 'presence' && f.states[0]?.id === 'absent').map((fact) => ({ fact, i })),
  );
  for (const { fact, i } of absent) {
    for (let j = 0; j < facts.length; j++) {
      const own = facts[j] as Fact[];
      if (j === i || own.some((f) => f.kind === 'presence' && f.partKey === fact.partKey)) continue;
      const words = (fact.noun ?? fact.part).split(' ');
      // `without marginal processes` beside `with hooked processes`
      const plain = words.filter((w) => !propertiesOf(w).includes('position'));
      const noun = partKey((plain.length > 0 ? plain : words).join(' ')).split(' ');
      const mention = (statements[j] ?? []).find((s) => speaksOf(s, noun));
      if (mention !== undefined) {
        const usually = mention.said.some((w) => USUALLY_WORDS.has(bare(w)));
        own.push({ ...presenceOf(fact, true), usually, statement: mention });
      }
    }
  }
}

function speaksOf(statement: Statement, noun: readonly string[]): boolean {
  const words = [...statement.part.split(/\s+/), ...statement.said];
  const plain = words.map(bare);
  if (
    statement.loosened ||
    (statement.part.split(' ').some((w) => OR_WORDS.has(bare(w))) &&
      noun.some((s) => stemsOf(statement.part.split(' ')).some((t) => sameStem(s, t)))) ||
    plain.some((w) => NOT_WORDS.has(w) || WITHOUT_WORDS.has(w) || ABSENT_WORDS.has(w) || DOUBT.test(w))
  )
    return false;
  const stems = stemsOf(words);
  // `thorns`, `thorny`
  return noun.every((s) => stems.some((t) => sameStem(s, t) || stemOf(s) === stemOf(t)));
}
/** Whether a statement holds for a time, for some or for one of several things. */
function isOpen({ said }: Statement): boolean {
  return said.some((w) => [OPEN_WORDS, OR_WORDS, USUALLY_WORDS, RARE_WORDS].some((set) => set.has(bare(w))));
}
const DOUBT =
  /^(?:usually|mostly|often|rarely|sometimes|almost|nearly|hardly|except|meist|selten|zuweilen|fast|imperfect|rudimentary|vestigial|verkümmert)/;

/** `spores 6-8 µm` and, in another lead, `spores 10-12`: the unit is that of the other. */
function lendUnits(facts: Fact[][]): void {
  for (const list of facts)
    list.forEach((fact, n) => {
      if (fact.kind !== 'count' || !fact.properties.includes('number')) return;
      const other = facts
        .flat()
        .find(
          (f) =>
            f.kind === 'measure' &&
            f.unit !== '1' &&
            f.properties.includes('size') &&
            f.partKey === fact.partKey,
        );
      const lent = other === undefined ? undefined : withUnitOf(fact, other);
      if (lent !== undefined) list[n] = lent;
    });
}

interface Question {
  readonly property: string;
  readonly kind: Fact['kind'];
  /** What each lead may mean by way of an answer. */
  readonly choices: readonly (readonly Fact[])[];
}

const PROPERTIES = Object.keys(PROPERTY_WORDS);

/** The questions of a couplet, the surest first. */
function questionsOf(
  facts: readonly (readonly Fact[])[],
  statements: readonly (readonly Statement[])[],
): Question[] {
  const questions: Question[] = [];
  const keys = [...new Set(facts.flat().map((f) => f.partKey))];
  for (const key of keys) {
    const of = facts.map((list) => list.filter((f) => f.partKey === key));
    const mentions = statements.map((list) => list.filter((s) => partKey(s.part) === key));
    if (of.filter((list, n) => list.length > 0 || (mentions[n]?.length ?? 0) > 0).length < 2) continue;
    const pick = (keep: (fact: Fact) => boolean) => of.map((list) => list.filter(keep));
    for (const kind of ['presence', 'count', 'measure'] as const) {
      const numbered = [
        ...new Set(
          of
            .flat()
            .filter((f) => f.kind === kind)
            .flatMap((f) => (f.properties.length === 0 ? [''] : f.properties)),
        ),
      ];
      for (const property of numbered)
        questions.push({
          property,
          kind,
          choices: pick((f) => f.kind === kind && (property === '' || f.properties.includes(property))),
        });
    }
    const states = pick((f) => f.kind === 'states');
    questions.push(...denials(states, mentions), absences(of));
    const asked = [...new Set(states.flat().flatMap((f) => f.properties))].sort(
      (a, b) => PROPERTIES.indexOf(a) - PROPERTIES.indexOf(b),
    );
    const known = asked.map((property) => ({
      property,
      kind: 'states' as const,
      choices: states.map((list) => list.filter((f) => f.whole !== true && f.properties.includes(property))),
    }));
    questions.push(...known.sort((a, b) => filled(b) - filled(a)));
    questions.push({
      property: '',
      kind: 'states',
      choices: states.map((list) => list.filter(isOpening)),
    });
  }
  questions.push(...placed(facts));
  return questions;
}

/** `am Grunde kriechend` in one lead, `aufrecht` in the other: only one of them says where. */
function placed(facts: readonly (readonly Fact[])[]): Question[] {
  const all = facts.flat().filter((f) => f.kind === 'states' && f.place !== undefined && f.whole !== true);
  return [...new Set(all.map((f) => `${partKey(f.statement.part)}|${f.place}`))].flatMap((at) => {
    const [key, place] = at.split('|');
    const near = facts.map((list) =>
      list.filter(
        (f) =>
          f.kind === 'states' &&
          f.whole !== true &&
          partKey(f.statement.part) === key &&
          (f.place === undefined || f.place === place),
      ),
    );
    const asked = [...new Set(near.flat().flatMap((f) => f.properties))];
    return asked.map((property) => ({
      property,
      kind: 'states' as const,
      choices: near.map((list) =>
        list
          .filter((f) => f.properties.includes(property))
          .map((f) => ({
            ...f,
            part: f.statement.part,
            partKey: key as string,
            whole: true,
          })),
      ),
    }));
  });
}

/** `present` beside `absent or reduced`. */
function absences(of: readonly (readonly Fact[])[]): Question {
  const open = of.map((list) =>
    list.filter(
      (f) =>
        f.kind === 'states' &&
        f.whole !== true &&
        f.states.length > 1 &&
        f.states.some((s) => s.meaning === 'absent'),
    ),
  );
  const some = open.some((list) => list.length > 0);
  const choices = of.map((list, n) =>
    !some || (open[n]?.length ?? 0) > 0
      ? (open[n] ?? [])
      : list.filter((f) => f.kind === 'presence').map((f): Fact => ({ ...f, kind: 'states' })),
  );
  return { property: 'presence', kind: 'states', choices };
}

function filled({ choices }: Question): number {
  return choices.filter((list) => list.length > 0).length;
}

/** What no list knows is held against each other only where it is the first thing that is said of the part. */
function isOpening(fact: Fact): boolean {
  return (
    fact.statement.index === 0 &&
    !fact.usually &&
    !fact.properties.some((p) => p === 'colour' || p === 'size' || p === 'number') &&
    fact.states.every((s) => s.stems.size <= 3)
  );
}

/** `Leaves serrate` and `Leaves not serrate`: whatever the word means, one denies the other. */
function denials(
  states: readonly (readonly Fact[])[],
  mentions: readonly (readonly Statement[])[],
): Question[] {
  const found: Question[] = [];
  states.forEach((list, i) => {
    for (const fact of list) {
      if (!fact.states.some((s) => s.denied)) continue;
      const choices = states.map((own, j) => (j === i ? [fact] : denied(own, fact, mentions[j] ?? [])));
      if (
        choices.some((own) =>
          own.some((f) => f.states.some((s) => !s.denied && !f.statement.text.includes(s.meaning))),
        )
      )
        continue;
      const property =
        fact.properties[0] ?? choices.flat().find((f) => f.properties.length > 0)?.properties[0] ?? '';
      found.push({ property, kind: 'states', choices });
    }
  });
  return found;
}

/** What of a part is just what is denied, or, among its words, holds that. */
function denied(own: readonly Fact[], fact: Fact, mentions: readonly Statement[]): Fact[] {
  const found = own.filter((f) => excludes(f, fact) || same(f, fact));
  if (found.length > 0 || fact.states.length > 1) return found;
  const [state] = fact.states;
  if (state === undefined) return [];
  const holds = own.find(
    (f) => !f.usually && f.states.length === 1 && speaksOf(f.statement, [...state.stems]),
  );
  const mention = holds?.statement ?? mentions.find((s) => !isOpen(s) && speaksOf(s, [...state.stems]));
  if (mention === undefined) return [];
  const meaning = state.meaning.replace(/^not /, '');
  return [
    {
      ...fact,
      ...holds,
      statement: mention,
      usually: false,
      whole: true,
      states: [{ ...state, id: state.id.replace(/^not-/, ''), meaning, denied: false }],
    },
  ];
}

/** The answers of most leads of which any two exclude each other or are the same, at least two of them different. */
function bestAnswers(
  choices: readonly (readonly Fact[])[],
  opening: boolean,
): (Fact | undefined)[] | undefined {
  let best: { facts: (Fact | undefined)[]; n: number } | undefined;
  let tries = 0;
  const facts: (Fact | undefined)[] = [];
  const walk = (at: number, n: number): void => {
    if (++tries > 400 || n + (choices.length - at) <= (best?.n ?? 1)) return;
    if (at === choices.length) {
      const said = facts.filter((f) => f !== undefined);
      if (said.some((a) => said.some((b) => excludes(a, b)))) best = { facts: facts.slice(), n };
      return;
    }
    for (const fact of choices[at] ?? []) {
      if (!facts.every((f) => f === undefined || same(f, fact) || excludes(f, fact))) continue;
      if (opening && !facts.every((f) => f === undefined || answerAlike(f, fact))) continue;
      facts.push(fact);
      walk(at + 1, n + 1);
      facts.pop();
    }
    facts.push(undefined);
    walk(at + 1, n);
    facts.pop();
  };
  walk(0, 0);
  return best?.facts;
}

/** Whether two answers may be to one question, as far as is known what they answer. */
function answerAlike(a: Fact, b: Fact): boolean {
  return (
    a.properties.length === 0 ||
    b.properties.length === 0 ||
    a.properties.some((p) => b.properties.includes(p))
  );
}

function same(a: Fact, b: Fact): boolean {
  return (
    a.kind === b.kind &&
    a.notation === b.notation &&
    a.states.map((s) => s.id).join() === b.states.map((s) => s.id).join()
  );
}

/** Whether no find can show both; numbers may share the end of a range, as printed keys often let them. */
function excludes(a: Fact, b: Fact): boolean {
  if (a.kind !== b.kind || a.unit !== b.unit) {
    if (a.kind !== 'measure' || b.kind !== 'measure') return false;
  }
  if (a.numbers !== undefined && b.numbers !== undefined) {
    const both = meetNumbers(a.numbers, b.numbers);
    return a.notation !== b.notation && both.intervals.every((i) => i.low === i.high);
  }
  const main = (f: Fact) => f.states.filter((s) => !s.rare);
  const [left, right] = [main(a), main(b)];
  if (deniesOneOf(left, right) || deniesOneOf(right, left)) return true;
  return left.length > 0 && right.length > 0 && left.every((x) => right.every((y) => apart(x, y)));
}

/** `not black` beside `black or violet`: the one is denied, and the others are said beside it. */
function deniesOneOf(no: readonly State[], yes: readonly State[]): boolean {
  const [only] = no;
  return (
    only !== undefined &&
    no.length === 1 &&
    only.denied &&
    yes.every((s) => !s.denied) &&
    yes.some((s) => apart(only, s))
  );
}

/** Clusters may be of any of these kinds. */
const CLUSTER = /\bclusters?\b|\bBlütenst[aä]nde?/i;
const OF_A_KIND =
  /\b(?:racem|panicl|spik|umbel|cym|head|corymb|catkin)|\b(?:Ähre|Traube|Dolde|Rispe|Kopf|Köpf)/i;

/** Whether two states cannot be one. */
function apart(a: State, b: State): boolean {
  if (
    (CLUSTER.test(a.meaning) && OF_A_KIND.test(b.meaning)) ||
    (CLUSTER.test(b.meaning) && OF_A_KIND.test(a.meaning))
  )
    return false;
  if (a.denied && b.denied) return false;
  if (a.denied || b.denied) {
    const [no, yes] = a.denied ? [a, b] : [b, a];
    const all = (stems: ReadonlySet<string>) =>
      [...stems].every((s) => [...yes.stems].some((y) => sameStem(s, y) || y.endsWith(`-${s}`)));
    return (
      (no.anyOf ?? [no.stems]).some(all) && [...no.degrees].every((d) => yes.degrees.has(d) || WEAK.test(d))
    );
  }
  if (![...a.stems].some((s) => [...b.stems].some((t) => sameStem(s, t)))) return true;
  if (differBeside(a, b)) return true;
  if (a.times !== b.times) return true;
  const high = (s: State) => [...s.degrees].some((d) => HIGH_WORDS.has(d));
  const low = (s: State) => [...s.degrees].some((d) => LOW_WORDS.has(d));
  return (high(a) && low(b)) || (low(a) && high(b));
}
/** `widest near the tip`, `widest near the base`; `broadest above the middle`, `broadest near the middle`; `squarely truncate`. */
function differBeside(a: State, b: State): boolean {
  const [left, right] = [a, b].map((s) => s.meaning.split(' ').map(bare)) as [string[], string[]];
  const held = (words: string[]) =>
    words.filter(
      (w) =>
        !PREPOSITIONS.has(w) &&
        !ARTICLES.has(w) &&
        !DEGREE_WORDS.has(w) &&
        !AND_WORDS.has(w) &&
        SIDES_OF[w] === undefined,
    );
  const [x, y] = [held(left), held(right)];
  const shared = (w: string, other: readonly string[]) => other.some((o) => sameStem(stemOf(w), stemOf(o)));
  const [p, q] = [left, right].map((words) => words.filter((w) => SIDES_OF[w] !== undefined)) as [
    string[],
    string[],
  ];
  const same = x.every((w) => shared(w, y)) && y.every((w) => shared(w, x));
  if (same) return p.length === 1 && q.length === 1 && SIDES_OF[p[0] as string] !== SIDES_OF[q[0] as string];
  const [restA, restB] = [x.filter((w) => !shared(w, y)), y.filter((w) => !shared(w, x))];
  if (restA.length === 0 || restB.length === 0) return false;
  // What is said by a preposition of the same word: where, by what, of what.
  const begins =
    x[0] === y[0] && left.some((w) => PREPOSITIONS.has(w)) && right.some((w) => PREPOSITIONS.has(w));
  if (begins) return x.length - restA.length === 1;
  const manner = (rest: string[]) => rest.every((w) => /..ly$/.test(w));
  const shade = (rest: string[]) => rest.every((w) => isShade(w));
  return x.at(-1) === y.at(-1) && ((manner(restA) && manner(restB)) || (shade(restA) && shade(restB)));
}
const SIDES_OF: Readonly<Record<string, string>> = {
  at: 'at',
  near: 'at',
  on: 'at',
  above: 'above',
  over: 'above',
  below: 'below',
  beneath: 'below',
  under: 'below',
  within: 'within',
  outside: 'outside',
};
const WEAK = /^(?:truly|definite|distinctly|deutlich|very|sehr)$/;
