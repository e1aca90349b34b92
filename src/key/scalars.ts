/** Texts as the scalars of YAML: which quotes they need, and how long ones are folded. */
import { harmless } from '../text/harmless.js';
import { plainLines } from '../text/words.js';

/** The most signs a line of a key file has, where its parts allow it. */
export const WIDTH = 110;
/** Words that YAML or a reader of it may take for something else than text. */
const NOT_PLAIN = /^(?:true|false|null|yes|no|on|off|~|y|n|)$|^[-+.]?\d|^0x|[\s]$|^\s/i;
/** Text that begins with a digit is mostly a number or a range, and needs no quotes as long as no sign of YAML is in it. */
const NUMERIC = /^(?:<=? ?)?\(?\d[\d().\-– ]*(?: ?[A-Za-z%µ]+)?$/;

/** A text as a YAML scalar on one line: plain where that is safe, else in quotes. */
export function scalar(text: string): string {
  const line = oneLine(text);
  if (NOT_PLAIN.test(line) || /^[-?:,[\]{}#&*!|>'"%@\x60]/.test(line) || /: |:$| #|[\\\t]/.test(line))
    return JSON.stringify(line);
  return line;
}

/** A text inside `[...]` or `{...}`, where commas and brackets must be quoted as well. */
export function flowScalar(text: string): string {
  const plain = scalar(text);
  return plain.startsWith('"') || !/[,[\]{}]/.test(plain) ? plain : JSON.stringify(oneLine(text));
}

/** A text that is bare only when it is plain words, the same between brackets and outside, for people who continue writing. */
export function wordScalar(text: string): string {
  const safe = harmless(text).trim();
  const bare =
    /^\p{L}[\p{L}\p{N} ()./-]*$/u.test(safe) && !/^(true|false|yes|no|on|off|null|y|n)$/i.test(safe);
  return bare ? safe : JSON.stringify(safe);
}

/** An id, bare where it has the form of one. */
export function idScalar(id: string): string {
  return /^[A-Za-z0-9][A-Za-z0-9.-]*$/.test(id) ? id : flowScalar(id);
}

/** Whether a text is a number, a range or the sign that nothing is known, which are values and never folded. */
export function isValue(text: string): boolean {
  return text === '-' || NUMERIC.test(text);
}

/** A text or number on one line, for use within `[...]` and `{...}` where `flow`. Numbers and ranges stay bare. */
export function valueScalar(value: string | number | boolean, flow = true): string {
  if (typeof value !== 'string' || NUMERIC.test(value)) return String(value);
  return value === '-' ? '"-"' : flow ? flowScalar(value) : scalar(value);
}

/** A list on one line, of parts that are scalars already. */
export function flowList(parts: readonly string[]): string {
  return `[${parts.join(', ')}]`;
}

/** The same, but a lone part stands without brackets. */
export function oneOrList(parts: readonly string[]): string {
  return parts.length === 1 ? (parts[0] as string) : flowList(parts);
}

/** A map on one line, of names and values that are scalars or on one line already. */
export function flowMap(pairs: readonly (readonly [name: string, value: string])[]): string {
  return `{${pairs.map(([name, value]) => `${name}: ${value}`).join(', ')}}`;
}

/** `name: text`, folded over several lines when it is long. */
export function property(name: string, text: string, indent: string): string[] {
  const line = oneLine(text);
  const single = `${indent}${name}: ${scalar(line)}`;
  if (single.length <= WIDTH) return [single];
  // Folding joins lines by one space, so only words between single spaces may be parted.
  return [`${indent}${name}: >-`, ...plainLines(line, WIDTH, `${indent}  `)];
}

/** A line of comment; a comment never ends by what is in it. */
export function comment(text: string, indent = ''): string {
  return `${indent}# ${oneLine(text)}`.trimEnd();
}

function oneLine(text: string): string {
  return harmless(text).replace(/\s+/g, ' ').trim();
}
