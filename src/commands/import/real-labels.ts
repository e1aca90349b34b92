/** Which of what looks like labels are labels, and which lines are ends of their own, as the lines around them show. */
import { FAR_RIGHT } from './draft.js';
import { asLettered, type Label, readLabel } from './labels.js';
import { namedByLetters } from './letter-pointers.js';
import type { Line } from './lines.js';
import { isHeadingText } from './sections.js';
import { signLabels } from './signs.js';
import { readEndText } from './targets.js';

/** What looks like a label, without the numbers and dashes that are the end of the lead above, broken over two lines. */
export function realLabels(lines: readonly Line[]): (Label | undefined)[] {
  const read = lines.map((line) => readLabel(line.text));
  const labels = misreadLabels(
    lines,
    letteredLabels(lines, plusLabels(lines, signLabels(namedByLetters(lines, read)))),
  );
  const numbers = labels.filter((l) => l?.readings[0]?.system === 'number');
  const squared = numbers.filter((l) => l?.dress.startsWith('[') === true).length;
  const notes = squared * 2 <= numbers.length;
  const worded = numbers.filter((l) => /^n[or]\./i.test(l?.printed ?? '')).length;
  // Where the labels have stops, a number without one at the beginning of a line is one of the words.
  const loose = numbers.length >= 6 && numbers.filter((l) => l?.firm === false).length * 4 <= numbers.length;
  const firm = labels.flatMap((l, i) =>
    l?.firm === true && l.readings[0]?.system === 'number' && !inBracket(lines, i, l)
      ? [lines[i] as Line]
      : [],
  );
  // So is one that no empty line sets apart, where empty lines set the labels apart.
  const spaced =
    firm.length >= 2 && firm.filter((l) => l.blank > 0 || l === lines[0]).length >= firm.length * 0.9;
  return labels.map((label, i) => {
    if (label === undefined || lines[i]?.pointer === true) return undefined;
    // `[1]` beside `1.` begins a footnote.
    if (notes && label.readings[0]?.system === 'number' && label.dress.startsWith('[')) return undefined;
    const line = lines[i] as Line;
    const rest = line.text.slice(label.end).trim();
    // `36. Tarnia` in the column of the ends: the number counts the taxa.
    if (label.readings[0]?.system === 'number' && isFarRight(lines, i)) return undefined;
    // `No. 3` among the words, where labels have no such word before them.
    if (
      (worded < 2 || worded * 2 < numbers.length || /^.{0,12}?\d\.?\s{4,}/.test(line.text)) &&
      /^n[or]\./i.test(label.printed)
    )
      return undefined;
    if (label.readings[0]?.system === 'number' && inBracket(lines, i, label)) return undefined;
    if ((loose || spaced) && !label.firm && line.blank === 0 && !hasEnd(lines[i - 1])) return undefined;
    if (label.readings[0]?.system === 'dash')
      return rest.length < 80 &&
        isBareEnd(labels[i + 1] === undefined ? withNext(rest, lines[i + 1]) : rest) &&
        !hasEnd(lines[i - 1])
        ? undefined
        : label;
    const above = lines[i - 1];
    const deep = above !== undefined && line.indent >= above.indent + 4;
    if (rest !== '' || i === 0 || (line.blank > 0 && !line.afterPage && !deep)) return label;
    // A number alone: that of a couplet whose leads follow under letters, else the target of the lead above.
    const below = labels[i + 1];
    const lettered =
      below?.readings.some((r) => (r.system === 'lower' || r.system === 'upper') && r.ordinal === 1) === true;
    return lettered ? label : undefined;
  });
}

/** `(Fig.` above and `6)` at the beginning of the line: the bracket closes what was opened before. */
function inBracket(lines: readonly Line[], i: number, label: Label): boolean {
  if (!/^\d+[a-d]?\)/.test(label.printed)) return false;
  let open = 0;
  for (let j = i - 1; j >= Math.max(0, i - 8); j--) {
    const { text, blank } = lines[j] as Line;
    open += text.split('(').length - text.split(')').length;
    if (open > 0) return /\([^()]*$/.test((lines[i - 1] as Line).text) || open > 0;
    if (blank > 0) break;
  }
  return false;
}

/** Where `+ +` has a gap, `++` without a gap is a sign of its own and not the second `+`. */
function plusLabels(lines: readonly Line[], labels: (Label | undefined)[]): (Label | undefined)[] {
  if (!lines.some((l) => /^\+ \+\s/.test(l.text)) || !lines.some((l) => /^\+\+\s/.test(l.text)))
    return labels;
  return labels.map((label, i) => {
    const signs = /^\+\+(?: \+\+)*(?=\s)/.exec((lines[i] as Line).text)?.[0];
    if (signs === undefined || label === undefined) return label;
    const times = signs.split(' ').length;
    return { ...label, readings: [{ system: 'sign', ordinal: 60 }], times, value: signs };
  });
}

