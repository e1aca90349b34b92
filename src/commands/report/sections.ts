import type { Verdict } from '../../engine/outcome.js';
import { verdictOn } from '../../engine/verdict.js';
import type { DroppedAnswer, RecordedAnswer } from '../../record/answers.js';
import { changesBetween, recordedName, traitText } from '../../record/changes.js';
import type { RecordedFind } from '../../record/find.js';
import type { KeyMark } from '../../record/key-mark.js';
import { recordToShow } from '../../record/shown.js';
import type { RecordedTrait } from '../../record/trait.js';
import type {
  FindRecord,
  RecordedCandidate,
  RecordedDetermination,
  RecordedFurther,
  RecordedResult,
  RecordedStep,
  RecordedTaxon,
} from '../../record/write.js';
import { defined } from '../../text/optional.js';
import { count, listed } from '../../text/words.js';
import { concernText, type Further, verdictText, whyBesides, withHarm } from '../../words/cautions.js';
import { coupletName } from '../../words/couplet.js';
import { nameWithDoubt } from '../../words/determination.js';
import { pathFrom } from '../../words/paths.js';
import { changeItems } from '../../words/record-changes.js';
import type { Summary, SummaryTaxon } from '../../words/summary.js';

/** A line of a report on a record, with what belongs under it. */
interface RecordItem {
  readonly text: string;
  /** The file of the photograph that it names, as it stands in the record. */
  readonly photograph?: string;
  readonly under?: readonly string[];
}

/** A part of the report: a heading and lines; `level` 1 begins a determination. */
interface RecordSection {
  readonly heading: string;
  readonly level: 1 | 2;
  readonly items: readonly RecordItem[];
}

/** What a record says, for people. No text in it has been made fit for a terminal or for Markdown yet. */
export interface RecordReport {
  readonly title: string;
  /** What the last finished determination came to, for one screen. */
  readonly summary: Summary;
  readonly sections: readonly RecordSection[];
}

/** Makes a report of a record, from the record alone. */
export function recordReport(record: FindRecord): RecordReport {
  const { collection, determinations } = recordToShow(record);
  const finished = determinations.filter((d) => d.result !== undefined);
  const last = finished.at(-1);
  const number = last === undefined ? 0 : determinations.indexOf(last) + 1;
  return {
    title: `Record of ${collection.id}`,
    summary:
      last?.result === undefined
        ? unfinished(collection.id)
        : summaryOf(last, last.result, number, determinations.length),
    sections: [
      { heading: 'The find', level: 1, items: findItems(collection, record.collection) },
      ...determinations.flatMap((d, i) =>
        determinationSections(d, record.determinations[i]?.collection, i, determinations),
      ),
    ],
  };
}

/** What the last finished determination came to, for one screen. */
function summaryOf(d: RecordedDetermination, result: RecordedResult, number: number, of: number): Summary {
  const { key, collection } = d;
  const { candidates, further = [], near = [], name, qualifier, warnings = [], way } = result;
  const doubted = d.answers.filter((a) => a.doubt !== undefined);
  const which = of === 1 ? '' : `, determination ${number} of ${of}`;
  const verdict = verdictFrom(result);
  const possible = candidates.map(spokenOf);
  return {
    heading: `${collection.id}${which}, ${madeBy(d)}, with ${key.id} ${key.version}`,
    verdict,
    says: verdictText(verdict, possible, furtherOf(result)),
    name: nameWithDoubt(name, qualifier),
    candidates: possible,
    further: whyBesides(verdict, possible, furtherOf(result)),
    // What is possible at worst is named with its reason already.
    near: near
      .filter((n) => !further.some((f) => f.taxon === n.taxon))
      .map((n) => ({ ...spokenOf(n), again: n.recheck.map(coupletName) })),
    looks: way.filter((step) => step.decided === 'open').map(openText),
    remarks: [
      ...doubted.map((a) => `in doubt: ${coupletName(a.couplet)}${a.lead} (${a.doubt ?? ''})`),
      ...warnings.filter((text) => !near.some((n) => text.startsWith(`${n.name} (${n.concern}) is `))),
    ],
  };
}

/** What a recorded result leaves possible at worst, with the reasons. */
function furtherOf({ further = [] }: RecordedResult): Further {
  return { taxa: further.map(spokenOf), why: further.map(furtherText) };
}

