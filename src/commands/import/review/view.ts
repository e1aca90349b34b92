/** A couplet in review as a person sees it: what the print says on top, and below it how it was read. */
import type { Finding } from '../../../diagnostic/finding.js';
import { valueAt } from '../../../key/data-path.js';
import type { Data, DataMap } from '../../../key/document.js';
import { asMap } from '../../../key/fields.js';
import type { Couplet, Key, Lead } from '../../../key/key.js';
import { inline } from '../../../key/write.js';
import { REVIEW } from '../../../lint/review-marks.js';
import { quotedIfClearing } from '../../../text/clearing.js';
import { harmless } from '../../../text/harmless.js';
import type { Paint } from '../../../text/paint.js';
import { displayWidth, withDotLeader, wrapLines } from '../../../text/wrap.js';
import { faultText } from './change.js';
import { linesAt, type Printed } from './printed.js';
import { causeOf, isOpen, type ReviewedKey } from './state.js';

/** The print beside which a key is reviewed. */
export type PrintBeside =
  | {
      readonly kind: 'here';
      readonly print: Printed /** Whether it is another text than the one that was imported. */;
      readonly changed: boolean;
    }
  /** It was not found, or is not known. */
  | { readonly kind: 'missing'; readonly name: string | undefined };

/** How wide, and in which colours. */
export interface ViewStyle {
  readonly width: number;
  readonly paint: Paint;
}

/** Why a couplet is shown, after its number. */
const STATE = {
  doubtful: 'doubtful',
  likely: 'likely',
  proposed: 'with proposals',
  'no end': 'with a lead without an end',
  fault: 'with a fault',
} as const;

/** All that there is to see of a couplet. */
export function coupletView(
  state: ReviewedKey,
  id: string,
  beside: PrintBeside,
  progress: string,
  style: ViewStyle,
  /** Whether lines that stand beside those of the couplet are shown. */
  context = true,
): string[] {
  const { paint, width } = style;
  const marks = state.marks.get(id);
  const couplet = state.key.couplets.get(id);
  if (couplet === undefined) return [];
  const cause = causeOf(state, id);
  const named = `Couplet ${harmless(id)}, ${cause === undefined ? 'reviewed' : STATE[cause]}`;
  return [
    ...wrapLines(`${paint.strong(named)} (${progress})`, width, '', '  '),
    ...headMarks(state, id).flatMap((text) => wrapLines(harmless(text), width, '  - ', '    ')),
    ...faultsShown(state, couplet).flatMap((f) =>
      wrapLines(`error: ${harmless(faultText(f))}`, width, '  ! ', '    '),
    ),
    ...printLines(beside, marks?.head?.lines, style, context),
    paint.strong('Reading'),
    ...couplet.leads.flatMap((lead) => leadView(state, lead, style)),
  ];
}

/** The errors of a couplet, but for those that a lead has no end, which is seen at its lead. */
function faultsShown({ key, faults }: ReviewedKey, { id, leads }: Couplet): readonly Finding[] {
  const open = leads.filter((lead) => isOpen(key, lead));
  return (faults.get(id) ?? []).filter(
    (f) => f.rule !== 'one-target' || !open.some((lead) => String(f.place.path[2]) === String(lead.path[2])),
  );
}

/** What is marked of the couplet as a whole. */
function headMarks({ key, marks }: ReviewedKey, id: string): string[] {
  const from = key.yaml.place(['couplets', id], 'name').start.line;
  return (marks.get(id)?.marks ?? []).flatMap((m) => (m.start.line < from ? [saidBy(m.text)] : []));
}

