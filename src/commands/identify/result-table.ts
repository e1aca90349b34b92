import { analyse } from '../../analysis/analysis.js';
import type { CompiledKey } from '../../engine/compile.js';
import type { Determination } from '../../engine/determine.js';
import type { Candidate } from '../../engine/outcome.js';
import type { ConcernLevel, Taxon } from '../../key/key.js';
import { endangers, severity, worstToName } from '../../key/severity.js';
import { harmless } from '../../text/harmless.js';
import type { Paint } from '../../text/paint.js';
import { count } from '../../text/words.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';
import { cautionsInShort, taxonWithCommonName } from '../../words/cautions.js';
import { shortLines } from '../../words/determination.js';
import type { ResultWriter } from '../../words/result-writers.js';
import { type Identified, mistakesOf, toCheck, verdictOf } from '../../words/results.js';
import { MORE } from '../../words/summary.js';
import { worstCaseTexts } from '../../words/worst-case.js';

/** Where and how a table for people is shown. */
export interface TableSetting {
  readonly width: number;
  readonly paint: Paint;
  /** The telephone number of a poison centre. */
  readonly centre: string | undefined;
}

const HEADINGS = ['collection', 'verdict', 'possible, the worst first', 'look at'] as const;
const GAP = '  ';
/** Narrower than this, names of taxa would be broken, and each collection gets lines of its own instead of a row. */
const NARROWEST = 76;
// More would bury the worst, which stand first.
const MOST_NAMED = 4;

/** A note that holds for several collections is said once, with so many of them named. */
const MOST_IDS = 4;

/** A table for people, as wide as the window; a single find is shown on a screen of its own. */
export class TableWriter implements ResultWriter {
  #widths: readonly number[] | undefined;
  /** The first result, until it is known whether it is the only one. */
  #first: Identified | undefined;
  #many = false;
  /** By note, the collections that it holds for. */
  readonly #noted = new Map<string, { readonly ids: string[]; count: number }>();

  constructor(
    readonly key: CompiledKey,
    readonly setting: TableSetting,
  ) {}

  head(): string {
    return '';
  }

  results(results: readonly Identified[]): string {
    if (results.length === 0) return '';
    if (!this.#many && this.#first === undefined && results.length === 1) {
      this.#first = results[0];
      return '';
    }
    return this.#table(results);
  }

