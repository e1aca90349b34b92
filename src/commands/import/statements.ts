/** Cuts the words of a lead into statements: of what part, and what is said of it. */
import { measureIn } from './amounts.js';
import {
  ABSENT_WORDS,
  AND_WORDS,
  ARTICLES,
  COPULAS,
  DEGREE_WORDS,
  EITHER_WORDS,
  NEITHER_WORDS,
  NOT_WORDS,
  OPEN_WORDS,
  OR_WORDS,
  PREPOSITIONS,
  PRESENT_WORDS,
  RARE_WORDS,
  USUALLY_WORDS,
  WHICH_WORDS,
  WHOLE_WORDS,
  WITH_WORDS,
  WITHOUT_WORDS,
} from './trait-words.js';
import { bare, isPart, propertiesOf, stemOf } from './word-kinds.js';

/** A piece of a lead that says one thing of one part. */
export interface Statement {
  /** The part in the words of the print, without article; empty for the whole. */
  readonly part: string;
  /** What is said of it, with the stops of shortened words. */
  readonly said: readonly string[];
  /** All of it, as printed. */
  readonly text: string;
  /** Its place among the statements of its lead. */
  readonly index: number;
  /** A bracket beside it leaves it open, or says that it holds for most only. */
  readonly loosened: boolean;
}

/** Longer leads are descriptions; what is behind is not read. */
const LONGEST = 2000;
const FUNCTION_WORDS: readonly ReadonlySet<string>[] = [
  ARTICLES,
  EITHER_WORDS,
  NEITHER_WORDS,
  NOT_WORDS,
  OR_WORDS,
  AND_WORDS,
  PREPOSITIONS,
  PRESENT_WORDS,
  ABSENT_WORDS,
  WITH_WORDS,
  WITHOUT_WORDS,
  RARE_WORDS,
  USUALLY_WORDS,
  COPULAS,
  DEGREE_WORDS,
  OPEN_WORDS,
]; // prettier

/** Whether a word can only be part of what is said, and never names a part. */
function isSaid(word: string): boolean {
  const plain = bare(word);
  return (
    plain === '' ||
    /\d/.test(plain) ||
    FUNCTION_WORDS.some((words) => words.has(plain)) ||
    propertiesOf(word).length > 0 ||
    /(?:ed|ing|ous|ose|ly|ish|less|shaped)$/.test(plain)
  );
}

/** The statements of a lead. `german`: nouns are told by their capitals. */
export function statementsOf(words: string, german: boolean): Statement[] {
  const found: Statement[] = [];
  let lastSentence = 0;
  const text = words
    .slice(0, LONGEST)
    .replace(/\[\d+\]/g, '')
    .replace(/\bmore or less\b/gi, 'more-or-less')
    .replace(/\bmehr (?:od\.|oder|u\.|und) (?:weniger|wenig\.|minder)/gi, 'mehr-oder-weniger')
    .replace(/\bat or near\b/gi, 'near')
    .replace(/\bof (?:some|a) shades? of\b/gi, '')
    // What explains or gives examples says nothing new.
    .replace(
      /,?\s*(?:\bi\. ?e\.|\bd\. ?h\.|\bviz\b\.?|\bnamely\b|\be\. ?g\.|\bz\. ?B\.)[^;]*?(?:;\s*or\s[^;]*?)*(?=;|\.\s+\p{Lu}|$)/giu,
      '',
    );
  for (const sentence of sentencesIn(withoutBrackets(text), german)) {
    // `Legs naked; or, if feathered, short`: what was said before is the one of two.
    if (OR_WORDS.has(bare(/^\S+/.exec(sentence)?.[0] ?? ''))) found.splice(lastSentence);
    lastSentence = found.length;
    let subject: string | undefined;
    let choice = false;
    for (const piece of piecesIn(sentence, german)) {
      // Of two descriptions, the one or the other holds: nothing is sure.
      if (opensChoice(piece)) break;
      const loosened = piece.includes(OPEN);
      const own = piece.replaceAll(OPEN, '').trim();
      const tokens = own.split(/\s+/).filter((w) => w !== '');
      if (tokens.length === 0) continue;
      if (AND_WORDS.has(bare(tokens[0] as string)) && tokens.length > 1) tokens.shift();
      const { part, said } = nounsAlone(tokens, subject) ?? partIn(tokens, subject === undefined, german);
      // `either round, or oval, pointed`: nobody knows to which of them the last belongs.
      if (choice && part === undefined) continue;
      choice = tokens.some((w) => EITHER_WORDS.has(bare(w)));
      subject = part ?? subject ?? '';
      found.push({
        part: subject,
        said,
        text: own,
        index: found.length,
        loosened,
      });
    }
  }
  return found;
}

