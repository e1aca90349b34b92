/** What the words of a lead say plainly: a colour, a number, that something is present or absent. */

import { slug } from '../../text/slug.js';
import { readNumbers } from '../../traits/notation.js';
import type { NumberSet } from '../../traits/number-set.js';
import { findUnit, ONE } from '../../traits/units.js';

/** One thing said of one part. */
export interface Fact {
  readonly organ: string;
  readonly kind: 'presence' | 'colour' | 'measure' | 'count';
  /** `length` and the like, of a measure. */
  readonly property: string;
  readonly states: readonly string[];
  /** States in words, beside `states`. */
  readonly meanings: readonly string[];
  readonly notation?: string;
  readonly numbers?: NumberSet;
  readonly unit?: string;
  /** The words it was read from. */
  readonly said: string;
}

/** A piece of a lead between commas, semicolons or stops. */
export interface Statement {
  readonly text: string;
  /** The first word of its sentence, for pieces that do not name their part again. */
  readonly subject: string;
}

const HEDGE =
  /\b(?:usually|mostly|often|sometimes|rarely|seldom|generally|normally|occasionally|more or less|±|nearly|almost|about as|meist|meistens|oft|häufig|selten|gewöhnlich|zuweilen|manchmal|fast|mehr oder weniger|at first|when young|when old|jung|alt)\b|±/i;
const STOPPED = /\b(?:i|e|g|c|ca|cf|var|subsp|ssp|sp|spp|no|nr|st|z|b|d|h|u|p|max|min|approx|diam)$/i;