  #table(results: readonly Identified[]): string {
    const batch = this.#first === undefined ? results : [this.#first, ...results];
    this.#first = undefined;
    this.#many = true;
    const rows = batch.map((r) => this.#row(r));
    const lines: string[] = [];
    if (this.setting.width < NARROWEST) {
      rows.forEach((row, i) => {
        const of = batch[i] as Identified;
        lines.push(...this.#block(row, of), ...this.#mistakes(of), '');
      });
      return `${lines.join('\n')}\n`;
    }
    if (this.#widths === undefined) {
      // The rows that come first decide how wide the columns are; later ones are fitted in.
      const widest = Math.max(...rows.map((row) => displayWidth(row[0]?.[0] ?? '')));
      this.#widths = widthsFor(this.setting.width, widest);
      const heading = HEADINGS.map((h) => [h]);
      lines.push(...this.#laid(heading, this.#widths).map((l) => this.setting.paint.strong(l)));
    }
    const widths = this.#widths;
    rows.forEach((row, i) => {
      const of = batch[i] as Identified;
      lines.push(...this.#laid(row, widths, of), ...this.#mistakes(of));
    });
    return `${lines.join('\n')}\n`;
  }

  foot(): string {
    const { width, paint, centre } = this.setting;
    const only = this.#first;
    if (only?.kind === 'found')
      return `${shortLines(analyse(only.found), { width, paint }, centre, undefined, MORE).join('\n')}\n`;
    const table = only === undefined ? '' : this.#table([]);
    const blank = this.#widths === undefined ? [] : [''];
    const lines = [
      ...blank,
      ...[...this.#noted].flatMap(([note, of]) => wrapLines(harmless(notedText(note, of)), width, '', '  ')),
      ...(this.#noted.size > 0 ? [''] : []),
      ...LEGEND.flatMap((text) => wrapLines(text, width)),
      ...wrapLines(PROTECTED, width),
      '',
      ...cautionsInShort(centre).flatMap((text) => wrapLines(text, width, '', '  ')),
    ];
    return `${table}${lines.join('\n')}\n`;
  }

  /** The cells of a row, each a list of texts that begin on lines of their own. */
  #row(identified: Identified): string[][] {
    const verdict = verdictText(identified);
    if (identified.kind === 'failed') {
      const { id } = identified.entry.collection;
      return [[harmless(id)], [verdict], ['could not be read'], ['the table: see below']];
    }
    const { found } = identified;
    this.#note(found);
    return [[harmless(found.collection.id)], [verdict], candidateTexts(found), [checkText(found)]];
  }

  /** Keeps what else is to be known of a result, for the end. */
  #note(found: Determination): void {
    const { warnings, collection } = found;
    const told = warnings.filter((w) => !SAID_IN_CELLS.includes(w.kind)).map((w) => w.message);
    for (const message of [...worstCaseTexts(found), ...told]) {
      const known = this.#noted.get(message) ?? { ids: [], count: 0 };
      known.count++;
      if (known.ids.length < MOST_IDS) known.ids.push(collection.id);
      this.#noted.set(message, known);
    }
  }

  #laid(row: readonly (readonly string[])[], widths: readonly number[], of?: Identified): string[] {
    const columns = row.map((texts, i) => texts.flatMap((text) => wrapLines(text, widths[i] as number)));
    const height = Math.max(...columns.map((c) => c.length));
    return Array.from({ length: height }, (_, line) =>
      columns
        .map((column, i) => {
          const text = column[line] ?? '';
          const padding = ' '.repeat(Math.max(0, (widths[i] as number) - displayWidth(text)));
          return this.#painted(text, i, of) + padding;
        })
        .join(GAP)
        .trimEnd(),
    );
  }

  #painted(text: string, column: number, of: Identified | undefined): string {
    if (of === undefined || column !== 1 || text === '') return text;
    return verdictOf(of).word === 'leave it' ? this.setting.paint.alarm(text) : text;
  }

  /** A collection in a narrow window. */
  #block(row: readonly (readonly string[])[], of: Identified): string[] {
    const { width, paint } = this.setting;
    return row.flatMap((texts, i) => {
      const text = texts.join('; ');
      if (i === 0) return wrapLines(paint.strong(text), width);
      return text === '' ? [] : wrapLines(this.#painted(text, i, of), width, `  ${HEADINGS[i]}: `, '    ');
    });
  }

  /** What is wrong with a collection that could not be read. */
  #mistakes(of: Identified): string[] {
    if (of.kind === 'found') return [];
    return mistakesOf(of.entry).flatMap((text) =>
      wrapLines(harmless(text), this.setting.width, '  ', '    '),
    );
  }
}

/** Warnings that the cells of a row say. */
const SAID_IN_CELLS: readonly string[] = ['fits-nothing', 'harmful-near'];

/** `Galerina marginata is protected ...: TH-1, TH-2 and 5 more`. */
function notedText(
  note: string,
  { ids, count: n }: { readonly ids: readonly string[]; count: number },
): string {
  return `${ids.join(', ')}${n > ids.length ? ` and ${n - ids.length} more` : ''}: ${note}`;
}

/** Harm in a word or two; what each means stands in the legend. */
const HARM: Record<ConcernLevel, string> = {
  deadly: 'deadly',
  severe: 'severe',
  upset: 'upset',
  unknown: 'unknown',
  'none-recorded': 'no harm recorded',
};