/** `entweder rund` whose other half does not stand in the same piece. */
function opensChoice(piece: string): boolean {
  const words = piece.split(/\s+/).map(bare);
  return words.some((w) => EITHER_WORDS.has(w)) && !words.some((w) => OR_WORDS.has(w));
}

/** Stands where a bracket was that makes what stands before it uncertain. */
const OPEN = '\u0001';
const LOOSENS = new RegExp(
  String.raw`(?<!\p{L})(?:${[...USUALLY_WORDS, ...RARE_WORDS].join('|')}|bei|in (?:one|a|some)|except|unless)(?!\p{L})`,
  'iu',
);
const RARELY = new RegExp(String.raw`(?<!\p{L})(?:${[...RARE_WORDS].join('|')})\s+([\p{L}-]+\.?)$`, 'iu');

/**
 * Brackets hold remarks, which are left out; measures, which are kept; and exceptions, which say that what stands before is
 * loose. Those inside others come first.
 */
function withoutBrackets(text: string): string {
  let plain = text;
  for (let depth = 0; depth < 4 && /\([^()]*\)/.test(plain); depth++)
    plain = plain.replace(/\s*\(([^()]*)\)(,?)/g, (whole, inner: string, comma: string) => {
      if (/^\s*[-–]?\s*\d+(?:[.,]\d+)?\s*[-–]?\s*$/.test(inner))
        return whole.replace('(', KEPT[0]).replace(')', KEPT[1]);
      // How high a plant is and when it flowers is said beside the part that a lead is about.
      if (/;|\b(?:high|tall|hoch|spring|summer|autumn)\b/.test(inner)) return comma;
      if (USUALLY_WORDS.has(bare(inner))) return ` ${inner}${comma}`;
      const rare = RARELY.exec(inner.trim());
      if (rare !== null && propertiesOf(rare[1] as string).length > 0) return `, rarely ${rare[1]}${comma}`;
      if (/^(?:rarely|selten)\s+\d+$/.test(inner)) return ` ${inner}${comma}`;
      // A whole sentence is a remark.
      if (/[.]$/.test(inner.trim()) && inner.trim().split(/\s+/).length > 5) return comma;
      if (LOOSENS.test(inner)) return `${OPEN}${comma}`;
      if (/^(?:\d|[½¼¾⅛⅓]|or less|or more)/.test(inner) && inner.length < 40) return `, ${inner},`;
      return comma;
    });
  return plain.replaceAll(KEPT[0], '(').replaceAll(KEPT[1], ')');
}
const KEPT = ['\u0002', '\u0003'] as const;

function sentencesIn(text: string, german: boolean): string[] {
  const out: string[] = [];
  let from = 0;
  for (const m of text.matchAll(/;\s*|\.\s+(?=[\p{Lu}\d])|:\s+(?=\p{Lu})/gu)) {
    const before = /[\p{L}-]+$/u.exec(text.slice(from, m.index))?.[0] ?? '';
    if (m[0].startsWith('.') && isShortened(before, german, text.slice(from, m.index))) continue;
    out.push(text.slice(from, m.index));
    from = m.index + m[0].length;
  }
  out.push(text.slice(from));
  return out;
}

