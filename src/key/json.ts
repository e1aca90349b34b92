import { quoted } from '../text/harmless.js';
import type { Data } from './document.js';

/** A JSON text, read, or what is wrong with it; `at` and `end` are the offsets of the mistake. */
export type ReadJson =
  | { readonly ok: true; readonly data: Data }
  | {
      readonly ok: false;
      readonly fault: 'syntax' | 'depth' | 'twice';
      readonly message: string;
      readonly at: number;
      readonly end: number;
      /** What the text says but for the name that stands twice. */
      readonly data?: Data;
    };

/** As deep as a YAML text may be nested. */
const DEEPEST = 60;

/**
 * Reads a JSON text into maps without a prototype, so that `constructor` is a word like any other. JSON.parse
 * silently drops all but the last of several values of one name; here a name that stands twice in one object is a
 * fault.
 */
export function readJson(text: string): ReadJson {
  const { members, deep } = outline(text);
  if (deep !== undefined)
    return {
      ok: false,
      fault: 'depth',
      message: `brackets are nested more than ${DEEPEST} deep here`,
      at: deep,
      end: deep + 1,
    };
  let parsed: Data;
  try {
    parsed = JSON.parse(text) as Data;
  } catch (error) {
    const at = syntaxAt(String((error as Error).message), text);
    return { ok: false, fault: 'syntax', message: 'the JSON cannot be read', at, end: at + 1 };
  }
  const found = { names: 0 };
  const data = withoutPrototypes(parsed, found);
  if (found.names === members) return { ok: true, data };
  const { name, first, at, end } = repeated(text);
  return {
    ok: false,
    fault: 'twice',
    message: `${quoted(name)} stands twice here; the first is in ${written(text, first)}`,
    at,
    end,
    data,
  };
}

/** `column 7`, or `line 2, column 7` where the text has several lines. */
function written(text: string, offset: number): string {
  const before = text.slice(0, offset).split('\n');
  const column = `column ${(before.at(-1)?.length ?? 0) + 1}`;
  return text.includes('\n') ? `line ${before.length}, ${column}` : column;
}

/** How many names stand before a colon, and where brackets nest too deep. */
function outline(text: string): { members: number; deep: number | undefined } {
  let members = 0;
  let depth = 0;
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c === 34) i = closing(text, i);
    else if (c === 58) members++;
    else if (c === 91 || c === 123) {
      if (++depth > DEEPEST) return { members, deep: i };
    } else if (c === 93 || c === 125) depth--;
  }
  return { members, deep: undefined };
}

/** Where the string ends that begins at an offset. */
function closing(text: string, open: number): number {
  for (let i = open + 1; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c === 92) i++;
    else if (c === 34) return i;
  }
  return text.length;
}

/** The first name that stands twice in one object of a text that is JSON. */
function repeated(text: string): { name: string; first: number; at: number; end: number } {
  const open: Map<string, number>[] = [];
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c === 91 || c === 123) open.push(new Map());
    else if (c === 93 || c === 125) open.pop();
    else if (c === 34) {
      const at = i;
      i = closing(text, i);
      let next = i + 1;
      while (text.charCodeAt(next) <= 32) next++;
      if (text.charCodeAt(next) !== 58) continue;
      const name = JSON.parse(text.slice(at, i + 1)) as string;
      const names = open.at(-1);
      const first = names?.get(name);
      if (first !== undefined) return { name, first, at, end: i + 1 };
      names?.set(name, at);
    }
  }
  return { name: '', first: 0, at: 0, end: 0 };
}

/**
 * The engine's message sometimes names a position; otherwise it says that the text ended, or only that it is not JSON.
 */
function syntaxAt(reason: string, text: string): number {
  const position = /position (\d+)/.exec(reason)?.[1];
  const at =
    position === undefined ? (/end of|nterminated/.test(reason) ? text.length : 0) : Number(position);
  return Math.min(at, text.length);
}

function withoutPrototypes(data: Data, found: { names: number }): Data {
  if (typeof data !== 'object' || data === null) return data;
  if (Array.isArray(data)) return data.map((item: Data) => withoutPrototypes(item, found));
  const out: Record<string, Data> = Object.create(null);
  for (const [name, value] of Object.entries(data)) {
    found.names++;
    out[name] = withoutPrototypes(value, found);
  }
  return out;
}