/** What a mark says. */
function saidBy(comment: string): string {
  return comment.replace(/^#\s*/, '').slice(REVIEW.length).trim();
}

/** What is marked inside a lead. */
function leadMarks({ key, marks }: ReviewedKey, lead: Lead): string[] {
  const [, id] = lead.path;
  const couplet = key.couplets.get(String(id));
  const from = key.yaml.place(lead.path).start.line;
  const next = couplet?.leads[couplet.leads.indexOf(lead) + 1];
  const end = next === undefined ? Number.POSITIVE_INFINITY : key.yaml.place(next.path).start.line;
  return (marks.get(String(id))?.marks ?? []).flatMap((m) =>
    m.start.line >= from && m.start.line < end ? [saidBy(m.text)] : [],
  );
}

function printLines(
  beside: PrintBeside,
  named: string | undefined,
  { width, paint }: ViewStyle,
  context: boolean,
): string[] {
  if (beside.kind === 'missing') {
    const name = beside.name === undefined ? '' : ` of ${harmless(beside.name)}`;
    const where = named === undefined ? 'the print' : `${named}${name}`;
    return wrapLines(`${paint.strong('Print')}: ${where} (not here)`, width, '', '  ');
  }
  const { print, changed } = beside;
  const said = changed ? ' (the print has changed since)' : '';
  if (named === undefined)
    return wrapLines(`${paint.strong('Print')}: no lines are named${said}`, width, '', '  ');
  const lines = linesAt(print, named).filter(({ own }) => own || context);
  const digits = String(lines.at(-1)?.number ?? 1).length;
  return [
    ...wrapLines(`${paint.strong('Print')}, ${named}${said}`, width, '', '  '),
    ...(lines.length === 0 ? ['  (the print has no such lines)'] : []),
    ...lines.flatMap(({ number, text, own }, i) => {
      const wrapped = wrapLines(text, width, `  ${String(number).padStart(digits)}  `);
      const before = lines[i - 1]?.number ?? number - 1;
      const left = print.lines.slice(before, number - 1).some((line) => line.trim() !== '');
      return [
        ...(left ? [paint.faint(`  ${'.'.repeat(digits)}`)] : []),
        ...(own ? wrapped : wrapped.map((line) => paint.faint(line.replace(/^ {2}/, ' ~')))),
      ];
    }),
  ];
}

/** One lead: its letter, words and end, its condition, and what is marked of them. */
function leadView(state: ReviewedKey, lead: Lead, { width, paint }: ViewStyle): string[] {
  const { key } = state;
  const indent = ' '.repeat(lead.letter.length + 4);
  const body = wrapLines(
    quotedIfClearing('key', harmless(lead.text)),
    width,
    `  ${paint.strong(lead.letter)}  `,
    indent,
  );
  const more = (text: string) => wrapLines(text, width, `${indent}- `, `${indent}  `);
  const when = conditionText(key, lead);
  const end = isOpen(key, lead) ? paint.alarm('no end') : endText(lead, key);
  return [
    ...(displayWidth(end) > width / 2
      ? [...body, ...wrapLines(end, width, `${indent}... `, `${indent}    `)]
      : withDotLeader(body, end, width, indent)),
    ...(when === undefined ? [] : wrapLines(`when ${harmless(when)}`, width, indent, `${indent}  `)),
    ...(lead.otherwise ? wrapLines('otherwise', width, indent) : []),
    ...(lead.note === undefined
      ? []
      : wrapLines(`note: ${quotedIfClearing('key', harmless(lead.note))}`, width, indent, `${indent}  `)),
    ...leadMarks(state, lead).flatMap((text) => more(harmless(text))),
  ];
}

/** What a lead leads to. */
export function endText({ end, reaches }: Lead, key: Key): string {
  const name = (id: string) => key.taxa.get(id)?.name ?? id;
  const group = reaches === undefined ? '' : `${name(reaches)}: `;
  if (end.kind === 'couplet') return harmless(`${group}${end.couplet}`);
  if (end.kind === 'key')
    return harmless(`${group}key ${end.key}${end.at === undefined ? '' : ` at ${end.at}`}`);
  return harmless(end.taxa.map(name).join(', '));
}

/** The condition of a lead as a person would type it; undefined when there is none. */
export function conditionText(key: Key, lead: Lead): string | undefined {
  const fields = asMap(valueAt(key.yaml.data, lead.path) as DataMap);
  const { when } = fields;
  if (when === undefined || when === null) return undefined;
  const flow = inline(when as Data);
  if (flow !== undefined) return flow.replace(/^\{(.*)\}$/s, '$1');
  const { start, end } = key.yaml.place([...lead.path, 'when']);
  return key.yaml.lines.text.slice(start.offset, end.offset).replace(/\s+/g, ' ').trim();
}