const SHORTENED =
  /^(?:i|e|g|c|ca|cf|var|subsp|ssp|sp|spp|no|nr|st|z|b|d|h|u|v|od|ein|max|min|approx|diam|in|mm|cm|dm|m|ft|fig|entw|zuw|lg|bltn|blkr|stbbl|frkn)$/i;

/** `aus getrennt. Blättch.`: the noun of the preposition is still to come. */
function opensPhrase(before: string): boolean {
  const words = before.trim().split(/\s+/).slice(-3, -1).map(bare);
  return (
    words.some((w) => PREPOSITIONS.has(w) || WITH_WORDS.has(w)) &&
    !before
      .trim()
      .split(/\s+/)
      .slice(-2)
      .some((w) => /^\p{Lu}/u.test(w))
  );
}

/** A word that the print shortens: it says something only together with what it begins. */
function isShortened(word: string, german: boolean, before: string): boolean {
  if (SHORTENED.test(word)) return true;
  if (!german) return false;
  return /^\p{Ll}/u.test(word)
    ? opensPhrase(before) || (propertiesOf(word).length === 0 && propertiesOf(`${word}.`).length > 0)
    : /(?:bl|bltt|blätt|pfl|fr|samenkn|stbblätt|blblätt|hüllblätt)$/iu.test(word);
}

/** The pieces of a sentence between commas; items of one list stay together. */
function piecesIn(sentence: string, german: boolean): string[] {
  const out: string[] = [];
  let rare = false;
  for (const part of sentence.split(/,\s+|,$|\s+[–—]\s+/)) {
    const piece = part.trim().replace(/(?<!\p{L})[.:]+$/u, '');
    if (piece === '') continue;
    const words = piece.split(/\s+/);
    const first = bare(words[0] as string);
    const joins = OR_WORDS.has(first) && first !== 'to' && first !== 'bis' && words.length <= 6;
    if (out.length > 0 && RARE_WORDS.has(first)) {
      out.push(`${out.pop()}, or ${piece}`);
      rare = true;
      continue;
    }
    // What follows an exception with "and" is part of it.
    if (rare && AND_WORDS.has(first)) continue;
    rare = false;
    const list =
      !NOT_WORDS.has(first) &&
      isItem(joins ? words.slice(1).join(' ') : piece, german) &&
      (joins || words.slice(1).some((w) => OR_WORDS.has(bare(w)) && !/^(?:to|bis)$/i.test(w)));
    if (out.length > 0 && (joins || (list && alike(out.at(-1) as string, piece)))) {
      let whole = `${out.pop()}, ${piece}`;
      // The items before the last one, and the first of them, which stands behind its part.
      while (
        out.length > 0 &&
        isItem(whole.split(', ')[0] as string, german) &&
        alike(out.at(-1) as string, piece)
      )
        whole = `${out.pop()}, ${whole}`;
      out.push(whole);
      continue;
    }
    out.push(piece);
  }
  return out;
}

/** An item of a list names no part of its own. */
function isItem(piece: string, german: boolean): boolean {
  const words = piece.split(/\s+/);
  return (
    /^(?:\p{Ll}|\d\p{L})/u.test(piece) &&
    words.length <= 6 &&
    measureIn(piece) === undefined &&
    partIn(words, false, german).part === undefined
  );
}

/** Whether two pieces answer one question, or neither answers one that is known. */
function alike(a: string, b: string): boolean {
  const of = (piece: string) => piece.split(/\s+/).flatMap((w) => propertiesOf(w));
  const [left, right] = [of(a), of(b)];
  if (left.length === 0 && right.length === 0) return a.split(/\s+/).length <= 3;
  return left.some((p) => right.includes(p));
}

