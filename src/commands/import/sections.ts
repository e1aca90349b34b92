/** Splits a text into parts that each hold a key, by headings and by numbers that start again. */
import type { Label } from './labels.js';
import { readLabel } from './labels.js';
import type { Line } from './lines.js';
import { readScientific } from './names.js';

/** A part of the text: its heading, what is between heading and key, the lines of the key. */
export interface Part {
  readonly headings: readonly Line[];
  readonly lines: readonly Line[];
}

const KEY_WORDS =
  /^(?:(?:analytical|artificial|dichotomous|general|main|short|synoptic|field)\s+)?(?:key|keys|clavis|conspectus|synopsis|bestimmungs\w*|(?:haupt|bestimmungs)?schlüssel|übersicht|tabelle|table|tab|group|gruppe|section|sektion|part|teil|abteilung)\b/i;
const LONGEST_HEADING = 100;

/** Whether a text has the form of a heading: capitals throughout, or words that begin a key. */
export function isHeadingText(text: string): boolean {
  if (text.length > LONGEST_HEADING || /[,;]$/.test(text)) return false;
  const letters = text.replace(/[^\p{L}]/gu, '');
  if (letters.length < 3) return false;
  const capitals = letters.replace(/[^\p{Lu}]/gu, '').length;
  if (capitals >= letters.length * 0.85 && letters.length >= 4) return true;
  if (/^\p{Lu}+(?:ACEAE|IDAE|OIDEAE|ALES|ACEÆ|IDÆ)\b[,.:—–-]/u.test(text)) return true;
  return KEY_WORDS.test(text) && !/\.{3,}|\s{4,}\S+$/.test(text);
}

/** A line that is set apart, has no label and looks like a heading. */
export function isHeading(
  lines: readonly Line[],
  i: number,
  label: Label | undefined,
  ended: boolean,
): boolean {
  const line = lines[i] as Line;
  if (label !== undefined && !ended && isTaxonHeading(line, label)) {
    // What continues in lower case is a sentence: `4. Thallus longer` / `than the body`.
    const next = lines[i + 1];
    return next === undefined || next.blank > 0 || !/^\p{Ll}/u.test(next.text);
  }
  if (ended || !isHeadingText(line.text)) return false;
  if (label !== undefined && !KEY_WORDS.test(line.text.slice(label.end))) {
    // `I LEAVES OPPOSITE` is a lead; `A. ANIMALS` might be one.
    return false;
  }
  const before = lines[i - 1];
  const after = lines[i + 1];
  const apartAbove =
    i === 0 ||
    line.blank > 0 ||
    line.afterPage ||
    (before !== undefined && isHeadingText(before.text) && before.text.length < 60);
  const apartBelow =
    after === undefined ||
    after.blank > 0 ||
    readLabel(after.text) !== undefined ||
    isHeadingText(after.text) ||
    (KEY_WORDS.test(line.text) && apartAbove);
  return apartAbove && apartBelow;
}

/** `1. TARNIA HIRTA Marl.`: a number and a name and nothing else head a description; no lead is only a name. */
function isTaxonHeading(line: Line, label: Label): boolean {
  if (label.readings[0]?.system !== 'number' || line.text.length > LONGEST_HEADING) return false;
  const rest = line.text.slice(label.end);
  if (!/^\p{Lu}/u.test(rest)) return false;
  if (/^(?:family|familie|fam\.|order|ordnung|genus|gattung|tribe|tribus|class|klasse)[\s.]/i.test(rest))
    return true;
  const name = readScientific(rest);
  if (name === undefined) return false;
  // Set apart together with its number, and with authors: `=1. Tarnia= Marl.`
  if (name.authority !== undefined && (line.marks[0]?.[0] ?? 9) === 0) return true;
  return name.form === 2 && (name.name.includes(' ') || /^\p{Lu}{4,}/u.test(rest));
}

