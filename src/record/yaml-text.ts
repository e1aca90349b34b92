/**
 * Writes the data of a record as YAML, letter for letter as the package `yaml` writes it; only texts of several lines may be
 * set in another of the forms that YAML has for them. A page for browsers holds it in place of the package, whose writer is
 * forty times as large, and so both write the same file.
 */

/** What may be written. undefined is left out. */
type Written = string | number | boolean | null | readonly Written[] | WrittenMap;
type WrittenMap = { readonly [name: string]: Written | undefined };

/** Which lists and maps stand in one line, by the name of the property that they are the value of. */
export interface InOneLine {
  whole(property: string): boolean;
  /** Whether a map that is an item of the list of a property does. */
  item(property: string, item: object): boolean;
}

const WIDTH = 100;
/** The least of a line that is used, however far it is indented. */
const LEAST = 20;

/** Data as YAML text, ending with a line feed. */
export function yamlText(data: object, inOneLine: InOneLine): string {
  const block = (value: object, indent: string, property: string): string => {
    if (Array.isArray(value)) {
      const items = (value as readonly Written[]).map((item) => {
        const below = `${indent}  `;
        if (isCollection(item) && !isEmpty(item) && !inOneLine.item(property, item))
          return `- ${block(item, below, '')}`;
        const text = isCollection(item) ? flow(item, below) : scalar(item, below, 'block');
        return text.startsWith('\n') ? `-${text}` : `- ${text}`;
      });
      return items.join(`\n${indent}`);
    }
    return entriesOf(value as WrittenMap)
      .map(([name, item]) => {
        const key = `${scalar(name, indent, 'key')}:`;
        const below = `${indent}  `;
        if (isCollection(item)) {
          if (!isEmpty(item) && !inOneLine.whole(name)) return `${key}\n${below}${block(item, below, name)}`;
          const text = flow(item, below);
          return text.includes('\n') ? `${key}\n${below}${text}` : `${key} ${text}`;
        }
        const text = scalar(item, below, 'block', key.length + 1);
        return text === '' || text.startsWith('\n') ? `${key}${text}` : `${key} ${text}`;
      })
      .join(`\n${indent}`);
  };
  return `${isEmpty(data) ? flow(data as Written, '') : block(data, '', '')}\n`;
}

/** A list or a map in brackets: in one line, or an item a line where that would be too long. */
function flow(value: Written, indent: string): string {
  if (!isCollection(value)) return scalar(value, indent, 'flow');
  const below = `${indent}  `;
  const list = Array.isArray(value);
  const [open, close] = list ? '[]' : '{}';
  const items = list
    ? (value as readonly Written[]).map((item) => flow(item, `${below}  `))
    : entriesOf(value as WrittenMap).map(([name, item]) => {
        const key = `${scalar(name, below, 'flow key')}:`;
        const deeper = `${below}  `;
        const text = isCollection(item) ? flow(item, deeper) : scalar(item, deeper, 'flow', key.length + 1);
        // A list or map that takes several lines begins on one of its own.
        if (isCollection(item) && text.includes('\n')) return `${key}\n${deeper}${text}`;
        return text.startsWith('\n') ? key + text : `${key} ${text}`;
      });
  const lines = items.map((item, i) => (i < items.length - 1 ? `${item},` : item));
  const length = lines.reduce((sum, line) => sum + line.length + 2, 2);
  if (!items.some((item) => item.includes('\n')) && length <= WIDTH) return open + lines.join(' ') + close;
  return `${open}${lines.map((line) => `\n${below}${line}`).join('')}\n${indent}${close}`;
}

/** Where a scalar stands: on its own, in brackets, or as a name. */
type At = 'block' | 'flow' | 'key' | 'flow key';

