/** Splits a text into its keys, reads each, and gives it a title and an id. */

import { slug } from '../../text/slug.js';
import type { Layout, ReadAs } from './draft.js';
import { readLabel } from './labels.js';
import type { Line } from './lines.js';
import { anchorName, type Linked, type Remark } from './linked.js';
import type { OwnPrint } from './own-print.js';
import { bestReading, makeSection } from './reading.js';
import {
  continuesFrom,
  highestNumber,
  isHeadingText,
  type Part,
  splitAtHeadings,
  splitAtRestarts,
} from './sections.js';
import type { About } from './tabular/table.js';
import { settleVernacular } from './vernacular.js';

/** A part of the text that a key was read from. */
export interface KeyDraft {
  readonly headings: readonly Line[];
  readonly before: readonly Line[];
  readonly linked: Linked;
  readonly layout: ReadAs;
  readonly unsure: boolean;
  /** Lines after the last key of the text. */
  after: readonly Line[];
  title: string;
  /** What is between the heading and the first lead. */
  remark: string;
  id: string;
  /** What the print says of the key besides its couplets. */
  readonly stated?: Stated;
  /** The article in which the key stands. */
  readonly about?: About;
  /** All remarks about it. */
  readonly remarks: Remark[];
}

/** What a print can say of a key besides its couplets. */
export interface Stated {
  readonly version: string | undefined;
  readonly licence: string | undefined;
  readonly terms: readonly (readonly [term: string, meaning: string])[];
}

/** The drafts of a text that `print` wrote, which states titles and more. */
export function ownDrafts({ keys, terms }: OwnPrint): KeyDraft[] {
  const used = new Set<string>();
  return keys.map(({ title, id, version, licence, head, linked, indented }): KeyDraft => {
    const wanted = id ?? (slug(title, 50) || 'printed-key');
    let own = wanted;
    for (let k = 2; used.has(own); k++) own = `${wanted}-${k}`;
    used.add(own);
    return {
      headings: head,
      before: [],
      linked,
      layout: indented ? 'outline' : 'numbered',
      unsure: false,
      after: [],
      title,
      remark: '',
      id: own,
      stated: { version, licence, terms },
      remarks: [...linked.remarks],
    };
  });
}

/** A reading that another layout nearly equals is doubtful. */
const LEAST_MARGIN = 0.08;

/** Splits the text and reads a key from every part that holds one. */
export function readDrafts(
  lines: readonly Line[],
  words: ReadonlySet<string>,
  layout: Layout | undefined,
): { drafts: KeyDraft[]; lost: Line[] } {
  const whole = makeSection(lines, words);
  const parts = mergedParts(splitAtHeadings(lines, whole.labels, whole.ended), namedAtEnds(lines));
  const drafts: KeyDraft[] = [];
  let lost: Line[] = [];
  for (const merged of parts) {
    const section = makeSection(merged.lines, words);
    for (const part of splitAtRestarts(merged, section.labels, section.pointers)) {
      const own = part === merged ? section : makeSection(part.lines, words);
      const reading = bestReading(own, layout);
      if (reading === undefined) {
        // A heading above other headings, or prose: it stays above the next key.
        for (const line of [...part.headings, ...part.lines]) lost.push(line);
        continue;
      }
      settleVernacular(reading.linked);
      drafts.push({
        headings: part.headings,
        before: lost,
        linked: reading.linked,
        layout: reading.layout,
        unsure: layout === undefined && reading.margin < LEAST_MARGIN,
        after: [],
        title: '',
        remark: '',
        id: '',
        remarks: [...reading.linked.remarks],
      });
      lost = [];
    }
  }
  return { drafts, lost };
}

/** Every lead has a number of its own, so that the numbers name no couplets. */
function numbersOnce(lines: readonly Line[]): boolean {
  const seen = new Set<string>();
  for (const { text } of lines) {
    const label = readLabel(text);
    if (label?.readings[0]?.system !== 'number' || !label.firm) continue;
    if (label.mark !== undefined || seen.has(label.value)) return false;
    seen.add(label.value);
  }
  return seen.size >= 2;
}

/** What stands in the column of the ends: a heading that is named there begins a key of its own. */
function namedAtEnds(lines: readonly Line[]): ReadonlySet<string> {
  const named = new Set<string>();
  for (const { text } of lines) {
    const end = /(?:\s{2,}|(?:\.\s?){3,}\s*)(\S+(?:\s\S+){0,4})$/.exec(text.slice(-120))?.[1];
    if (end !== undefined && /^\p{L}/u.test(end)) named.add(anchorName(end));
  }
  return named;
}

