/** Reads what is at the end of a lead: a couplet's number, another key, one or several taxa, with what the print adds. */

import { isVernacular, markedEpithet, readNames } from './end-names.js';
import { clipped, type EmphasisSpan } from './lines.js';
import { type ReadName, readScientific } from './names.js';

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
const PAGE = String.raw`(?:\(?\s*,?\s*(?:(?:see|siehe)\s+)?(?:p|pp|pag|[Pp]age|S|Seite|seite)\.?\s*(\d{1,4}(?:\s*[-–,]\s*\d{1,4})?|[ivxlc]{1,8}(?=[\s.,;)]|$))\s*\)?)`;
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
  /[,;]?\s*(?<![\p{L}])(?:(?:sp|gen|spec|subsp|ssp|var|comb|stat|nom)\.\s*(?:n|nov)\b\s?\.?|(?:n|nov)\.\s*(?:sp|gen|g|comb|var|spec|subsp)\.?|(?:new|neue) (?:species|genus|Art|Gattung))(?=$|[\s,;.)])/iu;
/** `Flavella Marl [Flavellini]`: the group to which a taxon belongs. */
const IN_GROUP = /^(\p{Lu}[^[\]]{3,80}\S)\s+\[(\p{Lu}\p{L}{3,40})\][.,;]?$/u;
/** `Flavella, 2 species`: how many the book has of it. */
const SPECIES = /[,;]?\s*\(?(\d{1,3}\s+(?:species|spp?\.|art(?:en)?|genera|gattung(?:en)?))\)?\.?$/i;
/** References to figures behind a name. */
const FIGURES =
  /[,;]?\s*[([]((?:figs?|figures?|abb|abbildung|plates?|pls?|taf|tafel|text-?figs?)\b\.?\s*[^()[\]]{1,60})[)\]]\.?$/i;
/** `P. affinis, see under 38`: where the book treats a taxon. */
const SEE_UNDER =
  /[,;]?\s+\(?((?:see(?: also)?|siehe(?: auch)?)\s+(?:under|unter|bei|at|no\.|nr\.)\s+(?:no\.\s*|nr\.\s*)?\d{1,4}[a-z]?)\)?\.?$/i;
/** `♃ V–VI`, `☉ 6-8.`: how long a plant lives and when it flowers, in German floras. */
const LIFE =
  /[,;]?\s+((?:[♃♄♁☉⊙☽]\s?){1,3}(?:[,.]?\s*(?:[IVX]{1,4}|\d{1,2})(?:\s?[-–—]\s?(?:[IVX]{1,4}|\d{1,2}))?)?)\.?$/u;
const FOOTNOTE = /\s*(\[(?:[A-Z]|\d{1,3}|\*)\]|(?<=\p{L}[.,;]?)[¹²³†‡*§]{1,2})(?=[.,;]?$)/u;
const FIRST_NUMBER =
  /^\(?(\d{1,4}(?:[a-z](?=\.)|(?:\s?[-–,]\s?\d{1,4}){1,6}(?=\.))?)\s*[.):]?\s+(?=["“[(]?[\p{L}×])|^(?:[IVXLC]{2,7}\.|[IVXLC]{1,7}\.(?=\s+\p{Lu}[\p{L}]+(?:ales|aceae|idae|inae|oidea|oideae|ini|eae|[æ])\b))\s+(?=\p{Lu}\p{L}{3})/iu;
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
  const group = IN_GROUP.exec(text);
  if (group !== null) {
    const whole = readNames(group[1] as string, false);
    if (whole?.names.every((n) => n.form > 0) === true) {
      remarks.push(group[2] as string);
      text = group[1] as string;
    }
  }
  const species = SPECIES.exec(text);
  if (species !== null && species.index > 0) {
    remarks.push(species[1] as string);
    text = text.slice(0, species.index);
  }
  const figures = FIGURES.exec(text);
  if (figures !== null && figures.index > 0) {
    remarks.push(figures[1] as string);
    text = text.slice(0, figures.index);
  }
  const life = LIFE.exec(text);
  if (life !== null && life.index > 0) {
    remarks.push((life[1] as string).trim());
    text = text.slice(0, life.index);
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
