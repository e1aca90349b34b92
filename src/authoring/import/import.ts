/** From the text of a printed key to key files: the stages in order. */
import type { Finding } from '../../diagnostic/finding.js';
import { Lines } from '../../diagnostic/lines.js';
import { harmless, quoted } from '../../text/harmless.js';
import { byCodeUnit, count } from '../../text/words.js';
import type { Layout } from './draft.js';
import { languageOf } from './lexicon.js';
import { type Line, readLines } from './lines.js';
import { anchorName, type Linked, type LinkedCouplet, labelOf, type Remark } from './link.js';
import { slug } from './names.js';
import { withoutPages } from './pages.js';
import { wordsOf } from './pieces.js';
import { propose } from './proposals.js';
import { bestReading, makeSection } from './reading.js';
import {
  goesOnFrom,
  highestNumber,
  isHeadingText,
  type Part,
  splitAtHeadings,
  splitAtRestarts,
} from './sections.js';
import { Taxa } from './taxa.js';
import { writeKey } from './write.js';

export { LAYOUTS, type Layout } from './draft.js';

/** What the author may say about a printed key. */
export interface ImportOptions {
  /** What the text is called in messages. */
  readonly file: string;
  /** The layout, when it shall not be found out. */
  readonly layout?: Layout;
  readonly id?: string;
  readonly title?: string;
  readonly cite?: string;
  readonly language?: string;
  /** Propose conditions; true when not said. */
  readonly when?: boolean;
  /** Join all keys of the text into one. */
  readonly asOne?: boolean;
}

/** One key file that came out of the text. */
export interface ImportedKey {
  readonly id: string;
  readonly title: string;
  /** The text of the key file. */
  readonly text: string;
  readonly layout: Layout;
  /** The line of its first lead. */
  readonly line: number;
  readonly couplets: number;
  readonly leads: number;
  readonly taxa: number;
  readonly proposed: number;
}

/** What came of an import: no keys when the text holds none. Findings are about lines of the printed text. */
export interface Imported {
  readonly keys: readonly ImportedKey[];
  readonly findings: readonly Finding[];
}

/** A part of the text that a key was read from. */
interface Draft {
  readonly headings: readonly Line[];
  readonly before: readonly Line[];
  readonly linked: Linked;
  readonly layout: Layout;
  readonly unsure: boolean;
  after: Line[];
  title: string;
  remark: string;
  id: string;
}

/** A reading that another layout nearly equals is doubtful. */
const LEAST_MARGIN = 0.08;

/** Turns the plain text of one or several printed keys into key files. */
export function importText(text: string, options: ImportOptions): Imported {
  const { lines, furniture } = withoutPages(readLines(text));
  const words = wordsOf(lines.map((l) => l.raw));
  const { drafts, lost } = readDrafts(lines, words, options.layout);
  const places = new Lines(text);
  if (drafts.length === 0) return { keys: [], findings: [] };
  const names = namesIn(lines);
  nameDrafts(drafts, options, names);
  drafts.at(-1)?.after.push(...lost);
  const language = options.language ?? languageOf(text);
  const remarks: Remark[] = drafts.flatMap((d) => [
    ...d.linked.remarks,
    ...wordRemarks(d.linked),
    ...looseRemarks(d),
  ]);
  if (furniture.length > 0)
    remarks.push({
      rule: 'line-placed',
      level: 'note',
      line: furniture[0]?.number ?? 1,
      message: `${count(furniture.length, 'line')} taken for page numbers and running heads, kept as comments: ${furniture
        .slice(0, 8)
        .map((l) => l.number)
        .join(', ')}${furniture.length > 8 ? ' and further' : ''}`,
    });
  for (const draft of drafts) if (draft.unsure) remarks.push(unsureRemark(draft));
  const keys =
    options.asOne === true
      ? [joinedKey(drafts, furniture, remarks, options, language, names)]
      : separateKeys(drafts, furniture, remarks, options, language);
  const findings = remarks
    .map((remark) => findingOf(remark, places, options.file))
    .sort((a, b) => a.place.start.offset - b.place.start.offset || byCodeUnit(a.message, b.message));
  return { keys, findings };
}

function findingOf(remark: Remark, places: Lines, file: string): Finding {
  const start = places.at(places.start(remark.line));
  const end = places.at(start.offset + places.line(remark.line).length);
  return {
    rule: remark.rule,
    level: remark.level,
    message: harmless(remark.message),
    place: { file, path: [], start, end },
  };
}

