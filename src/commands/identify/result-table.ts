import type { CompiledKey } from '../../engine/compile.js';
import type { Determination } from '../../engine/determine.js';
import type { Candidate } from '../../engine/outcome.js';
import type { ConcernLevel, Taxon } from '../../key/key.js';
import { endangers, severity } from '../../key/severity.js';
import { harmless } from '../../text/harmless.js';
import type { Paint } from '../../text/paint.js';
import { count } from '../../text/words.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';
import { cautions } from '../../words/cautions.js';
import type { ResultWriter } from '../../words/result-writers.js';
import { type Identified, mistakesOf, toCheck, verdictOf } from '../../words/results.js';
import { worstCaseTexts } from '../../words/worst-case.js';

/** Where and how a table for people is shown. */
export interface TableSetting {
  readonly width: number;
  readonly paint: Paint;
  /** The telephone number of a poison centre. */
  readonly centre: string | undefined;
}

const HEADINGS = ['collection', 'name', 'candidates', 'verdict', 'what to check'] as const;
const GAP = '  ';
/** Narrower than this, names of taxa would be broken, and each collection gets lines of its own instead of a row. */
const NARROWEST = 76;
// More would bury the worst, which stand first.
const MOST_NAMED = 4;

/** A table for people, as wide as the window. */
export class TableWriter implements ResultWriter {
  #widths: readonly number[] | undefined;

  constructor(
    readonly key: CompiledKey,
    readonly setting: TableSetting,
  ) {}

  head(): string {
    return '';
  }

  results(batch: readonly Identified[]): string {
    if (batch.length === 0) return '';
    const rows = batch.map((r) => this.#row(r));
    const notes = batch.map((r) => notesOn(r));
    const lines: string[] = [];
    if (this.setting.width < NARROWEST) {
      rows.forEach((row, i) => {
        lines.push(...this.#block(row, batch[i] as Identified), ...this.#notes(notes[i] as string[]), '');
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
      lines.push(...this.#laid(row, widths, batch[i]), ...this.#notes(notes[i] as string[]));
    });
    return `${lines.join('\n')}\n`;
  }

  foot(): string {
    const { width, centre } = this.setting;
    const blank = this.#widths === undefined ? [] : [''];
    const lines = [
      ...blank,
      ...LEGEND.flatMap((text) => wrapLines(text, width)),
      '',
      ...cautions(centre).flatMap((text) => wrapLines(text, width, '- ', '  ')),
      ...wrapLines('Some species are protected: check your local rules before you pick.', width, '- ', '  '),
    ];
    return `${lines.join('\n')}\n`;
  }

  /** The cells of a row, each a list of texts that begin on lines of their own. */
  #row(identified: Identified): string[][] {
    const verdict = verdictText(identified);
    if (identified.kind === 'failed') {
      const { id } = identified.entry.collection;
      return [[harmless(id)], ['could not be read'], ['none'], [verdict], ['the table: see below']];
    }
    const { found } = identified;
    return [
      [harmless(found.collection.id)],
      [nameText(found)],
      [candidatesText(found)],
      [verdict],
      [checkText(found)],
    ];
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
    if (of === undefined || column !== 3 || text === '') return text;
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

  #notes(notes: readonly string[]): string[] {
    return notes.flatMap((note) => wrapLines(harmless(note), this.setting.width, '  note: ', '    '));
  }
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
  'Candidates: every taxon that the evidence does not rule out, the worst first, with the harm that the key records: deadly, severe (poisoning), upset (of stomach or gut), unknown, or no harm recorded, which proves nothing. cf.: a lead on the way is still open.',
  'Verdict: by the worst candidate. "Whichever it is": each of them does harm, and more keying cannot change the verdict. "Not cleared" says only that no candidate has harm recorded: the find may be something that the key does not hold.',
  'What to check: what would part the candidates, or, where nothing fits, what speaks against the nearest; "else" names what one wrong look would hide.',
];

function widthsFor(width: number, id: number): number[] {
  const first = Math.max(HEADINGS[0].length, Math.min(id, 18));
  const verdict = 'not cleared'.length;
  const rest = width - first - verdict - 4 * GAP.length;
  const name = Math.floor(rest * 0.27);
  const candidates = Math.floor(rest * 0.34);
  return [first, name, candidates, verdict, rest - name - candidates];
}

function verdictText(identified: Identified): string {
  const { word, settled } = verdictOf(identified);
  const several = identified.kind === 'found' && identified.found.possible.length > 1;
  return word === 'leave it' && settled && several ? 'leave it, whichever it is' : word;
}

function nameText({ possible, name, qualifier }: Determination): string {
  if (possible.length === 0) return 'fits nothing in this key';
  if (name === undefined) return qualifier ?? '';
  if (qualifier === 'cf.') return `cf. ${harmless(name)}`;
  return qualifier === undefined ? harmless(name) : `${harmless(name)} ${qualifier}`;
}

function candidatesText(found: Determination): string {
  const { possible } = found;
  const [only] = possible;
  if (only === undefined) {
    const near = found.near
      .slice(0, MOST_NAMED)
      .map((n) => `${withHarm(n.taxon)}, ${count(n.slips, 'slip')} away`);
    return near.length === 0 ? 'none' : `none; nearest: ${near.join('; ')}`;
  }
  if (possible.length === 1) return `one: ${HARM[only.concern.level]}`;
  const worstFirst = [...possible].sort((a, b) => severity(a) - severity(b));
  // One name takes no more room than saying that there is one more.
  const shown = worstFirst.slice(0, possible.length === MOST_NAMED + 1 ? possible.length : MOST_NAMED);
  const more = possible.length - shown.length;
  return `${shown.map(withHarm).join('; ')}${more > 0 ? `; ${more} more` : ''}`;
}

function withHarm(taxon: Taxon): string {
  return `${harmless(taxon.name)}: ${HARM[taxon.concern.level]}`;
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

/** What else is to be known of a result, a line each; what stands in the cells is not said again. */
function notesOn(identified: Identified): string[] {
  if (identified.kind === 'failed') return mistakesOf(identified.entry);
  const { found } = identified;
  return [
    ...worstCaseTexts(found),
    ...found.warnings
      .filter((w) => w.kind !== 'fits-nothing' && w.kind !== 'harmful-near')
      .map((w) => w.message),
  ];
}
