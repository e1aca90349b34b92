import type { Sheet, SheetLine } from '../../analysis/field-sheet.js';
import { harmless } from '../../text/harmless.js';
import type { Paint } from '../../text/paint.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';
import {
  ABOUT_FIND,
  choicesText,
  GATHERING,
  HOW_TO_WRITE,
  keysText,
  needsText,
  specimenNames,
} from '../../words/field-sheet.js';

interface SheetTextSetting {
  readonly width: number;
  readonly paint: Paint;
  readonly specimens: number;
  /** Whether to say how each character is looked at. */
  readonly look: boolean;
  readonly signature: string;
}

/** The blank for one specimen. */
const BLANK = '_______';

/** A field sheet as text. */
export function sheetText(sheet: Sheet, setting: SheetTextSetting): string {
  const { width, paint, specimens } = setting;
  const names = specimenNames(specimens);
  const blanks = names.map(() => BLANK).join(' ');
  const room = width - displayWidth(blanks) - 1;
  const wide = room >= 30;
  const lines = [
    ...wrapLines(paint.strong(`Field sheet: ${harmless(keysText(sheet))}`), width),
    ...sheet.keys.slice(0, 1).flatMap((k) => wrapLines(harmless(k.title), width)),
    ...notesOf(sheet).flatMap((n) => wrapLines(harmless(n), width)),
    ...(sheet.tools.length === 0 ? [] : wrapLines(harmless(`Bring: ${sheet.tools.join(', ')}.`), width)),
    ...wrapLines(GATHERING, width),
    '',
    ...fields(width),
    '',
    ...wrapLines(HOW_TO_WRITE, width),
  ];
  const ages = sheet.ages.length === 0 ? '' : ` (${sheet.ages.join(' | ')})`;
  lines.push('', ...row(`specimen`, names.map((n) => n.padEnd(BLANK.length)).join(' '), room, wide, width));
  lines.push(...row(harmless(`age${ages}`), blanks, room, wide, width));
  for (const part of sheet.parts) {
    lines.push('', ...wrapLines(paint.strong(harmless(part.heading)), width));
    for (const line of part.lines) {
      lines.push(...row(harmless(lineText(line, part.heading)), blanks, room, wide, width));
      const { look } = line.character;
      if (setting.look && look !== undefined)
        lines.push(...wrapLines(paint.faint(harmless(look)), width, '    '));
    }
  }
  return `${[...lines, '', ...wrapLines(paint.faint(setting.signature), width)].join('\n')}\n`;
}

function notesOf(sheet: Sheet): string[] {
  return [...new Set(sheet.keys.flatMap((k) => k.note ?? []))];
}

function lineText(line: SheetLine, part: string): string {
  const needs = needsText(line, part);
  return `${line.character.name} (${choicesText(line)})${needs === '' ? '' : ` [${needs}]`}`;
}

/** A text with the blanks to the right of its last line, or under it where there is no room. */
function row(text: string, blanks: string, room: number, wide: boolean, width: number): string[] {
  if (!wide) return [...wrapLines(text, width, '  ', '    '), ...wrapLines(blanks, width, '    ')];
  const lines = wrapLines(text, room, '  ', '    ');
  const last = lines.pop() ?? '';
  return [...lines, `${last}${' '.repeat(Math.max(0, room - displayWidth(last)))} ${blanks}`.trimEnd()];
}

/** The blanks about the find, as many on a line as fit. */
function fields(width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const field of ABOUT_FIND) {
    const room = Math.max(4, width - field.length - 1);
    const blank = `${field} ${'_'.repeat(Math.min(room, field === 'place' || field.includes(',') ? 24 : 12))}`;
    if (line !== '' && line.length + 2 + blank.length > width) {
      lines.push(line);
      line = '';
    }
    line = line === '' ? blank : `${line}  ${blank}`;
  }
  return [...lines, line];
}
