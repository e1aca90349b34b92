/** Random keys set as tables, in every markup and with every way of labelling, come back as they were. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type PlainKey, plainKey } from './printers.js';
import { importedDocument, shapeOfKey, shapeOfPlain } from './structure.js';

const SEEDS = process.env.SEED === undefined ? [1, 2] : [Number(process.env.SEED) || Date.now()];

/** What the label cell of a lead holds: of lead `i` of couplet `n`. */
const LABELS: Record<string, (n: number, i: number, from: string) => string> = {
  letters: (n, i) => `${n}${'abc'[i]}`,
  'letters with a stop': (n, i) => `${n}${'abc'[i]}.`,
  primes: (n, i) => `${n}${"'".repeat(i)}`,
  'the number again': (n) => `${n}`,
  dashes: (n, i) => (i === 0 ? `${n}` : '–'),
  'dashes, and whence it is reached': (n, i, from) =>
    i === 0 ? `${n}${from === '' ? '' : `(${from})`}` : '-',
  nothing: (n, i) => (i === 0 ? `${n}.` : ''),
};

type Rows = { label: string; words: string; to: string; name: boolean }[];

function rowsOf(key: PlainKey, label: (typeof LABELS)[string]): Rows {
  const from = new Map<number, string>();
  key.forEach((leads, n) => {
    for (const { to } of leads) if (typeof to === 'number' && !from.has(to)) from.set(to, `${n + 1}`);
  });
  return key.flatMap((leads, n) =>
    leads.map(({ words, to }, i) => ({
      label: label(n + 1, i, from.get(n) ?? ''),
      words,
      to: typeof to === 'number' ? `${to + 1}` : to,
      name: typeof to !== 'number',
    })),
  );
}

const MARKUP: Record<string, (rows: Rows) => string> = {
  article: (rows) =>
    `<?xml version="1.0"?>\n<article xmlns:tp="x"><front/><body><sec><title>Key to things</title><table-wrap content-type="key"><table><tbody>\n${rows
      .map(
        (r) =>
          `<tr><td>${r.label}</td><td>${r.words}</td><td>${r.name ? `<italic><tp:taxon-name>${r.to}</tp:taxon-name></italic> sp. n.` : r.to}</td></tr>`,
      )
      .join('\n')}\n</tbody></table></table-wrap></sec></body></article>\n`,
  'html with two columns of ends': (rows) =>
    `<!DOCTYPE html><html><body><h1>Key to things</h1><table><tr><th>No</th><th>Lead</th><th>Go to</th><th>Taxon</th></tr>\n${rows
      .map(
        (r) =>
          `<tr><td>${r.label}<td>${r.words}<td>${r.name ? '' : r.to}<td>${r.name ? `<i>${r.to}</i> Marl` : ''}`,
      )
      .join('\n')}\n</table></body></html>\n`,
  markdown: (rows) =>
    `# Key to things\n\n| | | |\n|---|---|---|\n${rows.map((r) => `| ${r.label} | ${r.words} | ${r.name ? `*${r.to}*` : r.to} |`).join('\n')}\n`,
  'markdown with dots': (rows) =>
    `# Key to things\n\n| | |\n|---|---|\n${rows.map((r) => `| ${r.label} | ${r.words} ..... ${r.name ? `*${r.to}*` : r.to} |`).join('\n')}\n`,
  tabs: (rows) => `${rows.map((r) => `${r.label}\t${r.words}\t${r.to}`).join('\n')}\n`,
  commas: (rows) => `n,lead,end\n${rows.map((r) => `${r.label},"${r.words}",${r.to}`).join('\n')}\n`,
};

describe.each(Object.keys(MARKUP))('%s', (markup) => {
  it.each(Object.keys(LABELS))('%s', async (labels) => {
    for (const seed of SEEDS)
      await fc.assert(
        fc.asyncProperty(plainKey({ joins: true, most: 20 }), async (key) => {
          // The smallest table does not show what its columns are for.
          fc.pre(key.length > 1);
          const text = MARKUP[markup]?.(rowsOf(key, LABELS[labels] as (typeof LABELS)[string])) ?? '';
          const { keys, problems, result } = await importedDocument(text, { when: false });
          expect(keys.map(shapeOfKey), text).toEqual([shapeOfPlain(key)]);
          expect(problems).toEqual([]);
          expect(result.findings.filter((f) => f.level === 'error')).toEqual([]);
          // Nothing is doubted in a table that says all.
          expect(/: doubtful$/m.test(result.keys[0]?.text ?? '')).toBe(false);
        }),
        { numRuns: Number(process.env.RUNS ?? 15), seed },
      );
  });
});