const LEGEND = [
  'Possible: all that the evidence does not rule out, with the harm that the key records; "no harm recorded" proves nothing. cf.: a lead on the way is still open. Look at: what parts them; "else" says what one wrong look would hide. "Whichever it is": more keying cannot change the verdict.',
];

/** Said once below every list of results. */
export const PROTECTED = 'Some species are protected: check your local rules before you pick.';

function widthsFor(width: number, id: number): number[] {
  const first = Math.max(HEADINGS[0].length, Math.min(id, 18));
  const verdict = 'not cleared'.length;
  const rest = width - first - verdict - 3 * GAP.length;
  const candidates = Math.floor(rest * 0.56);
  return [first, verdict, candidates, rest - candidates];
}

function verdictText(identified: Identified): string {
  const { word, settled } = verdictOf(identified);
  const several = identified.kind === 'found' && identified.found.possible.length > 1;
  return word === 'leave it' && settled && several ? 'leave it, whichever it is' : word;
}

/** What it can be, the worst first, each on a line of its own; then what is possible only at worst. */
function candidateTexts(found: Determination): string[] {
  const { possible, qualifier, further } = found;
  // What does no more harm than a candidate changes nothing here.
  const least = Math.min(...possible.map(severity));
  const worse = further.map((f) => f.taxon).filter((t) => severity(t) < least);
  const [worst] = named(worse);
  const rest = worse.length > 1 ? `; ${worse.length - 1} more` : '';
  const atWorst = worst === undefined ? [] : [`at worst: ${worst}${rest}`];
  const [only] = possible;
  if (only === undefined) {
    const near = found.near
      .slice(0, MOST_NAMED)
      .map((n) => `${withHarm(n.taxon)}, ${count(n.slips, 'slip')} away`);
    const nearest = near.length === 0 || atWorst.length > 0 ? [] : [`nearest: ${near.join('; ')}`];
    return ['fits nothing in this key', ...nearest, ...atWorst];
  }
  if (possible.length === 1) return [`${qualifier === 'cf.' ? 'cf. ' : ''}${withHarm(only)}`, ...atWorst];
  return [...named(possible), ...atWorst];
}

/** Taxa with their harm, the worst first, as many as are to be named. */
function named(taxa: readonly Taxon[]): string[] {
  const shown = worstToName(taxa, MOST_NAMED);
  const more = taxa.length - shown.length;
  return [...shown.map(withHarm), ...(more > 0 ? [`${more} more`] : [])];
}

function withHarm(taxon: Taxon): string {
  return `${harmless(taxonWithCommonName(taxon))}: ${HARM[taxon.concern.level]}`;
}

/** What to look at again or for the first time, by the names of the columns, and which grave harm one wrong look hides. */
function checkText(found: Determination): string {
  const { characters, couplets } = toCheck(found);
  const all = [...characters, ...couplets.map((c) => `couplet ${c} by eye`)];
  const shown = all.slice(0, all.length === MOST_NAMED + 1 ? all.length : MOST_NAMED);
  const texts = all.length > shown.length ? [...shown, `${all.length - shown.length} more`] : shown;
  const hidden = new Map<string, string[]>();
  for (const n of gravelyNear(found)) {
    const again = [...n.recheck, ...n.reconsider.map((a) => `answer ${a}`)].join(' and ');
    const taxa = hidden.get(again) ?? [];
    taxa.push(`${n.taxon.name}, ${n.taxon.concern.level}`);
    hidden.set(again, taxa);
  }
  for (const [again, taxa] of hidden) texts.push(`${again} (else ${taxa.join('; ')})`);
  return harmless(texts.join('; '));
}

/** The deadly or severe taxa that one wrong observation hides, where anything fits at all. */
function gravelyNear(found: Determination): readonly Candidate[] {
  if (!found.warnings.some((w) => w.kind === 'harmful-near')) return [];
  return found.near.filter((n) => n.slips === 1 && endangers(n.taxon));
}
