/** Reads what is at the end of a lead: a couplet's number, another key, one or several taxa, with what the print adds. */

import { epithetForm } from './lexicon.js';
import { clipped, type EmphasisSpan } from './lines.js';
import { looksCommon, plainName, type ReadName, readEpithet, readScientific } from './names.js';

/** What a lead ends in, as printed. */
export interface ImportedEnd {
  /** The number of a couplet. */
  readonly pointer?: string;
  /** Numbers of several couplets, as printed: a lead can go to only one. */
  readonly several?: string;
  /** The name of another key or part: `Key B`. */
  readonly key?: string;
  /** The couplet at which to continue there. */
  readonly at?: string;
  /** What everything beyond belongs to. */
  readonly reaches?: ReadName;
  readonly names: readonly ReadName[];
  /** `Rubus, in ROSACEAE`. */
  readonly within?: ReadName;
  /** A page, printed as one. */
  readonly page?: string;
  /** A number after a name, which may be a page or a couplet. */
  readonly after?: string;
  /** A number before a name, which may count the taxa or name a couplet. */
  readonly before?: string;
  /** The lead of the taxon's own key at which to continue: `2b`. */
  readonly continues?: string;
  /** Printed in square brackets: outside the area. */
  readonly outside: boolean;
  /** Printed as `in part`: the taxon is keyed out elsewhere as well. */
  readonly inPart: boolean;
  /** `see under` and the like, as printed. */
  readonly see?: string;
  readonly remarks: readonly string[];
  /** How sure the form is: 2 a number, or a name by its form or typeface; 1 perhaps; 0 any words. */
  readonly form: 0 | 1 | 2;
}

const GO = String.raw`(?:(?:go|turn|proceed|continue)\s*(?:on\s*)?(?:to|at|with)|goto|see(?:\s+under)?|siehe(?:\s+unter)?|s\.|weiter(?:\s*(?:mit|bei|unter|zu|nach))?|gehe\s+zu|to|zu|→|⇒|->|=>|>{1,2}|»)`;
const NOUN = String.raw`(?:couplet|step|number|no\.?|nr\.?|nummer|§|punkt|frage|question|lead)`;
const PAGE = String.raw`(?:\(?\s*,?\s*(?:(?:see|siehe)\s+)?(?:p|pp|pag|page|S|Seite|seite)\.?\s*(\d{1,4}(?:\s*[-–,]\s*\d{1,4})?|[ivxlc]{1,8}(?=[\s.,;)]|$))\s*\)?)`;
const POINTER = new RegExp(
  String.raw`^(?:${GO}\s*)?(?:${NOUN}\s*)?[([]?\s*([A-Z]?\d{1,5})\s?(?:[a-d]|['’′*])?\s*[)\]]?(?:,?\s*(?:below|above|unten|oben))?[.,;]?(?:\s*${PAGE})?[.,;]?$`,
  'i',
);
const KEY_WORD =
  '(?:key|group|section|series|division|class|table|part|schlüssel|gruppe|tabelle|teil|abschnitt|abteilung|reihe|clavis)';
