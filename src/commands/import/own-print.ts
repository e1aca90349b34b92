/** Reads back the text that `print` writes: its lines are set by known rules, so that nothing has to be guessed. */
import type { Group, Item } from './draft.js';
import type { Line, LinePlace } from './lines.js';
import { link } from './link.js';
import type { Linked } from './linked.js';
import { ownEnd } from './own-ends.js';
import type { SplitLead } from './split-lead.js';

/** One key of such a text. */
interface OwnKey {
  readonly title: string;
  /** Given for the first key only. */
  readonly id: string | undefined;
  readonly version: string | undefined;
  readonly licence: string | undefined;
  /** Title, imprint, scope and note. */
  readonly head: readonly Line[];
  readonly linked: Linked;
  readonly indented: boolean;
}

/** Everything that such a text holds. */
export interface OwnPrint {
  readonly keys: readonly OwnKey[];
  readonly terms: readonly (readonly [term: string, meaning: string])[];
  /** Taxa, terms, sources and cautions. */
  readonly rest: readonly Line[];
}

const SIGNATURE = /^Printed by keywright \d/;
const FROM = /\bfrom ([a-z0-9][a-z0-9-]*) \S+$/;
const IMPRINT = /^Version \S+?(?:, \d{4}-\d{2}-\d{2})?\.(?:\s|$)/;
const TERMS = 'Terms';
/** Further lines of a lead are at least this far to the right of its label; a lead below it is not. */
const HANG = 4;

/** Reads a text that `print` wrote; undefined when it is no such text, or when its lines were changed so that the rules fail. */
export function readOwnPrint(lines: readonly Line[]): OwnPrint | undefined {
  const signed = lines.findIndex((l) => SIGNATURE.test(l.raw));
  if (signed < 0 || lines.some((l, i) => i > signed && SIGNATURE.test(l.raw))) return undefined;
  const paragraphs = inParagraphs(lines);
  const found: { head: Line[]; body: Line[][] }[] = [];
  let rest = 0;
  while (rest < paragraphs.length) {
    const imprint = (paragraphs[rest] as Line[]).findIndex((l) => IMPRINT.test(l.raw));
    if (imprint < 1) break;
    const head: Line[] = [];
    while (rest < paragraphs.length && (head.length === 0 || !beginsLead(paragraphs[rest] as Line[])))
      for (const line of paragraphs[rest++] as Line[]) head.push(line);
    const body: Line[][] = [];
    while (rest < paragraphs.length && beginsLead(paragraphs[rest] as Line[]))
      body.push(paragraphs[rest++] as Line[]);
    if (body.length === 0) return undefined;
    found.push({ head, body });
  }
  if (found.length === 0) return undefined;
  const id = FROM.exec(
    lines
      .slice(signed)
      .map((l) => l.raw.trim())
      .join(' ')
      .replace(/\.$/, ''),
  )?.[1];
  const keys: OwnKey[] = [];
  for (const { head, body } of found) {
    const key = readKey(head, body, keys.length === 0 ? id : undefined);
    if (key === undefined) return undefined;
    keys.push(key);
  }
  const after = paragraphs.slice(rest);
  return { keys, terms: termsIn(after), rest: after.flat() };
}

function inParagraphs(lines: readonly Line[]): Line[][] {
  const paragraphs: Line[][] = [];
  for (const line of lines) {
    const last = paragraphs[paragraphs.length - 1];
    if (last === undefined || line.blank > 0) paragraphs.push([line]);
    else last.push(line);
  }
  return paragraphs;
}

/** `5a  Words`, `5a (4b)  Words`, or a label too long for its column with a line of its own. */
function beginsLead([first, second]: readonly Line[]): boolean {
  if (first === undefined) return false;
  const label = /^([A-Za-z0-9][A-Za-z0-9.]*a)(?: \(| {2,}\S|$)/.exec(first.raw.trimEnd());
  if (label === null) return false;
  return /^\S+ {2}|\) {2}/.test(first.raw) || (second !== undefined && second.indent >= HANG);
}

