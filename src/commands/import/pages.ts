/** Page numbers and running heads between the lines of a key. */
import { FAR_RIGHT } from './draft.js';
import type { Line } from './lines.js';

/** The lines of a text, apart from what belongs to its pages. */
interface Paged {
  readonly lines: readonly Line[];
  /** Page numbers and running heads, in order. */
  readonly furniture: readonly Line[];
}

const PAGE_MARK = /^[[({<]?\s*(?:pg|pag|page|seite|p|s)\s*\.?\s*(\d{1,4}|[ivxlc]{1,7})\s*[\])}>]?\.?$/i;
const BARE_NUMBER = /^[-–—[({*]*\s*(\d{1,4})\s*[-–—\])}*]*$/;
const WITH_NUMBER = /^(?:(\d{1,4})[\s.,]+(\P{N}+)|(\P{N}+?)[\s.,]+(\d{1,4}))$/u;
const LONGEST_HEAD = 90;
/** A number with a stop and words with no gap between: `11. Leaves` is more likely a short lead than a running head. */
const LIKE_A_LABEL = /^\d{1,4}[.:)][ ]?\S/;
const OF_A_KEY =
  /^(?:key|clavis|table|tabelle|schlüssel|bestimmungs\w*|übersicht|conspectus|group|gruppe)\b/i;

/** Removes page numbers and running heads; the line after one is marked as following the end of a page. */
export function withoutPages(lines: readonly Line[]): Paged {
  const heads = repeatedHeads(lines);
  const pointers = numbersAtEnds(lines);
  const kept: Line[] = [];
  const furniture: Line[] = [];
  let pageEnded = false;
  let blank = 0;
  lines.forEach((line, i) => {
    const head = furniture[furniture.length - 1];
    // The head right above has the page number, so a number below it is something else.
    const numbered = head === lines[i - 1] && head !== undefined && WITH_NUMBER.test(head.text);
    if (
      !(numbered && BARE_NUMBER.test(line.text)) &&
      isFurniture(lines, i, heads, pointers, kept[kept.length - 1])
    ) {
      furniture.push(line);
      pageEnded = true;
      blank = Math.max(blank, line.blank);
      return;
    }
    const own = pointers.has(line) ? { ...line, pointer: true } : line;
    kept.push(pageEnded ? { ...own, blank: Math.max(blank, line.blank), afterPage: true } : own);
    pageEnded = false;
    blank = 0;
  });
  return { lines: kept, furniture };
}

/**
 * Numbers that have lines of their own in the column of the ends, or are set apart as the labels are, where most of them are
 * numbers of couplets: they say where leads go.
 */
