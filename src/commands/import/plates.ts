/** What an edition of a book adds between the lines of a key: plates and their captions, footnotes, rules. */
import type { Line } from './lines.js';

/** The lines of a text, apart from plates, footnotes and rules. */
interface Plated {
  readonly lines: readonly Line[];
  /** In the order of the text. */
  readonly furniture: readonly Line[];
}

const OPENS =
  /^\[(?:illustrations?|footnotes?|fußnoten?|sidenote|plates?|tafel|abbildung(?:en)?|figures?|fig\.?|abb\.?|transcriber|note|anmerkung)\b/i;
const CAPTION = /^(?:figs?|figures?|abb|abbildung|plates?|pl|tafel|taf)\.?\s*(?:\d{1,4}|[IVXLC]{1,7})\b/i;
/** `Figures 3–8. Tarnia alba, male.`: no line of a lead begins like this, wherever it stands. */
const FULL_CAPTION =
  /^(?:fig(?:ure)?s?|abb(?:ildung(?:en)?)?|plates?|taf(?:eln?)?)\.?\s*\d{1,4}[a-z]?(?:\s*[-–—,&]\s*\d{1,4}[a-z]?)*\s*[.:|]\s*(?:[A-Z]\s?[-–—,]\s?[A-Z]\b.*|["“„(]?\p{Lu}\p{L})/iu;
const LONGEST_CAPTION = 15;
const FOOTNOTE = /^\[(\d{1,3}|[A-Z]{1,2}|\*{1,3}|†)\]\s+["“„(]?\p{Lu}/u;
const RULE = /^(?:[*_~=–—-]\s*){3,}$|^[{}|⎧⎨⎩⎪]+$/;
/** A plate whose bracket is not closed by then is not one. */
const LONGEST_PLATE = 40;

/** Takes out the lines that are no part of the key itself; a lead may continue below them. */
export function withoutPlates(lines: readonly Line[]): Plated {
  const out = new Set<number>();
  const marks = footnoteMarks(lines);
  lines.forEach((line, i) => {
    if (out.has(i)) return;
    if (OPENS.test(line.text)) {
      const last = closing(lines, i);
      for (let j = i; j <= last; j++) out.add(j);
    } else if (
      RULE.test(line.text) &&
      (/^[{}|⎧⎨⎩⎪]/.test(line.text) || line.blank > 0 || lines[i + 1]?.blank !== 0)
    )
      out.add(i);
    else if (FULL_CAPTION.test(line.text)) {
      const last = captionEnd(lines, i);
      for (let j = i; j <= last; j++) out.add(j);
    } else if (line.blank > 0 && (isCaption(lines, i) || marks.has(FOOTNOTE.exec(line.text)?.[1] ?? ''))) {
      out.add(i);
      for (let j = i + 1; j < lines.length && (lines[j] as Line).blank === 0; j++) out.add(j);
    }
  });
  if (out.size === 0) return { lines, furniture: [] };
  const kept: Line[] = [];
  let blank = 0;
  let taken = false;
  lines.forEach((line, i) => {
    if (out.has(i)) {
      blank = Math.max(blank, line.blank);
      taken = true;
      return;
    }
    kept.push(taken ? { ...line, blank: Math.max(blank, line.blank), afterPage: true } : line);
    blank = 0;
    taken = false;
  });
  return { lines: kept, furniture: lines.filter((_, i) => out.has(i)) };
}

/** The line on which the bracket that a line opens is closed; the line itself when it is not. */
function closing(lines: readonly Line[], from: number): number {
  let depth = 0;
  for (let j = from; j < Math.min(lines.length, from + LONGEST_PLATE); j++) {
    for (const sign of (lines[j] as Line).text) {
      if (sign === '[') depth++;
      else if (sign === ']') depth--;
    }
    if (depth <= 0) return j;
  }
  return from;
}

/** `FIG. 31.--Tarnia alba, from the side.`: a paragraph of its own that begins with the number of a figure. */
function isCaption(lines: readonly Line[], i: number): boolean {
  const { text } = lines[i] as Line;
  if (!CAPTION.test(text)) return false;
  let last = i;
  while (lines[last + 1]?.blank === 0) last++;
  return last - i < 4;
}

/**
 * The last line of a caption. Where no empty line follows, it closes with a stop: on a line that is not full, or above one
 * that cannot be part of it.
 */
function captionEnd(lines: readonly Line[], from: number): number {
  const width = (lines[from] as Line).text.length;
  for (let i = from; i < Math.min(lines.length, from + LONGEST_CAPTION); i++) {
    const { text } = lines[i] as Line;
    const next = lines[i + 1];
    if (next === undefined || next.blank > 0 || next.afterPage) return i;
    if (!/[.!?]["”)]?$/.test(text)) continue;
    if (text.length < width * 0.85 || /^(?:\p{Ll}|[-–—]\s|\d{1,4}[a-d'’´*]?[.)]?\s)/u.test(next.text))
      return i;
  }
  return from;
}

/** The marks of footnotes that stand behind words of the text. */
function footnoteMarks(lines: readonly Line[]): ReadonlySet<string> {
  const marks = new Set<string>();
  for (const { text } of lines)
    for (const m of text.matchAll(/(?<=[\p{L}.,;:)_])\[(\d{1,3}|[A-Z]{1,2}|\*{1,3}|†)\]/gu))
      marks.add(m[1] as string);
  return marks;
}