/** Splits the text and reads a key from every part that holds one. */
function readDrafts(
  lines: readonly Line[],
  words: ReadonlySet<string>,
  layout: Layout | undefined,
): { drafts: Draft[]; lost: Line[] } {
  const whole = makeSection(lines, words);
  const parts = mergedParts(splitAtHeadings(lines, whole.labels, whole.ended));
  const drafts: Draft[] = [];
  let lost: Line[] = [];
  for (const merged of parts) {
    const section = makeSection(merged.lines, words);
    for (const part of splitAtRestarts(merged, section.labels, section.pointers)) {
      const own = part === merged ? section : makeSection(part.lines, words);
      const reading = bestReading(own, layout);
      if (reading === undefined) {
        // A heading above other headings, or prose: it stays above the next key.
        lost.push(...part.headings, ...part.lines);
        continue;
      }
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
      });
      lost = [];
    }
  }
  return { drafts, lost };
}

/** Joins parts that go on with the numbers of the part before: their headings stand inside one key. */
function mergedParts(parts: readonly Part[]): Part[] {
  const merged: Part[] = [];
  let highest: number | undefined;
  let open: { headings: readonly Line[]; lines: Line[] } | undefined;
  let waiting: Part[] = [];
  for (const part of parts) {
    if (open !== undefined && goesOnFrom(highest, part)) {
      for (const p of [...waiting, part]) open.lines.push(...p.headings, ...p.lines);
      waiting = [];
      highest = highestNumber(part.lines, highest);
      continue;
    }
    const own = highestNumber(part.lines, undefined);
    if (own === undefined && open !== undefined && part.lines.length < 12) {
      waiting.push(part);
      continue;
    }
    merged.push(...waiting);
    waiting = [];
    open = { headings: part.headings, lines: [...part.lines] };
    merged.push(open);
    highest = own;
  }
  return [...merged, ...waiting];
}

