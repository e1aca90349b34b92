/** Finds the end of a lead among its words, where neither dots nor a column sets it apart. */

import { letterPointer } from './letter-pointers.js';
import { type EmphasisSpan, shifted } from './lines.js';
import { joined, type LinePiece } from './pieces.js';
import type { EndContext, SplitLead } from './split-lead.js';
import { type ImportedEnd, readEndText } from './targets.js';

const GO_AT_END =
  /[\s.;,:(–—-]+\(?((?:go\s*(?:on\s*)?to|goto|turn to|proceed to|continue (?:at|with)|see|siehe|weiter(?: mit| bei| unter| zu| nach)?|gehe zu|→|->|=>)\s*(?:couplet|step|no\.?|nr\.?|number|nummer)?\s*[A-Z]?\d{1,5}[a-d]?)\)?\.?$/i;
const KEY_AT_END =
  /[\s.;,:–—-]+\(?((?:(?:go\s*to|see|siehe|→|->|weiter mit)\s*)(?:the\s+)?(?:key|group|section|table|schlüssel|gruppe|tabelle|teil|part)\s+.{1,60})$/i;
const SEE_AT_END =
  /[.;:–—]\s+((?:see(?: also)?(?: under)?|siehe(?: unter)?|s\. unter|vgl\.)\s+\p{Lu}.{2,80})$/u;
const IN_BRACKETS = /\s*[([]\s*([A-Z]?\d{1,5})\s*[)\]]\.?$/;
/** `(B.)`, `(AA.) page 60.`, and what may be said in brackets after it. */
const LETTER_IN_BRACKETS =
  /\s*([([]\s*[A-Za-z]{1,6}\.?\s*[)\]]\.?(?:,?\s*(?:p|pp|[Pp]age|S|Seite)\.?\s*\d{1,4})?\.?)(?:\s+\(([^()]{4,160})\))?$/;
/** `—2.`, `--2`: a dash that leads to a number. */
const DASHED = /(?:(?<=[^\d\s])|\s)\s*(?:--|[–—]|(?<=\s)-(?=\s))\s?([A-Z]?\d{1,5})[a-d]?\.?$/;
const BARE = /(?:\s*[.,;:–—-]|\s)\s*([A-Z]?\d{1,5})\.?$/;
/** `see Marl and Fell 1992`, `see Marl 1992: Fig. 8`: what is cited is no taxon. */
const CITED =
  /\b(?:figs?|figures?|abb|pls?|plates?|taf|tables?)\b\.?\s*\d|^(?:see|siehe|vgl\.|compare)\s+(?:also\s+|auch\s+)?\p{Lu}[\p{L}’'-]+(?:(?:,?\s(?:and|und|et|&)\s|,\s)\p{Lu}[\p{L}’'-]+|\set\sal\.?)*,?\s[([]?(?:1[789]|20)\d\d[a-z]?\b/iu;
/** `Figs 3.3, 4.`: the last number of a list of figures leads to no couplet; behind `Fig. 3, ` only the author can tell. */
const OF_FIGURES =
  /\b(?:(?:figs|figures|abbildungen|pls|plates|taf(?:eln)?|tables)\.?\s*(?:\d{1,4}(?:\.\d{1,3})?[a-z]?(?:\s*[,;&–-]\s*|\s+(?:and|und|to|bis)\s+))*|(?:fig|figure|abb|abbildung|pl|plate|table)\.?\s*)\d{1,4}(?:\.\d{1,3})?[a-z]?[.,;]?$/i;
const SEPARATOR = /[.;:]\s+|\s[-–—]{1,2}\s+|(?:--|[–—])\s*|,\s+|\s(?=\[)/gu;

/** Looks for the end among the words themselves. */
export function byWords(pieces: readonly LinePiece[], context: EndContext): SplitLead {
  const { text, marks } = joined(pieces, context.words);
  const upTo = (at: number) =>
    text
      .slice(0, at)
      // Dashes, and stray dots of the leader.
      .replace(/(?:\s\.+|[\s–—-])+$/, '')
      .trim();
  const spoken =
    GO_AT_END.exec(text.slice(-80)) ?? KEY_AT_END.exec(text.slice(-120)) ?? SEE_AT_END.exec(text.slice(-120));
  if (spoken !== null && !CITED.test(spoken[1] as string)) {
    const end = readEndText(spoken[1] as string, [], true);
    if (end !== undefined)
      return { words: upTo(text.length - spoken[0].length + stopLength(spoken[0])), end, how: 'sign' };
  }
  const sent =
    /\s*[([]((?:see(?: also)?(?: under)?|siehe(?: unter)?)\s+(?:\d{1,4}\.\s*)?\p{Lu}[^()]{2,80})[)\]]\.?$/u.exec(
      text.slice(-120),
    );
  if (sent !== null && !CITED.test(sent[1] as string)) {
    const end = readEndText(sent[1] as string, [], true);
    if (end !== undefined) return { words: upTo(text.length - sent[0].length), end, how: 'sign' };
  }
  const dashed = DASHED.exec(text.slice(-20));
  if (dashed !== null && context.labels.has(dashed[1] as string)) {
    const end = readEndText(dashed[1] as string);
    if (end !== undefined) return { words: upTo(text.length - dashed[0].length), end, how: 'sign' };
  }
  const lettered = LETTER_IN_BRACKETS.exec(text.slice(-220));
  const letter = lettered === null ? undefined : letterPointer(lettered[1] as string, context);
  if (lettered !== null && letter !== undefined)
    return {
      words: upTo(text.length - lettered[0].length),
      end: letter,
      how: 'sign',
      ...(lettered[2] === undefined ? {} : { note: lettered[2] }),
    };
  const bracketed = IN_BRACKETS.exec(text.slice(-20));
  if (bracketed !== null && context.labels.has((bracketed[1] as string).toUpperCase())) {
    const end = readEndText(bracketed[1] as string);
    if (end !== undefined) return { words: upTo(text.length - bracketed[0].length), end, how: 'sign' };
  }
  const named =
    ownLine(pieces, text) ??
    markedEnd(text, marks) ??
    sentenceEnd(text, marks) ??
    trailingBinomial(text) ??
    (context.bare ? undefined : remarkedEnd(text));
  if (named !== undefined) return { words: upTo(named.at), end: named.end, how: 'words' };
  const bare = BARE.exec(text.slice(-20));
  if (
    bare !== null &&
    !OF_FIGURES.test(text.slice(-80)) &&
    (context.bare || /^\s*[.;–—]/.test(bare[0])) &&
    context.labels.has(bare[1] as string)
  ) {
    const end = readEndText(bare[1] as string);
    const at = text.length - bare[0].length + (/^[.;]/.test(bare[0]) ? 1 : 0);
    if (end !== undefined && at > 0) return { words: upTo(at), end, how: 'number' };
  }
  const guess = guessedEnd(text);
  return {
    words: text.replace(/(?:\s*\.){3,}$|\s*…+$|\s*_{3,}$/, ''),
    ...(guess === undefined ? {} : { guess: { words: upTo(guess.at), end: guess.end } }),
  };
}

/** The full stop before an end in words belongs to the words of the lead. */
function stopLength(match: string): number {
  return /^[.;]/.test(match) ? 1 : 0;
}

interface EndAt {
  readonly at: number;
  readonly end: ImportedEnd;
}

/** A name of two words on a line of its own, below an empty line. */
function ownLine(pieces: readonly LinePiece[], text: string): EndAt | undefined {
  const [above, last] = pieces.slice(-2);
  if (above === undefined || last === undefined || last.line.row - above.line.row < 2) return undefined;
  if (/[-,]$/.test(above.text) || !text.endsWith(last.text)) return undefined;
  const end = readEndText(last.text, last.marks);
  const first = end?.names[0]?.name.split(' ')[0];
  // Words before the name belong to the lead, also where a page breaks it.
  const named = end !== undefined && end.form > 0 && first !== undefined && last.text.startsWith(first);
  return named && end.names.every((n) => n.name.includes(' '))
    ? { at: text.length - last.text.length, end }
    : undefined;
}

/** A name set apart in the print at the end of the words. */
function markedEnd(text: string, marks: readonly EmphasisSpan[]): EndAt | undefined {
  let best: EndAt | undefined;
  for (let i = marks.length - 1; i >= 0; i--) {
    const [start, stop] = marks[i] as EmphasisSpan;
    if (text.length - start > 160 || start === 0) break;
    const later = marks[i + 1];
    if (later !== undefined && later[0] - stop > 12) break;
    const before =
      /(?:\[\s*|\b\d{1,3}[a-h]?,?\s+in\s+|\b\d{1,4}[.)]\s*|\((?=[^)]*$)|\b(?:see(?: under)?|siehe(?: unter)?|s\. unter)\s+)+$/.exec(
        text.slice(0, start),
      );
    const at = before === null ? start : before.index;
    if (text.slice(0, at).trim() === '') break;
    const end = readEndText(text.slice(at), shifted(marks, at));
    if (end !== undefined && end.form === 2 && end.pointer === undefined) best = { at, end };
    else if (best !== undefined) break;
  }
  return best;
}

/** The last sentence, or what follows a colon or dash, is a name. */
function sentenceEnd(text: string, marks: readonly EmphasisSpan[]): EndAt | undefined {
  const from = Math.max(0, text.length - 160);
  const places = [...text.slice(from).matchAll(SEPARATOR)];
  let best: EndAt | undefined;
  for (const place of places.reverse()) {
    const at = from + place.index + place[0].length;
    const comma = place[0].startsWith(',');
    const rest = text.slice(at);
    if (at === 0 || !/^[[(]?(?:\d{1,4}[.)]?\s*)?[[]?[×]?\p{Lu}|^(?:see|siehe)\s/u.test(rest)) continue;
    const read = readEndText(rest, shifted(marks, at));
    const end = read === undefined || read.form === 0 ? (pagedEnd(rest, place[0]) ?? read) : read;
    if (
      end !== undefined &&
      end.pointer === undefined &&
      (end.key === undefined ? nameStands(end, place[0]) : keyStands(end, rest, place[0]))
    ) {
      best = { at: from + place.index + (/^[.;]/.test(place[0]) ? 1 : 0), end };
    } else if (best !== undefined && !comma && !/^[.]/.test(place[0])) break;
  }
  return best;
}

/** `— OAK FAMILY (see p. 61)`: any few words with a page, after a dash or colon, are the end of the lead. */
function pagedEnd(rest: string, separator: string): ImportedEnd | undefined {
  if (!/[:–—-]/.test(separator) || !/\b(?:p|pp|S|[Pp]age|Seite)\.?\s*\d/.test(rest)) return undefined;
  const end = readEndText(rest, [], true);
  const [name] = end?.names ?? [];
  return end?.page === undefined || end.names.length !== 1 || (name?.name.split(' ').length ?? 9) > 4
    ? undefined
    : { ...end, form: 2 };
}

/** `. Group 1, WOODY PLANTS, p. ix`: a part of the work with its title or page is no part of the words. */
function keyStands(end: ImportedEnd, rest: string, separator: string): boolean {
  return (
    !separator.startsWith(',') && /^\p{Lu}/u.test(rest) && (end.page !== undefined || /\p{Lu}{4}/u.test(rest))
  );
}

function nameStands(end: ImportedEnd, separator: string): boolean {
  if (end.names.length === 0 && end.see === undefined) return false;
  const binomial = end.names.every((n) => n.name.includes(' '));
  // `Leaves long. Silvene, p. 27.`: what has a page of its own is a name.
  if (end.form >= 1 && end.page !== undefined && /^[.;:]/.test(separator)) return true;
  const backed =
    /[:–—-]/.test(separator) || end.page !== undefined || end.names.every((n) => n.authority !== undefined);
  if (end.form < 2 && !(end.form === 1 && binomial && backed)) return false;
  return !separator.startsWith(',') || binomial;
}

/** `... hairy Viola hirta L.`: a binomial that no stop separates from the words. */
function trailingBinomial(text: string): EndAt | undefined {
  const from = Math.max(0, text.length - 110);
  for (const m of text.slice(from).matchAll(/(?<=[\s([])(?:\d{1,4}[.)]\s*)?[[]?[×]?\p{Lu}/gu)) {
    const at = from + m.index;
    if (at === 0) continue;
    const end = readEndText(text.slice(at));
    if (end === undefined || end.form < 2 || end.pointer !== undefined || end.key !== undefined) continue;
    if (end.names.length > 0 && end.names.every((n) => n.name.includes(' ') || n.rank === 'family'))
      return { at, end };
  }
  return undefined;
}

/** What is said after a name about where and when it grows or flies, and so is not part of an author. */
const PLACE_OR_TIME =
  /^(?:Nadelw|Laubw|Wald|Wälder|Gebüsch|Wiesen?|Weiden|Triften|Heiden?|Moore?|Sümpfe|Äcker|Ufer|Gärten|Auf|An|In|Gemein|Häufig|Selten|Zerstreut|Frühling|Sommer|Herbst|Woods?|Fields?|Meadows?|Pastures?|Heaths?|Bogs?|Marsh(?:es)?|Shores?|Dry|Wet|On|Common|Rare|Local|Frequent|Spring|Summer|Autumn|Winter|May|June|July|Aug|Sept|[IVX]+[–-])/;

/** `... rough. Aria aspera Marl. Woods. VIII–X.`: a sure name followed by a few words on place and time. */
function remarkedEnd(text: string): EndAt | undefined {
  const from = Math.max(0, text.length - 180);
  const tail = text.slice(from);
  for (const m of tail.matchAll(/[.;:–—]\s+(?=\p{Lu}[\p{L}.]*\s\p{Ll}{3,})/gu)) {
    const at = m.index + m[0].length;
    const rest = tail.slice(at);
    for (const stop of rest.matchAll(/[.,;)]\s+(?=[\p{Lu}\d(])/gu)) {
      const name = rest.slice(0, stop.index + 1);
      const remark = rest.slice(stop.index + stop[0].length);
      const end = readEndText(name);
      const [read] = end?.names ?? [];
      if (end?.form !== 2 || end.names.length !== 1 || read?.name.includes(' ') !== true) continue;
      if (readEndText(remark)?.form === 2 || remark.length > 90) continue;
      // The authors continue: `Marl. & Fell. Woods.`
      const longer = readEndText(
        rest.slice(0, stop.index + stop[0].length + (remark.split(/\s/, 1)[0] ?? '').length),
      );
      if (!PLACE_OR_TIME.test(remark) && longer?.form === 2 && longer.names.length === 1) continue;
      return {
        at: from + m.index + 1,
        end: { ...end, remarks: [...end.remarks, remark.replace(/\.$/, '')] },
      };
    }
  }
  return undefined;
}

/** The last few words after a stop, colon or dash, which may be a name that its form does not show. */
function guessedEnd(text: string): EndAt | undefined {
  const from = Math.max(0, text.length - 90);
  const places = [...text.slice(from).matchAll(GUESSED_AFTER)];
  for (const place of places.reverse()) {
    const words = GUESSED.exec(text.slice(from + place.index + place[0].length));
    if (words === null) continue;
    const strict = /^[.;,]/.test(place[0]);
    const at = from + place.index + (/^[.;]/.test(place[0]) ? 1 : 0);
    const name = words[1] as string;
    if (at <= 0 || name.split(' ').length > 5 || (strict && !/^\p{Lu}/u.test(name))) return undefined;
    const end = readEndText(name, [], true);
    return end === undefined || end.pointer !== undefined ? undefined : { at, end };
  }
  return undefined;
}

/** `..., the Milk-cap`: behind a comma only with its article. */
const GUESSED_AFTER =
  /[.;:]\s+|\s[-–—]{1,2}\s+|(?:--|[–—])\s*|,\s+(?=(?:the|der|die|das)\s\p{Lu}[\p{L}-]+(?:\s\p{Lu}[\p{L}-]+){0,2}\.?$)/gu;
/** `the Milk-cap`, `12. Black thorn (p. 7)` */
const GUESSED =
  /^(?:(?:the|der|die|das)\s+(?=\p{Lu}))?((?:\d{1,4}\.\s+)?\p{L}[^.;:–—]{2,50}(?:\((?:p|S)\.\s*\d+\))?)\.?$/u;
