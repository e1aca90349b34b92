/** Writes keys as their authors would: short maps and lists on one line, long ones below, and comments in their places. */
import { type Data, type DataMap, namesOf } from './document.js';
import { comment, flowList, flowMap, isValue, property, valueScalar, WIDTH } from './scalars.js';

/** Writes the value of one entry in a way of its own. */
export type Written = (label: string, indent: string) => string[];

/** The entries of a map in their order; those that are undefined are left out. */
export type Fields = { readonly [name: string]: Data | Written | undefined };

/** Comments by the name of the entry above which they stand. */
type Above = { readonly [name: string]: readonly string[] };

/** A lead as it is to be written. */
export interface LeadText {
  readonly fields: Fields;
  readonly above?: Above;
  /** Comments above the lead as a whole. */
  readonly before?: readonly string[];
}

/** The parts of a key file, most in lines without the name of the part. */
interface KeyParts {
  /** What stands above everything. */
  readonly comments: readonly string[];
  readonly head: readonly string[];
  readonly characters: readonly string[];
  readonly couplets: readonly string[];
  readonly taxa: readonly string[];
  /** Absent where there is none. */
  readonly glossary: DataMap | Written | undefined;
}

/** A scalar as it is, where there is one. */
export function bare(text: string | undefined): Written | undefined {
  return text === undefined ? undefined : (label, indent) => [`${indent}${label}: ${text}`];
}

/** A text that is words, even where it looks like a number; where there is one. */
export function words(text: string | undefined): Written | undefined {
  return text === undefined ? undefined : (label, indent) => property(label, text, indent);
}

/** A comment in place of an entry that has still to be written. */
export function remark(text: string): Written {
  return (_, indent) => [comment(text, indent)];
}

/** A map with every entry on a line of its own, however short. */
export function below(fields: Fields): Written {
  return (label, indent) => [`${indent}${label}:`, ...entries(fields, `${indent}  `)];
}

/** The text of a key file. */
export function keyText({ comments, head, characters, couplets, taxa, glossary }: KeyParts): string {
  const part = (name: string, lines: readonly string[]) =>
    lines.length === 0 ? [] : ['', `${name}:`, ...lines];
  const all = [
    comments.map((c) => comment(c)),
    ['keywright: 1'],
    head,
    part('characters', characters),
    ['', 'couplets:'],
    couplets,
    taxa.length === 0 ? ['', 'taxa: {}'] : part('taxa', taxa),
    glossary === undefined ? [] : ['', ...entry('glossary', glossary, '')],
  ];
  return `${all.flat().join('\n')}\n`;
}

/** The lines of a couplet with the comments above it. */
export function coupletLines(
  id: string | number,
  said: readonly string[],
  leads: readonly LeadText[],
): string[] {
  const lines = leads.flatMap(({ before = [], above, fields }) => [
    ...before.map((c) => comment(c, '    ')),
    ...item(entries(fields, '      ', above), '    '),
  ]);
  return [...said.map((c) => comment(c, '  ')), `  ${id}:`, ...lines];
}

/** Every entry of a map, one below the other, each below the comments on it. */
export function entries(fields: Fields, indent: string, above: Above = {}): string[] {
  return namesOf(fields as DataMap).flatMap((name) => {
    const value = fields[name];
    return value === undefined
      ? []
      : [...(above[name] ?? []).map((c) => comment(c, indent)), ...entry(name, value, indent)];
  });
}

/** `name: data` in as many lines as it takes. */
export function entry(name: string, data: Data | Written, indent: string): string[] {
  const label = valueScalar(name);
  if (typeof data === 'function') return data(label, indent);
  if (data === null) return [`${indent}${label}:`];
  if (typeof data === 'string' && !isValue(data)) return property(label, data, indent);
  if (typeof data !== 'object') return [`${indent}${label}: ${valueScalar(data, false)}`];
  const short = inline(data);
  if (short !== undefined && indent.length + label.length + 2 + short.length <= WIDTH)
    return [`${indent}${label}: ${short}`];
  if (!Array.isArray(data)) return below(data as DataMap)(label, indent);
  const items = (data as readonly Data[]).map((one) =>
    one !== null && typeof one === 'object' && !Array.isArray(one)
      ? entries(one as DataMap, `${indent}    `)
      : [inline(one) ?? ''],
  );
  return [`${indent}${label}:`, ...items.flatMap((lines) => item(lines, `${indent}  `))];
}

/** Lines as one item of a list. */
function item([first = '', ...rest]: readonly string[], indent: string): string[] {
  return [`${indent}- ${first.trimStart()}`, ...rest];
}

/** Data on one line; undefined where it is too deep for that. */
export function inline(data: Data, depth = 0): string | undefined {
  if (data === null) return 'null';
  if (typeof data !== 'object') return valueScalar(data);
  if (depth > 4) return undefined;
  const names = Array.isArray(data) ? [] : namesOf(data as DataMap);
  const all = Array.isArray(data)
    ? (data as readonly Data[])
    : names.map((n) => (data as DataMap)[n] as Data);
  const parts = all.flatMap((one) => inline(one, depth + 1) ?? []);
  if (parts.length < all.length) return undefined;
  return Array.isArray(data)
    ? flowList(parts)
    : flowMap(parts.map((p, i) => [valueScalar(names[i] as string), p]));
}
