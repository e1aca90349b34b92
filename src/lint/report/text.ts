import type { Finding, Place } from '../../diagnostic/finding.js';
import { harmless } from '../../text/harmless.js';
import type { Paint } from '../../text/paint.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';
import type { LintResult } from './result.js';

/** How findings are laid out as text. */
export interface FindingsSetting {
  /** The width of a line in cells; undefined where lines are not broken, because a file or another program reads them. */
  readonly width: number | undefined;
  readonly paint: Paint;
}

// Source lines are cut even where lines are not broken: a lead may be a paragraph long.
const LONGEST_SOURCE = 110;

/** Findings one after the other: what is wrong, the line with a pointer under the place, other places, an example. */
export function lintText(result: LintResult, setting: FindingsSetting): string {
  return result.findings
    .map((finding) => `${findingBlock(finding, result, setting).join('\n')}\n`)
    .join('\n');
}

function findingBlock(finding: Finding, result: LintResult, setting: FindingsSetting): string[] {
  const { level, message, rule, place, related, witness, fix } = finding;
  const { paint } = setting;
  const word =
    level === 'note'
      ? paint.faint('note')
      : level === 'error'
        ? paint.alarm('error')
        : paint.strong('warning');
  const lines = [
    ...broken(
      `${paint.strong(placeText(place))} ${word}: ${message} ${paint.faint(`[${rule}]`)}`,
      '',
      setting,
    ),
    ...sourceLines(place, result, setting),
  ];
  for (const other of related ?? []) {
    lines.push(...broken(`${placeText(other.place)} ${other.message}`, '  ', setting));
    lines.push(...sourceLines(other.place, result, setting));
  }
  if (witness !== undefined) lines.push(...broken(`for example: ${witness}`, '  ', setting));
  if (fix !== undefined) lines.push(...broken(`--fix can ${fix.title}`, '  ', setting));
  return lines;
}

function placeText({ file, start }: Place): string {
  return `${harmless(file)}:${start.line}:${start.column}`;
}

function broken(text: string, indent: string, { width }: FindingsSetting): string[] {
  return width === undefined ? [indent + text] : wrapLines(text, width, indent, `${indent}    `);
}

/** The line in which a place begins, and a pointer under the place. */
function sourceLines(
  { file, start, end }: Place,
  result: LintResult,
  { width = LONGEST_SOURCE, paint }: FindingsSetting,
): string[] {
  const line = result.source(file)?.line(start.line);
  if (line === undefined || line.trim() === '') return [];
  const number = String(start.line).padStart(6);
  const room = Math.max(10, width - number.length - 3);
  const from = start.column - 1;
  const to = end.line === start.line ? Math.max(end.column - 1, from + 1) : line.trimEnd().length;
  const shown = cut(line, from, Math.max(to, from + 1), room);
  return [
    `${paint.faint(`${number} |`)} ${shown.text}`,
    `${' '.repeat(number.length)} ${paint.faint('|')} ${' '.repeat(shown.before)}${paint.alarm('^'.repeat(shown.marked))}`,
  ];
}

/** A line made harmless and cut to a number of cells, so that a place in it can be seen; `before` and `marked` count cells. */
function cut(
  line: string,
  from: number,
  to: number,
  room: number,
): { readonly text: string; readonly before: number; readonly marked: number } {
  // Enough on both sides of the place, however long the line.
  const first = Math.max(0, from - 4 * room);
  const before = harmless(line.slice(first, from));
  const place = harmless(line.slice(from, Math.min(to, from + 4 * room)));
  const after = harmless(line.slice(to, to + 4 * room));
  const wanted = Math.min(displayWidth(place), Math.ceil(room / 2));
  let lead = before;
  if (first > 0 || displayWidth(before) + wanted > room) {
    const keep = Math.max(0, Math.min(displayWidth(before), Math.floor((room - wanted) / 2) - 1));
    lead = `…${fromEnd(before, keep)}`;
  }
  const whole = lead + place + after;
  const text =
    displayWidth(whole) <= room && to + 4 * room >= line.length ? whole : `${fromStart(whole, room - 1)}…`;
  const marked = Math.max(1, Math.min(displayWidth(place), displayWidth(text) - displayWidth(lead)));
  return { text, before: displayWidth(lead), marked };
}

/** As much of the beginning of a text as fits into a number of cells. */
function fromStart(text: string, most: number): string {
  let out = '';
  let used = 0;
  for (const c of text) {
    used += displayWidth(c);
    if (used > most) break;
    out += c;
  }
  return out;
}

function fromEnd(text: string, most: number): string {
  return [...fromStart([...text].reverse().join(''), most)].reverse().join('');
}