/** Why a recorded taxon is possible at worst. */
function furtherText({ name, concern, doubted = [], specimens = [] }: RecordedFurther): string {
  const taxon = withHarm({ name, concern: { level: concern } });
  const on = specimens.length === 0 ? '' : ` on ${listed(specimens)}`;
  return doubted.length > 0
    ? `If ${listed(doubted.map(coupletName), 'or')} is wrong, which was doubted: ${taxon}${on}.`
    : `By what was not looked at${on}: ${taxon}.`;
}

function unfinished(id: string): Summary {
  return {
    heading: id,
    verdict: { word: 'not cleared', settled: false },
    says: 'Not cleared. No determination of the find has been finished.',
    ...{ name: undefined, candidates: [], further: [], near: [], looks: [], remarks: [] },
  };
}

/** A couplet that was left open, in the words of the leads that were possible. */
function openText({ couplet, going }: RecordedStep): string {
  return `couplet ${coupletName(couplet)}: ${listed(
    going.map((g) => g.says),
    'or',
  )}`;
}

/** The verdict is worked out from the concerns of what is possible, so that no line of a record can say more than they do. */
function verdictFrom({ candidates, further = [] }: RecordedResult): Verdict {
  return verdictOn([...candidates, ...further].map((c) => spokenOf(c).taxon));
}

function spokenOf({ name, common = [], concern, effect, onset }: RecordedTaxon): SummaryTaxon {
  return {
    taxon: {
      name,
      common,
      concern: {
        level: concern,
        ...defined({ effect, onset }),
      },
    },
  };
}

const DETAIL_NAMES = [
  ['date', 'found on'],
  ['place', 'place'],
  ['region', 'region'],
  ['habitat', 'habitat'],
  ['by', 'collected by'],
  ['note', 'note'],
] as const;

/** `recorded` is the same find as it stands in the record, where the names of files are what they are. */
function findItems(find: RecordedFind, recorded: RecordedFind): RecordItem[] {
  const details = DETAIL_NAMES.flatMap(([name, words]): RecordItem[] =>
    find[name] === undefined ? [] : [{ text: `${words}: ${find[name]}` }],
  );
  const items = [...details, ...photographItems(find, recorded)];
  return items.length > 0 ? items : [{ text: 'nothing was noted of where and when it was found' }];
}

function photographItems(find: RecordedFind, recorded: RecordedFind | undefined): RecordItem[] {
  return (find.photographs ?? []).map(({ file, specimen, caption, date }, i) => {
    const photograph = recorded?.photographs?.[i]?.file;
    const of = specimen === undefined ? '' : ` of specimen ${specimen}`;
    const taken = date === undefined ? '' : `, taken ${date}`;
    return {
      text: `photograph${of}: ${file}${caption === undefined ? '' : `, ${caption}`}${taken}`,
      ...(photograph === undefined ? {} : { photograph }),
    };
  });
}

