/** Leads while their lines are gathered. */
import type { Item } from './draft.js';
import { clipped, type Line } from './lines.js';
import type { LinePiece } from './pieces.js';

/** A piece of a line, from an offset of its text onwards. */
export function piece(line: Line, from: number): LinePiece {
  return {
    text: line.text.slice(from),
    column: line.indent + from,
    marks: clipped(line.marks, from, line.text.length),
    rawEnd: line.raw.trimEnd().length,
    line,
    pointer: line.pointer === true,
  };
}

/** `Tarnia alba (p.` and `Tarnia alba,` continue on the next line. */
export function isUnfinished(item: Item): boolean {
  return /\([^)]{0,12}$|[,&–-]$/.test(item.pieces[item.pieces.length - 1]?.text ?? '');
}

/** The lead so far is a question or an opening, to which the leads below it answer. */
export function isQuestion(item: Item): boolean {
  return (
    !item.ended &&
    /[?:]$/.test(item.pieces[item.pieces.length - 1]?.text.trimEnd() ?? '') &&
    item.label?.readings[0]?.system === 'number' &&
    item.mark === 0
  );
}

/** `1. Has it a shell?` with `Yes` on the line below: the question, when one opens a lead that continues below it. */
export function questionOf(lead: Item | undefined): readonly LinePiece[] | undefined {
  const at = lead?.pieces.findIndex((p) => p.text.trimEnd().endsWith('?')) ?? -1;
  return lead === undefined || at < 0 || at + 1 >= lead.pieces.length
    ? undefined
    : lead.pieces.slice(0, at + 1);
}

/** Whether the words so far end as a sentence does. */
export function endsSentence(item: Item): boolean {
  return /[.!?:]["”)]?$/.test(item.pieces[item.pieces.length - 1]?.text.trimEnd() ?? '');
}

/** A line right below a finished lead: more of its words when it begins in lower case or is under them. */
export function belongsToEnded(line: Line, last: Item): boolean {
  const first = last.pieces[0];
  if (/^["“„(]?[\p{Ll}(]/u.test(line.text)) return true;
  if (isUnfinished(last)) return true;
  return (
    first !== undefined &&
    line.indent > last.indent &&
    (line.indent >= first.column || last.pieces.length > 1)
  );
}

/** Notes whether a line that was added to a lead holds an end. */
export function addEnd(item: Item, line: Line, ended: boolean | undefined): void {
  if (ended !== true) return;
  item.ended = true;
  item.ends.push(line.number);
}