const KEY_TARGET = new RegExp(
  String.raw`^(?:${GO}\s*)?(?:the\s+|dem\s+)?(${KEY_WORD}\s*(?:[A-Z]{1,2}|[IVX]{1,5}|\d{1,3})(?:\s*[,.:–—-]+\s*[A-ZÄÖÜ][A-ZÄÖÜÆŒ\s-]{2,50})?|(?:sub-?)?key\s+(?:to|of|for)\s+.{2,80}?|schlüssel\s+(?:der|zu|für|zur|zum|zu den|der)\s+.{2,80}?)[.,;]?(?:\s*${PAGE})?[.,;]?$`,
  'i',
);
const QUOTED_KEY =
  /^(?:(.{2,60}?)\s*[:,]\s*)?(?:see|go to|siehe|weiter mit|→)\s+(?:the\s+|dem\s+|den\s+)?(?:key|schlüssel)\s+[“"„‘'](.{2,160}?)["”“’'](?:,\s*(?:couplet|nr\.|no\.)\s*([A-Z]?\d{1,5}))?(?:,\s*(?:below|above|unten))?\.?$/iu;
const SEVERAL_POINTERS = /^[A-Z]?\d{1,4}(?:\s*(?:,|;|&|\/|or|and|oder|und|u\.)\s*[A-Z]?\d{1,4})+[.;]?$/i;
/** `93-95`: numbers of taxa in the book, or of couplets. */
const RANGE = /^\d{1,4}\s*(?:[-–—]|--|to|bis)\s*\d{1,4}\.?$/i;
const TRAILING_PAGE = new RegExp(String.raw`[\s,(]${PAGE}[.,;]?$`);
const IN_PART =
  /[\s,(]+(?:in part|partly|pro parte|p\.\s?p\.|p\.p|part|z\.\s?T\.|zum Teil|teilweise|partim)\s*\)?[.,;]?(?=$|\s)/i;
const SEE =
  /^(?:see(?: also)?(?: under)?|siehe(?: auch)?(?: unter)?|s\. ?u\.|s\. unter|vgl\.|compare|treated under|keyed (?:out )?under|unter)\s+(?=\p{Lu}|["“„_])/iu;
const FAMILY_IN =
  /^(.*?\S),?\s*[(,]?\s*\bin\s+(?:the\s+)?(\p{Lu}[\p{Lu}Æ]{3,}|\p{Lu}\p{L}+(?:aceae|aceæ|idae|idæ|oideae|ales))\s*\)?[.,;]?$/u;
const FAMILY_BRACKETS =
  /^(.*?\S)\s*\(\s*(\p{Lu}\p{L}+(?:aceae|aceæ|idae|idæ|oideae)|[\p{Lu}Æ]{5,}(?:ACEAE|ACEÆ|IDAE))\s*\)[.,;]?$/u;
/** The mark of a footnote right behind a word or its stop. */
const NOTE_MARK = /(?<=[\p{L}.,;:)\]])\[(?:[A-Z]{1,2}|\d{1,3}|\*{1,3}|†)\]/gu;
/** `2b, in FAGACEAE`: a lead of another key. */
const LEAD_OF = /^([A-Z]?\d{1,3}[a-h]?)[,.]?\s+(?:in|of|under|unter|bei)\s+(?:the\s+)?(?=\p{Lu})/u;
/** `(Angiospermae) 3`: what a couplet is about, and its number. */
const ABOUT_POINTER = /^\(([^()]{3,60})\)\s+([A-Z]?\d{1,4})\.?$/;
/** `Monocotyleae Tabelle I, S. 13`: what a key is about, and its name. */
const ABOUT_KEY = new RegExp(
  String.raw`^(\p{Lu}[\p{L}-]{3,40})[,.:]?\s+(${KEY_WORD}\s*(?:[A-Z]{1,2}|[IVX]{1,5}|\d{1,3}))[.,;]?(?:\s*${PAGE})?[.,;]?$`,
  'iu',
);
const NEW =
  /[,;]?\s*(?<![\p{L}])(?:(?:sp|gen|spec|subsp|ssp|var|comb|stat|nom)\.\s*(?:n|nov)\.?|(?:n|nov)\.\s*(?:sp|gen|g|comb|var|spec|subsp)\.?|(?:new|neue) (?:species|genus|Art|Gattung))(?=$|[\s,;.)])/iu;
/** References to figures behind a name. */
const FIGURES =
  /[,;]?\s*[([]((?:figs?|figures?|abb|abbildung|plates?|pls?|taf|tafel|text-?figs?)\b\.?\s*[^()[\]]{1,60})[)\]]\.?$/i;
/** `P. affinis, see under 38`: where the book treats a taxon. */
const SEE_UNDER =
  /[,;]?\s+\(?((?:see(?: also)?|siehe(?: auch)?)\s+(?:under|unter|bei|at|no\.|nr\.)\s+(?:no\.\s*|nr\.\s*)?\d{1,4}[a-z]?)\)?\.?$/i;
