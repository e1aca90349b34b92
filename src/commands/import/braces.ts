/** Couplets held together by braces, with the number of the couplet beside the middle of the brace. */

const BRACE = /^(\s*)(?:(\d{1,4})[.)]?)?(\s*)[{⎧⎨⎩⎪](.*)$/;
/** No line of a book is longer than this. */
const LONGEST = 1000;

/**
 * Puts the number of every braced couplet before its first lead, where keys without braces have it. Lines that held only
 * a number are then empty, and are listed by index. Texts whose numbers are at the first lead are left as they are.
 */
export function bracesNumbered(raws: readonly string[]): {
  lines: readonly string[];
  taken: ReadonlySet<number>;
} {
  const taken = new Set<number>();
  const first = raws.find((raw) => /^[\s\d.)]{0,40}[{⎧⎨⎩⎪]/.test(raw));
  if (first === undefined || BRACE.exec(first)?.[2] !== undefined) return { lines: raws, taken };
  const lines = [...raws];
  let above: number[] = [];
  let left = 0;
  raws.forEach((raw, i) => {
    const m = raw.length > LONGEST ? null : BRACE.exec(raw);
    if (m === null) return;
    const [, , number, , words = ''] = m;
    if (number === undefined) {
      if (left > 0) left--;
      else above.push(i);
      return;
    }
    const top = above[0];
    if (top === undefined) return;
    lines[top] = (lines[top] as string).replace(BRACE, (_, before: string, _n, gap: string, rest: string) => {
      const indent = `${before}${gap}`;
      return `${number}. ${indent.slice(number.length + 2)}${rest.trimStart()}`;
    });
    if (words.trim() === '') {
      taken.add(i);
      lines[i] = '';
    } else lines[i] = raw.replace(/\d{1,4}[.)]?/, (n) => ' '.repeat(n.length));
    left = above.length;
    above = [];
  });
  return { lines, taken };
}
