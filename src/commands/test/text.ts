import { harmless } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';
import type { LineStyle } from '../../words/couplet.js';
import { coupletName } from '../../words/couplet.js';
import type { Coverage } from './known.js';
import type { Confusion, KnownRow, KnownTally, KnownWriter, TaxonCounts } from './rows.js';
import { confusionWords, coverageSentences, PROVES, resultWords, rowSentences } from './words.js';

/** More failures than this bury each other; the table of confusions and the forms for programs have all of them. */
const MOST_SHOWN = 50;

/** The report for people: what failed, the worst first; confusions couplet by couplet; taxon by taxon; what was never tried. */
export function knownText(setting: LineStyle): KnownWriter {
  return {
    head: () => '',
    row: () => '',
    foot: (tally, coverage, broken) =>
      broken !== undefined || tally.rows === 0 ? '' : `${reportLines(tally, coverage, setting).join('\n')}\n`,
  };
}

function reportLines(tally: KnownTally, coverage: Coverage, setting: LineStyle): string[] {
  const { width, paint } = setting;
  const blocks: string[][] = [];
  const failures = tally.worstFirst;
  for (const row of failures.slice(0, MOST_SHOWN)) blocks.push(rowLines(row, setting));
  if (failures.length > MOST_SHOWN)
    blocks.push(
      wrapLines(
        `${failures.length - MOST_SHOWN} more that failed; --format ndjson, tap and junit have all of them`,
        width,
      ),
    );
  const among = tally.among.slice(0, MOST_SHOWN);
  if (among.length > 0) {
    blocks.push([
      paint.strong('Right among several'),
      ...among.flatMap((row) => [
        ...wrapLines(harmless(row.collection), width, '  ', '    '),
        ...sentences(row, setting, '    '),
      ]),
      ...(tally.among.length > among.length
        ? wrapLines(`${tally.among.length - among.length} more`, width, '  ')
        : []),
    ]);
  }
  if (tally.confusions.length > 0)
    blocks.push([
      ...wrapLines(paint.strong('Confusions, by the couplet where the way was left'), width),
      ...confusionLines(tally, setting),
    ]);
  if (tally.taxa.length > 0) blocks.push(taxonLines(tally.taxa, setting));
  blocks.push([
    paint.strong('What the specimens exercise'),
    ...coverageSentences(coverage).flatMap((s) => wrapLines(harmless(s), width, '  ', '    ')),
  ]);
  blocks.push(wrapLines(PROVES, width));
  return blocks.flatMap((block, i) => (i === 0 ? block : ['', ...block]));
}

function rowLines(row: KnownRow, setting: LineStyle): string[] {
  const { width, paint } = setting;
  const words = resultWords(row);
  const said = row.harm === 'missed' ? paint.alarm(words) : words;
  return [
    ...wrapLines(`${paint.strong(harmless(row.collection))}: ${said}`, width, '', '  '),
    ...sentences(row, setting, '  '),
    ...wrapLines(paint.faint(`${harmless(row.file)}:${row.line}`), width, '  ', '    '),
  ];
}

function sentences(row: KnownRow, { width }: LineStyle, indent: string): string[] {
  return rowSentences(row).flatMap((s) => wrapLines(harmless(s), width, indent, `${indent}  `));
}

function confusionLines({ confusions }: KnownTally, { width }: LineStyle): string[] {
  const digits = Math.max(...confusions.map((c) => String(c.collections.length).length));
  let at: string | undefined | null = null;
  return confusions.flatMap((c: Confusion) => {
    const heading =
      c.couplet === at
        ? []
        : wrapLines(
            harmless(c.couplet === undefined ? 'no way leads there' : `couplet ${coupletName(c.couplet)}`),
            width,
            '  ',
          );
    at = c.couplet;
    const first = `    ${String(c.collections.length).padStart(digits)} x  `;
    return [
      ...heading,
      ...wrapLines(harmless(confusionWords(c)), width, first, ' '.repeat(displayWidth(first))),
    ];
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

function taxonLines(taxa: readonly TaxonCounts[], { width, paint }: LineStyle): string[] {
  if (width < NARROWEST)
    return taxa.flatMap((t) => {
      const said = COLUMNS.filter((c) => t[c] > 0).map((c) => `${t[c]} ${HEADINGS[c]}`);
      return wrapLines(harmless(`known to be ${t.name}: ${listed(said)}`), width, '  ', '    ');
    });
  const columns = COLUMNS.filter((c) => c !== 'lacking' || taxa.some((t) => t.lacking > 0));
  const numbers = (texts: readonly string[]) =>
    texts.map((t, i) => t.padStart(displayWidth(HEADINGS[columns[i] ?? 'right']))).join('  ');
  const right = numbers(columns.map((c) => HEADINGS[c]));
  const room = Math.max(10, width - displayWidth(right) - 4);
  const names = Math.min(room, Math.max(11, ...taxa.map((t) => displayWidth(harmless(t.name)))));
  const row = (name: string, rest: string): string[] => {
    const lines = wrapLines(harmless(name), names);
    return lines.map((line, i) =>
      `  ${line}${i === lines.length - 1 ? `${' '.repeat(Math.max(0, names - displayWidth(line)))}  ${rest}` : ''}`.trimEnd(),
    );
  };
  const head = row('known to be', right).map((l) => paint.strong(l));
  return [
    ...head,
    ...taxa.flatMap((t) => row(t.name, numbers(columns.map((c) => (t[c] === 0 ? '.' : String(t[c])))))),
  ];
}