/** Titles from headings, ids from titles. */
function nameDrafts(drafts: readonly Draft[], options: ImportOptions, names: ReadonlySet<string>): void {
  const used = new Set<string>();
  const base = options.id;
  drafts.forEach((draft, n) => {
    const loose = draft.linked.outline.items[0]?.loose ?? [];
    const heading = lastParagraph(draft.headings) ?? shortFirst(loose);
    const found = heading === undefined ? undefined : titleCase(heading, names);
    draft.title =
      (drafts.length === 1 || found === undefined ? options.title : undefined) ??
      found ??
      `Printed key, line ${draft.linked.outline.items[0]?.line ?? 1}`;
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

/** A short first line that is no sentence may be the title. */
function shortFirst(lines: readonly Line[]): string | undefined {
  const first = lines.find((l) => isHeadingText(l.text)) ?? lines[0];
  if (first === undefined || first.text.length > 90 || /\.{3,}|\s{4,}/.test(first.text)) return undefined;
  return /^[[(]/.test(first.text) || (/\.$/.test(first.text) && first.text.split(' ').length > 8)
    ? undefined
    : first.text;
}

/** Words of the text that always begin with a capital: names keep theirs in titles set in capitals. */
function namesIn(lines: readonly Line[]): ReadonlySet<string> {
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

function titleCase(heading: string, names: ReadonlySet<string>): string {
  const text = heading.replace(/\s+/g, ' ').replace(/[.:]$/, '').trim();
  const letters = text.replace(/[^\p{L}]/gu, '');
  if (letters !== letters.toUpperCase()) return text;
  const lower = text
    .toLowerCase()
    .replace(/\p{L}{3,}/gu, (word) =>
      names.has(word) ? word.replace(/^\p{L}/u, (c) => c.toUpperCase()) : word,
    );
  return lower
    .replace(/\p{L}/u, (c) => c.toUpperCase())
    .replace(
      /^((?:Key|Group|Table|Part|Section|Schlüssel|Gruppe|Tabelle|Teil) )([a-z]|[ivx]+)(?=\W|$)/u,
      (_, word: string, letter: string) => word + letter.toUpperCase(),
    );
}

const LAST_WORD =
  /\b(?:from|of|the|with|and|or|an|to|by|than|at|von|der|die|das|dem|den|mit|und|oder|als|bis|ohne|sehr|very)$/i;

/** Leads whose words stop in the middle. */
function wordRemarks(linked: Linked): Remark[] {
  const found: Remark[] = [];
  for (const couplet of linked.couplets) {
    for (const lead of couplet.leads) {
      const say = (message: string) =>
        found.push({
          rule: 'words-whole',
          level: 'warning',
          line: lead.item.lastLine,
          message: `lead ${labelOf(couplet, lead)}: ${message}`,
          couplet,
        });
      const last = LAST_WORD.exec(lead.words);
      if (last !== null) say(`the words break off after ${quoted(last[0])}`);
      const open = lead.words.split('(').length - lead.words.split(')').length;
      if (open !== 0)
        say(`${open > 0 ? 'a bracket is opened and not closed' : 'a bracket is closed and not opened'}`);
    }
  }
  return found;
}

/** Lines that belong to no couplet, paragraph by paragraph. */
function looseRemarks(draft: Draft): Remark[] {
  const { items, after } = draft.linked.outline;
  const first = items[0]?.loose ?? [];
  const early = [...draft.before, ...draft.headings, ...first];
  const title = new Set(draft.headings);
  const inner = items.slice(1).flatMap((item) => (item.loose.length === 0 ? [] : [item.loose]));
  return [
    ...paragraphs(early.filter((l) => !title.has(l))).map((p) => looseRemark(p, 'note')),
    ...[...inner, after, draft.after].flatMap((lines) =>
      paragraphs(lines).map((p) =>
        looseRemark(p, p.every((l) => isHeadingText(l.text)) ? 'note' : 'warning'),
      ),
    ),
  ];
}

function paragraphs(lines: readonly Line[]): Line[][] {
  const out: Line[][] = [];
  for (const line of lines) {
    const last = out[out.length - 1];
    if (last === undefined || line.blank > 0 || line.number > (last[last.length - 1]?.number ?? 0) + 1)
      out.push([line]);
    else last.push(line);
  }
  return out;
}

function looseRemark(lines: readonly Line[], level: Remark['level']): Remark {
  const text = lines.map((l) => l.text).join(' ');
  return {
    rule: 'line-placed',
    level,
    line: lines[0]?.number ?? 1,
    message: `belongs to no couplet and is kept as a comment: ${quoted(text)}`,
  };
}

function unsureRemark(draft: Draft): Remark {
  return {
    rule: 'layout-clear',
    level: 'warning',
    line: draft.linked.outline.items[0]?.line ?? 1,
    message: `the layout was read as ${quoted(draft.layout)}, but another fits nearly as well: name it if the couplets came out wrong`,
  };
}

/** Each draft as a key of its own. */
function separateKeys(
  drafts: readonly Draft[],
  furniture: readonly Line[],
  remarks: Remark[],
  options: ImportOptions,
  language: string | undefined,
): ImportedKey[] {
  return drafts.map((draft, n) => {
    const from = n === 0 ? 0 : (draft.headings[0]?.number ?? draft.linked.outline.items[0]?.line ?? 0);
    const next = drafts[n + 1];
    const to =
      next === undefined
        ? Number.POSITIVE_INFINITY
        : (next.headings[0]?.number ?? next.linked.outline.items[0]?.line ?? 0);
    return keyOf([draft], {
      options,
      language,
      remarks,
      drafts,
      id: draft.id,
      title: draft.title,
      furniture: furniture.filter((l) => l.number >= from && l.number < to),
    });
  });
}

interface Writing {
  readonly options: ImportOptions;
  readonly language: string | undefined;
  readonly remarks: Remark[];
  readonly drafts: readonly Draft[];
  readonly id: string;
  readonly title: string;
  readonly furniture: readonly Line[];
  readonly opening?: readonly { words: string; to: string; line: number }[];
  readonly openingId?: string;
}

function keyOf(drafts: readonly Draft[], writing: Writing): ImportedKey {
  const { options, remarks, id, title } = writing;
  const linked = drafts.map((d) => d.linked);
  const taxa = new Taxa();
  taxa.addAll(linked);
  const couplets = linked.flatMap((l) => l.couplets);
  const proposals = options.when === false ? undefined : propose(couplets);
  const own = new Set<LinkedCouplet>(couplets);
  const keyNamed = keyNames(writing.drafts);
  for (const couplet of couplets) {
    for (const lead of couplet.leads) {
      if (lead.target.kind !== 'key' || keyNamed(lead.target.name).known) continue;
      remarks.push({
        rule: 'target-exists',
        level: 'error',
        line: lead.item.lastLine,
        couplet,
        message: `lead ${labelOf(couplet, lead)}: goes on in ${quoted(lead.target.name)}, which is not in this text`,
      });
    }
  }
  const first = drafts[0] as Draft;
  const text = writeKey({
    id,
    title,
    language: writing.language,
    cite: options.cite,
    from: options.file.replace(/^.*[/\\]/, ''),
    layout: first.layout,
    linked,
    taxa,
    proposals,
    opening: writing.opening ?? [],
    openingId: writing.openingId ?? 'start',
    before: [...first.before, ...first.headings],
    after: drafts.flatMap((d) => d.after),
    furniture: writing.furniture,
    remarks: remarks.filter((r) => r.couplet !== undefined && own.has(r.couplet)),
    keyNamed,
    unsure: drafts.some((d) => d.unsure),
  });
  return {
    id,
    title,
    text,
    layout: first.layout,
    line: linked[0]?.outline.items[0]?.line ?? 1,
    couplets: couplets.length + (writing.opening === undefined || writing.opening.length === 0 ? 0 : 1),
    leads: couplets.reduce((n, c) => n + c.leads.length, writing.opening?.length ?? 0),
    taxa: taxa.all.length,
    proposed: proposals?.tests.size ?? 0,
  };
}

/** Finds the key of the text that a lead names: `Key B`, `key to the ochre-spored agarics`. */
function keyNames(drafts: readonly Draft[]): (printed: string) => { id: string; known: boolean } {
  const byName = new Map<string, string>();
  for (const draft of drafts) for (const line of draft.headings) byName.set(anchorName(line.text), draft.id);
  return (printed) => {
    const wanted = anchorName(printed);
    const found =
      byName.get(wanted) ?? [...byName].find(([name]) => wanted.length > 5 && name.includes(wanted))?.[1];
    return found === undefined
      ? { id: slug(printed) || 'other-key', known: false }
      : { id: found, known: true };
  };
}

/** All drafts in one key: couplets get a letter before their number, and a couplet of the headings opens it. */
function joinedKey(
  drafts: readonly Draft[],
  furniture: readonly Line[],
  remarks: Remark[],
  options: ImportOptions,
  language: string | undefined,
  names: ReadonlySet<string>,
): ImportedKey {
  const named = keyNames(drafts);
  const starts = new Map<string, LinkedCouplet>();
  drafts.forEach((draft, n) => {
    const letter = letters(n);
    for (const couplet of draft.linked.couplets)
      couplet.id =
        drafts.length === 1
          ? couplet.id
          : /^\d/.test(couplet.id)
            ? `${letter}${couplet.id}`
            : `${letter}.${couplet.id}`;
    const start = draft.linked.couplets[0];
    if (start !== undefined) starts.set(draft.id, start);
  });
  const referred = new Set<string>();
  for (const draft of drafts) {
    for (const couplet of draft.linked.couplets) {
      for (const lead of couplet.leads) {
        if (lead.target.kind !== 'key') continue;
        const { id, known } = named(lead.target.name);
        const start = starts.get(id);
        if (!known || start === undefined || id === draft.id) continue;
        referred.add(id);
        lead.target = { kind: 'couplet', couplet: start, via: 'printed', end: lead.target.end };
      }
    }
  }
  const open = drafts.filter((d) => !referred.has(d.id));
  const roots = open.length === 0 ? drafts.slice(0, 1) : open;
  const opening =
    roots.length < 2
      ? []
      : roots.map((d) => ({
          words:
            d.remark !== '' && /^\(/.test(d.remark) && d.remark.length < 300
              ? `${d.title} ${d.remark}`
              : d.title,
          to: d.linked.couplets[0]?.id ?? '',
          line: d.linked.outline.items[0]?.line ?? 1,
        }));
  // The root must stand first: keying begins at the first couplet of the file.
  const ordered = roots.length === 1 ? [...roots, ...drafts.filter((d) => d !== roots[0])] : drafts;
  const title =
    options.title ??
    (roots.length === 1 ? (roots[0]?.title ?? '') : (titleOver(drafts, names) ?? drafts[0]?.title ?? ''));
  const id = options.id ?? (slug(title.replace(/^(?:the|key to the|key to)\s+/i, ''), 50) || 'printed-key');
  return keyOf(ordered, {
    options,
    language,
    remarks,
    drafts,
    id,
    title,
    furniture,
    opening,
    openingId: 'start',
  });
}

/** A heading above the headings of all keys. */
function titleOver(drafts: readonly Draft[], names: ReadonlySet<string>): string | undefined {
  const above = drafts[0]?.before.find((l) => isHeadingText(l.text));
  return above === undefined ? undefined : titleCase(above.text, names);
}

function letters(n: number): string {
  return n < 26
    ? String.fromCharCode(65 + n)
    : letters(Math.floor(n / 26) - 1) + String.fromCharCode(65 + (n % 26));
}
