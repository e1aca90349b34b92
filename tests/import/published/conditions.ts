/**
 * Holds the conditions that `import` proposes against what a careful reader would ask of the same leads
 * (`conditions.yaml`). A lead is reached when something is proposed for it that the reader would write, and right when nothing
 * else is. Numbers are compared as numbers, with what "about" may add; words by their stems, in any order.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'yaml';
import { importDocument } from '../../../src/commands/import/document.js';
import { slug } from '../../../src/text/slug.js';
import { readNumbers } from '../../../src/traits/notation.js';
import { findUnit, ONE } from '../../../src/traits/units.js';
import { type PrintedKeys, readAndMatched } from './score.js';

/** One thing that may be asked of a lead. */
interface Test {
  readonly parts: readonly string[];
  readonly values: readonly string[];
  readonly usually: boolean;
}

/** A lead of a key file, with what is proposed for it. */
interface Proposed {
  readonly lead: string;
  readonly when?: unknown;
  readonly usually?: unknown;
}

/** What became of the leads of one text. */
export interface ConditionScore {
  /** Leads that a reader would give a condition, and those of them that have one. */
  contrasting: number;
  reached: number;
  /** Leads with a proposal, and those of them where all of it is what a reader would write. */
  proposed: number;
  right: number;
  /** What is missing or wrong, for looking into. */
  readonly missed: string[];
  readonly wrong: string[];
}

/** Texts that were drawn before the tuning and not looked at during it; the rates of both are held. */
export const HELD_OUT: ReadonlySet<string> = new Set([
  'alexander-1919-dicranoptycha',
  'apgar-1892-genera',
  'gleason-1918-anacardiaceae',
  'gleason-1918-groups',
  'macbride-1922-hemitrichia',
  'macbride-1922-physaraceae',
  'macbride-1922-physarum',
  'tilton-1922-woodsias',
]);

/** Characters of a key file; the words of a state are its id where the file has no others. */
type Characters = Record<
  string,
  {
    readonly name: string;
    readonly states?: readonly string[] | Readonly<Record<string, string>>;
  }
>;

type Judged = Record<string, Record<string, readonly string[]>>;

/** The scores of all judged texts by name. `folder` holds prints/raw and prints/truth; a path of the judgement may be given. */
export function conditionScores(
  folder: string,
  judgement = fileURLToPath(new URL('conditions.yaml', import.meta.url)),
): ReadonlyMap<string, ConditionScore> {
  const judged = parse(readFileSync(judgement, 'utf8'), {
    schema: 'failsafe',
  }) as Judged;
  return new Map(
    Object.entries(judged).map(([name, couplets]) => {
      const text = readFileSync(join(folder, 'prints', 'raw', `${name}.txt`), 'utf8');
      const printed = JSON.parse(
        readFileSync(join(folder, 'prints', 'truth', `${name}.json`), 'utf8'),
      ) as PrintedKeys;
      return [name, scoreOfText(text, printed, couplets)];
    }),
  );
}

/**
 * The scores of the first key of judged journal articles (`article-conditions.yaml`), which were judged before anything that is
 * proposed for them was seen. `folder` holds journals.
 */
export async function articleScores(folder: string): Promise<ReadonlyMap<string, ConditionScore>> {
  const path = fileURLToPath(new URL('article-conditions.yaml', import.meta.url));
  const judged = parse(readFileSync(path, 'utf8'), {
    schema: 'failsafe',
  }) as Judged;
  const scores = new Map<string, ConditionScore>();
  for (const [name, couplets] of Object.entries(judged)) {
    const text = readFileSync(join(folder, 'journals', `${name}.xml`), 'utf8');
    const [first] = (await importDocument(text, { file: `${name}.xml` })).keys;
    const key = parse(first?.text ?? '', { schema: 'failsafe' }) as {
      characters?: Characters;
      couplets: Record<string, readonly Proposed[]>;
    };
    const score = noScore();
    for (const [id, leads] of Object.entries(couplets))
      leads.forEach((said, i) => {
        const lead = key.couplets[id]?.[i];
        if (lead === undefined) throw new Error(`${name} has no lead ${i + 1} in couplet ${id}`);
        rate(score, `${id} ${i + 1}`, said, lead, key.characters ?? {});
      });
    scores.set(name, score);
  }
  return scores;
}