/** Joins parts that continue the numbers of the part before: their headings are inside one key. */
function mergedParts(parts: readonly Part[], named: ReadonlySet<string>): Part[] {
  const merged: Part[] = [];
  let highest: number | undefined;
  let open: { headings: readonly Line[]; lines: Line[] } | undefined;
  let waiting: Part[] = [];
  for (const part of parts) {
    const pointed = part.headings.some((l) => named.has(anchorName(l.text))) && numbersOnce(part.lines);
    if (open !== undefined && !pointed && continuesFrom(highest, part)) {
      for (const p of [...waiting, part])
        for (const line of [...p.headings, ...p.lines]) open.lines.push(line);
      waiting = [];
      highest = highestNumber(part.lines, highest);
      continue;
    }
    const own = highestNumber(part.lines, undefined);
    if (own === undefined && open !== undefined && part.lines.length < 12) {
      waiting.push(part);
      continue;
    }
    for (const p of waiting) merged.push(p);
    waiting = [];
    open = { headings: part.headings, lines: [...part.lines] };
    merged.push(open);
    highest = own;
  }
  return [...merged, ...waiting];
}

/** Sets the title and id that the author wants, for a text with titles of its own. */
export function nameOwnDrafts(
  drafts: readonly KeyDraft[],
  { id, title }: { readonly id?: string; readonly title?: string },
): void {
  drafts.forEach((draft, n) => {
    if (title !== undefined && drafts.length === 1) draft.title = title;
    if (id !== undefined) draft.id = drafts.length === 1 ? id : `${id}-${n + 1}`;
  });
}

/** Titles from headings, ids from titles. */
export function nameDrafts(
  drafts: readonly KeyDraft[],
  options: { readonly id?: string; readonly title?: string },
  names: ReadonlySet<string>,
): void {
  const used = new Set<string>();
  const base = options.id;
  drafts.forEach((draft, n) => {
    const loose = draft.linked.outline.items[0]?.loose ?? [];
    const heading = lastParagraph(draft.headings) ?? shortFirst(loose);
    const found = heading === undefined ? undefined : titleCase(heading, names);
    draft.title =
      (drafts.length === 1 || found === undefined ? options.title : undefined) ??
      found ??
      `Printed key, line ${draft.linked.outline.items[0]?.line.number ?? 1}`;
    draft.remark = loose
      .filter((l) => l.text !== heading)
      .map((l) => l.text)
      .join(' ');
    const own =
      slug(draft.title.replace(/^(?:the|der|die|das)\s+|^(?:key|clavis) to (?:the |all )?/i, ''), 50) ||
      'printed-key';
    const wanted = base === undefined ? own : drafts.length === 1 ? base : `${base}-${n + 1}`;
    draft.id = wanted;
    for (let k = 2; used.has(draft.id); k++) draft.id = `${wanted}-${k}`;
    used.add(draft.id);
  });
}

function lastParagraph(lines: readonly Line[]): string | undefined {
  if (lines.length === 0) return undefined;
  let from = lines.length - 1;
  while (from > 0 && (lines[from] as Line).blank === 0) from--;
  return lines
    .slice(from)
    .map((l) => l.text)
    .join(' ');
}

/** A short first line that is not a sentence may be the title. */
function shortFirst(lines: readonly Line[]): string | undefined {
  const first = lines.find((l) => isHeadingText(l.text)) ?? lines[0];
  if (first === undefined || first.text.length > 90 || /\.{3,}|\s{4,}/.test(first.text)) return undefined;
  return /^[[(]/.test(first.text) || (/\.$/.test(first.text) && first.text.split(' ').length > 8)
    ? undefined
    : first.text;
}

/** Words of the text that always begin with a capital: names keep theirs in titles set in capitals. */
export function namesIn(lines: readonly Line[]): ReadonlySet<string> {
  const small = new Set<string>();
  const capital = new Set<string>();
  for (const { text } of lines) {
    for (const [word] of text.matchAll(/(?<![\p{L}])\p{L}+/gu)) {
      if (/^\p{Ll}/u.test(word)) small.add(word);
      else if (/^\p{Lu}\p{Ll}+$/u.test(word)) capital.add(word.toLowerCase());
    }
  }
  return new Set([...capital].filter((word) => !small.has(word)));
}

export function titleCase(heading: string, names: ReadonlySet<string>): string {
  const text = heading.replace(/\s+/g, ' ').replace(/[.:]$/, '').trim();
  const letters = text.replace(/[^\p{L}]/gu, '');
  // `FAGACEAE, the Beech Family`
  if (letters !== letters.toUpperCase())
    return text.replace(/^\p{Lu}{6,}(?=,)/u, (word) => word[0] + word.slice(1).toLowerCase());
  const lower = text
    .toLowerCase()
    .replace(/\p{L}{3,}/gu, (word) =>
      names.has(word) ? word.replace(/^\p{L}/u, (c) => c.toUpperCase()) : word,
    );
  return lower
    .replace(/\p{L}/u, (c) => c.toUpperCase())
    .replace(
      /^((?:Key|Group|Table|Part|Section|Series|Division|Schlüssel|Gruppe|Tabelle|Teil) )([a-z]|[ivx]+)(?=\W|$)/u,
      (_, word: string, letter: string) => word + letter.toUpperCase(),
    );
}
