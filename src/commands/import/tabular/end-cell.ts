/** What stands in the cell at the end of a lead: the number of a couplet, or names with their authors. */
import { epithetForm } from '../lexicon.js';
import { type ReadName, readScientific } from '../names.js';
import { type ImportedEnd, readEndText } from '../targets.js';
import { type Cell, type CellSpan, partOf } from './table.js';

const NOTHING = { names: [], outside: false, inPart: false, remarks: [], form: 2 } as const;
const LED = /^(?:\.{2,}|…+|(?:\.\s){2,}\.?|[-–—]{1,3}(?=\s)|→|⇒|->|=>|»)\s*/u;
const GO =
  /^(?:(?:go|turn|proceed|continue)\s*(?:on\s*)?(?:to|at|with)|see|to|siehe|weiter(?:\s*(?:mit|bei|unter|zu|nach))?|gehe\s+zu|zu)\s+(?=\S)/iu;
const COUPLET = /^(?:couplet|step|number|no\.?|nr\.?|nummer|lead|key)\s*(?=\d)/iu;
/** `sp. n.`, `gen. et sp. nov.`, `comb. n.`, `new species`, `stat. rev.`: what is said of a name, and no part of it. */
const KIND = '(?:sub)?(?:sp|ssp|gen|fam|trib|comb|stat|syn|nom|var|f|form|status|species|genus|combination)';
const NEW = '(?:n|nov|nova|novum|rev|dub|nud|restit|res)';
const STATUS = new RegExp(
  String.raw`[,;]?\s*[([]?\b(?:(?:new|n\.|nov\.)\s?(?:sub)?(?:species|genus|combination|status|record|name|synonymy?|sp|gen|comb|stat|ssp)\b\.?|${KIND}\b\s?\.?\s?(?:(?:et|and|&)\s+${KIND}\b\s?\.?\s?)?${NEW}\b\s?\.?(?:\s?(?:et|and|&)\s+${KIND}\b\s?\.?\s?${NEW}\b\s?\.?)?)[)\]]?`,
  'giu',
);
const YEAR = String.raw`[(\[]?(?:1[789]|20)\d\d[a-z]?[)\]]?`;
const AUTHORS = new RegExp(
  String.raw`^[([]?\s*(?:(?:\p{Lu}[\p{L}.’'\u2019-]*|(?:de|da|do|dos|del|della|di|du|la|le|van|von|der|den|zu|ex|in|et|and|al|fil|f|non|nec|emend|apud|y|e)\b\.?|&|,|;|:|\(|\)|\[|\]|${YEAR}|\s)+)\.?$`,
  'u',
);
const FIGURES =
  /\(?\s*\b(?:pl(?:ate)?s?|figs?|figures?|abb|tafel|taf)\b\.?\s*[\dA-Z][\d\w\s.,;–—&-]*\)?\s*/giu;
const NOT_EPITHETS =
  /^(?:and|or|et|und|oder|in|ex|non|nec|sensu|auct|auctt|group|species|complex|males?|females?|part|pars|partim|fam|see|from|with|the|de|da|di|del|van|von|der|den|spp?|cf|aff|near|nr)$/u;

/** The couplets of a table: what each label that an end can name leads to. */
export interface KnownCouplets {
  /** The couplet of that name, or of the lead of that name. */
  of(label: string): string | undefined;
  /** Whole names by those that the text shortens. */
  readonly full?: ReadonlyMap<string, string> | undefined;
}