/** Cuts the words of a lead into statements; remarks in brackets are left out. */
export function statements(words: string): Statement[] {
  const bare = words
    .slice(0, 2000)
    .replace(/\s*\([^()\d]*[^()]*\)/g, (m) => (/^\s*\(\s*[-–\d]/.test(m) ? m : ''));
  const found: Statement[] = [];
  for (const sentence of sentences(bare)) {
    let subject = '';
    for (const part of listsJoined(sentence.split(/,\s+|\s+[–—]\s+/))) {
      const text = part.trim().replace(/[.;:,]+$/, '');
      if (text === '') continue;
      if (subject === '') subject = /^[\p{L}-]+/u.exec(text)?.[0] ?? '';
      found.push({ text, subject });
    }
  }
  return found;
}

/** Joins the items of a list back together: `soft`, `fleshy or nearly so` are alternatives, not two statements. */
function listsJoined(parts: readonly string[]): string[] {
  const out: string[] = [];
  for (const part of parts) {
    const words = part.trim().split(/\s+/);
    const item = /^\p{Ll}/u.test(part.trim()) && /(?:^|\s)(?:or|oder)\s/.test(part) && words.length <= 5;
    if (!item || out.length === 0) {
      out.push(part);
      continue;
    }
    let whole = part;
    // Items before the last one are short and in lower case.
    while (
      out.length > 1 &&
      /^\p{Ll}/u.test((out[out.length - 1] as string).trim()) &&
      (out[out.length - 1] as string).trim().split(/\s+/).length <= 2
    )
      whole = `${out.pop()}, ${whole}`;
    out.push(`${out.pop()}, ${whole}`);
  }
  return out;
}

function sentences(text: string): string[] {
  const out: string[] = [];
  let from = 0;
  for (const m of text.matchAll(/;\s*|\.\s+(?=[\p{Lu}\d])|:\s+(?=\p{Lu})/gu)) {
    if (m[0].startsWith('.') && STOPPED.test(text.slice(Math.max(0, m.index - 8), m.index))) continue;
    out.push(text.slice(from, m.index));
    from = m.index + m[0].length;
  }
  out.push(text.slice(from));
  return out;
}

/** The facts that a statement holds; none when it hedges. */
export function factsIn(statement: Statement): Fact[] {
  const { text } = statement;
  if (HEDGE.test(text) || text.length > 160) return [];
  const numbers = measureIn(statement) ?? countIn(statement);
  if (numbers !== undefined) return [numbers];
  const colour = colourIn(statement);
  return colour === undefined ? presenceIn(text) : [colour];
}

/** A part's name for comparing: in lower case, without an article, singular and plural alike. */
export function organName(words: string): string {
  return words
    .toLowerCase()
    .replace(/^(?:the|a|an|der|die|das|den|dem|ein|eine|einem|einer|its|with|mit)\s+/, '')
    .replace(/\s+(?:is|are|of|ist|sind|being)$/, '')
    .trim();
}

const ORGAN = String.raw`[\p{L}][\p{L}-]*(?:\s+(?:of\s+(?:the\s+)?|and\s+|und\s+|der\s+|des\s+)?[\p{L}][\p{L}-]*){0,3}`;
const THERE = '(present|vorhanden|distinct and present)';
const AWAY =
  '(absent|wanting|lacking|missing|none|obsolete|fehlend|fehlt|fehlen|nicht vorhanden|not present)';
const SAID = new RegExp(
  String.raw`^(${ORGAN})\s+(?:(?:is|are|both|all|ist|sind)\s+)?(?:${AWAY}|${THERE})(?:\s+(?:on|at|in|am|an|auf|below|above)\s.*)?$`,
  'iu',
);
const WITHOUT =
  /^(?:(\p{L}[\p{L}-]*(?:\s\p{L}[\p{L}-]*)?)\s+)?(without|lacking|ohne|with no|has no|have no|lacks|hat keine?)\s+(?:(?:a|an|any|the|distinct|visible|deutliche\w*|einen?)\s+)*((?:\p{L}[\p{L}-]*\s?){1,3})$/iu;
const WITH =
  /^(?:(\p{L}[\p{L}-]*(?:\s\p{L}[\p{L}-]*)?)\s+)?(with|bearing|having|mit|has|have|hat)\s+(?:(?:a|an|the|one|distinct|visible|deutliche\w*|eine[mrn]?)\s+)*((?:\p{L}[\p{L}-]*\s?){1,3})$/iu;
const NONE = /^(?:no|keine?)\s+((?:\p{L}[\p{L}-]*\s?){1,2})$/iu;

function presenceIn(text: string): Fact[] {
  const said = SAID.exec(text);
  if (said !== null) {
    const organs = organName(said[1] as string);
    if (/\s(?:or|oder|nor)\s/.test(organs)) return [];
    return organs.split(/\s+(?:and|und)\s+/).map((organ) => presence(organ, said[2] === undefined, text));
  }
  const none = NONE.exec(text);
  if (none !== null) return [presence(organName(none[1] as string), false, text)];
  const without = WITHOUT.exec(text);
  const found = without ?? WITH.exec(text);
  if (found === null) return [];
  const phrase = (found[3] as string).trim();
  if (/\b(?:or|oder|and|und|than|as)\b/i.test(phrase)) return [];
  const head = phrase.split(/\s+/).pop() as string;
  const owner = found[1] === undefined ? '' : `${organName(found[1])} `;
  return [presence(`${owner}${organName(head)}`, without === null, text)];
}

function presence(organ: string, there: boolean, said: string): Fact {
  const state = there ? 'present' : 'absent';
  return { organ, kind: 'presence', property: '', states: [state], meanings: [state], said };
}

const COLOUR =
  'white|whitish|black|blackish|red|reddish|rose|pink|pinkish|yellow|yellowish|orange|green|greenish|blue|bluish|purple|purplish|violet|lilac|brown|brownish|grey|gray|greyish|grayish|cream|buff|ochre|rusty|scarlet|crimson|golden|silvery|olive|ivory|tawny|chestnut|cinnamon|vinaceous|salmon|colourless|colorless|weiß|weiss|weißlich|weisslich|schwarz|schwärzlich|rot|rötlich|rosa|gelb|gelblich|grün|grünlich|blau|bläulich|purpurn|purpur|lila|braun|bräunlich|grau|gräulich|graulich|rostrot|rostbraun|goldgelb|silbern|silbrig|cremefarben|farblos';
const SHADE =
  'pale|dark|light|bright|deep|dull|dirty|pure|clear|blackish|hell|dunkel|tief|blass|rein|schmutzig|leuchtend';
const ONE_COLOUR = String.raw`(?:(?:${SHADE})[\s-]?)*(?:(?:${COLOUR})[\s-])*(?:${COLOUR})`;
const COLOURS = new RegExp(
  String.raw`^(?:(${ORGAN}?)\s+(?:(?:is|are|ist|sind)\s+)?)?(${ONE_COLOUR}(?:\s*(?:,|\bor\b|\boder\b|\band\b|\bund\b|\bto\b|\bbis\b|\/)\s*${ONE_COLOUR})*)$`,
  'iu',
);
const COLOURED = new RegExp(`^(?:${ONE_COLOUR})$`, 'iu');

function colourIn({ text, subject }: Statement): Fact | undefined {
  const m = COLOURS.exec(text);
  if (m === null) return undefined;
  const words = (m[1] ?? '').split(/\s+/).filter((w) => w !== '');
  const list: string[] = [];
  // A colour word swallowed by the part's name belongs to the colour.
  while (words.length > 0 && COLOURED.test(words[words.length - 1] as string))
    list.unshift(words.pop() as string);
  const phrase = `${list.length > 0 ? `${list.join(' ')} ` : ''}${m[2]}`;
  const organ = organName(words.length > 0 ? words.join(' ') : subject);
  if (organ === '' || COLOURED.test(organ)) return undefined;
  const ranged = /\b(?:to|bis)\b/.test(phrase);
  const meanings = ranged ? [phrase] : phrase.split(/\s*(?:,|\bor\b|\boder\b|\band\b|\bund\b|\/)\s*/);
  const states = meanings.map((c) => slug(c));
  return { organ, kind: 'colour', property: 'colour', states, meanings, said: text };
}

const NUM = String.raw`\d+(?:[.,]\d+)?`;
const DASH = String.raw`\s*(?:[-–—]{1,2}|to|bis)\s*`;
const RANGE = String.raw`(?:\(\s*${NUM}\s*[-–]{1,2}\s*\)\s*)?${NUM}(?:${DASH}${NUM})?(?:\s*\(\s*[-–]{1,2}\s*${NUM}\s*\))?`;
const LESS =
  'less than|under|below|smaller than|shorter than|fewer than|<|weniger als|unter|kleiner als|kürzer als';
const MOST = 'up to|at most|not (?:over|exceeding|more than)|not longer than|<=|≤|bis zu|bis|höchstens';
const MORE =
  'more than|over|above|exceeding|greater than|longer than|larger than|>|mehr als|über|größer als|länger als';
const LEAST = 'at least|not less than|>=|≥|mindestens|wenigstens';
const UNITS: Record<string, string> = {
  µ: 'um',
  μ: 'um',
  microns: 'um',
  micron: 'um',
  inch: 'in',
  inches: 'in',
  'in.': 'in',
  feet: 'ft',
  foot: 'ft',
  'ft.': 'ft',
  'mm.': 'mm',
  'cm.': 'cm',
  'm.': 'm',
  metres: 'm',
  meters: 'm',
};
const UNIT = String.raw`mm\.?|cm\.?|dm|µm|μm|um|microns?|µ|μ|inch(?:es)?|in\.|feet|foot|ft\.?|metres|meters|m\.?`;
const MEASURE = new RegExp(
  String.raw`^(?:(.*?)\s*:?\s+)?(?:(?:about|ca\.?|c\.|etwa|only|nur)\s+)?(?:(${LESS})|(${MOST})|(${MORE})|(${LEAST}))?\s*(?<![\p{L}\d.,x×-])(${RANGE})\s*(${UNIT})(?![\p{L}])(\s+or\s+(?:less|more|longer|shorter|over|under)|\s+(?:oder|und)\s+(?:mehr|weniger|länger|kürzer))?(?:\s+(long|wide|broad|thick|high|tall|across|deep|in diameter|diameter|diam\.?|in length|in width|lang|breit|hoch|dick|tief|im Durchmesser|in Durchmesser))?(\s+or\s+(?:less|more)|\s+(?:oder|und)\s+(?:mehr|weniger))?$`,
  'iu',
);
const PROPERTIES: Record<string, string> = {
  long: 'length',
  'in length': 'length',
  lang: 'length',
  wide: 'width',
  broad: 'width',
  across: 'width',
  'in width': 'width',
  breit: 'width',
  thick: 'thickness',
  dick: 'thickness',
  high: 'height',
  tall: 'height',
  hoch: 'height',
  deep: 'depth',
  tief: 'depth',
};

function measureIn({ text, subject }: Statement): Fact | undefined {
  if (!/\d/.test(text)) return undefined;
  const m = MEASURE.exec(text);
  if (m === null) return undefined;
  const organ = organName(m[1] ?? subject) || organName(subject);
  if (organ === '' || /\d|\b(?:than|x|×)\b/.test(organ) || organ.split(' ').length > 4) return undefined;
  const written = UNITS[(m[7] as string).toLowerCase()] ?? (m[7] as string);
  const unit = findUnit(written);
  if (unit === undefined) return undefined;
  const notation = notationOf(m.slice(2, 6), m[6] as string, m[8] ?? m[10]);
  const read = readNumbers(`${notation} ${unit.id}`, { whole: false, unit });
  if (!read.ok) return undefined;
  const said = (m[9] ?? '').toLowerCase();
  const property = said === '' ? 'size' : (PROPERTIES[said] ?? 'diameter');
  return {
    organ,
    kind: 'measure',
    property,
    states: [],
    meanings: [],
    notation: `${notation} ${unit.id}`,
    numbers: read.value.possible,
    unit: unit.id,
    said: text,
  };
}

/** A number as key files write it. */
function notationOf(
  signs: readonly (string | undefined)[],
  range: string,
  after: string | undefined,
): string {
  const [less, most, more, least] = signs;
  const number = range
    .replace(/(\d),(\d)/g, '$1.$2')
    .replace(/\s*(?:[-–—]{1,2}|to|bis)\s*/g, '-')
    .replace(/\s+/g, '');
  const upper = number.split('-').pop() as string;
  if (after !== undefined && /less|shorter|under|weniger|kürzer|fewer/.test(after)) return `<= ${upper}`;
  if (after !== undefined) return `>= ${number.split('-')[0]}`;
  if (less !== undefined) return `< ${upper}`;
  if (most !== undefined) return `<= ${upper}`;
  if (more !== undefined) return `> ${number.split('-')[0]}`;
  if (least !== undefined) return `>= ${number.split('-')[0]}`;
  return number;
}

const NUMBER_WORDS: Record<string, string> = Object.fromEntries(
  [
    ['one', 'ein'],
    ['two', 'zwei'],
    ['three', 'drei'],
    ['four', 'vier'],
    ['five', 'fünf'],
    ['six', 'sechs'],
    ['seven', 'sieben'],
    ['eight', 'acht'],
    ['nine', 'neun'],
    ['ten', 'zehn'],
    ['eleven', 'elf'],
    ['twelve', 'zwölf'],
  ].flatMap(([en, de], i) => [
    [en as string, String(i + 1)],
    [de as string, String(i + 1)],
  ]),
);
const WHOLE = String.raw`(?:\d{1,4}(?:\s*(?:[-–]{1,2}|to|bis)\s*\d{1,4})?|${Object.keys(NUMBER_WORDS).join('|')})`;
const COUNT_AFTER = new RegExp(
  String.raw`^(${ORGAN})(?:\s*:\s*|\s+(?:is|are|sind)\s+|\s+)(?:(${LESS})|(${MOST})|(${MORE})|(${LEAST}))?\s*(${WHOLE})(\s+(?:or|oder|und)\s+(?:more|fewer|less|mehr|weniger))?(?:\s+in number)?$`,
  'iu',
);
const COUNT_BEFORE = new RegExp(
  String.raw`^(?:(?:\p{L}[\p{L}-]*\s+){0,3}?(?:with|mit|having|bearing)\s+)?(?:(${LESS})|(${MOST})|(${MORE})|(${LEAST}))?\s*(${WHOLE})(\s+(?:or|oder|und)\s+(?:more|fewer|less|mehr|weniger))?\s+(\p{L}[\p{L}-]*)$`,
  'iu',
);

function countIn({ text }: Statement): Fact | undefined {
  const after = COUNT_AFTER.exec(text);
  const before = after === null ? COUNT_BEFORE.exec(text) : null;
  const organ = organName((after?.[1] ?? before?.[7] ?? '').toString());
  if (organ === '' || /^(?:mm|cm|dm|m|times|mal|long|lang)$/.test(organ) || /\b(?:than|as|one)\b/.test(organ))
    return undefined;
  const m = (after ?? before) as RegExpExecArray;
  const [signs, written, more] = after !== null ? [m.slice(2, 6), m[6], m[7]] : [m.slice(1, 5), m[5], m[6]];
  const digits = NUMBER_WORDS[(written as string).toLowerCase()] ?? (written as string);
  const notation = notationOf(signs, digits, more);
  const read = readNumbers(notation, { whole: true, unit: ONE });
  if (!read.ok) return undefined;
  return {
    organ,
    kind: 'count',
    property: 'number',
    states: [],
    meanings: [],
    notation,
    numbers: read.value.possible,
    said: text,
  };
}