function noScore(): ConditionScore {
  return {
    contrasting: 0,
    reached: 0,
    proposed: 0,
    right: 0,
    missed: [],
    wrong: [],
  };
}

function scoreOfText(
  text: string,
  printed: PrintedKeys,
  judged: Record<string, readonly string[]>,
): ConditionScore {
  const { couplets, got, result } = readAndMatched(text, printed);
  const characters: Characters = {};
  for (const key of result.keys)
    Object.assign(
      characters,
      (parse(key.text, { schema: 'failsafe' }) as { characters?: Characters }).characters,
    );
  const score = noScore();
  for (const [id, leads] of Object.entries(judged)) {
    const couplet = couplets.find((c) => c.id === id);
    if (couplet === undefined) throw new Error(`the print has no couplet ${id}`);
    leads.forEach((said, i) => {
      const lead = couplet.leads[i];
      if (lead === undefined) throw new Error(`couplet ${id} of the print has no lead ${i + 1}`);
      const read = got.get(lead);
      const own =
        read === undefined ? undefined : { lead: read.text, when: read.when, usually: read.usually };
      rate(score, `${id} ${i + 1}`, said, own, characters);
    });
  }
  return score;
}

function rate(
  score: ConditionScore,
  label: string,
  said: string,
  read: Proposed | undefined,
  characters: Characters,
): void {
  const expected = said === 'none' ? [] : said.split(/;\s+/).map(testOf);
  const proposed =
    read === undefined
      ? []
      : [...testsOf(read.when, characters, false), ...testsOf(read.usually, characters, true)];
  const fits = proposed.map((p) => expected.some((e) => agree(e, p)));
  if (expected.length > 0) {
    score.contrasting++;
    if (fits.includes(true)) score.reached++;
    else if (proposed.length === 0) score.missed.push(`${label}: ${read?.lead ?? ''}`);
  }
  if (proposed.length === 0) return;
  score.proposed++;
  if (fits.every((f) => f)) score.right++;
  else
    score.wrong.push(
      `${label}: ${JSON.stringify(read?.when ?? null)} ${read?.usually === undefined ? '' : `usually ${JSON.stringify(read.usually)} `}of ${read?.lead ?? ''}`,
    );
}

/** A test of the judgement: `usually part part = value, value`. */
function testOf(said: string): Test {
  const [left = '', right = ''] = said.replace(/^usually /, '').split(/\s+=\s+/);
  return {
    parts: left.split(/[ -]/).map(partStem),
    values: right.replace(/^"(.*)"$/, '$1').split(/,\s+/),
    usually: said.startsWith('usually '),
  };
}

function testsOf(condition: unknown, characters: Characters, usually: boolean): Test[] {
  return Object.entries((condition ?? {}) as Record<string, unknown>).map(([id, value]) => ({
    parts: slug(`${id} ${characters[id]?.name ?? ''}`, 400)
      .split('-')
      .map(partStem),
    values: [value].flat().map((v) => {
      const denied = (v as { not?: string }).not;
      if (denied !== undefined) return `not ${denied}`;
      const { states } = characters[id] ?? {};
      if (states === undefined || Array.isArray(states)) return String(v);
      return (states as Readonly<Record<string, string>>)[String(v)] ?? String(v);
    }),
    usually,
  }));
}

function agree(expected: Test, proposed: Test): boolean {
  // What only supports a lead may be written weaker than the reader would, never stronger.
  if (expected.usually && !proposed.usually) return false;
  if (
    !WHOLE.some((w) => proposed.parts.includes(partStem(w))) &&
    !expected.parts.some((p) => proposed.parts.includes(p))
  )
    return false;
  const [a, b] = [numbersOf(expected.values), numbersOf(proposed.values)];
  if (a !== undefined || b !== undefined) return a !== undefined && b !== undefined && near(a, b);
  const [left, right] = [expected.values.map(wordsOf).sort(), proposed.values.map(wordsOf).sort()];
  return left.join('|') === right.join('|');
}

type Spans = readonly (readonly [low: number, high: number])[];