/** Reads an end; undefined when the cell has neither a couplet nor a name. */
export function readEndCell(cell: Cell, couplets: KnownCouplets): ImportedEnd | undefined {
  const led = LED.exec(cell.text)?.[0].length ?? 0;
  const own = partOf(cell, led);
  if (own.text === '') return undefined;
  const pointer = pointerOf(own.text, couplets);
  if (pointer !== undefined) return { ...NOTHING, pointer };
  const titled = /^(.{1,12}?)[.,:]?\s*[([]\s*(.{2,80}?)\s*[)\]]\.?$/u.exec(own.text);
  const before = titled === null ? undefined : pointerOf(titled[1] as string, couplets);
  if (titled !== null && before !== undefined) {
    const at = own.text.indexOf(titled[2] as string, (titled[1] as string).length);
    return {
      ...NOTHING,
      pointer: before,
      ...aboutOf(partOf(own, at, at + (titled[2] as string).length), couplets),
    };
  }
  // `Tarnia ... 5`, `Tarnia: go to 5`: what everything beyond belongs to.
  const behind =
    /^(.*\p{L}.*?)\s*(?:[:…]|→|\.{2,}|\bgo to\b|\bsee\b)\s*(?:go to\s+|see\s+|→\s*)?(?:couplet\s+)?(\d{1,4}[a-h]?)\.?$/u.exec(
      own.text,
    );
  const beyond = behind === null ? undefined : couplets.of(behind[2] as string);
  if (behind !== null && beyond !== undefined && !UNNUMBERED.test(behind[1] as string))
    return {
      ...NOTHING,
      pointer: beyond,
      ...aboutOf(partOf(own, 0, (behind[1] as string).length), couplets),
    };
  // `Tarnia 5`, `Tarnia (5)`: more likely a couplet than a page, and in doubt.
  const loose = /^(.*\p{L}.*?)\s+[([]?(\d{1,3}[a-h]?)[)\]]?\.?$/u.exec(own.text);
  const to = loose === null ? undefined : couplets.of(loose[2] as string);
  if (loose !== null && to !== undefined && !UNNUMBERED.test(loose[1] as string))
    return {
      ...NOTHING,
      pointer: to,
      after: loose[2] as string,
      ...aboutOf(partOf(own, 0, (loose[1] as string).length), couplets),
    };
  return namesOf(own, couplets.full);
}

/** Words before a number that is no couplet. */
const UNNUMBERED =
  /\b(?:figs?|figures?|pl|plates?|abb|taf|p|pp|s|sp|spp|species|no|nr|form|type|group)\.?$/iu;

