/** The text of a print, from which a key was imported: known again by its mark, and shown line by line. */
import { createHash } from 'node:crypto';
import { comment } from '../../../key/scalars.js';
import { harmless } from '../../../text/harmless.js';

/** A print that was read. */
export interface Printed {
  /** The name of its file, without folders. */
  readonly name: string;
  /** By which the same text is known again. */
  readonly mark: string;
  readonly lines: readonly string[];
}

/** One line of a print. */
export interface PrintedLine {
  /** From 1. */
  readonly number: number;
  readonly text: string;
  /** Whether the couplet was read from it; else it stands beside. */
  readonly own: boolean;
}

/** How many digits of the sum are kept: enough to know a text again. */
const DIGITS = 16;
/** The most empty or passed-over lines between two that are shown beside each other. */
const GAP = 2;

/** The print in a text. */
export function printed(file: string, written: string): Printed {
  const text = written.replace(/\r\n?/g, '\n');
  const mark = createHash('sha256').update(text).digest('hex').slice(0, DIGITS);
  const lines = /^\s*</.test(text) ? withoutTags(text) : text;
  return { name: file.replace(/^.*[/\\]/, ''), mark, lines: lines.split('\n') };
}

/** Notes in the head of a key file which print it was made from. */
export function withPrint(keyText: string, { name, mark }: Printed): string {
  return keyText.replace(/^(?=keywright: )/m, () => `${comment(`print: ${name}, SHA-256 ${mark}`)}\n`);
}

/** What the head of a key file says of its print; undefined when it says nothing. */
export function printNoted(keyText: string): Pick<Printed, 'name' | 'mark'> | undefined {
  const head = /^\ufeff?(?:[ \t]*(?:#.*)?\r?\n)*/.exec(keyText.slice(0, 10_000))?.[0] ?? '';
  const [, name, mark] = /^\ufeff?# print: (.+), SHA-256 ([0-9a-f]{16})\s*$/m.exec(head) ?? [];
  return name === undefined || mark === undefined ? undefined : { name, mark };
}

/** The lines that a couplet was read from, as its comment names them (`lines 23 and 67-68`), with one before and after. */
export function linesAt({ lines }: Printed, named: string): PrintedLine[] {
  const own = new Set<number>();
  for (const [, from = '', to = from] of named.matchAll(/(\d+)(?:-(\d+))?/g))
    for (let n = Number(from); n <= Math.min(Number(to), lines.length); n++) own.add(n);
  const shown = new Set(own);
  const isText = (n: number) => (lines[n - 1] ?? '').trim() !== '';
  for (const n of own) {
    for (const step of [-1, 1]) {
      let at = n + step;
      while (Math.abs(at - n) <= GAP && at > 0 && !isText(at)) at += step;
      if (isText(at)) shown.add(at);
    }
  }
  return [...shown]
    .filter(isText)
    .sort((a, b) => a - b)
    .map((number) => ({
      number,
      text: harmless((lines[number - 1] ?? '').replace(/\t/g, '    ')).trimEnd(),
      own: own.has(number),
    }));
}

const ENTITIES: Readonly<Record<string, string>> = {
  lt: '<',
  gt: '>',
  amp: '&',
  quot: '"',
  apos: "'",
  nbsp: ' ',
};

/** Markup is not what a person compares: tags go, the lines stay where they are. */
function withoutTags(text: string): string {
  return text
    .replace(/<[^<>]*>/g, (tag) => tag.replace(/[^\n]+/g, ' '))
    .replace(/&(?:#(\d{1,7})|#x([0-9a-f]{1,6})|(\w+));/gi, (whole, dec, hex, name) => {
      if (name !== undefined) return ENTITIES[String(name).toLowerCase()] ?? whole;
      const code = dec === undefined ? Number.parseInt(String(hex), 16) : Number(dec);
      return code > 0 && code <= 0x10ffff ? String.fromCodePoint(code) : whole;
    })
    .replace(/[^\S\n]{2,}/g, ' ');
}