function numbersAtEnds(lines: readonly Line[]): ReadonlySet<Line> {
  const labels = new Set<string>();
  for (const { text } of lines) {
    const label = /^\W{0,2}(\d{1,4})[a-d'’*]?(?:[.):]|\s)\s*\S/.exec(text)?.[1];
    if (label !== undefined) labels.add(label);
  }
  const known = (line: Line) => labels.has(/\d+/.exec(line.text)?.[0] ?? '');
  const found: Line[] = [];
  const pages: Line[] = [];
  lines.forEach((line, i) => {
    const [above, below] = [lines[i - 1], lines[i + 1]];
    if (above === undefined || !BARE_NUMBER.test(line.text) || isPageMark(above.text)) return;
    if (line.indent >= above.indent + FAR_RIGHT || line.marks.length > 0) found.push(line);
    // Under a lead without an end, and with a label below it.
    else if (known(line) && !hasColumnEnd(above.text) && (below === undefined || LABELLED.test(below.text)))
      found.push(line);
    else pages.push(line);
  });
  const sure = found.filter(known);
  const marked = found.filter((l) => l.marks.length > 0 || l.indent >= FAR_RIGHT);
  return sure.length * 5 >= found.length * 3 && (marked.length > 0 || found.length > pages.length)
    ? new Set(found)
    : new Set();
}

const LABELLED = /^(?:[-–—]{1,2}\s|\W{0,2}\d{1,4}[a-d'’*]?[.):]?\s|[a-dA-D][.)]\s)/;

function hasColumnEnd(text: string): boolean {
  return /\S(?:\s{3,}|\s?(?:\.\s?){3,})\S+(?:\s\S+){0,4}$/.test(text);
}

/** A line without its digits, to recognise the same head on several pages. */
export function shape(text: string): string {
  return text
    .replace(/\d+/g, '')
    .replace(/[\s.,\-–—[\]()]+/g, ' ')
    .trim()
    .toLowerCase();
}

/** Heads that recur with other numbers, or beside page numbers and page ends. */
function repeatedHeads(lines: readonly Line[]): ReadonlySet<string> {
  const seen = new Map<string, { times: number; numbers: Set<string>; besidePages: number }>();
  lines.forEach((line, i) => {
    if (line.text.length > LONGEST_HEAD) return;
    const name = shape(line.text);
    if (name.length < 3) return;
    const at = seen.get(name) ?? { times: 0, numbers: new Set<string>(), besidePages: 0 };
    seen.set(name, at);
    at.times++;
    const numbered = WITH_NUMBER.exec(line.text);
    const number = numbered?.[1] ?? numbered?.[4];
    const words = numbered?.[2] ?? numbered?.[3] ?? '';
    const lead = LIKE_A_LABEL.test(line.text) && !capitals(words) && !alone(lines, i);
    if (number !== undefined && headline(words) && !lead) at.numbers.add(number);
    if (besidePage(lines, i) && headline(line.text)) at.besidePages++;
  });
  const heads = new Set<string>();
  for (const [name, { times, numbers, besidePages }] of seen) {
    if (OF_A_KEY.test(name) && numbers.size < 2) continue;
    if (times >= 2 && (numbers.size >= 2 || besidePages === times)) heads.add(name);
  }
  return heads;
}

/** A page ends right before a line, or its number is right above or below. */
function besidePage(lines: readonly Line[], i: number): boolean {
  const above = lines[i - 1]?.text ?? '';
  const below = lines[i + 1]?.text ?? '';
  return (lines[i] as Line).afterPage || isPageMark(above) || isPageMark(below);
}

function isPageMark(text: string): boolean {
  return PAGE_MARK.test(text) || BARE_NUMBER.test(text);
}

/** Whether words are set as a running head: in capitals, or each beginning with one. */
function headline(words: string): boolean {
  const letters = words.replace(/[^\p{L}]/gu, '');
  if (letters.length < 3) return false;
  if (letters === letters.toUpperCase()) return true;
  if (!/^\P{L}*\p{Lu}\p{Ll}{2}/u.test(words)) return false;
  return words
    .trim()
    .split(/\s+/)
    .every((w) => w.length <= 3 || /^\P{L}*\p{Lu}/u.test(w));
}

function isFurniture(
  lines: readonly Line[],
  i: number,
  heads: ReadonlySet<string>,
  pointers: ReadonlySet<Line>,
  above: Line | undefined,
): boolean {
  const line = lines[i] as Line;
  const { text } = line;
  if (text.length > LONGEST_HEAD) return false;
  // `44      THE BECK      [CH. II`
  if (
    /^\d{1,4}\s{2,}.*\[\s*(?:ch|chap|vol|kap|part|bd|no)\b/i.test(text) ||
    /^\[\s*(?:ch|chap|vol|kap|part|bd|no)\b.*\s{2,}\d{1,4}$/i.test(text)
  )
    return true;
  if (PAGE_MARK.test(text)) return alone(lines, i) || /^[[{<]/.test(text) || line.afterPage;
  if (BARE_NUMBER.test(text)) return bareIsPage(lines, i, pointers, above);
  const before = lines[i - 1];
  // Set apart in the column of the ends: a name and its page, which may recur as a running head does.
  const atEnd = before !== undefined && line.indent >= before.indent + FAR_RIGHT && line.marks.length > 0;
  if (heads.has(shape(text)) && !atEnd) {
    const numbered = WITH_NUMBER.exec(text);
    // With its number it is a head wherever it is; without one it needs a page number or page end beside it.
    if (numbered !== null)
      return alone(lines, i) || (!LIKE_A_LABEL.test(text) && headline(numbered[2] ?? numbered[3] ?? ''));
    return besidePage(lines, i);
  }
  if (!alone(lines, i) && !line.afterPage) return false;
  const numbered = WITH_NUMBER.exec(text);
  const words = numbered?.[2] ?? numbered?.[3] ?? '';
  if (numbered === null || !/\s/.test(words.trim()))
    return line.afterPage && numbered !== null && capitals(words);
  // Found only once: capitals with a number, where no label of a lead can be meant.
  return (
    capitals(words) && (numbered[4] !== undefined ? /[\s]{2,}\d+$/.test(text) : Number(numbered[1]) > 20)
  );
}

function capitals(words: string): boolean {
  const letters = words.replace(/[^\p{L}]/gu, '');
  return letters.length >= 4 && letters === letters.toUpperCase();
}

/** Empty lines (or a page's end) above and below. */
function alone(lines: readonly Line[], i: number): boolean {
  const line = lines[i] as Line;
  const next = lines[i + 1];
  return (
    (line.blank > 0 || line.afterPage || i === 0) && (next === undefined || next.blank > 0 || next.afterPage)
  );
}

/** Whether a number alone on a line is a page number: unless it is where the end of the lead above would be, or begins a couplet. */
function bareIsPage(
  lines: readonly Line[],
  i: number,
  pointers: ReadonlySet<Line>,
  kept: Line | undefined,
): boolean {
  const line = lines[i] as Line;
  if (/^[-–—[{(]/.test(line.text) && /[-–—\]})]$/.test(line.text)) return alone(lines, i);
  // `(p.` above waits for its number; so does a lead that closes with a dash, when no further number follows.
  // A year below an author is no page.
  if (/,$/.test(kept?.text ?? '') && /^(?:1[789]|20)\d\d$/.test(line.text)) return false;
  if (/\((?:p|pp|S)\.?$/i.test(kept?.text ?? '')) return false;
  if (/\s(?:[–—-]|→|->)$/.test(kept?.text ?? '') && !BARE_NUMBER.test(lines[i + 1]?.text ?? '')) return false;
  if (pointers.has(line)) return false;
  if (line.afterPage) return true;
  const above = lines[i - 1];
  const below = lines[i + 1];
  if (below?.afterPage === true && line.blank > 0) return true;
  if (!alone(lines, i)) return false;
  if (above === undefined || below === undefined) return true;
  const number = Number(/\d+/.exec(line.text)?.[0]);
  // A couplet whose number has a line of its own: its leads follow, and the next such number is not far.
  const labels = [i - 1, i + 1].some((j) => /^[a-dA-D][.)]\s/.test(lines[j]?.text ?? ''));
  return !(
    labels ||
    (line.indent <= above.indent && number < 20 && /^[-–—]\s|^[a-d][.)]?\s/.test(below.text))
  );
}
