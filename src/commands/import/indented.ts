/** Keys without labels: the indentation alone shows which leads belong together. */
import { FAR_RIGHT, type Group, type Item, type Outline, type TextSection } from './draft.js';
import { addEnd, isUnfinished, piece } from './items.js';
import type { Line } from './lines.js';

/**
 * How lines that continue a lead are told from lines that begin one. `hang`: how much further they are indented than the
 * lead; undefined: none is fixed.
 */
interface Wrapping {
  /** Labels begin leads, and lines without one may as well; they say nothing of what belongs together. */
  readonly labels: boolean;
  /** A line is never the continuation of another. */
  readonly none: boolean;
  readonly hang: number | undefined;
}

/** Leads with labels and leads without, told apart by their ends and what belongs together by indents. */
export const LABELLED: Wrapping = { labels: true, none: false, hang: undefined };

interface IndentLevel {
  readonly indent: number;
  readonly group: Group;
  /** The column of the words of its first lead, when that has a label. */
  readonly words: number | undefined;
}

/** The assumptions about wrapping that are worth trying for a section. */
export function wrappings(section: TextSection): Wrapping[] {
  const steps = new Map<number, number>();
  section.lines.forEach((line, i) => {
    const before = section.lines[i - 1];
    const step = before === undefined ? 0 : line.indent - before.indent;
    if (step > 0) steps.set(step, (steps.get(step) ?? 0) + 1);
  });
  const likely = [...steps].sort((a, b) => b[1] - a[1] || a[0] - b[0]).slice(0, 3);
  return [
    { labels: false, none: true, hang: undefined },
    { labels: false, none: false, hang: undefined },
    ...likely.map(([hang]) => ({ labels: false, none: false, hang })),
    ...(section.labels.some((l) => l?.firm) ? [LABELLED] : []),
  ];
}

/** Reads a section by its indentation. */
export function readIndented(section: TextSection, wrapping: Wrapping): Outline {
  const items: Item[] = [];
  const groups: Group[] = [];
  const oddities: { line: number; what: string }[] = [];
  const levels: IndentLevel[] = [];
  let loose: Line[] = [];
  let blurred = 0;
  const widest = section.lines.reduce((most, l) => Math.max(most, l.raw.trimEnd().length), 0);
  section.lines.forEach((line, i) => {
    const last = items[items.length - 1];
    if (last !== undefined && continues(section, last, i, wrapping, widest)) {
      last.pieces.push(piece(line, 0));
      last.lastLine = line;
      // It begins with a capital and is level with the lead, or the words above stop as openings do: it may be another lead.
      const opened = stopsAsOpenings(section, i);
      if (/^\p{Lu}/u.test(line.text) && (line.indent === last.indent || opened)) {
        last.suspects.push(line.number);
        if (opened) blurred++;
      }
      addEnd(last, line, section.ended[i]);
      return;
    }
    if (last === undefined && i + 1 < section.lines.length && !startsKey(section, i)) {
      loose.push(line);
      return;
    }
    const sign = section.labels[i];
    const bullet =
      sign !== undefined &&
      (wrapping.labels || sign.readings[0]?.system === 'dash' || sign.readings[0]?.system === 'sign');
    const item: Item = {
      pieces: [piece(line, bullet ? sign.end : 0)],
      label: undefined,
      mark: undefined,
      markSystem: undefined,
      indent: line.indent,
      line,
      lastLine: line,
      ended: section.ended[i] ?? false,
      ends: section.ended[i] === true ? [line.number] : [],
      suspects: [],
      loose,
    };
    loose = [];
    const words = wrapping.labels && sign?.firm === true ? line.indent + sign.end : undefined;
    // Labels of unequal length may stand to the right: `  I.` and ` II.` are level where their words are.
    const known = words === undefined ? undefined : levels.findLast((l) => l.words === words);
    const indent = known?.indent ?? line.indent;
    while (levels.length > 0 && (levels[levels.length - 1] as IndentLevel).indent > indent) levels.pop();
    const level = levels[levels.length - 1];
    if (level !== undefined && level.indent === indent) {
      item.mark = level.group.leads.length;
      level.group.leads.push(item);
    } else {
      const group: Group = {
        name: undefined,
        system: undefined,
        leads: [item],
        under: last,
        back: [],
        again: false,
      };
      if (level !== undefined && last !== undefined && last.indent > line.indent)
        oddities.push({ line: line.number, what: 'the indent fits no line above' });
      item.mark = 0;
      groups.push(group);
      levels.push({ indent, group, words });
    }
    items.push(item);
  });
  return {
    layout: 'indented',
    groups,
    items,
    after: loose,
    oddities,
    ...(blurred > 0 ? { blurred: true } : {}),
  };
}

