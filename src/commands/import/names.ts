/** Names of taxa, judged by their form alone. */
import type { ConcernLevel } from '../../key/key.js';
import { epithetForm, genusForm } from './lexicon.js';

/** A name as read from the print. */
export interface ReadName {
  /** The name alone, printed capitals made ordinary. */
  readonly name: string;
  readonly rank?: string;
  readonly authority?: string;
  readonly common?: string;
  /** What was said beside it: `spp.`, `cf.`, a remark in brackets. */
  readonly remarks: readonly string[];
  /** The harm printed after it. */
  readonly concern?: ConcernLevel;
  /** How sure the form makes it that this is a scientific name: 0 not at all, 1 it could be, 2 it is. */
  readonly form: 0 | 1 | 2;
}

const GROUP_WORDS: Record<string, string> = {
  family: 'family',
  fam: 'family',
  familie: 'family',
  subfamily: 'subfamily',
  unterfamilie: 'subfamily',
  tribe: 'tribe',
  tribus: 'tribe',
  genus: 'genus',
  class: 'class',
  klasse: 'class',
  order: 'order',
  ordnung: 'order',
  suborder: 'suborder',
  unterordnung: 'suborder',
  superfamily: 'superfamily',
  überfamilie: 'superfamily',
  subtribe: 'subtribe',
  subsection: 'subsection',
  gattung: 'genus',
  gen: 'genus',
  subgenus: 'subgenus',
  subgen: 'subgenus',
  subg: 'subgenus',
  untergattung: 'subgenus',
  section: 'section',
  sectio: 'section',
  sect: 'section',
  sektion: 'section',
  series: 'series',
  ser: 'series',
};
const INFRA: Record<string, string> = {
  subsp: 'subspecies',
  ssp: 'subspecies',
  var: 'variety',
  v: 'variety',
  f: 'form',
  fo: 'form',
  forma: 'form',
  subvar: 'variety',
};
const QUALIFIER = /^(?:cf|aff|nr|near)\.?$/;
const AGGREGATE = /^(?:agg|aggr|coll)\.?$|^(?:complex|group|gruppe|aggregat)$/i;
const SENSU = /^(?:s\.?\s?l\.?|s\.?\s?str\.?|s\.?\s?lat\.?|sensu|auct\.?|sens\.?)$/i;
const AUTHOR =
  /^(?:\(?[\p{Lu}][\p{L}.'’-]*[.,]?(?:\)[.,]?)?|\(?(?:ex|et|and|in|non|nec|auct|de|von|van|der|du|la|f|fil|emend|al|apud)\.?|&|\(?1[789]\d\d\)?[.,]?|\(?20\d\d\)?[.,]?|\p{Lu}\.?\)?)$/u;
const SIMPLE_WORD = /^[\p{L}’'-]+$/u;

/** Reads a scientific name; undefined when the text does not have the form of one. */
export function readScientific(name: string): ReadName | undefined {
  const text = name.trim().replace(/\s+/g, ' ');
  if (text.length > 160) return undefined;
  const written = text.split(' ');
  const words = withoutCount(written);
  if (words.length < written.length) {
    const rest = readScientific(words.join(' '));
    const count = written.slice(0, 2).join(' ');
    return rest === undefined ? undefined : { ...rest, remarks: [`printed as ${count}`, ...rest.remarks] };
  }
  const group = GROUP_WORDS[(words[0] ?? '').replace(/\.$/, '').toLowerCase()];
  if (group !== undefined && words.length > 1) return readGroup(words, group);
  const first = unstopped(words[0] ?? '', words.length === 1);
  if (/^[×x]$/.test(first) && words.length > 1) {
    const rest = readScientific(words.slice(1).join(' '));
    return rest === undefined ? undefined : { ...rest, name: `×${rest.name}` };
  }
  const abbreviated = /^\p{Lu}[\p{Ll}]{0,2}\.$/u.test(words[0] ?? '');
  const capitals = /^[\p{Lu}Æ-]{4,}$/u.test(first);
  if (!abbreviated && !capitals && !/^×?\p{Lu}[\p{Ll}-]{2,}$/u.test(first)) return undefined;
  const genus = abbreviated ? (words[0] as string) : ordinaryCase(first);
  if (words.length === 1) return abbreviated ? undefined : oneWord(genus, capitals);
  return readBinomial(genus, words.slice(1), abbreviated, capitals);
}

/** `Fam. IV. CURSORIDAE`: the number of a family or genus in the book is no part of its name. */
function withoutCount(words: string[]): string[] {
  const counted = GROUP_WORDS[(words[0] ?? '').replace(/\.$/, '').toLowerCase()] !== undefined;
  return counted && words.length > 2 && /^(?:[IVXLC]+|\d{1,3})[.:)]?$/.test(words[1] as string)
    ? [words[0] as string, ...words.slice(2)]
    : words;
}

/** Ranks that are kept as such. */
const KNOWN = /^(?:sub)?(?:family|genus|tribe)$/;

function readGroup(words: readonly string[], rank: string): ReadName | undefined {
  const inner = unstopped(words[1] ?? '', words.length === 2);
  if (!/^\p{Lu}[\p{L}-]{2,}$/u.test(inner) || words.length > 6) return undefined;
  const authority = words
    .slice(2)
    .join(' ')
    .replace(/[.,;]$/, '');
  if (words.slice(2).some((w) => !AUTHOR.test(w))) return undefined;
  const name = `${words[0]} ${ordinaryCase(inner)}`;
  const plain = !/section|subgenus|series/.test(rank);
  return {
    name: plain ? ordinaryCase(inner) : name,
    rank,
    ...(authority === '' ? {} : { authority }),
    // The rank may be one that a key file does not know.
    remarks: plain && !KNOWN.test(rank) ? [`printed as ${words[0]}`] : [],
    form: 2,
  };
}

function oneWord(genus: string, capitals: boolean): ReadName {
  const rank = rankByEnding(genus);
  const form = rank !== undefined || (capitals && genusForm(genus) > 0) ? 2 : genusForm(genus);
  const given = rank ?? (form > 0 ? 'genus' : undefined);
  return { name: genus, ...(given === undefined ? {} : { rank: given }), remarks: [], form };
}

/** The rank that an ending shows; endings that two Codes use for different ranks show none. */
function rankByEnding(word: string): string | undefined {
  if (/(?:aceae|aceæ|idae|idæ)$/i.test(word)) return 'family';
  if (/oideae$|oideæ$/i.test(word)) return 'subfamily';
  if (/[a-zæ]{3}ales$/i.test(word)) return 'order';
  return undefined;
}

function readBinomial(
  genus: string,
  rest: readonly string[],
  abbreviated: boolean,
  capitals: boolean,
): ReadName | undefined {
  const remarks: string[] = [];
  const parts = [genus];
  let rank = 'species';
  let form: 0 | 1 | 2 = 0;
  let i = 0;
  const subgenus = /^\((\p{Lu}[\p{Ll}]{2,})\)$/u.exec(rest[0] ?? '');
  if (subgenus !== null && /^\p{Ll}/u.test(rest[1] ?? '')) {
    parts.push(rest[0] as string);
    i++;
  }
  if (QUALIFIER.test(rest[i] ?? '')) remarks.push(rest[i++] as string);
  const word = rest[i] ?? '';
  if (/^(?:spp?|species|arten)\.?$/i.test(word)) {
    const more = rest.slice(i + 1).join(' ');
    if (more !== '' && !/^\d{1,2}\.?$/.test(more)) return undefined;
    return { name: genus, rank: 'genus', remarks: [rest.slice(i).join(' ')], form: 2 };
  }
  if (AGGREGATE.test(unstopped(word, true)) && genusForm(genus) > 0) {
    if (rest.length > i + 1) return undefined;
    return { name: genus, rank: 'group', remarks: [word], form: genusForm(genus) };
  }
  if (SENSU.test(rest.slice(i).join(' ')) && genusForm(genus) > 0)
    return { name: genus, rank: 'genus', remarks: [rest.slice(i).join(' ')], form: genusForm(genus) };
  const infra = INFRA[word.replace(/\.$/, '').toLowerCase()];
  const below = unstopped(rest[i + 1] ?? '', rest.length === i + 2);
  // `Barbella var. longa`: a genus of one species, or one that the print leaves out.
  if (infra !== undefined && word.endsWith('.') && /^\p{Ll}{3,}$/u.test(below) && rest.length === i + 2)
    return { name: `${genus} ${word} ${below}`, rank: infra, remarks, form: 2 };
  const hybrid = word === '×' || word === 'x';
  if (hybrid) i++;
  const written = rest[i] ?? '';
  const bare = unstopped(written.replace(/^×/, ''), i === rest.length - 1).replace(/,$/, '');
  if (/^[\p{Ll}][\p{Ll}\p{M}-]+$/u.test(bare)) {
    const strength = epithetForm(bare);
    form = abbreviated ? (strength === 0 ? 1 : 2) : min(genusForm(genus), strength);
    parts.push(hybrid || written.startsWith('×') ? `× ${bare}` : bare);
    i++;
  } else if (abbreviated && /^[\p{Lu}Æ-]{3,}$/u.test(unstopped(written, true))) {
    parts.push(unstopped(written, true).toLowerCase());
    form = 2;
    i++;
  } else if (capitals && /^[\p{Lu}-]{3,}$/u.test(unstopped(written, true))) {
    const epithet = unstopped(written, true).toLowerCase();
    // `BIRCH FAMILY`
    if (genusForm(genus) === 0 || epithetForm(epithet) === 0) return undefined;
    parts.push(epithet);
    form = genusForm(genus) > 0 && epithetForm(epithet) > 0 ? 2 : 0;
    i++;
  } else {
    // A genus with its authors.
    if (abbreviated || hybrid) return undefined;
    const authority = readAuthority(rest.slice(i));
    if (authority === undefined) return undefined;
    const one = oneWord(genus, capitals);
    // `Little Tarn-duck` has a capital in both words and is not a name; authors are shortened, or the genus has the form of one.
    // An ordinary word is no genus, whatever stands behind it: `White Pine.`
    if (authority !== '' && one.form === 0) return undefined;
    if (authority !== '' && one.form < 2 && !/[.()&]/.test(authority)) return undefined;
    // `Oregon Woodsia`: a second word that is a genus by its form is no author.
    if (/^\p{L}+$/u.test(authority) && genusForm(authority) === 2) return undefined;
    return { ...one, ...(authority === '' ? {} : { authority }) };
  }
  let authority: string[] = [];
  for (; i < rest.length; i++) {
    const token = rest[i] as string;
    const key = token.replace(/\.$/, '').toLowerCase();
    const next = unstopped(rest[i + 1] ?? '', i + 1 === rest.length - 1);
    if (INFRA[key] !== undefined && !/^(?:v|V\.|F\.)$/.test(token) && /^[\p{Ll}×-]{3,}$/u.test(next)) {
      parts.push(key === 'ssp' ? 'subsp.' : key === 'forma' || key === 'fo' ? 'f.' : `${key}.`, next);
      rank = INFRA[key] as string;
      authority = [];
      form = abbreviated || genusForm(genus) > 0 ? 2 : 0;
      i++;
    } else if (AGGREGATE.test(token)) {
      rank = 'aggregate';
      form = 2;
    } else if (SENSU.test(token) || SENSU.test(rest.slice(i).join(' '))) {
      remarks.push(rest.slice(i).join(' '));
      break;
    } else if (
      authority.length === 0 &&
      parts.length === 2 &&
      /^\p{Ll}{4,}[.]?$/u.test(token) &&
      epithetForm(unstopped(token, true)) === 2
    ) {
      parts.push(unstopped(token, true));
      rank = 'subspecies';
    } else if (AUTHOR.test(token)) authority.push(token);
    else return undefined;
  }
  const authors = trimmedAuthority(authority);
  if (authors === undefined) return undefined;
  // A capitalised word after two others is an author where it cannot be a German noun: shortened, or after a Latin genus.
  if (authors !== '' && form === 1 && !abbreviated && (/[.(]/.test(authors) || genusForm(genus) === 2))
    form = 2;
  return {
    name: parts.join(' '),
    rank,
    ...(authors === '' ? {} : { authority: authors }),
    remarks,
    form,
  };
}

function min(a: 0 | 1 | 2, b: 0 | 1 | 2): 0 | 1 | 2 {
  return a < b ? a : b;
}

/** Author names as one text; undefined when the words cannot be authors. */
function readAuthority(words: readonly string[]): string | undefined {
  return words.every((w) => AUTHOR.test(w)) ? trimmedAuthority(words) : undefined;
}

function trimmedAuthority(words: readonly string[]): string | undefined {
  if (words.length === 0) return '';
  const text = closed(words.join(' ').replace(/[,;]$|(?<=\))[.]$/, ''));
  if (!/\p{Lu}/u.test(text)) return undefined;
  const last = words[words.length - 1] as string;
  // The stop of an abbreviation belongs to it; that of a sentence does not.
  return /^\p{Lu}\p{Ll}{5,}\.$/u.test(last) && words.length > 0 ? text.slice(0, -1) : text;
}

/** Without a comma before a bracket that stays open. */
function closed(text: string): string {
  return text.replace(/[,;](?=\)?$)/, '');
}

/** A word without the stop or comma after it. */
function unstopped(word: string, last: boolean): string {
  return last ? word.replace(/[.,;:]+$/, '') : word.replace(/[,;:]+$/, '');
}

/** `AMANITA` -> `Amanita`. */
function ordinaryCase(word: string): string {
  return /^×?[\p{Lu}Æ-]{3,}$/u.test(word)
    ? word.replace(/(\p{L})([\p{L}-]*)/u, (_, a: string, b: string) => a + b.toLowerCase())
    : word;
}

/** An epithet whose genus the print leaves out: `virescens Marl.`, `nigripes`. */
export function readEpithet(written: string): ReadName | undefined {
  const words = written.trim().split(/\s+/);
  const epithet = unstopped(words[0] ?? '', words.length === 1);
  if (!/^\p{Ll}[\p{Ll}-]{3,}$/u.test(epithet) || words.length > 5) return undefined;
  const authority = readAuthority(words.slice(1));
  const form = epithetForm(epithet);
  if (authority === undefined || form === 0 || (form === 1 && authority === '')) return undefined;
  return { name: epithet, rank: 'species', ...(authority === '' ? {} : { authority }), remarks: [], form: 1 };
}

/** A name that does not have the form of a scientific one, such as `Norway spruce`. */
export function plainName(written: string): ReadName | undefined {
  const name = written
    .trim()
    .replace(/\s+/g, ' ')
    .replace(/[.,;:]+$/, '')
    .trim();
  const words = name.split(' ');
  if (name === '' || words.length > 8 || !/\p{L}{2}/u.test(name)) return undefined;
  return { name, remarks: [], form: 0 };
}

/** Whether brackets hold a vernacular name: words, not authors. */
export function looksCommon(inner: string): boolean {
  const words = inner.trim().split(/\s+/);
  return (
    words.length <= 4 &&
    words.every((w) => SIMPLE_WORD.test(w)) &&
    words.some((w) => /^\p{Ll}{3,}/u.test(w)) &&
    !words.some((w) =>
      /^(?:in|not|nicht|only|nur|see|siehe|rare|selten|part|also|with|mit|or|oder|when|if|wenn|effects|unknown|poisoning|deadly|upsets)$/i.test(
        w,
      ),
    )
  );
}