/** Numbers in which a scanner took 1 for l or I and 0 for O, where the numbers around them call for it. */
function misreadLabels(lines: readonly Line[], labels: (Label | undefined)[]): (Label | undefined)[] {
  const numbers = new Set<number>();
  for (const label of labels)
    if (label?.readings[0]?.system === 'number' && label.firm) numbers.add(label.readings[0].ordinal);
  if (numbers.size < 2) return labels;
  return labels.map((label, i) => {
    if (label?.readings[0]?.system === 'number') return label;
    const { text } = lines[i] as Line;
    const found = /^([lIO|\d]{1,3})(?=[a-d]?['*]?[.):]?\s+\p{Lu})/u.exec(text);
    if (found === null || !/[lIO|]/.test(found[1] as string)) return label;
    const digits = (found[1] as string).replace(/[lI|]/g, '1').replace(/O/g, '0');
    const n = Number(digits);
    const wanted =
      digits.length === 1
        ? !numbers.has(n) && numbers.has(n + 1) && label?.times !== 2
        : numbers.has(n - 1) || numbers.has(n + 1);
    return wanted && n > 0 ? readLabel(digits + text.slice(digits.length)) : label;
  });
}

/** `A1` and `A2` that occur once each are the leads of couplet A; `A1` that occurs twice is a couplet of its own. */
function letteredLabels(lines: readonly Line[], labels: (Label | undefined)[]): (Label | undefined)[] {
  const counts = new Map<string, number>();
  for (const label of labels)
    if (label !== undefined && /^[A-Z]\d$/.test(label.value) && label.mark === undefined)
      counts.set(label.value, (counts.get(label.value) ?? 0) + 1);
  const once = [...counts].filter(
    ([value, n]) => n === 1 && (value.endsWith('1') ? counts.get(`${value[0]}2`) === 1 : true),
  ).length;
  if (once < counts.size || !counts.has('A1') || !counts.has('A2')) return labels;
  return labels.map((label, i) =>
    label !== undefined && counts.has(label.value) ? asLettered(label, (lines[i] as Line).text) : label,
  );
}

/** The rest of a line, with the line below when that continues in lower case: `– Thallus` is no name before `without`. */
function withNext(rest: string, next: Line | undefined): string {
  return next !== undefined && next.blank === 0 && /^\p{Ll}/u.test(next.text)
    ? `${rest} ${next.text.slice(0, 80)}`
    : rest;
}

/** An end on a line of its own, further in than the lead above and separated from it by an empty line. */
export function isEndAlone(
  lines: readonly Line[],
  labels: readonly (Label | undefined)[],
  i: number,
): boolean {
  const [above, line] = [lines[i - 1], lines[i] as Line];
  if (above === undefined || labels[i] !== undefined) return false;
  if (line.pointer === true || isFarRight(lines, i)) return true;
  if (line.blank === 0 || line.indent < above.indent + 4) return false;
  return labels[i - 1] !== undefined && isBareEnd(line.text);
}

/** A line of its own in the column of the ends: no words of a lead begin so far to the right of the line above. */
function isFarRight(lines: readonly Line[], i: number): boolean {
  const [above, line] = [lines[i - 1], lines[i] as Line];
  if (above === undefined || line.indent < above.indent + FAR_RIGHT || line.text.length > 70) return false;
  const over = lines[i - 2];
  if (/\S(?:\s{3,}|\s?(?:\.\s?){4,})\S/.test(above.text)) return false;
  if (over !== undefined && above.indent >= over.indent + FAR_RIGHT && above.text.length <= 70) return false;
  const centred = line.blank > 0 && isHeadingText(line.text) && (lines[i + 1]?.blank ?? 1) > 0;
  if (centred && readEndText(line.text)?.form !== 2) return false;
  return readEndText(line.text, line.marks, true) !== undefined;
}

/** Whether a line has an end of its own, so that what is below it is not one. */
function hasEnd(line: Line | undefined): boolean {
  return line !== undefined && (isBareEnd(line.text) || /\S(?:\s{3,}|\s?\.{4,}\s*)\S/.test(line.text));
}

/** Whether a text is nothing but the number of a couplet or a name. */
function isBareEnd(text: string): boolean {
  if (/(?:\s?\.){3}/.test(text)) return false;
  const end = readEndText(text.replace(/\s*\((?:p|pp|S)?\.?$/, ''));
  if (end === undefined || end.form < 1) return false;
  if (end.pointer !== undefined) return true;
  const [name] = end.names;
  return (
    name !== undefined && name.common === undefined && text.startsWith(name.name.split(' ')[0] as string)
  );
}
