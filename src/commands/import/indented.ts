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
  const widest = section.lines.reduce((most, l) => Math.max(most, l.raw.trimEnd().length), 0);
  section.lines.forEach((line, i) => {
    const last = items[items.length - 1];
    if (last !== undefined && continues(section, last, i, wrapping, widest)) {
      last.pieces.push(piece(line, 0));
      last.lastLine = line.number;
      // It is level with the lead and begins with a capital: it may be another lead.
      if (line.indent === last.indent && /^\p{Lu}/u.test(line.text)) last.suspects.push(line.number);
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
      line: line.number,
      lastLine: line.number,
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
  return { layout: 'indented', groups, items, after: loose, oddities };
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
  if (isUnfinished(last)) return true;
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
