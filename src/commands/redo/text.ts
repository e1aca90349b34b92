import type { Changes } from '../../record/changes.js';
import type { RecordedDetermination } from '../../record/write.js';
import { harmless, harmlessLines, visibleJson } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { wrapLines } from '../../text/wrap.js';
import { coupletName, type LineStyle } from '../../words/couplet.js';
import { changeItems, verdictWords } from '../../words/record-changes.js';
import { csvCell } from '../../words/result-writers.js';

/** A record that was taken through another version of its key. */
export interface Redone {
  /** The file, as the person wrote it. */
  readonly file: string;
  readonly before: RecordedDetermination;
  readonly after: RecordedDetermination;
  readonly changes: Changes;
}

/** Whether the result is another: `changed` or `same`. */
function stateOf({ changes }: Redone): 'changed' | 'same' {
  return changes.changed ? 'changed' : 'same';
}

/** One record for people. */
export function redoneLines(redone: Redone, { width, paint }: LineStyle): string[] {
  const { file, before, after, changes } = redone;
  const words = changes.changed ? 'another result' : 'the same result';
  const keys =
    before.key.id !== after.key.id
      ? [`${keyWords(before)}, now ${keyWords(after)}`]
      : changes.keys.length === 0
        ? [`with the same text of ${after.key.id} ${after.key.version}`]
        : changes.keys;
  const items = changeItems(changes);
  const left =
    before.result === undefined ? ['it was left off before its end; what is possible is compared'] : [];
  const result =
    changes.changed || after.result === undefined
      ? []
      : [`${changes.name.after}, ${verdictWords(after.result.verdict)}`];
  return [
    ...wrapLines(
      `${paint.strong(harmless(after.collection.id))} (${harmless(file)}): ${changes.changed ? paint.alarm(words) : words}`,
      width,
      '',
      '  ',
    ),
    ...[...keys, ...left, ...result, ...items].flatMap((text) =>
      wrapLines(harmless(text), width, '  - ', '    '),
    ),
  ];
}

/** `tarn-wood-tufts 0.4.0 (continues in tarn-rust-spored 0.4.0)`. */
function keyWords({ key: { id, version, through = [] } }: RecordedDetermination): string {
  return `${id} ${version}${through.length === 0 ? '' : ` (continues in ${listed(through)})`}`;
}

/** One record for programs, a line of JSON: the order of the properties is part of the format. */
export function redoneJson(redone: Redone): string {
  const { file, before, after, changes } = redone;
  const data = {
    record: file,
    collection: after.collection.id,
    state: stateOf(redone),
    key: {
      before: keyData(before),
      after: keyData(after),
    },
    name: changes.name,
    verdict: { before: changes.verdict.before ?? null, after: changes.verdict.after ?? null },
    gone: changes.gone,
    came: changes.came,
    altered: changes.altered,
    parting: changes.parting ?? null,
    lost: changes.dropped.map(({ couplet, lead, says, why }) => ({
      couplet,
      lead,
      says: says[0] ?? null,
      why,
    })),
    partly: changes.partly.map(({ couplet, lead, from, when }) => ({
      from: from ?? `${couplet}${lead}`,
      when: when ?? null,
    })),
    moved: changes.moved.map(({ couplet, lead, from }) => ({ from, to: `${couplet}${lead}` })),
    opened: changes.opened,
    notUnderstood: changes.unread,
    keysChanged: changes.keys,
    meansOtherwise: changes.otherwise,
  };
  return `${visibleJson(JSON.stringify(data))}\n`;
}

/** A key with the versions of those that it continues in. */
function keyData({ key: { id, version, through = [], hash } }: RecordedDetermination): object {
  return { id, version, through, hash };
}

const HEADINGS = [
  'record',
  'id',
  'state',
  'version_before',
  'version_after',
  'name_before',
  'name_after',
  'verdict_before',
  'verdict_after',
  'concern_before',
  'concern_after',
  'gone',
  'came',
  'parts_at',
  'why',
  'answers_lost',
  'to_be_answered',
  'not_understood',
  'keys_changed',
  'means_otherwise',
] as const;

/** The first line of the table. */
export function redoneHead(): string {
  return `${HEADINGS.join(',')}\n`;
}

/** One record as a row of a table; several things in a cell are joined by ` | `. */
export function redoneRow(redone: Redone): string {
  const { file, before, after, changes } = redone;
  const { name, verdict, gone, came, parting, dropped, opened, unread, otherwise, keys } = changes;
  const cells = [
    file,
    after.collection.id,
    stateOf(redone),
    before.key.version,
    after.key.version,
    name.before,
    name.after,
    verdict.before?.word ?? '',
    verdict.after?.word ?? '',
    verdict.before?.worst ?? '',
    verdict.after?.worst ?? '',
    gone.map((t) => t.name).join(' | '),
    came.map((t) => t.name).join(' | '),
    parting === undefined ? '' : coupletName(parting.couplet),
    parting?.why ?? '',
    dropped.map((d) => `${coupletName(d.couplet)}${d.lead}: ${d.why}`).join(' | '),
    opened.map(coupletName).join(' | '),
    unread.join(' | '),
    keys.join(' | '),
    otherwise.join(' | '),
  ];
  return harmlessLines(`${cells.map((c) => csvCell(harmless(c))).join(',')}\n`);
}
