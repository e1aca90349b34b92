/** What journals print at the edges of their pages, where the text says by form feeds where pages end. */
import { type Line, pagesOf } from './lines.js';
import { shape } from './pages.js';

/** The lines of a text, apart from what stands at the edges of its pages. */
interface Trimmed {
  readonly lines: readonly Line[];
  /** In the order of the text. */
  readonly furniture: readonly Line[];
}

/** How many lines at the top and at the foot of a page may be no part of the text. */
const DEPTH = 3;
const LONGEST = 150;
const BARE = /^[-–—[(]?\s*(\d{1,5})\s*[-–—\])]?$/;
const NUMBER_FIRST = /^(\d{1,5})(\s+)(\P{N}.*)$/u;
const NUMBER_LAST = /^(.*?\P{N})(\s+)(\d{1,5})$/u;
const LEADERS = /(?:\.\s?){4,}|…/;
const LABEL = /^\W{0,2}(\d{1,4})[a-d'’´*]?[.):]?\s+\S/;
/** What begins a line that says who may copy the page, or where it comes from. */
const SOURCE =
  /^(?:doi\b|https?:\/\/|www\.|©|\(c\)\s*\d{4}|copyright\b|downloaded (?:from|by|on)\b|all rights reserved|e?issn\b|urn:lsid:|this (?:content|article|work) (?:downloaded|is)\b.*\b(?:licen[cs]e|terms|copyright|access)|licensed under\b|accepted by\b.*\d{4}|received \d.*accepted\b)/i;
const SOURCE_WITHIN =
  /\bdoi\b\s*[:.]?\s*10\.\d{4}|https?:\/\/|\bwww\.\S+\.\S|©|\bcopyright\b|\bdownloaded from\b|\ball rights reserved\b|\bissn\b/i;
/** `212: 45–78 (2012)`, `12 (3): 45–78, 2012`: volume and pages of an article. */
const VOLUME_AND_PAGES = /\b\d{1,4}\s*(?:\(\d{1,3}(?:[-–]\d{1,3})?\))?\s*:\s*e?\d{1,6}\s*[-–—]\s*\d{1,6}\b/;
const YEAR = /\b(?:1[89]|20)\d\d\b/;

/** Removes running heads, page numbers and notices of the publisher from the edges of pages. */
export function withoutPageEdges(lines: readonly Line[]): Trimmed {
  const out = new Set<Line>();
  for (const line of lines) if (isNotice(line)) out.add(line);
  const pages = pagesOf(lines);
  if (pages.length > 1 || lines[0]?.afterPage === true) for (const line of edgesOf(pages, out)) out.add(line);
  if (out.size === 0) return { lines, furniture: [] };
  const kept: Line[] = [];
  let blank = 0;
  let ended = false;
  for (const line of lines) {
    if (out.has(line)) {
      blank = Math.max(blank, line.blank);
      ended = true;
      continue;
    }
    kept.push(ended ? { ...line, blank: Math.max(blank, line.blank), afterPage: true } : line);
    blank = 0;
    ended = false;
  }
  return { lines: kept, furniture: lines.filter((l) => out.has(l)) };
}

/** A line of its own that no lead can be: an address, a notice, or volume and pages beside a year. */
function isNotice({ text }: Line): boolean {
  if (text.length > LONGEST || LEADERS.test(text) || /^(?:[-–—]|\d{1,4}[a-d'’´*]?[.)]?\s)/.test(text))
    return false;
  return SOURCE.test(text) || (VOLUME_AND_PAGES.test(text) && /\(\s*\d{4}\s*\)\s*\d{0,4}$/.test(text));
}

function edgesOf(pages: readonly (readonly Line[])[], notices: ReadonlySet<Line>): Line[] {
  const labels = labelsOf(pages);
  const offset = numbering(pages, labels);
  const shapes = new Map<string, Set<number>>();
  const edges = pages.map((page) => {
    const own = page.filter((l) => !notices.has(l));
    const noticed = (at: readonly Line[]) => at.some((l) => notices.has(l));
    return {
      top: own.slice(0, DEPTH),
      foot: own.slice(-DEPTH).reverse(),
      own,
      noticed: {
        top: noticed(page.slice(0, 2)),
        foot: noticed(page.slice(-2)),
      },
    };
  });
  edges.forEach(({ top, foot }, k) => {
    for (const line of new Set([...top, ...foot])) {
      const name = shape(line.text);
      if (name.length >= 3) shapes.set(name, (shapes.get(name) ?? new Set()).add(k));
    }
  });
  const found: Line[] = [];
  edges.forEach(({ top, foot, own, noticed }, k) => {
    const isEdge = (line: Line, apart: boolean, beside: boolean) =>
      line.text.length <= LONGEST &&
      !LEADERS.test(line.text) &&
      (isNumber(line, labels, offset === undefined ? undefined : offset + k, apart) ||
        isSource(line) ||
        ((shapes.get(shape(line.text))?.size ?? 0) > 1 && !/^[-–—]\s/.test(line.text)) ||
        (beside && apart && isHead(line, labels)));
    const take = (from: readonly Line[], apartAt: (line: Line) => boolean, noticed: boolean) => {
      let beside = noticed;
      for (const line of from) {
        if (!isEdge(line, apartAt(line), beside)) break;
        found.push(line);
        beside ||= BARE.test(line.text);
      }
    };
    const below = (line: Line) => own[own.indexOf(line) + 1];
    take(top, (line) => (below(line)?.blank ?? 1) > 0, noticed.top);
    take(foot, (line) => line.blank > 0 && line !== own[0], noticed.foot);
  });
  return found;
}

/** The numbers that stand as labels somewhere inside pages. */
function labelsOf(pages: readonly (readonly Line[])[]): ReadonlySet<number> {
  const labels = new Set<number>();
  for (const page of pages)
    page.forEach((line, i) => {
      const number = LABEL.exec(line.text)?.[1];
      if (number !== undefined && i > 0) labels.add(Number(number));
    });
  return labels;
}

/** What added to the count of a page gives its number, when at least two pages agree. */
function numbering(pages: readonly (readonly Line[])[], labels: ReadonlySet<number>): number | undefined {
  const votes = new Map<number, number>();
  pages.forEach((page, k) => {
    const offsets = new Set<number>();
    for (const line of [...page.slice(0, DEPTH), ...page.slice(-DEPTH)]) {
      const number = BARE.exec(line.text)?.[1] ?? headNumber(line.text, labels);
      if (number !== undefined) offsets.add(Number(number) - k);
    }
    for (const o of offsets) votes.set(o, (votes.get(o) ?? 0) + 1);
  });
  const [best, next] = [...votes].sort((a, b) => b[1] - a[1]);
  if (best === undefined || best[1] < 2 || best[1] === next?.[1]) return undefined;
  // Couplets are numbered on, too.
  return best[1] >= 3 || !labels.has(best[0]) ? best[0] : undefined;
}

/** The number of a running head: parted from the words by a wide gap, or one that no couplet can have. */
function headNumber(text: string, labels: ReadonlySet<number>): string | undefined {
  const at = NUMBER_FIRST.exec(text);
  const [number, gap] = at === null ? (NUMBER_LAST.exec(text) ?? []).slice(2).reverse() : at.slice(1, 3);
  if (number === undefined || gap === undefined || LEADERS.test(text)) return undefined;
  return gap.length >= 3 || !mayBeLabel(Number(number), labels) ? number : undefined;
}

/** A page number, alone or beside a running head. */
function isNumber(
  line: Line,
  labels: ReadonlySet<number>,
  expected: number | undefined,
  apart: boolean,
): boolean {
  const { text } = line;
  const bare = BARE.exec(text)?.[1];
  if (bare !== undefined) return Number(bare) === expected || (apart && !mayBeLabel(Number(bare), labels));
  const first = NUMBER_FIRST.exec(text);
  if (first !== null) {
    const number = Number(first[1]);
    if (number === expected && (apart || (first[2] as string).length >= 3)) return true;
    return !mayBeLabel(number, labels) && /^\p{Lu}/u.test(first[3] as string);
  }
  const last = NUMBER_LAST.exec(text);
  if (last === null || LABEL.test(text)) return false;
  const number = Number(last[3]);
  return (
    number === expected && (apart || (line.afterPage && /^\p{Lu}/u.test(text) && !mayBeLabel(number, labels)))
  );
}

/** Whether a number is that of a couplet, or follows on one. */
function mayBeLabel(number: number, labels: ReadonlySet<number>): boolean {
  return labels.has(number) || labels.has(number - 1) || labels.has(number + 1) || number < 3;
}

function isSource({ text }: Line): boolean {
  if (/^[-–—]\s|^\d{1,4}[a-d'’´*]?[.)]\s/.test(text)) return false;
  return SOURCE_WITHIN.test(text) || (VOLUME_AND_PAGES.test(text) && YEAR.test(text));
}

/** Words set apart below a page number, with a capital and without a stop. */
function isHead({ text }: Line, labels: ReadonlySet<number>): boolean {
  const number = LABEL.exec(text)?.[1];
  return (
    text.length <= 100 &&
    /^(?:[·•|]\s*)?\p{Lu}/u.test(text) &&
    !/[.,;:]$/.test(text) &&
    (number === undefined || !mayBeLabel(Number(number), labels))
  );
}
