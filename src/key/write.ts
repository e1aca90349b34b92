/** Writes YAML text with comments, so that what an author writes by hand and what an import writes look alike. */
import { harmless } from '../text/harmless.js';

const WIDTH = 110;
/** Words that YAML or a reader of it may take for something else than text. */
const NOT_PLAIN = /^(?:true|false|null|yes|no|on|off|~|y|n|)$|^[-+.]?\d|^0x|[\s]$|^\s/i;

/** A text as a YAML scalar on one line: plain where that is safe, else in quotes. */
export function scalar(text: string): string {
  const line = oneLine(text);
  if (NOT_PLAIN.test(line) || /^[-?:,[\]{}#&*!|>'"%@`]/.test(line) || /: |:$| #|[\\\t]/.test(line))
    return JSON.stringify(line);
  return line;
}

/** A text inside `[...]` or `{...}`, where commas and brackets must be quoted as well. */
export function flowScalar(text: string): string {
  const plain = scalar(text);
  return plain.startsWith('"') || !/[,[\]{}]/.test(plain) ? plain : JSON.stringify(oneLine(text));
}

/** `name: text`, folded over several lines when it is long. */
export function property(name: string, text: string, indent: string): string[] {
  const line = oneLine(text);
  const single = `${indent}${name}: ${scalar(line)}`;
  if (single.length <= WIDTH) return [single];
  // Folding joins lines by one space, so only words between single spaces may be parted.
  const inner = `${' '.repeat(indent.replace(/- $/, '  ').length)}  `;
  const out: string[] = [];
  let filled = '';
  for (const word of line.split(' ')) {
    if (filled !== '' && inner.length + filled.length + 1 + word.length > WIDTH) {
      out.push(inner + filled);
      filled = word;
    } else filled = filled === '' ? word : `${filled} ${word}`;
  }
  return [`${indent}${name}: >-`, ...out, inner + filled];
}

/** Lines of comment; a comment never ends by what is in it. */
export function comment(text: string, indent: string): string {
  return `${indent}# ${oneLine(text)}`.trimEnd();
}

function oneLine(text: string): string {
  return harmless(text).replace(/\s+/g, ' ').trim();
}