function determinationSections(
  d: RecordedDetermination,
  recorded: RecordedFind | undefined,
  index: number,
  all: readonly RecordedDetermination[],
): RecordSection[] {
  const { result, collection, answers, dropped = [], unread = [], notes = [] } = d;
  const before = all[index - 1];
  const top = all[0]?.collection;
  const differing = DETAIL_NAMES.flatMap(([name, words]): RecordItem[] =>
    index === 0 || collection[name] === undefined || collection[name] === top?.[name]
      ? []
      : [{ text: `${words}: ${collection[name]}` }],
  );
  const photographs =
    index === 0 || JSON.stringify(collection.photographs) === JSON.stringify(top?.photographs)
      ? []
      : photographItems(collection, recorded);
  const part = (heading: string, items: readonly RecordItem[]): RecordSection[] =>
    items.length === 0 ? [] : [{ heading, level: 2, items }];
  const steps = (decided: RecordedStep['decided'], words: (s: RecordedStep) => string) =>
    (result?.way ?? []).filter((s) => s.decided === decided).map((s) => ({ text: words(s) }));
  const unsure = new Set(answers.filter((a) => a.lead === '?').map((a) => a.couplet));
  return [
    {
      heading: `Determination ${index + 1} of ${all.length}: ${recordedName(d)}`,
      level: 1,
      items: headItems(d),
    },
    ...part('The find, as it was given this time', [...differing, ...photographs]),
    ...part('Seen on the find', evidenceItems(collection)),
    ...part(
      'Chosen beforehand',
      (collection.leads ?? []).map((l) => ({
        text: `${coupletName(l.couplet)}${l.lead} ${l.says[0] ?? ''}${l.doubted === true ? ' (in doubt)' : ''}`,
      })),
    ),
    ...part(
      'Evidence that the key did not understand',
      unread.map((text) => ({ text })),
    ),
    ...part('Answers, in the order in which they were given', answers.map(answerItem)),
    ...part('Answers that no longer held with this version of the key', dropped.map(droppedItem)),
    ...part(
      'Notes',
      notes.map((n) => ({
        text: `couplet ${coupletName(n.couplet)}: ${[n.note, n.doubt].filter((t) => t !== undefined).join('; ')}`,
      })),
    ),
    ...part(
      'Decided by what was known',
      steps('evidence', (s) =>
        s.going.length === 0
          ? `couplet ${coupletName(s.couplet)}: no lead fits`
          : s.going.map((g) => `${coupletName(s.couplet)}${g.lead} ${g.says}`).join('; '),
      ),
    ),
    ...part(
      'Left open',
      steps(
        'open',
        (s) =>
          `couplet ${coupletName(s.couplet)}: ${listed(
            s.going.map((g) => g.lead),
            'or',
          )} (${unsure.has(s.couplet) ? 'could not be told' : 'not asked'})`,
      ),
    ),
    ...resultSections(d, part),
    ...part(
      'What is different from the determination before',
      before === undefined ? [] : differences(before, d),
    ),
  ];
}

function resultSections(
  d: RecordedDetermination,
  part: (heading: string, items: readonly RecordItem[]) => RecordSection[],
): RecordSection[] {
  const { result } = d;
  if (result === undefined)
    return part('Left off before the end; still possible', [
      { text: d.possible.length === 0 ? 'nothing in the key' : listed(d.possible) },
    ]);
  const { candidates, near = [], warnings = [] } = result;
  return [
    ...part(
      candidates.length === 1 ? 'Possible' : `Possible: ${count(candidates.length, 'taxon', 'taxa')}`,
      candidates.length === 0
        ? [{ text: 'nothing in the key' }]
        : candidates.map((c) => candidateItem(c, d.key)),
    ),
    ...part(
      'One wrong look away, and harmful',
      near.map((n) => ({
        text: n.name,
        under: [concernText(spokenOf(n).taxon.concern), `look again at: ${listed(n.recheck)}`],
      })),
    ),
    ...part(
      'Bear in mind',
      warnings.map((text) => ({ text })),
    ),
    ...part('Verdict', [
      { text: verdictText(verdictFrom(result), candidates.map(spokenOf), furtherOf(result)) },
    ]),
  ];
}

function madeBy({ by, ended, started }: RecordedDetermination): string {
  return `${by === undefined ? 'nobody named' : `by ${by}`}, ${minute(ended ?? started)}`;
}

/** `2026-10-18 16:24 UTC`. */
function minute(instant: string): string {
  return `${instant.slice(0, 16).replace('T', ' ')} UTC`;
}

function headItems(d: RecordedDetermination): RecordItem[] {
  const { by, started, ended, key, begunWith = [], redoneFrom, note, program } = d;
  const times = `begun ${minute(started)}, ${ended === undefined ? 'not finished' : `finished ${minute(ended)}`}`;
  return [
    { text: `${by === undefined ? 'it is not said who made it' : `made by ${by}`}; ${times}` },
    {
      text: `with the key ${key.id} ${key.version}: ${key.title}`,
      under: [
        ...(key.through === undefined ? [] : [`continues in ${listed(key.through)}`]),
        `content ${key.hash}`,
      ],
    },
    ...begunWith.map((k) => ({
      text: `begun with version ${k.version} of it`,
      under: [...(k.through === undefined ? [] : [`continued in ${listed(k.through)}`]), `content ${k.hash}`],
    })),
    ...(redoneFrom === undefined
      ? []
      : [
          {
            text: `evidence and answers were taken over from determination ${redoneFrom}; nobody was asked again`,
          },
        ]),
    ...(note === undefined ? [] : [{ text: `note: ${note}` }]),
    { text: `written by ${program}` },
  ];
}

