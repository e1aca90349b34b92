/** Tries the layouts that a part of the text may have and takes the one that holds together best. */
import type { Item, Layout, Outline, TextSection } from './draft.js';
import { countColumns, cutLine, partLead } from './ends.js';
import { LABELLED, readIndented, wrappings } from './indented.js';
import { piece } from './items.js';
import type { Label, System } from './labels.js';
import { type Line, lineId } from './lines.js';
import { link } from './link.js';
import type { Linked, LinkedCouplet } from './linked.js';
import { type Assumption, type Meaning, readOutline } from './outline.js';
import { isEndAlone, realLabels } from './real-labels.js';
import { readSerial } from './serial.js';
import type { EndContext, SplitLead } from './split-lead.js';
import { readEndText } from './targets.js';

/** The best reading of a part, and the next best one in another layout, which shows how sure the first is. */
interface PartReading {
  readonly linked: Linked;
  readonly layout: Layout;
  /** How far the next best reading that differs falls behind, 0 to 1. */
  readonly margin: number;
}

/** No couplet has more leads than this; a reading that makes one is wrong. */
const MOST_LEADS = 80;
/** The number of lines from which a text counts as long. */
const LONG = 1500;

/** Reads what can be known of the lines of a part before its layout is known. */
export function makeSection(lines: readonly Line[], words: ReadonlySet<string>): TextSection {
  const labels = realLabels(lines);
  const known = new Set<string>();
  for (const label of labels) if (label?.readings[0]?.system === 'number') known.add(label.value);
  for (const letter of letterCouplets(lines, labels)) known.add(letter);
  const pieces = lines.map((line, i) => piece(line, labels[i]?.end ?? 0));
  const empty = { starts: new Map<number, number>(), stops: new Map<number, number>() };
  const blank: EndContext = {
    labels: known,
    columns: empty,
    justified: isJustified(lines),
    bare: false,
    words,
  };
  const context = { ...blank, columns: countColumns(pieces, blank) };
  const cuts = pieces.map((p) => cutLine(p, context));
  return {
    lines,
    labels,
    ended: cuts.map((c, i) => c !== undefined || isEndAlone(lines, labels, i)),
    pointers: cuts.map((c) => c?.end.pointer !== undefined),
    pointed: new Set(cuts.flatMap((c, i) => c?.end.pointer ?? pointerAlone(lines[i] as Line) ?? [])),
    context,
    surelyEnded: (ps) => {
      const { end, how } = partLead(ps, { ...context, bare: false });
      if (end === undefined || how === 'number' || end.names.length === 0) return false;
      const told = end.before !== undefined || end.page !== undefined;
      return told || (end.form === 2 && end.names.every((n) => n.name.includes(' ')));
    },
    wordEnd: (ps) => {
      const split = partLead(ps, { ...context, bare: true });
      return split.end !== undefined || (split.guess?.end.form ?? 0) > 0;
    },
  };
}

/** `_36_`: the number that is all of a line. */
function pointerAlone(line: Line): string | undefined {
  return line.pointer === true ? readEndText(line.text)?.pointer : undefined;
}

/** Letters that couplets have as names: such labels are before leads, and such letters at their ends. */
function letterCouplets(lines: readonly Line[], labels: readonly (Label | undefined)[]): Iterable<string> {
  const before = new Set<string>();
  for (const label of labels)
    if (/^[A-Za-z]$/.test(label?.value[0] ?? '')) before.add((label as Label).value[0] as string);
  const pointed = new Set<string>();
  let times = 0;
  for (const { text } of lines) {
    const letter = /(?:\s{2,}|\.{3,}\s*|(?:\s\.){3,}\s*|[→–]\s*)\(?([A-Za-z])\)?\.?$/.exec(
      text.slice(-60),
    )?.[1];
    if (letter === undefined || !before.has(letter)) continue;
    pointed.add(letter);
    times++;
  }
  return times >= 2 ? before : [];
}

/** Lines filled by spaces between their words. */
function isJustified(lines: readonly Line[]): boolean {
  const filled = lines.filter((l) =>
    /\S\s{2,}\S+(?:\s\S+)*\s{2,}\S+.*\s{2,}\S/.test(l.text.slice(0, 120)),
  ).length;
  return lines.length >= 6 && filled > lines.length * 0.3;
}

