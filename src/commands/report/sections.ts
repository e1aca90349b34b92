import { verdictOn } from '../../engine/verdict.js';
import type { DroppedAnswer, RecordedAnswer } from '../../record/answers.js';
import { changesBetween, recordedName, traitText } from '../../record/changes.js';
import type { RecordedFind, RecordedTrait } from '../../record/find.js';
import type { KeyMark } from '../../record/key-mark.js';
import { recordToShow } from '../../record/shown.js';
import type {
  FindRecord,
  RecordedCandidate,
  RecordedDetermination,
  RecordedFurther,
  RecordedStep,
  RecordedTaxon,
} from '../../record/write.js';
import { count, listed } from '../../text/words.js';
import { concernText, type NamedTaxon, verdictText, withHarm } from '../../words/cautions.js';
import { coupletName } from '../../words/couplet.js';
import { pathFrom } from '../../words/paths.js';
import { changeItems } from '../../words/record-changes.js';

/** A line of a report on a record, with what belongs under it. */
interface RecordItem {
  readonly text: string;
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
  /** The verdict of the last finished determination comes before all else. */
  readonly verdict: string;
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
    verdict:
      last === undefined
        ? 'Not cleared. No determination of the find has been finished.'
        : `${verdictOf(last)}${determinations.length === 1 ? '' : ` (Determination ${number}, ${madeBy(last)}.)`}`,
    sections: [
      { heading: 'The find', level: 1, items: findItems(collection) },
      ...determinations.flatMap((d, i) => determinationSections(d, i, determinations)),
    ],
  };
}

/**
 * The verdict with its reason. It is worked out from the concerns of the candidates, so that no line of a record can
 * say more than they do.
 */
function verdictOf({ result }: RecordedDetermination): string {
  const spoken = (result?.candidates ?? []).map(spokenOf);
  const further = (result?.further ?? []).map(spokenOf);
  const all = [...spoken, ...further].map((s) => s.taxon);
  const why = (result?.further ?? []).map(furtherText);
  return verdictText(verdictOn(all), spoken, (result?.near ?? []).map(spokenOf), { taxa: further, why });
}

/** Why a recorded taxon is possible at worst. */
function furtherText({ name, concern, doubted = [], specimens = [] }: RecordedFurther): string {
  const taxon = withHarm({ name, concern: { level: concern } });
  const on = specimens.length === 0 ? '' : ` on ${listed(specimens)}`;
  return doubted.length > 0
    ? `If ${listed(doubted, 'or')} is wrong, which was doubted: ${taxon}${on}.`
    : `By what was not looked at${on}: ${taxon}.`;
}

function spokenOf({ name, concern, effect, onset }: RecordedTaxon): NamedTaxon {
  return {
    taxon: {
      name,
      concern: {
        level: concern,
        ...(effect === undefined ? {} : { effect }),
        ...(onset === undefined ? {} : { onset }),
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

function findItems(find: RecordedFind): RecordItem[] {
  const items = DETAIL_NAMES.flatMap(([name, words]): RecordItem[] =>
    find[name] === undefined ? [] : [{ text: `${words}: ${find[name]}` }],
  );
  return items.length > 0 ? items : [{ text: 'nothing was noted of where and when it was found' }];
}

function determinationSections(
  d: RecordedDetermination,
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
    ...part('The find, as it was given this time', differing),
    ...part('Seen on the find', evidenceItems(collection)),
    ...part(
      'Chosen beforehand',
      (collection.leads ?? []).map((l) => ({
        text: `${coupletName(l.couplet)}${l.lead} ${l.says[0] ?? ''}`,
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
    ...part('Verdict', [{ text: verdictOf(d) }]),
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
        ...(key.through === undefined ? [] : [`goes on in ${listed(key.through)}`]),
        `content ${key.hash}`,
      ],
    },
    ...begunWith.map((k) => ({
      text: `begun with version ${k.version} of it`,
      under: [...(k.through === undefined ? [] : [`went on in ${listed(k.through)}`]), `content ${k.hash}`],
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
    const where =
      specimen === undefined
        ? `on the find as a whole${stage === undefined ? '' : ` (${stage})`}`
        : `on specimen ${specimen}${stage === undefined ? ', age not noted' : ` (${stage})`}`;
    groups.set(where, [...(groups.get(where) ?? []), trait]);
  }
  return [...groups].map(([where, traits]) => ({
    text: `${where}:`,
    under: traits.map(({ specimen: _, stage: __, ...bare }) => traitText(bare)),
  }));
}

function answerItem(answer: RecordedAnswer): RecordItem {
  const { couplet, lead, says, beside = [], at, doubt, note, from, counts } = answer;
  const others = beside.map((b) => `${b.lead} ${b.says}`);
  const what = lead === '?' ? 'could not be told' : (says[0] ?? '');
  return {
    text: `${coupletName(couplet)}${lead} ${what}`,
    under: [
      ...(others.length === 0 ? [] : [`${lead === '?' ? 'asked' : 'not taken'}: ${others.join('; ')}`]),
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