/** Text before the first lead is set apart from it by an empty line, and nothing indented follows it. */
function startsKey(section: TextSection, i: number): boolean {
  for (let j = i + 1; j < section.lines.length; j++) {
    const next = section.lines[j] as Line;
    if (next.blank > 0) return section.ended.slice(i, j).some(Boolean);
    if (section.ended[j - 1] === true || next.indent > (section.lines[i] as Line).indent) return true;
  }
  return true;
}

function continues(section: TextSection, last: Item, i: number, wrapping: Wrapping, widest: number): boolean {
  const line = section.lines[i] as Line;
  if (line.indent < last.indent) return false;
  if (section.ended[i] === true && !last.ended && line.indent >= last.indent + FAR_RIGHT) return true;
  if (wrapping.none || (wrapping.labels && section.labels[i]?.firm === true)) return false;
  const before = section.lines[i - 1] as Line;
  if (isUnfinished(last) && !opensBelow(section, last, i)) return true;
  if (last.ended)
    return (
      (line.blank === 0 || line.afterPage) &&
      line.indent > last.indent &&
      /^[\p{Ll}(]/u.test(line.text) &&
      section.ended[i] !== true
    );
  if (line.blank > 0 && !line.afterPage) return false;
  if (/^[\p{Ll}(,;]|^(?:\.\s?){2}|^[…_·→]/u.test(line.text)) return true;
  if (wrapping.hang === undefined) return false;
  const hung =
    line.indent === last.indent + wrapping.hang || (last.pieces.length > 1 && line.indent === before.indent);
  // A capital (a German noun, a name) may continue the lead only when the line above was full.
  const full = before.raw.trimEnd().length + (line.text.split(/\s/, 1)[0] ?? '').length + 1 > widest * 0.9;
  return hung && (full || /[,-]$/.test(before.text));
}

/**
 * `Plants tough,` / `Stem central,` with leads of their own further in: words that stop so open what is under them. One such
 * line alone is read with the lead below, as most printers mean it.
 */
function opensBelow(section: TextSection, last: Item, i: number): boolean {
  const line = section.lines[i] as Line;
  if (last.pieces.length < 2 || line.indent <= last.indent || !/^\p{Lu}/u.test(line.text)) return false;
  return stopsAsOpenings(section, i);
}

/** Whether the line above stops as many lines do that open what is under them. */
function stopsAsOpenings(section: TextSection, i: number): boolean {
  const stop = stopOf(section.lines[i - 1]);
  return stop !== undefined && (openings(section).get(stop) ?? 0) >= LEAST_OPENINGS;
}

function stopOf(line: Line | undefined): string | undefined {
  return /(?:,|--|[–—])$/.exec(line?.text ?? '')?.[0];
}

/** So many lines must stop in the same way for the stop to open what is below. */
const LEAST_OPENINGS = 3;
const known = new WeakMap<TextSection, ReadonlyMap<string, number>>();

/** How many lines close with each stop though the line below begins with a capital and has an end of its own. */
function openings(section: TextSection): ReadonlyMap<string, number> {
  const before = known.get(section);
  if (before !== undefined) return before;
  const counts = new Map<string, number>();
  section.lines.forEach((line, i) => {
    const next = section.lines[i + 1];
    const stop = stopOf(line);
    if (stop === undefined || next === undefined || next.blank > 0 || section.ended[i] === true) return;
    if (section.ended[i + 1] === true && /^\p{Lu}/u.test(next.text))
      counts.set(stop, (counts.get(stop) ?? 0) + 1);
  });
  known.set(section, counts);
  return counts;
}