/** `2026-10-18 16:24:31 UTC`. */
function second(instant: string): string {
  return `${instant.slice(0, 19).replace('T', ' ')} UTC`;
}

/** What was seen, by specimen and age: for each character that, too, tells how it is known. */
function evidenceItems({ evidence = [] }: RecordedFind): RecordItem[] {
  const groups = new Map<string, RecordedTrait[]>();
  for (const trait of evidence) {
    const { specimen, stage } = trait;
    const where = onWhat(specimen, stage);
    groups.set(where, [...(groups.get(where) ?? []), trait]);
  }
  return [...groups].map(([where, traits]) => ({
    text: `${where}:`,
    under: traits.map(({ specimen: _, stage: __, ...bare }) => traitText(bare)),
  }));
}

/** On what something was seen. */
function onWhat(specimen: string | undefined, stage: string | undefined): string {
  if (specimen === undefined) return `on the find as a whole${stage === undefined ? '' : ` (${stage})`}`;
  return `on specimen ${specimen}${stage === undefined ? ', age not noted' : ` (${stage})`}`;
}

function answerItem(answer: RecordedAnswer): RecordItem {
  const { couplet, lead, says, beside = [], at, specimen, stage, doubt, note, from, counts } = answer;
  const others = beside.map((b) => `${b.lead} ${b.says}`);
  const what = lead === '?' ? 'could not be told' : (says[0] ?? '');
  return {
    text: `${coupletName(couplet)}${lead} ${what}`,
    under: [
      ...(others.length === 0 ? [] : [`${lead === '?' ? 'asked' : 'not taken'}: ${others.join('; ')}`]),
      ...(specimen === undefined && stage === undefined ? [] : [`seen ${onWhat(specimen, stage)}`]),
      ...(doubt === undefined ? [] : [`in doubt: ${doubt}`]),
      ...(note === undefined ? [] : [`note: ${note}`]),
      ...(from === undefined ? [] : [`given as ${coupletName(from)}`]),
      ...(counts === undefined ? [] : ['counts only for what it says of the find']),
      `answered ${second(at)}`,
    ],
  };
}

function droppedItem(answer: DroppedAnswer): RecordItem {
  const { text, under = [] } = answerItem(answer);
  return { text: `${text}: ${answer.why}`, under };
}

function candidateItem(candidate: RecordedCandidate, key: KeyMark): RecordItem {
  const { name, path, open = 0, synonyms = [] } = candidate;
  return {
    text: name,
    under: [
      concernText(spokenOf(candidate).taxon.concern),
      `path ${pathFrom(path, key.id)}${open === 0 ? '' : `; ${count(open, 'lead')} of it open`}`,
      ...(synonyms.length === 0 ? [] : [`also called ${listed(synonyms)}`]),
    ],
  };
}

function differences(before: RecordedDetermination, after: RecordedDetermination): RecordItem[] {
  const changes = changesBetween(before, after);
  const items = changeItems(changes);
  const key =
    before.key.id !== after.key.id
      ? [`another key: ${after.key.id} ${after.key.version}; before: ${before.key.id} ${before.key.version}`]
      : changes.keys.map((change) => `another version of the key: ${change}`);
  const by =
    before.by === after.by
      ? []
      : [`made by ${after.by ?? 'nobody named'}; before: ${before.by ?? 'nobody named'}`];
  const answers = reanswered(before, after);
  const all = [...by, ...key, ...answers, ...items];
  return all.length === 0 ? [{ text: 'nothing' }] : all.map((text) => ({ text }));
}

/** Couplets of the same words that were answered otherwise. */
function reanswered(before: RecordedDetermination, after: RecordedDetermination): string[] {
  const mark = (a: RecordedAnswer) =>
    JSON.stringify([...(a.beside ?? []).map((b) => b.says), ...a.says].sort());
  const old = new Map(before.answers.map((a) => [mark(a), a]));
  return after.answers.flatMap((a) => {
    const was = old.get(mark(a));
    if (was === undefined || (was.lead === a.lead && was.says[0] === a.says[0])) return [];
    return [`answer ${coupletName(a.couplet)}${a.lead}; before: ${coupletName(was.couplet)}${was.lead}`];
  });
}
