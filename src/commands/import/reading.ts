/** Tries the layouts that a part of the text may have and takes the one that holds together best. */
import { FAR_RIGHT, type Item, type Layout, type Outline, type TextSection } from './draft.js';
import { countColumns, cutLine, partLead } from './ends.js';
import { LABELLED, readIndented, wrappings } from './indented.js';
import { piece } from './items.js';
import { asLettered, type Label, readLabel, type System } from './labels.js';
import { namedByLetters } from './letter-pointers.js';
import type { Line } from './lines.js';
import { link } from './link.js';
import type { Linked } from './linked.js';
import { type Assumption, type Meaning, readOutline } from './outline.js';
import { isHeadingText } from './sections.js';
import { readSerial } from './serial.js';
import { signLabels } from './signs.js';
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

/** What looks like a label, without the numbers and dashes that are the end of the lead above, broken over two lines. */
function realLabels(lines: readonly Line[]): (Label | undefined)[] {
  const read = lines.map((line) => readLabel(line.text));
  const labels = misreadLabels(
    lines,
    letteredLabels(lines, plusLabels(lines, signLabels(namedByLetters(lines, read)))),
  );
  const numbers = labels.filter((l) => l?.readings[0]?.system === 'number');
  const squared = numbers.filter((l) => l?.dress.startsWith('[') === true).length;
  const notes = squared * 2 <= numbers.length;
  const worded = numbers.filter((l) => /^n[or]\./i.test(l?.printed ?? '')).length;
  // Where the labels have stops, a number without one at the beginning of a line is one of the words.
  const loose = numbers.length >= 6 && numbers.filter((l) => l?.firm === false).length * 4 <= numbers.length;
  const firm = labels.flatMap((l, i) =>
    l?.firm === true && l.readings[0]?.system === 'number' && !inBracket(lines, i, l)
      ? [lines[i] as Line]
      : [],
  );
  // So is one that no empty line sets apart, where empty lines set the labels apart.
  const spaced =
    firm.length >= 2 && firm.filter((l) => l.blank > 0 || l === lines[0]).length >= firm.length * 0.9;
  return labels.map((label, i) => {
    if (label === undefined || lines[i]?.pointer === true) return undefined;
    // `[1]` beside `1.` begins a footnote.
    if (notes && label.readings[0]?.system === 'number' && label.dress.startsWith('[')) return undefined;
    const line = lines[i] as Line;
    const rest = line.text.slice(label.end).trim();
    // `36. Tarnia` in the column of the ends: the number counts the taxa.
    if (label.readings[0]?.system === 'number' && isFarRight(lines, i)) return undefined;
    // `No. 3` among the words, where labels have no such word before them.
    if (
      (worded < 2 || worded * 2 < numbers.length || /^.{0,12}?\d\.?\s{4,}/.test(line.text)) &&
      /^n[or]\./i.test(label.printed)
    )
      return undefined;
    if (label.readings[0]?.system === 'number' && inBracket(lines, i, label)) return undefined;
    if ((loose || spaced) && !label.firm && line.blank === 0 && !hasEnd(lines[i - 1])) return undefined;
    if (label.readings[0]?.system === 'dash')
      return rest.length < 80 &&
        isBareEnd(labels[i + 1] === undefined ? withNext(rest, lines[i + 1]) : rest) &&
        !hasEnd(lines[i - 1])
        ? undefined
        : label;
    const above = lines[i - 1];
    const deep = above !== undefined && line.indent >= above.indent + 4;
    if (rest !== '' || i === 0 || (line.blank > 0 && !line.afterPage && !deep)) return label;
    // A number alone: that of a couplet whose leads follow under letters, else the target of the lead above.
    const below = labels[i + 1];
    const lettered =
      below?.readings.some((r) => (r.system === 'lower' || r.system === 'upper') && r.ordinal === 1) === true;
    return lettered ? label : undefined;
  });
}

/** `(Fig.` above and `6)` at the beginning of the line: the bracket closes what was opened before. */
function inBracket(lines: readonly Line[], i: number, label: Label): boolean {
  if (!/^\d+[a-d]?\)/.test(label.printed)) return false;
  let open = 0;
  for (let j = i - 1; j >= Math.max(0, i - 8); j--) {
    const { text, blank } = lines[j] as Line;
    open += text.split('(').length - text.split(')').length;
    if (open > 0) return /\([^()]*$/.test((lines[i - 1] as Line).text) || open > 0;
    if (blank > 0) break;
  }
  return false;
}

/** Where `+ +` has a gap, `++` without a gap is a sign of its own and not the second `+`. */
function plusLabels(lines: readonly Line[], labels: (Label | undefined)[]): (Label | undefined)[] {
  if (!lines.some((l) => /^\+ \+\s/.test(l.text)) || !lines.some((l) => /^\+\+\s/.test(l.text)))
    return labels;
  return labels.map((label, i) => {
    const signs = /^\+\+(?: \+\+)*(?=\s)/.exec((lines[i] as Line).text)?.[0];
    if (signs === undefined || label === undefined) return label;
    const times = signs.split(' ').length;
    return { ...label, readings: [{ system: 'sign', ordinal: 60 }], times, value: signs };
  });
}