/** The best reading of a section; undefined when no key can be read in it. */
export function bestReading(section: TextSection, wanted?: Layout): PartReading | undefined {
  const readings: { linked: Linked; layout: Layout }[] = [];
  const parts = new Map<string, SplitLead>();
  const partWith = (bare: boolean) => {
    const context = { ...section.context, bare };
    return (item: Item): SplitLead => {
      const name = `${bare} ${item.pieces.map((p) => `${lineId(p.line)}-${p.text.length}`).join(' ')}`;
      const known = parts.get(name);
      if (known !== undefined) return known;
      const split = partLead(item.pieces, context);
      parts.set(name, split);
      return split;
    };
  };
  for (const outline of outlines(section, wanted)) {
    if (outline.groups.length === 0 || outline.groups.some((g) => g.leads.length > MOST_LEADS)) continue;
    const layout = layoutOf(outline);
    if (wanted !== undefined && layout !== wanted && outline.layout !== wanted) continue;
    for (const bare of endsInNumbers(outline, section) ? [true, false] : [false])
      readings.push({ linked: link(outline, partWith(bare)), layout });
    // In a long text a reading in which everything fits is not compared with others: each would take as long again.
    if (section.lines.length > LONG && fitsWell(readings.at(-1)?.linked)) break;
  }
  readings.sort((a, b) => b.linked.score - a.linked.score);
  const best = readings[0];
  if (best === undefined || !isKey(best.linked, wanted !== undefined)) return undefined;
  const shape = shapeOf(best.linked);
  const other = readings.find(
    (r) =>
      r !== best && (r.linked.couplets.length !== best.linked.couplets.length || shapeOf(r.linked) !== shape),
  );
  const margin =
    other === undefined
      ? 1
      : Math.max(0, Math.min(1, (best.linked.score - other.linked.score) / Math.max(1, best.linked.score)));
  return { linked: best.linked, layout: best.layout, margin };
}

/** Which lines begin the leads of which couplets, and where they lead: readings that agree on it are the same. */
function shapeOf(linked: Linked): string {
  return linked.couplets
    .map((c) =>
      c.leads
        .map(
          ({ item, target }) =>
            `${lineId(item.line)}>${target.kind === 'couplet' ? beginOf(target.couplet) : target.kind}`,
        )
        .join(),
    )
    .join(';');
}

function beginOf({ leads: [first] }: LinkedCouplet): string | undefined {
  return first && lineId(first.item.line);
}

/** Whether nearly every lead leads somewhere and nothing is wrong. */
function fitsWell(linked: Linked | undefined): boolean {
  if (linked === undefined) return false;
  const leads = linked.couplets.reduce((n, c) => n + c.leads.length, 0);
  return linked.score >= leads * 1.9;
}

/** A key has a couplet with two leads, and more of it fits than not. */
function isKey(linked: Linked, wanted: boolean): boolean {
  const full = linked.couplets.filter((c) => c.leads.length >= 2);
  if (full.length === 0) return false;
  const leads = linked.couplets.flatMap((c) => c.leads);
  const led = leads.filter(
    ({ target, how }) =>
      target.kind !== 'none' &&
      ((target.kind !== 'several' && target.kind !== 'nowhere') || how === 'dots' || how === 'column'),
  );
  const ends = led.length;
  if (wanted) return ends > 0;
  // Lines of prose end in words that might be names; where no label shows a lead, that makes no key.
  const guessed = led.filter(({ target }) => target.kind === 'taxa' && target.via === 'guess').length;
  const small = leads.some((l) => /^\p{Ll}/u.test(l.words)) ? 1 : 0;
  if (linked.outline.layout === 'indented' && guessed * 2 + small > ends) return false;
  // Numbers that come in pairs throughout are those of a key, though its ends cannot be read.
  const regular =
    (linked.outline.layout === 'numbered' || linked.outline.layout === 'first-numbered') &&
    full.length >= 3 &&
    full.every((c) => c.leads[1]?.item.label !== undefined) &&
    full.length * 1.25 >= linked.couplets.length;
  if (regular) return true;
  if (ends * 2 < leads.length || full.length * 2 < linked.couplets.length) return false;
  // A print with many faults is still a key when its leads have labels.
  return (
    linked.score > 0 ||
    (linked.outline.layout !== 'indented' && full.length >= 2 && ends >= leads.length * 0.7)
  );
}

function layoutOf(outline: Outline): Layout {
  if (outline.layout !== 'numbered') return outline.layout;
  return outline.items.some((i) => i.label === undefined || i.label.readings[0]?.system === 'dash')
    ? 'first-numbered'
    : 'numbered';
}