/** The couplet that a text names, when it does nothing else. */
function pointerOf(text: string, couplets: KnownCouplets): string | undefined {
  const bare = text
    .replace(GO, '')
    .replace(COUPLET, '')
    .replace(/^[([]\s*(.*?)\s*[)\]]\.?$/u, '$1')
    .replace(/^[-–—]\s?(?=\d)/u, '')
    .replace(/[.,;:]+$/, '')
    .replace(/(?<=\d)\s(?=[a-h]$|['’′´])/u, '')
    .trim();
  const known = couplets.of(bare);
  if (known !== undefined) return known;
  // A number that no couplet has is still the number of a couplet, and a fault.
  return /^\d{1,4}$/.test(bare) ? String(Number(bare)) : undefined;
}

/** What a lead to a couplet says of all that lies beyond. */
function aboutOf(cell: Cell, { full }: KnownCouplets): Partial<ImportedEnd> {
  const read = namesOf(cell, full);
  const [name] = read?.names ?? [];
  if (
    read !== undefined &&
    read.names.length === 1 &&
    name !== undefined &&
    (name.form === 2 || cell.names.length > 0)
  )
    return { names: [name], remarks: read.remarks };
  return { remarks: [cell.text] };
}

/** Names that are marked up, else by their form. */
function namesOf(cell: Cell, full: KnownCouplets['full']): ImportedEnd | undefined {
  const remarks: string[] = [];
  let text = cell.text;
  const take = (pattern: RegExp) => {
    text = text.replace(pattern, (found) => {
      const said = found.replace(/^[\s,;([]+|[\s)\]]+$/gu, '').replace(/\s+(?=\.)/g, '');
      if (said !== '') remarks.push(said);
      // Blanks keep the places of the marks.
      return ' '.repeat(found.length);
    });
  };
  take(STATUS);
  if (cell.figures || /\bfigs?\b|\bplate\b|\babb\b/iu.test(text)) take(FIGURES);
  const marked =
    cell.names.length > 0 ? cell.names : cell.italics.filter(([a, b]) => isName(cell.text.slice(a, b)));
  const read = markedNames(text, marked, cell.italics, full);
  if (read !== undefined) {
    const group = read.names.length === 1 ? groupOf(read.remarks) : undefined;
    const said = group === undefined ? read.remarks : read.remarks.filter((r) => r !== group.name);
    return {
      ...NOTHING,
      ...read,
      ...(group === undefined ? {} : { within: group }),
      inPart: read.remarks.some((r) => IN_PART.test(r)),
      remarks: [...remarks, ...said.filter((r) => !IN_PART.test(r))],
    };
  }
  const plain = text
    .replace(/\s+/g, ' ')
    .replace(/\s(?=[.,;])/g, '')
    .replace(/[\s.,;]+$/u, (m) => (m.startsWith('.') ? '.' : ''))
    .replace(/\(\s*\)/g, '')
    .trim();
  const undescribed = /^(\p{Lu}\p{Ll}{2,} (?:sp|spec)\.? ?(?:\d{1,3}|\p{Lu}))\.?$/u.exec(plain)?.[1];
  if (undescribed !== undefined)
    return { ...NOTHING, names: [{ name: undescribed, rank: 'species', remarks: [], form: 2 }], remarks };
  const end = readEndText(plain, [], true);
  if (end === undefined) return undefined;
  // Words that say something are no name, whatever else they are.
  if (end.form === 0 && /^\p{Ll}\S*(?:\s+\S+){2,}/u.test(plain)) return undefined;
  return { ...end, remarks: [...remarks, ...end.remarks] };
}

const IN_PART = /^(?:in part|part|partim|partly|pro parte|p\. ?p\.?|z\. ?T\.|zum Teil|teilweise)$/iu;

/** A family, subfamily or tribe that stands alone in brackets behind a name: what holds it. */
function groupOf(remarks: readonly string[]): ReadName | undefined {
  const found = remarks.filter((r) => /^\p{Lu}\p{Ll}+(?:idae|aceae|inae|oideae|ini)$/u.test(r));
  const [name] = found;
  if (found.length !== 1 || name === undefined) return undefined;
  const rank = rankOf(name);
  return { name, ...(rank === undefined ? {} : { rank }), remarks: [], form: 2 };
}

function isName(text: string): boolean {
  return /^×?\s?\p{Lu}[\p{Ll}.-]+(?:\s|$)/u.test(text);
}

/** Names at the places marked as such, each with its authors, and what else is said. */
function markedNames(
  text: string,
  spans: readonly CellSpan[],
  italics: readonly CellSpan[],
  full: KnownCouplets['full'],
): { names: ReadName[]; remarks: string[] } | undefined {
  const names: ReadName[] = [];
  const remarks: string[] = [];
  const starts = topLevel(text, spans);
  const [first] = starts;
  if (first === undefined) return undefined;
  const prefix = text
    .slice(0, first[0])
    .replace(/["“”'‘([\s]+$/u, '')
    .trim();
  const rank = /^(family|subfamily|tribe|genus|subgenus|section|series|species|subspecies)$/iu.exec(
    prefix,
  )?.[1];
  if (prefix !== '' && rank === undefined && /\p{L}{2,}/u.test(prefix)) return undefined;
  for (const [i, span] of starts.entries()) {
    const next = starts[i + 1]?.[0] ?? text.length;
    const named = endOfName(text, span, italics, next);
    // `Tarnia sp. A` is told from `Tarnia sp. B`.
    const numbered = /^\s+(?:sp|spec|ssp)\.?\s?(?:\d{1,3}|\p{Lu})(?![\p{L}\d])/u.exec(
      text.slice(named, next),
    );
    const end = named + (numbered?.[0].length ?? 0);
    const rest = text.slice(end, next);
    const { authority, remark } = restOf(rest, i + 1 < starts.length);
    remarks.push(...remark);
    const printed = text
      .slice(span[0], end)
      .replace(/\s+/g, ' ')
      .replace(/[.,;]$/, (m) => (m === '.' && /\s\S{1,3}\.$/.test(text.slice(0, end)) ? m : ''))
      .trim();
    const name = full?.get(printed) ?? printed;
    const qualifier = /\s(cf|aff|nr|near)\.?(?=\s)/u.exec(name);
    if (qualifier !== null) remarks.push(qualifier[0].trim());
    const group =
      /^\s*-?(?:species[\s-]?)?(?:group|complex|aggregate|agg\.)/iu.test(rest) && name.includes(' ');
    const given = rank?.toLowerCase() ?? (group ? 'aggregate' : numbered === null ? rankOf(name) : 'species');
    names.push({
      // A group is another taxon than the species after which it is called.
      name: `${qualifier === null ? name : name.replace(qualifier[0], '')}${group ? ' group' : ''}`,
      ...(given === undefined ? {} : { rank: given }),
      ...(authority === '' ? {} : { authority }),
      remarks: [],
      form: 2,
    });
  }
  return { names, remarks };
}

/** Spans that are ends: those in brackets behind another name are synonyms or groups. */
function topLevel(text: string, spans: readonly CellSpan[]): CellSpan[] {
  const out: CellSpan[] = [];
  for (const span of spans) {
    const before = text.slice(0, span[0]);
    const depth = count(before, /[([]/g) - count(before, /[)\]]/g);
    if (depth > 0 && out.length > 0) continue;
    // A second name directly behind the first is a part of it, or its author's book.
    const last = out.at(-1);
    if (
      last !== undefined &&
      /^\s*(?:subsp\.|ssp\.|var\.|f\.|×|cf\.|aff\.)?\s*$/u.test(text.slice(last[1], span[0]))
    ) {
      out[out.length - 1] = [last[0], span[1]];
      continue;
    }
    if (last !== undefined && /(?:=|\b(?:of|sensu|nec|non|not|in|from|near|on)\b)\s*$/iu.test(before))
      continue;
    out.push(span);
  }
  return out;
}

function count(text: string, sign: RegExp): number {
  return text.match(sign)?.length ?? 0;
}

/** Where a marked name ends: a word is never cut, and epithets that the markup leaves out are taken along. */
function endOfName(text: string, [from, to]: CellSpan, italics: readonly CellSpan[], most: number): number {
  let end = to + (/^[\p{L}-]*/u.exec(text.slice(to))?.[0].length ?? 0);
  const words = () =>
    text
      .slice(from, end)
      .replace(/\([^)]*\)/g, ' ')
      .trim()
      .split(/\s+/);
  for (;;) {
    const more =
      /^\s+(\([^()]{2,30}\)\s+)?((?:subsp|ssp|var|f)\.\s+)?(\p{Ll}[\p{Ll}-]{2,})(?=[\s.,;)]|$)/u.exec(
        text.slice(end, most),
      );
    if (more === null) return end;
    const word = more[3] as string;
    const at = end + more[0].length - word.length;
    const italic = italics.some(([a, b]) => at >= a && at < b);
    if (NOT_EPITHETS.test(word) || words().length > 3) return end;
    if (!italic && (words().length > 1 || epithetForm(word) === 0)) return end;
    end = at + word.length;
  }
}

/** What follows a name: its authors, or something that is said of it. */
function restOf(rest: string, more: boolean): { authority: string; remark: string[] } {
  let text = rest.replace(/\s+/g, ' ').trim();
  if (more) text = text.replace(/[\s,;/]*(?:\b(?:and|or|und|oder|et)\b|&|\/)?$/u, '').trim();
  text = text
    .replace(/^[.,;:\s]+/u, '')
    .replace(/\s+(?=[.,;])/gu, '')
    .replace(/\(\s*\)/g, '')
    .trim();
  const said: string[] = [];
  for (;;) {
    const brackets = /^(.*?)\s*([([][^()[\]]*(?:\([^()]*\)[^()[\]]*)?[)\]])[.;]?$/u.exec(text);
    if (brackets === null) break;
    const [, before = '', inner = ''] = brackets;
    // Brackets around authors are a part of the authority.
    if (inner.startsWith('(') && AUTHORS.test(inner)) break;
    said.unshift(inner.slice(1, -1).trim());
    text = before.trim();
  }
  text = text.replace(/[,;]$/u, '').trim();
  if (text === '' || text === '.') return { authority: '', remark: said };
  if (AUTHORS.test(text) && /\p{Lu}/u.test(text)) {
    // The stop of a sentence is no part of the last name; that of an abbreviation is.
    const authority = /\p{L}{7,}\.$/u.test(text) || /\d\.$/.test(text) ? text.slice(0, -1) : text;
    return { authority, remark: said };
  }
  const parted = /^(.*?\d{4}\)?)[.,;]?\s+(.+)$/u.exec(text);
  if (parted !== null && AUTHORS.test(parted[1] as string))
    return { authority: parted[1] as string, remark: [parted[2] as string, ...said] };
  return { authority: '', remark: [text, ...said] };
}

/** The rank that the form of a marked name shows. */
function rankOf(name: string): string | undefined {
  const bare = name.replace(/\([^)]*\)\s*/g, '').trim();
  const words = bare.split(/\s+/);
  if (words.length === 1) {
    if (/(?:idae|aceae)$/.test(bare)) return 'family';
    if (/(?:inae|oideae)$/.test(bare)) return 'subfamily';
    if (/ini$/.test(bare)) return 'tribe';
    return /ales$|ida$/.test(bare) ? undefined : 'genus';
  }
  const read = readScientific(bare)?.rank;
  if (words.length === 2 && /^\p{Ll}/u.test(words[1] as string)) return 'species';
  if (words.length === 3 && words.slice(1).every((w) => /^\p{Ll}[\p{Ll}-]{2,}$/u.test(w)))
    return 'subspecies';
  return read;
}