/** A lead while its lines are gathered: its label, and the lines without it. */
interface Rows {
  readonly label: string;
  readonly indent: number;
  readonly first: Line;
  last: Line;
  readonly rows: string[];
}

function readKey(
  head: readonly Line[],
  body: readonly (readonly Line[])[],
  id: string | undefined,
): OwnKey | undefined {
  const leads: Rows[] = [];
  for (const line of body.flat()) {
    const current = leads[leads.length - 1];
    if (current !== undefined && line.indent >= current.indent + HANG) {
      current.rows.push(line.raw.trim());
      current.last = line;
      continue;
    }
    const label = /^\s*([A-Za-z0-9][A-Za-z0-9.]*[a-z])(?=\s|$)(.*)$/.exec(line.raw);
    if (label === null) return undefined;
    const [, name = '', rest = ''] = label;
    // The targets say the same as the back-references.
    const back = /^ \(/.test(rest);
    leads.push({
      label: name,
      indent: line.indent,
      first: line,
      last: line,
      rows: [back ? rest : rest.trim()],
    });
  }
  const groups = grouped(leads);
  if (groups === undefined) return undefined;
  const items = groups.flatMap((g) => g.leads);
  const rowsAt = new Map(leads.map((l): [LinePlace, Rows] => [l.first, l]));
  const inOrder = [...items].sort((a, b) => a.line.row - b.line.row);
  const groupAt = new Map(groups.map((g) => [g.leads[0] as Item, g]));
  const ids = new Set(groups.map((g) => g.name as string));
  const split = new Map<Item, SplitLead>();
  inOrder.forEach((item, i) => {
    const next = inOrder[i + 1];
    // A lead whose couplet is right under it has no end of its own.
    const ends = next === undefined || next.indent <= item.indent;
    const { words, end, note } = splitRows((rowsAt.get(item.line) as Rows).rows, ends);
    const below = next !== undefined && next.indent > item.indent ? groupAt.get(next)?.name : undefined;
    item.notes = note === undefined ? [] : [note];
    const read = end === undefined ? undefined : ownEnd(end, ids);
    split.set(
      item,
      read !== undefined
        ? { words, end: read, how: 'dots' }
        : below !== undefined && end === undefined
          ? { words, end: { ...NOTHING, pointer: below }, how: 'dots' }
          : { words: end === undefined ? words : `${words} ... ${end}` },
    );
  });
  const imprint = head.findIndex((l) => IMPRINT.test(l.raw));
  const text = (from: number, to: number) =>
    head
      .slice(from, to)
      .map((l) => l.raw.trim())
      .join(' ');
  const stated = text(imprint, head.findIndex((l, i) => i > imprint && l.blank > 0) >>> 0);
  const indented = leads.some((l) => l.indent > 0);
  return {
    title: text(0, imprint),
    id,
    version: /^Version (\S+?)[.,](?:\s|$)/.exec(stated)?.[1],
    licence: /\bLicence: (\S+?)\.?$/.exec(stated)?.[1],
    head,
    linked: link(
      { layout: indented ? 'outline' : 'numbered', groups, items: inOrder, after: [], oddities: [] },
      (item) => split.get(item) ?? { words: '' },
    ),
    indented,
  };
}

const NOTHING = { names: [], outside: false, inPart: false, remarks: [], form: 2 } as const;

/** Leads that follow each other as a, b, c at one indent make a couplet; undefined when the letters do not. */
function grouped(leads: readonly Rows[]): Group[] | undefined {
  const groups: Group[] = [];
  const open: { group: Group; indent: number }[] = [];
  for (const lead of leads) {
    while ((open.at(-1)?.indent ?? -1) > lead.indent) open.pop();
    const top = open.at(-1);
    const going = top !== undefined && top.indent === lead.indent ? top.group : undefined;
    if (going !== undefined && lead.label === `${going.name}${letter(going.leads.length)}`) {
      going.leads.push(itemOf(lead, going.leads.length));
      continue;
    }
    if (!/.a$/.test(lead.label)) return undefined;
    if (going !== undefined) open.pop();
    const group: Group = {
      name: lead.label.slice(0, -1),
      system: 'number',
      leads: [itemOf(lead, 0)],
      under: undefined,
      back: [],
      again: false,
    };
    groups.push(group);
    open.push({ group, indent: lead.indent });
  }
  const names = new Set(groups.map((g) => g.name));
  return names.size === groups.length ? groups : undefined;
}

/** `a`, `b`, ... `z`, `aa`: the letter of a lead, from 0. */
export function letter(n: number): string {
  const last = String.fromCharCode(97 + (n % 26));
  return n < 26 ? last : letter(Math.floor(n / 26) - 1) + last;
}

function itemOf({ label, first, last, indent, rows }: Rows, mark: number): Item {
  return {
    pieces: [{ text: rows.join(' '), column: indent, marks: [], rawEnd: last.raw.length, line: last }],
    label: {
      printed: label,
      readings: [{ system: 'number', ordinal: 0 }],
      times: 1,
      mark,
      markSystem: 'lower',
      value: label,
      back: [],
      firm: true,
      dress: '',
      end: 0,
    },
    mark,
    markSystem: 'lower',
    indent,
    line: first,
    lastLine: last,
    ended: true,
    ends: [],
    suspects: [],
    loose: [],
  };
}

/** Dots that lead to an end, on the last line of the words or before an end with lines of its own. */
const DOTS = /^(.*?)(?:^| )\.{3,} (\S.*)$/;

/** The lines of a lead split: words, what the dots lead to, the note in square brackets below. */
function splitRows(
  written: readonly string[],
  ends: boolean,
): { words: string; end?: string; note?: string } {
  const rows = withoutBack(written);
  const dots = ends ? rows.findLastIndex((row) => DOTS.test(row)) : -1;
  const bracket =
    (rows[rows.length - 1] ?? '').endsWith(']') && rows.length > 1
      ? rows.findIndex((row, i) => i > Math.max(dots, 0) && row.startsWith('['))
      : -1;
  const note = bracket < 0 ? undefined : rows.slice(bracket).join(' ').slice(1, -1);
  const body = bracket < 0 ? rows : rows.slice(0, bracket);
  const at = dots < 0 ? null : lastDots(body[dots] as string);
  const noted = note === undefined ? {} : { note };
  if (at === null) return { words: spaced(body), ...noted };
  return {
    words: spaced([...body.slice(0, dots), at[0]]),
    end: spaced([at[1], ...body.slice(dots + 1)]),
    ...noted,
  };
}

/** What is before and after the last dots of a line. */
function lastDots(row: string): [string, string] | null {
  let found: [string, string] | null = null;
  for (const m of row.matchAll(/(?:^| )\.{3,} (?=\S)/g)) {
    // Dots inside the title of a key lead nowhere.
    const right = row.slice(m.index + m[0].length);
    if (found !== null && /“[^”]*$/.test(row.slice(0, m.index))) break;
    found = [row.slice(0, m.index), right];
  }
  return found;
}

/** The text without the bracketed labels of the leads that lead to the couplet. */
function withoutBack(rows: readonly string[]): string[] {
  if (!/^ \(/.test(rows[0] ?? '')) return [...rows];
  const last = rows.findIndex((row) => row.includes(')'));
  if (last < 0) return [...rows];
  const row = rows[last] as string;
  return [row.slice(row.indexOf(')') + 1).trim(), ...rows.slice(last + 1)];
}

function spaced(rows: readonly string[]): string {
  return rows
    .filter((r) => r !== '')
    .join(' ')
    .trim();
}

/** The terms with their meanings. */
function termsIn(paragraphs: readonly (readonly Line[])[]): [string, string][] {
  const at = paragraphs.findIndex((p) => p.length === 1 && p[0]?.raw.trim() === TERMS);
  const entries: string[] = [];
  for (const { raw } of paragraphs[at < 0 ? -1 : at + 1] ?? []) {
    if (/^\s/.test(raw) && entries.length > 0) entries.push(`${entries.pop()} ${raw.trim()}`);
    else entries.push(raw.trim());
  }
  return entries.flatMap((entry): [string, string][] => {
    const m = /^(.+?): (.+)$/.exec(entry);
    return m === null ? [] : [[m[1] as string, m[2] as string]];
  });
}