const FOOTNOTE = /\s*(\[(?:[A-Z]|\d{1,3}|\*)\]|(?<=\p{L}[.,;]?)[¹²³†‡*§]{1,2})(?=[.,;]?$)/u;
const FIRST_NUMBER =
  /^\(?(\d{1,4}(?:[a-z](?=\.))?)\s*[.):]?\s+(?=["“[(]?[\p{L}×])|^(?:[IVXLC]{2,7}\.|[IVXLC]{1,7}\.(?=\s+\p{Lu}[\p{L}]+(?:ales|aceae|idae|inae|oidea|oideae|ini|eae|[æ])\b))\s+(?=\p{Lu}\p{L}{3})/iu;
const FIRST_NUMBER_TIGHT = /^(\d{1,4})[.)](?=\p{Lu})/u;
const LAST_NUMBER = /^(.*\S)(?:\s{2,}|[.,]?\s+)\(?(\d{1,4})\)?[.,]?$/;

/**
 * Reads the text at the end of a lead. `marks` are stretches set apart in the print. `free` accepts any words as a name,
 * for places where there can only be an end (after dots, in the column of ends).
 */
export function readEndText(
  written: string,
  marks: readonly EmphasisSpan[] = [],
  free = false,
): ImportedEnd | undefined {
  const lead = written.length - written.trimStart().length;
  let text = written.trim();
  if (text === '' || text.length > 300) return undefined;
  const marked = clipped(marks, lead, lead + text.length);
  const apart = markedNames(text, marked);
  const none = { names: [], outside: false, inPart: false, remarks: [] };
  const pointer = POINTER.exec(text);
  if (pointer !== null)
    return { ...none, pointer: pointerValue(pointer[1] as string), ...page(pointer[2]), form: 2 };
  if (SEVERAL_POINTERS.test(text) || RANGE.test(text))
    return { ...none, several: text.replace(/[.;]$/, ''), form: 2 };
  const titled = /^([A-Z]?\d{1,5})\.?\s*\(\s*([^()]{3,60})\)\.?$/.exec(text);
  if (titled !== null) {
    const inner = readEndText(titled[2] as string);
    const about = inner !== undefined && inner.form > 0 && inner.pointer === undefined ? inner : undefined;
    return {
      ...none,
      ...about,
      pointer: pointerValue(titled[1] as string),
      form: 2,
      ...(about === undefined ? { remarks: [titled[2] as string] } : {}),
    };
  }
  const quoted = QUOTED_KEY.exec(text);
  if (quoted !== null)
    return {
      ...none,
      key: (quoted[2] as string).trim(),
      ...(quoted[3] === undefined ? {} : { at: quoted[3] }),
      remarks: quoted[1] === undefined ? [] : [quoted[1].trim()],
      form: 2,
    };
  const about = ABOUT_POINTER.exec(text);
  if (about !== null) {
    const inner = readScientific(about[1] as string);
    if (inner !== undefined && inner.form > 0)
      return { ...none, names: [inner], pointer: pointerValue(about[2] as string), form: 2 };
  }
  const aboutKey = ABOUT_KEY.exec(text);
  if (aboutKey !== null) {
    const inner = readScientific(aboutKey[1] as string);
    if (inner !== undefined && inner.form > 0)
      return { ...none, key: (aboutKey[2] as string).trim(), reaches: inner, ...page(aboutKey[3]), form: 2 };
  }
  const key = KEY_TARGET.exec(text);
  if (key !== null) return { ...none, key: (key[1] as string).trim(), ...page(key[2]), form: 2 };

  const remarks: string[] = [];
  let continues: string | undefined;
  const other = LEAD_OF.exec(text);
  if (other !== null) {
    continues = other[1] as string;
    text = text.slice(other[0].length);
  }
  text = text.replace(NOTE_MARK, (mark) => {
    remarks.push(`footnote mark ${mark}`);
    return '';
  });
  const fresh = NEW.exec(text);
  if (fresh !== null && fresh.index > 0) {
    remarks.push(`printed as ${fresh[0].replace(/^[,;\s]+/, '')}`);
    text = `${text.slice(0, fresh.index)}${text.slice(fresh.index + fresh[0].length)}`.trim();
  }
  const figures = FIGURES.exec(text);
  if (figures !== null && figures.index > 0) {
    remarks.push(figures[1] as string);
    text = text.slice(0, figures.index);
  }
  const under = SEE_UNDER.exec(text);
  if (under !== null && under.index > 0) {
    remarks.push(under[1] as string);
    text = text.slice(0, under.index);
  }
  let outside = false;
  const footnote = FOOTNOTE.exec(text);
  if (footnote !== null && footnote.index > 0) {
    remarks.push(`footnote mark ${footnote[1]}`);
    text = text.slice(0, footnote.index).trim();
  }
  const said = /^(\[[^[\]]+\])[.,;]\s+(\p{Ll}[^[\]]{1,80})$/u.exec(text);
  if (said !== null) {
    remarks.push((said[2] as string).replace(/\.$/, ''));
    text = said[1] as string;
  }
  const bracketed = /^\[\s*(.*\S)\s*\]\s*[.,;]?\s*(\d{1,4})?[.]?$/.exec(text);
  if (bracketed !== null) {
    outside = true;
    text = bracketed[2] === undefined ? (bracketed[1] as string) : `${bracketed[1]}   ${bracketed[2]}`;
    const inner = POINTER.exec(text);
    if (inner !== null) return { ...none, pointer: pointerValue(inner[1] as string), outside, form: 2 };
  }
  const inRound = /^\((\d{1,4}[a-z]?\.\s*\p{Lu}[^()]*)\)\.?$/u.exec(text);
  if (inRound !== null) text = inRound[1] as string;
  let inPart = false;
  const part = IN_PART.exec(text);
  if (part !== null && part.index > 0) {
    inPart = true;
    text = `${text.slice(0, part.index)} ${text.slice(part.index + part[0].length)}`.trim();
  }
  let pages: { page?: string } = {};
  const trailing = TRAILING_PAGE.exec(text);
  if (trailing !== null && trailing.index > 0) {
    pages = page(trailing[1]);
    text = text.slice(0, trailing.index).replace(/[\s,(]+$/, '');
  }
  let see: string | undefined;
  const seen = SEE.exec(text);
  if (seen !== null) {
    see = seen[0].trim();
    text = text.slice(seen[0].length);
  }
  let before: string | undefined;
  const first = FIRST_NUMBER.exec(text) ?? FIRST_NUMBER_TIGHT.exec(text);
  if (first !== null) {
    before = first[1] ?? first[0].replace(/\W+$/, '');
    text = text.slice(first[0].length).trim();
    const inBrackets = /^\[\s*(.*\S)\s*\]$/.exec(text);
    if (inBrackets !== null) {
      outside = true;
      text = inBrackets[1] as string;
    }
  }
  let after: string | undefined;
  const last = pages.page === undefined ? LAST_NUMBER.exec(text) : null;
  if (last !== null && /\p{L}/u.test(last[1] as string) && !/\b(?:1[789]|20)\d\d\W*$/.test(text)) {
    after = last[2] as string;
    text = (last[1] as string).replace(/[,(\s]+$/, '');
    const inBrackets = /^\[\s*(.*\S)\s*\]$/.exec(text);
    if (inBrackets !== null) {
      outside = true;
      text = inBrackets[1] as string;
    }
  }
  let within: ReadName | undefined;
  const family = FAMILY_IN.exec(text) ?? FAMILY_BRACKETS.exec(text);
  if (family !== null) {
    within = readScientific(family[2] as string);
    if (within !== undefined) text = (family[1] as string).replace(/[,(\s]+$/, '');
  }
  const named = apart ?? readNames(text, free) ?? markedEpithet(text, marked);
  if (named === undefined) return undefined;
  const isMarked = marked.length > 0 && covers(marked, written.trim());
  const least = Math.min(...named.names.map((n) => n.form)) as 0 | 1 | 2;
  const sure = least > 0 || (isMarked && free && named.names.every((n) => !/[\d()]/.test(n.name)));
  return {
    names: named.names,
    ...(within === undefined ? {} : { within }),
    ...pages,
    ...(after === undefined ? {} : { after }),
    ...(before === undefined ? {} : { before }),
    ...(continues === undefined ? {} : { continues }),
    outside,
    inPart,
    ...(see === undefined ? {} : { see }),
    remarks: [...remarks, ...named.remarks],
    form: sure && (isMarked || see !== undefined) ? 2 : least,
  };
}

function page(number: string | undefined): { page?: string } {
  return number === undefined ? {} : { page: number };
}

function pointerValue(printed: string): string {
  return printed.toUpperCase().replace(/^([A-Z]?)0+(?=\d)/, '$1');
}

/** Whether a marked stretch begins where the words begin (after numbers and brackets). */
function covers(marks: readonly EmphasisSpan[], text: string): boolean {
  const start = marks[0]?.[0] ?? -1;
  return start >= 0 && !/\p{L}/u.test(text.slice(0, start).replace(SEE, ''));
}

/**
 * Names that are set apart beside vernacular ones that are not: `Bracken, _Pteridium_`. undefined when nothing, or all, is
 * set apart.
 */
function markedNames(
  text: string,
  marks: readonly EmphasisSpan[],
): { names: ReadName[]; remarks: string[] } | undefined {
  const [first] = marks;
  if (first === undefined || marks.length > 3 || /\s(?:or|and|oder|und|see|siehe)\s|[[(]/.test(text))
    return undefined;
  const before = text.slice(0, first[0]).trim();
  const vernacular = before.replace(/[,:–—-]+$/, '').trim();
  if (vernacular === before || !vernacular.split(/,\s+/).every(isVernacular)) return undefined;
  const binomial = (n: ReadName | undefined) => n !== undefined && n.form > 0 && n.name.includes(' ');
  if (vernacular.split(/,\s+/).some((v) => binomial(readScientific(v)))) return undefined;
  const rest = readEndText(text.slice(first[0]), shiftedBack(marks, first[0]));
  const [name] = rest?.names ?? [];
  if (rest === undefined || rest.names.length !== 1 || name === undefined || name.form === 0)
    return undefined;
  return { names: [{ ...name, common: vernacular }], remarks: [...rest.remarks] };
}

function shiftedBack(marks: readonly EmphasisSpan[], by: number): EmphasisSpan[] {
  return marks.map(([a, b]): EmphasisSpan => [a - by, b - by]);
}

/** One or several names, and remarks in brackets after them. */
function readNames(text: string, free: boolean): { names: ReadName[]; remarks: string[] } | undefined {
  const { bare, brackets } = withoutBrackets(text);
  const { common, remarks, kept } = sortBrackets(brackets);
  const whole = kept.length === 0 ? bare : text;
  const one = readScientific(whole) ?? (kept.length > 0 ? readScientific(bare) : undefined);
  // A comma between a name and its vernacular name, or between two names.
  if (one !== undefined && !/\s(?:and|or|und|oder|sowie)\s/.test(whole))
    return { names: [common === undefined ? one : { ...one, common }], remarks };
  const called = capitalsBeside(bare);
  if (called !== undefined)
    return { names: [common === undefined ? called : { ...called, common }], remarks };
  const several = splitNames(bare);
  if (several !== undefined)
    return { names: several, remarks: [...remarks, ...(common === undefined ? [] : [common])] };
  if (one !== undefined) return { names: [common === undefined ? one : { ...one, common }], remarks };
  const pair = withVernacular(bare);
  if (pair !== undefined) return { names: [common === undefined ? pair : { ...pair, common }], remarks };
  if (brackets.length === 1) {
    // `Norway spruce (Picea abies)`
    const inner = readScientific(brackets[0] as string);
    const outer = plainName(bare);
    if (
      inner !== undefined &&
      inner.form > 0 &&
      inner.rank !== 'genus' &&
      outer !== undefined &&
      /\s\p{Ll}/u.test(brackets[0] as string)
    )
      return { names: [{ ...inner, common: outer.name }], remarks: [] };
  }
  const beside = /^(\p{Lu}\p{Ll}+(?:[ -]\p{L}+){0,2})\s+(\p{Lu}[\p{Lu}Æ]{4,})$/u.exec(bare);
  const set = beside === null ? undefined : readScientific(beside[2] as string);
  if (set !== undefined && set.form === 2)
    return { names: [{ ...set, common: common ?? (beside?.[1] as string) }], remarks };
  const told = withRemark(bare);
  if (told !== undefined) return { names: [told.name], remarks: [...remarks, told.remark] };
  if (!free) return undefined;
  const named = readEpithet(whole) ?? plainName(bare);
  return named === undefined
    ? undefined
    : { names: [named], remarks: [...remarks, ...(common === undefined ? [] : [common])] };
}

/** `_nigra_, p. 14`: an epithet whose genus the print leaves out, set apart as names are. */
function markedEpithet(
  text: string,
  marks: readonly EmphasisSpan[],
): { names: ReadName[]; remarks: string[] } | undefined {
  const epithet = /^(\p{Ll}[\p{Ll}-]{2,})\.?$/u.exec(text)?.[1];
  if (epithet === undefined || marks.length !== 1 || epithetForm(epithet) === 0) return undefined;
  return { names: [{ name: epithet, rank: 'species', remarks: [], form: 1 }], remarks: [] };
}

/** `GOLDEN PLOVER, Charadrella auria`: a vernacular name in capitals before a binomial that is not. */
function capitalsBeside(text: string): ReadName | undefined {
  const at = /^([\p{Lu}’'-]+(?: [\p{Lu}’'-]+){0,3}),\s+(\p{Lu}\p{Ll}.*)$/u.exec(text);
  const name = at === null ? undefined : readScientific(at[2] as string);
  return at !== null && name !== undefined && name.form > 0 && name.name.includes(' ')
    ? { ...name, common: at[1] as string }
    : undefined;
}

/** A vernacular name beside a scientific one, whichever comes first. */
function withVernacular(text: string): ReadName | undefined {
  for (const separator of [/,\s+/, /\s+[-–—]\s+/, /\s*:\s+/, /\s+=\s+/]) {
    const at = separator.exec(text);
    if (at === null || at.index === 0) continue;
    const [left, right] = [text.slice(0, at.index), text.slice(at.index + at[0].length)];
    const second = readScientific(right);
    const first = readScientific(left);
    const binomial = (n: ReadName | undefined) => n !== undefined && n.form > 0 && n.name.includes(' ');
    if (binomial(second) && !binomial(first) && isVernacular(left))
      return { ...(second as ReadName), common: left.trim() };
    if (first !== undefined && first.form > 0 && second === undefined && isVernacular(right))
      return { ...first, common: right.trim().replace(/[.,;]$/, '') };
  }
  return undefined;
}

/** `Perforella nana, or young of the last`: a name certain by its form, and what is said of it. */
function withRemark(text: string): { name: ReadName; remark: string } | undefined {
  const at = /^(.{5,80}?)[,;]\s+(\p{Ll}.{2,100})$/u.exec(text);
  if (at === null) return undefined;
  const name = readScientific(at[1] as string);
  return name?.form === 2 && name.name.includes(' ')
    ? { name, remark: (at[2] as string).replace(/[.;,]$/, '') }
    : undefined;
}

function isVernacular(text: string): boolean {
  const words = text.trim().split(/\s+/);
  return words.length <= 4 && words.every((w) => /^[\p{L}’'-]+[.]?$/u.test(w));
}

/** Cuts bracketed remarks off the end of a text. */
function withoutBrackets(text: string): { bare: string; brackets: string[] } {
  const brackets: string[] = [];
  let bare = text.replace(/[;,]$/, '').trim();
  for (
    let m = /^(.*\S)\s*\(([^()]*)\)[.,;]?$/.exec(bare);
    m !== null;
    m = /^(.*\S)\s*\(([^()]*)\)[.,;]?$/.exec(bare)
  ) {
    brackets.unshift((m[2] as string).trim());
    bare = m[1] as string;
  }
  return { bare: bare.trim(), brackets };
}

/** Tells vernacular names, remarks and authors apart; authors stay with the name. */
function sortBrackets(brackets: readonly string[]): { common?: string; remarks: string[]; kept: string[] } {
  const remarks: string[] = [];
  const kept: string[] = [];
  let common: string | undefined;
  for (const inner of brackets) {
    if (inner === '') continue;
    if (
      /^[\p{Lu}][\p{L}.’'-]*\.?(?:\s*(?:,|&|et|and|ex|in)?\s*[\p{Lu}][\p{L}.’'-]*\.?)*(?:,?\s*\d{4})?$/u.test(
        inner,
      )
    )
      kept.push(inner);
    else if (looksCommon(inner) && common === undefined) common = inner;
    else remarks.push(inner);
  }
  return { ...(common === undefined ? {} : { common }), remarks, kept };
}

const JOINED =
  /\s*(?:,\s*(?:and|or|und|oder|sowie|&)\s+|\s(?:and|or|und|oder|sowie|bzw\.|&|\+|vel)\s|;\s*|\s\/\s*|\/\s|(?<=\p{L})\/(?=\p{Lu})|,\s+(?=[\p{Lu}×]))\s*/u;

/** Several names, when every part is one; an epithet alone takes the genus before it. */
function splitNames(text: string): ReadName[] | undefined {
  // Every name may have the number of its taxon before it.
  const parts = text.split(JOINED).map((p) => p.trim().replace(/^\d{1,4}[a-z]?[.)]\s+(?=\p{Lu})/u, ''));
  if (parts.length < 2 || parts.length > 20) return undefined;
  const names: ReadName[] = [];
  let genus: string | undefined;
  for (const part of parts) {
    const alone = /^\p{Ll}[\p{Ll}-]{2,}\.?$/u.test(part);
    const read = alone && genus !== undefined ? readScientific(`${genus} ${part}`) : readScientific(part);
    if (read === undefined) return plainList(parts);
    genus = read.name.includes(' ') ? (read.name.split(' ')[0] as string) : genus;
    names.push(read);
  }
  const first = names[0] as ReadName;
  // `Moor grass, Molinella tarni`: a vernacular name beside a scientific one.
  const plain = names.filter((n) => n.form === 0 || !n.name.includes(' ')).length;
  if (plain > 0 && plain < names.length && !/\s(?:and|or|und|oder|&)\s/.test(text)) return undefined;
  // `Viola hirta Sw. & Curtis`: a binomial and a lone capitalised word are one name with its authors.
  if (first.name.includes(' ') && names.slice(1).some((n) => !n.name.includes(' ') && n.form < 2))
    return undefined;
  if (first.name.includes(' ') && names.slice(1).every((n) => !n.name.includes(' ')) && /&|\bet\b/.test(text))
    return undefined;
  return names;
}

/** `Norway spruce or Sitka spruce`: several names that are not scientific, each beginning with a capital. */
function plainList(parts: readonly string[]): ReadName[] | undefined {
  const names = parts.map((p) => (/^\p{Lu}/u.test(p) ? plainName(p) : undefined));
  if (names.some((n) => n === undefined)) return undefined;
  const scientific = parts.filter((p) => (readScientific(p)?.form ?? 0) > 0).length;
  return scientific > 0 ? undefined : (names as ReadName[]);
}