/** Cuts a text at its headings. The caller joins parts without any lead to others. */
export function splitAtHeadings(
  lines: readonly Line[],
  labels: readonly (Label | undefined)[],
  ended: readonly boolean[],
): Part[] {
  const parts: Part[] = [];
  let headings: Line[] = [];
  let body: Line[] = [];
  lines.forEach((line, i) => {
    if (!isHeading(lines, i, labels[i], ended[i] ?? false)) {
      body.push(line);
      return;
    }
    if (body.length > 0 || (headings.length > 0 && line.blank > 1)) {
      parts.push({ headings, lines: body });
      headings = [];
      body = [];
    }
    headings.push(line);
  });
  parts.push({ headings, lines: body });
  return parts.filter((p) => p.headings.length > 0 || p.lines.length > 0);
}

/** Cuts a part where its numbers start again at 1 although couplet 1 is complete, so that another key must begin. `pointers` says which lines end in the number of a couplet. */
export function splitAtRestarts(
  part: Part,
  labels: readonly (Label | undefined)[],
  pointers: readonly boolean[],
): Part[] {
  if (pointers.filter(Boolean).length < 2) return [part];
  const cuts: number[] = [];
  const seen = new Set<number>();
  let repeats = 0;
  let ones = 0;
  let highest = 0;
  let adjacent = true;
  let last = 0;
  let marked = 0;
  part.lines.forEach((_, i) => {
    const label = labels[i];
    const number =
      label?.readings[0]?.system === 'number' && label.value === String(label.readings[0].ordinal)
        ? label.readings[0].ordinal
        : undefined;
    if (label === undefined || number === undefined || !label.firm) return;
    if (number === 1) {
      // Numbers that occur once each belong to couplets in which only the first lead has one.
      const once = ones === 1 && repeats === 0 && label.mark === undefined;
      const again = label.mark === 0 ? marked > 0 : ones >= 2 || once;
      // A key that begins anew goes on with 2; a further lead of couplet 1 with the couplet under it.
      const next = nextNumber(labels, i);
      if (again && highest >= 2 && adjacent && last > 1 && (next === undefined || next <= 2)) {
        seen.clear();
        repeats = 0;
        adjacent = true;
        cuts.push(i);
        ones = 0;
        highest = 0;
        marked = 0;
      } else if (ones === 1 && last !== 1) adjacent = false;
      ones++;
      if (label.mark === 0) marked++;
    }
    if (seen.has(number)) repeats++;
    seen.add(number);
    highest = Math.max(highest, number);
    last = number;
  });
  if (cuts.length === 0) return [part];
  const bounds = [0, ...cuts, part.lines.length];
  return bounds.slice(0, -1).map((from, n) => ({
    headings: n === 0 ? part.headings : [],
    lines: part.lines.slice(from, bounds[n + 1]),
  }));
}

/** The first number among the labels below one. */
function nextNumber(labels: readonly (Label | undefined)[], i: number): number | undefined {
  for (let j = i + 1; j < labels.length; j++) {
    const reading = labels[j]?.readings[0];
    if (reading?.system === 'number' && labels[j]?.firm === true) return reading.ordinal;
  }
  return undefined;
}

/** The highest couplet number of lines, continuing from one that was reached before. */
export function highestNumber(lines: readonly Line[], before: number | undefined): number | undefined {
  let highest = before;
  for (const line of lines) {
    const label = readLabel(line.text);
    if (label?.readings[0]?.system !== 'number' || !label.firm) continue;
    const n = label.readings[0].ordinal;
    if (highest === undefined ? n <= 3 : n > highest && n <= highest + 30) highest = n;
  }
  return highest;
}

/** Whether the first number of a part continues where the part before it stopped. */
export function continuesFrom(highest: number | undefined, part: Part): boolean {
  if (highest === undefined) return false;
  for (const line of part.lines) {
    const label = readLabel(line.text);
    if (label?.readings[0]?.system !== 'number' || !label.firm) continue;
    const n = label.readings[0].ordinal;
    return n > 1 && n >= highest && n <= highest + 12;
  }
  return false;
}
