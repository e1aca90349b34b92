import { harmless } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { cells, filled } from '../../text/wrap.js';
import type { LineSetting } from '../../words/couplet.js';
import { coupletName } from '../../words/couplet.js';
import type { Coverage } from './known.js';
import type { Confusion, KnownRow, KnownTally, KnownWriter, TaxonCounts } from './rows.js';
import { confusionWords, coverageSentences, PROVES, resultWords, rowSentences } from './words.js';

/** More failures than this bury each other; the table of confusions and the forms for programs have all of them. */
const MOST_SHOWN = 50;

/** The report for people: what failed, the worst first; confusions couplet by couplet; taxon by taxon; what was never tried. */
export function knownText(setting: LineSetting): KnownWriter {
  return {
    head: () => '',
    row: () => '',
    foot: (tally, coverage, broken) =>
      broken !== undefined || tally.rows === 0 ? '' : `${reportLines(tally, coverage, setting).join('\n')}\n`,
  };
}

function reportLines(tally: KnownTally, coverage: Coverage, setting: LineSetting): string[] {
  const { width, paint } = setting;
  const blocks: string[][] = [];
  const failures = tally.worstFirst;
  for (const row of failures.slice(0, MOST_SHOWN)) blocks.push(rowLines(row, setting));
  if (failures.length > MOST_SHOWN)
    blocks.push(
      filled(
        `${failures.length - MOST_SHOWN} more that failed; --format ndjson, tap and junit have all of them`,
        width,
      ),
    );
  const among = tally.among.slice(0, MOST_SHOWN);
  if (among.length > 0) {
    blocks.push([
      paint.strong('Right among several'),
      ...among.flatMap((row) => [
        ...filled(harmless(row.collection), width, '  ', '    '),
        ...sentences(row, setting, '    '),
      ]),
      ...(tally.among.length > among.length
        ? filled(`${tally.among.length - among.length} more`, width, '  ')
        : []),
    ]);
  }
  if (tally.confusions.length > 0)
    blocks.push([
      ...filled(paint.strong('Confusions, by the couplet where the way was left'), width),
      ...confusionLines(tally, setting),
    ]);
  if (tally.taxa.length > 0) blocks.push(taxonLines(tally.taxa, setting));
  blocks.push([
    paint.strong('What the specimens exercise'),
    ...coverageSentences(coverage).flatMap((s) => filled(harmless(s), width, '  ', '    ')),
  ]);
  blocks.push(filled(PROVES, width));
  return blocks.flatMap((block, i) => (i === 0 ? block : ['', ...block]));
}

function rowLines(row: KnownRow, setting: LineSetting): string[] {
  const { width, paint } = setting;
  const words = resultWords(row);
  const said = row.harm === 'missed' ? paint.alarm(words) : words;
  return [
    ...filled(`${paint.strong(harmless(row.collection))}: ${said}`, width, '', '  '),
    ...sentences(row, setting, '  '),
    ...filled(paint.faint(`${harmless(row.file)}:${row.line}`), width, '  ', '    '),
  ];
}

function sentences(row: KnownRow, { width }: LineSetting, indent: string): string[] {
  return rowSentences(row).flatMap((s) => filled(harmless(s), width, indent, `${indent}  `));
}

function confusionLines({ confusions }: KnownTally, { width }: LineSetting): string[] {
  const digits = Math.max(...confusions.map((c) => String(c.collections.length).length));
  let at: string | undefined | null = null;
  return confusions.flatMap((c: Confusion) => {
    const heading =
      c.couplet === at
        ? []
        : filled(
            harmless(c.couplet === undefined ? 'no way leads there' : `couplet ${coupletName(c.couplet)}`),
            width,
            '  ',
          );
    at = c.couplet;
    const first = `    ${String(c.collections.length).padStart(digits)} x  `;
    return [...heading, ...filled(harmless(confusionWords(c)), width, first, ' '.repeat(cells(first)))];
  });
}

/** Narrower than this, names would be broken, and each taxon gets a sentence instead of a row. */
const NARROWEST = 60;
const COLUMNS = ['right', 'among', 'wrong', 'nothing', 'lacking'] as const;
const HEADINGS: Readonly<Record<(typeof COLUMNS)[number], string>> = {
  right: 'right',
  among: 'among',
  wrong: 'wrong',
  nothing: 'nothing',
  lacking: 'no end',
};

function taxonLines(taxa: readonly TaxonCounts[], { width, paint }: LineSetting): string[] {
  if (width < NARROWEST)
    return taxa.flatMap((t) => {
      const said = COLUMNS.filter((c) => t[c] > 0).map((c) => `${t[c]} ${HEADINGS[c]}`);
      return filled(harmless(`known to be ${t.name}: ${listed(said)}`), width, '  ', '    ');
    });
  const columns = COLUMNS.filter((c) => c !== 'lacking' || taxa.some((t) => t.lacking > 0));
  const numbers = (texts: readonly string[]) =>
    texts.map((t, i) => t.padStart(cells(HEADINGS[columns[i] ?? 'right']))).join('  ');
  const right = numbers(columns.map((c) => HEADINGS[c]));
  const room = Math.max(10, width - cells(right) - 4);
  const names = Math.min(room, Math.max(11, ...taxa.map((t) => cells(harmless(t.name)))));
  const row = (name: string, rest: string): string[] => {
    const lines = filled(harmless(name), names);
    return lines.map((line, i) =>
      `  ${line}${i === lines.length - 1 ? `${' '.repeat(Math.max(0, names - cells(line)))}  ${rest}` : ''}`.trimEnd(),
    );
  };
  const head = row('known to be', right).map((l) => paint.strong(l));
  return [
    ...head,
    ...taxa.flatMap((t) => row(t.name, numbers(columns.map((c) => (t[c] === 0 ? '.' : String(t[c])))))),
  ];
}