/** Numbers in which a scanner took 1 for l or I and 0 for O, where the numbers around them call for it. */
function misreadLabels(lines: readonly Line[], labels: (Label | undefined)[]): (Label | undefined)[] {
  const numbers = new Set<number>();
  for (const label of labels)
    if (label?.readings[0]?.system === 'number' && label.firm) numbers.add(label.readings[0].ordinal);
  if (numbers.size < 2) return labels;
  return labels.map((label, i) => {
    if (label?.readings[0]?.system === 'number') return label;
    const { text } = lines[i] as Line;
    const found = /^([lIO|\d]{1,3})(?=[a-d]?['*]?[.):]?\s+\p{Lu})/u.exec(text);
    if (found === null || !/[lIO|]/.test(found[1] as string)) return label;
    const digits = (found[1] as string).replace(/[lI|]/g, '1').replace(/O/g, '0');
    const n = Number(digits);
    const wanted =
      digits.length === 1
        ? !numbers.has(n) && numbers.has(n + 1) && label?.times !== 2
        : numbers.has(n - 1) || numbers.has(n + 1);
    return wanted && n > 0 ? readLabel(digits + text.slice(digits.length)) : label;
  });
}

/** `A1` and `A2` that occur once each are the leads of couplet A; `A1` that occurs twice is a couplet of its own. */
function letteredLabels(lines: readonly Line[], labels: (Label | undefined)[]): (Label | undefined)[] {
  const counts = new Map<string, number>();
  for (const label of labels)
    if (label !== undefined && /^[A-Z]\d$/.test(label.value) && label.mark === undefined)
      counts.set(label.value, (counts.get(label.value) ?? 0) + 1);
  const once = [...counts].filter(
    ([value, n]) => n === 1 && (value.endsWith('1') ? counts.get(`${value[0]}2`) === 1 : true),
  ).length;
  if (once < counts.size || !counts.has('A1') || !counts.has('A2')) return labels;
  return labels.map((label, i) =>
    label !== undefined && counts.has(label.value) ? asLettered(label, (lines[i] as Line).text) : label,
  );
}

/** The rest of a line, with the line below when that continues in lower case: `– Thallus` is no name before `without`. */
function withNext(rest: string, next: Line | undefined): string {
  return next !== undefined && next.blank === 0 && /^\p{Ll}/u.test(next.text)
    ? `${rest} ${next.text.slice(0, 80)}`
    : rest;
}

/** An end on a line of its own, further in than the lead above and separated from it by an empty line. */
function isEndAlone(lines: readonly Line[], labels: readonly (Label | undefined)[], i: number): boolean {
  const [above, line] = [lines[i - 1], lines[i] as Line];
  if (above === undefined || labels[i] !== undefined) return false;
  if (line.pointer === true || isFarRight(lines, i)) return true;
  if (line.blank === 0 || line.indent < above.indent + 4) return false;
  return labels[i - 1] !== undefined && isBareEnd(line.text);
}

/** A line of its own in the column of the ends: no words of a lead begin so far to the right of the line above. */
function isFarRight(lines: readonly Line[], i: number): boolean {
  const [above, line] = [lines[i - 1], lines[i] as Line];
  if (above === undefined || line.indent < above.indent + FAR_RIGHT || line.text.length > 70) return false;
  const over = lines[i - 2];
  if (/\S(?:\s{3,}|\s?(?:\.\s?){4,})\S/.test(above.text)) return false;
  if (over !== undefined && above.indent >= over.indent + FAR_RIGHT && above.text.length <= 70) return false;
  const centred = line.blank > 0 && isHeadingText(line.text) && (lines[i + 1]?.blank ?? 1) > 0;
  if (centred && readEndText(line.text)?.form !== 2) return false;
  return readEndText(line.text, line.marks, true) !== undefined;
}

/** Whether a line has an end of its own, so that what is below it is not one. */
function hasEnd(line: Line | undefined): boolean {
  return line !== undefined && (isBareEnd(line.text) || /\S(?:\s{3,}|\s?\.{4,}\s*)\S/.test(line.text));
}

/** Whether a text is nothing but the number of a couplet or a name. */
function isBareEnd(text: string): boolean {
  if (/(?:\s?\.){3}/.test(text)) return false;
  const end = readEndText(text.replace(/\s*\((?:p|pp|S)?\.?$/, ''));
  if (end === undefined || end.form < 1) return false;
  if (end.pointer !== undefined) return true;
  const [name] = end.names;
  return (
    name !== undefined && name.common === undefined && text.startsWith(name.name.split(' ')[0] as string)
  );
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
      const name = `${item.line}:${item.lastLine}:${item.pieces.length}:${item.pieces[0]?.text.length}:${bare}`;
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
            `${item.line}>${target.kind === 'couplet' ? target.couplet.leads[0]?.item.line : target.kind}`,
        )
        .join(),
    )
    .join(';');
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