/** Some lead without an end closes with the number of a couplet. */
function endsInNumbers(outline: Outline, section: TextSection): boolean {
  return outline.items.some((item) => {
    if (item.ended) return false;
    const number = /[\s.,;:]([A-Z]?\d{1,5})\.?$/.exec(
      item.pieces[item.pieces.length - 1]?.text.slice(-20) ?? '',
    )?.[1];
    return number !== undefined && section.context.labels.has(number);
  });
}

function* outlines(section: TextSection, wanted: Layout | undefined): Iterable<Outline> {
  for (const assumption of assumptions(section))
    if (
      wanted === undefined ||
      wanted === assumption.layout ||
      (wanted === 'first-numbered' && assumption.layout === 'numbered')
    )
      yield readOutline(section, assumption);
  if (wanted === undefined || wanted === 'serial') {
    const serial = section.labels.some((l) => (l?.back.length ?? 0) > 0) ? readSerial(section) : undefined;
    if (serial !== undefined) yield serial;
  }
  const labelled = section.labels.filter(
    (l) => l?.firm && l.readings[0]?.system !== 'dash' && l.readings[0]?.system !== 'sign',
  ).length;
  if (wanted === 'indented' || (wanted === undefined && labelled * 2 < section.lines.length))
    for (const wrapping of wrappings(section)) yield readIndented(section, wrapping);
  else if (wanted === undefined && section.labels.includes(undefined) && !pairsNumbers(section))
    yield readIndented(section, LABELLED);
}

/** Numbers that say which leads belong together. */
function pairsNumbers({ labels }: TextSection): boolean {
  const seen = new Set<string>();
  for (const label of labels) {
    if (label?.readings[0]?.system !== 'number') continue;
    if (label.mark !== undefined || seen.has(label.value)) return true;
    seen.add(label.value);
  }
  return false;
}

/** The assumptions about labels that a section's labels allow. */
function assumptions(section: TextSection): Assumption[] {
  const counts = new Map<System, number>();
  let onlyLetters = { upper: 0, lower: 0 };
  for (const label of section.labels) {
    if (label === undefined) continue;
    for (const { system } of label.readings) counts.set(system, (counts.get(system) ?? 0) + 1);
    const only = label.readings.length === 1 ? label.readings[0]?.system : undefined;
    if (only === 'upper') onlyLetters = { ...onlyLetters, upper: onlyLetters.upper + 1 };
    if (only === 'lower') onlyLetters = { ...onlyLetters, lower: onlyLetters.lower + 1 };
  }
  const has = (system: System, least = 2) => (counts.get(system) ?? 0) >= least;
  const all: Assumption[] = [];
  const dash: [System, Meaning][] = has('dash', 1) ? [['dash', 'same']] : [];
  if (has('number', 1)) {
    const numbers = new Map<System, Meaning>([['number', 'same'], ...dash]);
    all.push({ layout: 'numbered', systems: numbers, unlabelled: false });
    all.push({ layout: 'first-numbered', systems: numbers, unlabelled: true });
  }
  const choices: (readonly [System, readonly Meaning[]])[] = [];
  if (has('number', 1)) choices.push(['number', ['same', 'next']]);
  if (has('upper') && onlyLetters.upper > 0) choices.push(['upper', ['same', 'next']]);
  if (has('lower') && onlyLetters.lower > 0) choices.push(['lower', ['same', 'next']]);
  if (has('roman')) choices.push(['roman', ['next']]);
  if (has('lower-roman')) choices.push(['lower-roman', ['next']]);
  if (has('greek')) choices.push(['greek', ['same', 'next']]);
  if (has('sign')) choices.push(['sign', ['same']]);
  if (choices.length > 0 && choices.length <= 7) {
    for (const meanings of products(choices))
      all.push({ layout: 'outline', systems: new Map([...meanings, ...dash]), unlabelled: false });
  }
  if (has('decimal', 1))
    all.push({
      layout: 'outline',
      systems: new Map<System, Meaning>([['decimal', 'next']]),
      unlabelled: false,
    });
  return all;
}

function products(choices: readonly (readonly [System, readonly Meaning[]])[]): [System, Meaning][][] {
  return choices.reduce<[System, Meaning][][]>(
    (made, [system, meanings]) =>
      made.flatMap((m) => meanings.map((meaning): [System, Meaning][] => [...m, [system, meaning]])),
    [[]],
  );
}