/** `Trees or shrubs` names no part: it says what the whole is. */
function nounsAlone(
  tokens: readonly string[],
  subject: string | undefined,
): { part: string; said: readonly string[] } | undefined {
  if (subject !== undefined) return undefined;
  const telling = tokens.filter((w) => !OR_WORDS.has(bare(w)) && !ARTICLES.has(bare(w)));
  const all = telling.length > 0 && telling.every((w) => propertiesOf(w).some((p) => OF_THE_WHOLE.has(p)));
  return all ? { part: '', said: tokens } : undefined;
}
const OF_THE_WHOLE = new Set(['habit', 'habitat', 'sex', 'duration']);

/** The part that tokens begin with, if they name one, and what is said of it. `first`: they begin a sentence. */
function partIn(
  tokens: readonly string[],
  first: boolean,
  german: boolean,
): { part: string | undefined; said: readonly string[] } {
  let at = 0;
  while (at < tokens.length && ARTICLES.has(bare(tokens[at] as string)) && tokens.length > 1) at++;
  const start = at;
  while (at < tokens.length && WHICH_WORDS.has(bare(tokens[at] as string))) at++;
  // `Large tree`, `Aquatic plant`: what stands before a word for the whole is said of it.
  const next = tokens[at + 1];
  if (
    first &&
    next !== undefined &&
    WHOLE_WORDS.has(bare(next)) &&
    propertiesOf(tokens[at] as string).length > 0
  )
    return { part: '', said: [tokens[at] as string] };
  if (!namesPart(tokens, at, first, german)) {
    if (at === start || !namesPart(tokens, at, true, german))
      return { part: undefined, said: tokens.slice(start) };
  }
  at++;
  if (WHOLE_WORDS.has(bare(tokens[at - 1] as string)) && at - start === 1)
    return { part: '', said: tokens.slice(at) };
  const noun = (n: number) => n < tokens.length && namesPart(tokens, n, false, german);
  for (;;) {
    const word = bare(tokens[at] ?? '');
    if (noun(at) && !german) at++;
    else if (/^(?:of|der|des|and|und|u|or|od|oder)$/.test(word) && noun(at + 1)) at += 2;
    else if (
      /^(?:of|or|and|u|und|od)$/.test(word) &&
      (ARTICLES.has(bare(tokens[at + 1] ?? '')) || WHICH_WORDS.has(bare(tokens[at + 1] ?? ''))) &&
      tokens.slice(at + 1, at + 5).some((_, k) => noun(at + 1 + k))
    ) {
      at += 1;
      while (!noun(at)) at++;
      at++;
    } else break;
  }
  const part = tokens
    .slice(start, at)
    .filter((w) => !ARTICLES.has(bare(w)) || /^de[rs]$/.test(w))
    .map((w) => (german ? w : w.toLowerCase()))
    .join(' ');
  return { part, said: tokens.slice(at) };
}

function namesPart(tokens: readonly string[], at: number, first: boolean, german: boolean): boolean {
  const word = tokens[at];
  if (word === undefined || !/^[\p{L}-]+\.?$/u.test(word)) return false;
  const plain = bare(word);
  if (isPart(word) && !FUNCTION_WORDS.some((words) => words.has(plain))) return true;
  if (isSaid(word)) return false;
  if (german) return /^\p{Lu}/u.test(word) && (first || at > 0 || tokens.length > 1);
  return first && at + 1 < tokens.length && plain.length > 2;
}

/** The part for comparing: stems of its words, whatever their order in `Leaves, lower` and `Lower leaves`. */
export function partKey(part: string): string {
  return part
    .split(/[\s]+/)
    .filter((w) => !/^(?:of|der|des|the)$/.test(w))
    .map((w) =>
      AND_WORDS.has(bare(w)) ? '+' : OR_WORDS.has(bare(w)) ? '/' : stemOf(w).replace(/(?<=.....)ial$/, ''),
    )
    .join(' ');
}
