/** `1 taxon`, `3 taxa`: a number with its noun. */
export function count(n: number, one: string, many = `${one}s`): string {
  return `${n} ${n === 1 ? one : many}`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(items: readonly string[], joiner = 'and'): string {
  if (items.length <= 1) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} ${joiner} ${items[items.length - 1]}`;
}

/** The items, without the middle ones of a very long list: `1a`, `2b`, `(4980 more)`, `99a`. */
export function inShort(items: readonly string[], most = 20): readonly string[] {
  const left = items.length - most;
  if (left <= 1) return items;
  return [...items.slice(0, most / 2), `(${left} more)`, ...items.slice(-most / 2)];
}

/**
 * Wraps text into lines of at most `width` characters, the first line after `first`, the others after `rest`. For the
 * program's own texts, in which every character takes one cell; `wrap.ts` knows all display widths, but is slow to
 * load.
 */
export function plainLines(
  text: string,
  width: number,
  first = '',
  rest = first.replace(/./g, ' '),
): string[] {
  const lines: string[] = [];
  let line = first;
  let empty = true;
  for (const word of text.split(' ')) {
    if (!empty && line.length + 1 + word.length > width) {
      lines.push(line);
      line = rest;
      empty = true;
    }
    line += empty ? word : ` ${word}`;
    empty = false;
  }
  return [...lines, line];
}

/** Code-unit order, the one order used wherever output must not depend on the machine's language. */
export function byCodeUnit(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** A text with a capital first. */
export function capital(text: string): string {
  return text.replace(/^\p{Ll}/u, (c) => c.toUpperCase());
}

/** At most two decimals. */
export function figure(value: number): string {
  return String(Math.round(value * 100) / 100);
}