function numbersOf(values: readonly string[]): Spans | undefined {
  const text = values.join(' or ');
  const unit = findUnit(/[a-z%]+$/i.exec(text)?.[0] ?? '1') ?? ONE;
  const read = readNumbers(text, { whole: false, unit });
  if (!read.ok) return undefined;
  const { intervals } = read.value.possible;
  const whole = unit === ONE && !/[.<>]/.test(text);
  // `2 or 3` and `2-3` are the same count.
  return whole && intervals.length > 1
    ? [[intervals[0]?.low ?? 0, intervals.at(-1)?.high ?? 0]]
    : intervals.map((i) => [i.low, i.high]);
}

/** The same numbers, or so near that only "about" lies between. */
function near(a: Spans, b: Spans): boolean {
  const close = (x: number, y: number) => x === y || Math.abs(x - y) <= 0.02 * Math.abs(x);
  return (
    a.length === b.length &&
    a.every(([low, high], i) => close(low, b[i]?.[0] ?? NaN) && close(high, b[i]?.[1] ?? NaN))
  );
}

const FILLERS = new Set(
  'the a an of or oder is are be in with und and der die das des dem den mit'.split(' '),
);
const SAME: Readonly<Record<string, string>> = Object.fromEntries([
  ...'absent none no without wanting lacking missing fehlend ohne'.split(' ').map((w) => [w, 'absent']),
  ...'present with vorhanden'.split(' ').map((w) => [w, 'present']),
  ...'not never nicht nie niemals kein non'.split(' ').map((w) => [w, 'not']),
]);

function wordsOf(value: string): string {
  const words = slug(value, 400).split('-');
  const said = words.flatMap((w) => SAME[w] ?? (FILLERS.has(w) ? [] : [stem(w)]));
  return (said.length === 0 ? words.map((w) => SAME[w] ?? w) : said).sort().join(' ');
}

/** Parts as they are called in the singular, and written out. */
const ONE_PART: Readonly<Record<string, string>> = Object.fromEntries(
  `teeth tooth, sori sorus, feet foot, elytra elytron, blaett blatt, blaetter blatt, bltn bluete, blueten bluete, fr frucht, fruechte frucht,
  stbblaett staubblatt, staubblaetter staubblatt, blblaett blumenblatt, blumenblaetter blumenblatt, frkn fruchtknoten,
  blkr blumenkrone, bltnhuelle bluetenhuelle, pfl pflanze, frhaeufchen fruchthaeufchen`
    .split(',')
    .map((pair) => pair.trim().split(/\s+/) as [string, string]),
);
const WHOLE = ['whole', 'ganzes'];

/** The same for the singular and the plural. */
function partStem(word: string): string {
  let last = ONE_PART[word] ?? word;
  for (let next = stem(last); next !== last; next = stem(last)) last = next;
  return last;
}

function stem(word: string): string {
  return word.length < 4
    ? word
    : word.replace(/ves$/, 'f').replace(/(?<=...)(?:ium|ia|es|s|en|er|em|e|n)$/, '');
}

/** The sum of scores. */
export function sumOfConditions(scores: Iterable<ConditionScore>): ConditionScore {
  const sum = noScore();
  for (const score of scores) {
    for (const field of ['contrasting', 'reached', 'proposed', 'right'] as const) sum[field] += score[field];
    sum.missed.push(...score.missed);
    sum.wrong.push(...score.wrong);
  }
  return sum;
}

/** Two lines: the texts that were tuned on and those held out. */
export function conditionLines(scores: ReadonlyMap<string, ConditionScore>): string {
  const part = (held: boolean) =>
    sumOfConditions([...scores].filter(([name]) => HELD_OUT.has(name) === held).map(([, s]) => s));
  return [
    ['texts tuned on', part(false)] as const,
    ['texts held out', part(true)] as const,
    ['all', sumOfConditions(scores.values())] as const,
  ]
    .map(
      ([name, { contrasting, reached, proposed, right }]) =>
        `conditions, ${name}: ${reached} of ${contrasting} contrasting leads have one (${percent(reached, contrasting)}); ${right} of ${proposed} proposed are right (${percent(right, proposed)})`,
    )
    .join('\n');
}

function percent(part: number, whole: number): string {
  return whole === 0 ? '-' : `${((100 * part) / whole).toFixed(1)} %`;
}
