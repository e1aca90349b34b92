/** What to tell the author about words that break off, lines without a place, and doubtful layouts. */
import type { Finding } from '../../diagnostic/finding.js';
import type { Lines } from '../../diagnostic/lines.js';
import { harmless, quoted } from '../../text/harmless.js';
import { count } from '../../text/words.js';
import type { Item } from './draft.js';
import type { KeyDraft } from './drafts.js';
import { readLabel } from './labels.js';
import type { Line } from './lines.js';
import { type Linked, labelOf, type Remark } from './linked.js';
import { readScientific } from './names.js';
import { isHeadingText } from './sections.js';

/** A remark as a finding at its line of the printed text. */
export function findingOf(remark: Remark, places: Lines, file: string): Finding {
  const start = places.at(places.start(remark.line));
  const end = places.at(start.offset + places.line(remark.line).length);
  return {
    rule: remark.rule,
    level: remark.level,
    message: harmless(remark.message),
    place: { file, path: [], start, end },
  };
}

const LAST_WORD =
  /\b(?:from|of|the|with|and|or|an|to|by|than|at|von|der|die|das|dem|den|mit|und|oder|als|bis|ohne|sehr|very)$/i;

/** Leads whose words stop in the middle. */
export function wordRemarks(linked: Linked): Remark[] {
  const found: Remark[] = [];
  for (const couplet of linked.couplets) {
    for (const lead of couplet.leads) {
      const say = (message: string) =>
        found.push({
          rule: 'words-whole',
          level: 'warning',
          line: lead.item.lastLine.number,
          message: `lead ${labelOf(couplet, lead)}: ${message}`,
          couplet,
        });
      const last = LAST_WORD.exec(lead.words);
      if (last !== null) say(`the words break off after ${quoted(last[0])}`);
      const open = lead.words.split('(').length - lead.words.split(')').length;
      if (open !== 0)
        say(`${open > 0 ? 'a bracket is opened but not closed' : 'a bracket is closed but not opened'}`);
    }
  }
  return found;
}

/** Lines that belong to no couplet, paragraph by paragraph. */
export function looseRemarks(draft: KeyDraft): Remark[] {
  const { items, after } = draft.linked.outline;
  const first = items[0]?.loose ?? [];
  const early = [...draft.before, ...draft.headings, ...first];
  const title = new Set(draft.headings);
  const coupletOf = new Map(draft.linked.couplets.flatMap((c) => c.leads.map((l) => [l.item, c] as const)));
  const inner = items.slice(1).flatMap((item, i) => {
    const above = coupletOf.get(items[i] as Item);
    const below = coupletOf.get(item);
    return paragraphs(item.loose).flatMap((p) => {
      const heads = p.every((l) => isHeadingText(l.text));
      const remark = looseRemark(p, heads ? 'note' : 'warning');
      if (heads) return [remark];
      // What was not placed may belong to the lead above it or to the one below.
      return [
        { ...remark, ...(below === undefined ? {} : { couplet: below }) },
        ...(above === undefined || above === below ? [] : [{ ...remark, couplet: above, silent: true }]),
      ];
    });
  });
  const end = items.at(-1);
  const last = end === undefined ? undefined : coupletOf.get(end);
  return [
    ...paragraphs(early.filter((l) => !title.has(l))).map((p) =>
      looseRemark(p, mayBeLead(p[0]) ? 'warning' : 'note'),
    ),
    ...inner,
    ...[after, draft.after].flatMap((lines) =>
      paragraphs(lines).map((p) => {
        const remark = looseRemark(p, p.every((l) => isHeadingText(l.text)) ? 'note' : 'warning');
        // Lines right below the last lead may be more of the key; a paragraph of text after it is not.
        const near = end !== undefined && (p[0]?.row ?? 0) <= end.lastLine.row + 2 && looksLikeLead(p);
        return near && last !== undefined ? { ...remark, couplet: last } : remark;
      }),
    ),
  ];
}

/** A line with a label that is neither a heading nor the name of a taxon. */
function mayBeLead(line: Line | undefined): boolean {
  const label = readLabel(line?.text ?? '');
  if (line === undefined || label?.firm !== true || isHeadingText(line.text)) return false;
  return readScientific(line.text.slice(label.end))?.form !== 2;
}

/** Whether lines begin with a label or close with what may be an end. */
function looksLikeLead(lines: readonly Line[]): boolean {
  const [first, last] = [lines[0], lines.at(-1)];
  return (
    readLabel(first?.text ?? '')?.firm === true ||
    /(?:\s{3,}|(?:\.\s?){3,})\S+(?:\s\S+){0,3}$/.test(last?.text ?? '')
  );
}

/** What surrounds the couplets of a text that `print` wrote: none of it is a lead, and all of it is kept. */
export function ownRemarks(draft: KeyDraft): Remark[] {
  const lines = [...draft.headings, ...draft.after];
  const [first] = lines;
  if (first === undefined) return [];
  return [
    {
      rule: 'line-placed',
      level: 'note',
      line: first.number,
      message: `written by print: ${count(lines.length, 'line')} around the couplets of ${quoted(draft.title)} kept as comments`,
    },
  ];
}

function paragraphs(lines: readonly Line[]): Line[][] {
  const out: Line[][] = [];
  for (const line of lines) {
    const last = out[out.length - 1];
    if (last === undefined || line.blank > 0 || line.row > (last[last.length - 1]?.row ?? 0) + 1)
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

/** So little holds together that all of it is doubtful. */
export function weakRemark(draft: KeyDraft): Remark {
  return {
    rule: 'layout-clear',
    level: 'warning',
    line: draft.linked.outline.items[0]?.line.number ?? 1,
    message: `little of this key holds together, read as ${quoted(draft.layout)}: look at every couplet, or name the layout`,
  };
}

/** The layout might be another. */
export function unsureRemark(draft: KeyDraft): Remark {
  return {
    rule: 'layout-clear',
    level: 'warning',
    line: draft.linked.outline.items[0]?.line.number ?? 1,
    message: `the layout was read as ${quoted(draft.layout)}, but another fits nearly as well: if the couplets are wrong, name the layout`,
  };
}