const PLAIN_NEVER = /^[\t ,[\]{}#&*!|>'"%@`]|^[?-]$|^[?-][ \t]|:[ \t]|[\t ]#|[\t :]$|^$/;
/** What YAML would read as a number, true, false or nothing. */
const NOT_TEXT =
  /^(?:~|null|Null|NULL|true|True|TRUE|false|False|FALSE|[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+|[-+]?\.(?:inf|Inf|INF)|\.nan|\.NaN|\.NAN|[-+]?(?:\.[0-9]+|[0-9]+\.[0-9]*)|[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)[eE][-+]?[0-9]+)$/;

/** `filled` is how far its line is filled before it; absent: as far as the indent. */
function scalar(value: string | number | boolean | null, indent: string, at: At, filled?: number): string {
  if (typeof value !== 'string') return String(value);
  const isKey = at === 'key' || at === 'flow key';
  const inFlow = at === 'flow' || at === 'flow key';
  if (/\p{Cc}|\p{Cs}/u.test(value)) {
    const plain = !isKey && !inFlow && /^\S.*\n.*\S$/su.test(value) && !/(?!\n)\p{Cc}|\p{Cs}/u.test(value);
    if (plain) return `|-\n${indent}${value.replace(/\n+/g, `$&${indent}`)}`;
    return doubleQuoted(value, indent, isKey, filled);
  }
  const bare =
    !PLAIN_NEVER.test(value) &&
    !(inFlow && /[[\]{},]/.test(value)) &&
    !(isKey && /^(?:%|---|\.\.\.)/.test(value) && indent === '') &&
    !NOT_TEXT.test(value);
  if (bare) return isKey ? value : folded(value, indent, filled, false);
  if (!value.includes('"') || value.includes("'")) return doubleQuoted(value, indent, isKey, filled);
  const single = `'${value}'`;
  return isKey ? single : folded(single, indent, filled, false);
}

function doubleQuoted(value: string, indent: string, isKey: boolean, filled: number | undefined): string {
  // JSON lets some signs stand that are none in YAML, or end a line there.
  const text = JSON.stringify(value)
    .replace(/\\u00(?=[0-9a-f]{2})/g, '\\x')
    .replace(/[\u007f-\u009f]/g, (sign) => `\\x${(sign.codePointAt(0) ?? 0).toString(16)}`);
  return isKey ? text : folded(text, indent, filled, true);
}

/** A text broken at single spaces into lines of the usual width; in double quotes also within words. */
function folded(text: string, indent: string, filled: number | undefined, quoted: boolean): string {
  const step = Math.max(1 + LEAST, 1 + WIDTH - indent.length);
  if (text.length <= step) return text;
  /** Where a line ends, and whether a word is broken there. */
  const folds: { readonly at: number; readonly inWord: boolean }[] = [];
  let end = WIDTH - (filled ?? indent.length);
  if (filled !== undefined && filled > WIDTH - LEAST) {
    folds.push({ at: 0, inWord: false });
    end = WIDTH - indent.length;
  }
  let space: number | undefined;
  let before = '';
  let escaped = { start: -1, end: -1 };
  for (let i = 0; i < text.length; i++) {
    const sign = text[i] as string;
    if (quoted && sign === '\\') {
      const length = text[i + 1] === 'x' ? 3 : text[i + 1] === 'u' ? 5 : 1;
      escaped = { start: i, end: i + length };
      i += length;
    }
    const next = text[i + 1];
    if (sign === ' ' && !isSpace(before) && next !== undefined && !isSpace(next)) space = i;
    let last = sign;
    if (i >= end) {
      if (space !== undefined) {
        folds.push({ at: space, inWord: false });
        end = space + step;
        space = undefined;
      } else if (quoted) {
        // White space at the end of a line may stand beyond the width.
        while (isSpace(before) && before !== '') {
          before = last;
          last = text[++i] ?? '';
        }
        const at = i > escaped.end + 1 ? i - 2 : escaped.start - 1;
        folds.push({ at, inWord: true });
        end = at + step;
        space = undefined;
      }
    }
    before = last;
  }
  const parts = folds.map(({ at, inWord }, i) => {
    const to = folds[i + 1]?.at ?? text.length;
    const line = `\n${indent}${text.slice(at === 0 ? 0 : at + 1, to)}`;
    return inWord && at !== 0 ? `${text[at]}\\${line}` : line;
  });
  return text.slice(0, folds[0]?.at ?? text.length) + parts.join('');
}

function isSpace(sign: string): boolean {
  return sign === ' ' || sign === '\t' || sign === '';
}

function isCollection(value: Written | undefined): value is readonly Written[] | WrittenMap {
  return typeof value === 'object' && value !== null;
}

function isEmpty(value: object): boolean {
  return Array.isArray(value) ? value.length === 0 : entriesOf(value as WrittenMap).length === 0;
}

function entriesOf(map: WrittenMap): [string, Written][] {
  return Object.entries(map).filter((entry): entry is [string, Written] => entry[1] !== undefined);
}
