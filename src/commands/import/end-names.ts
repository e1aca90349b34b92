/** The names at the end of a lead: one or several, beside vernacular ones and remarks. */
import { epithetForm } from './lexicon.js';
import type { EmphasisSpan } from './lines.js';
import { looksCommon, plainName, type ReadName, readEpithet, readScientific } from './names.js';

const JOINED =
  /\s*(?:,\s*(?:and|or|und|oder|sowie|&)\s+|\s(?:and|or|und|oder|sowie|bzw\.|&|\+|vel)\s|;\s*|\s\/\s*|\/\s|(?<=\p{L})\/(?=\p{Lu})|,\s+(?=[\p{Lu}×]))\s*/u;

/** One or several names, and remarks in brackets after them. */
export function readNames(
  written: string,
  free: boolean,
): { names: ReadName[]; remarks: string[] } | undefined {
  const text = withJoinedAuthors(written);
  const { bare, brackets } = withoutBrackets(text);
  const { common, remarks, kept } = sortBrackets(brackets);
  const whole = kept.length === 0 ? bare : text;
  const entire = readScientific(whole);
  const one = entire ?? (kept.length > 0 ? readScientific(bare) : undefined);
  // Brackets that are no authors after all are said beside the name.
  if (entire === undefined && one !== undefined) remarks.push(...kept);
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

/** `Tarnia Marl and Fell, 1992`: two authors of one name, which a year closes. */
function withJoinedAuthors(text: string): string {
  const at = /^(.*\p{Lu}[\p{L}.’'-]*)\s(?:and|und|et)\s(\p{Lu}[\p{L}.’'-]*,?\s(?:1[789]|20)\d\d\)?)$/u.exec(
    text,
  );
  if (at === null) return text;
  const joined = `${at[1]} & ${at[2]}`;
  const name = readScientific(joined);
  return name !== undefined && name.form > 0 && name.authority !== undefined ? joined : text;
}

/** `_nigra_, p. 14`: an epithet whose genus the print leaves out, set apart as names are. */
export function markedEpithet(
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

export function isVernacular(text: string): boolean {
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
