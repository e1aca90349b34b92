/** From the tables of a text to key files, whatever kind of text it is. */
import type { Finding } from '../../../diagnostic/finding.js';
import { Lines } from '../../../diagnostic/lines.js';
import { quoted } from '../../../text/harmless.js';
import { slug } from '../../../text/slug.js';
import { byCodeUnit } from '../../../text/words.js';
import { joinedKey, separateKeys } from '../assemble.js';
import type { KeyDraft, Stated } from '../drafts.js';
import { languageOf } from '../lexicon.js';
import type { Remark } from '../linked.js';
import type { Imported, ImportOptions } from '../print.js';
import { findingOf, wordRemarks } from '../remarks.js';
import { isEnded, leadRows, looksLikeKey } from './columns.js';
import { readCouplets, type TableKey } from './couplets.js';
import type { ReadRow } from './grouping.js';
import { type About, type KeyTable, rowText } from './table.js';
import { hindrance } from './terms.js';

/** What a reader found in a text. */
export interface Tables {
  readonly tables: readonly KeyTable[];
  readonly about?: About | undefined;
  readonly remarks?: readonly Remark[];
  readonly full?: ReadonlyMap<string, string>;
  /** Labels have a cell of their own, or it is no key. */
  readonly strict?: boolean;
}

/** Makes keys of the tables that hold any; no keys when none does. */
export function keysOf(text: string, found: Tables, options: ImportOptions): Imported {
  const remarks: Remark[] = [...(found.remarks ?? [])];
  const drafts: KeyDraft[] = [];
  const titles = new Titles(options);
  for (const { table, rows } of keyTables(found.tables, remarks, found.strict === true)) {
    const keys = readCouplets(rows, found.full);
    keys.forEach((key) => {
      const parts = keys.length > 1 ? [table.title, key.heading] : [table.title ?? key.heading];
      const above = parts.filter((t) => t !== undefined).join(': ') || undefined;
      drafts.push(draftOf(key, titles.next(above), found.about));
    });
  }
  nameAsWanted(drafts, options);
  return finished(text, drafts, remarks, found.about, options);
}

/** Key files and findings from drafts. */
export function finished(
  text: string,
  drafts: readonly KeyDraft[],
  remarks: Remark[],
  about: About | undefined,
  options: ImportOptions,
): Imported {
  const places = new Lines(text);
  const asFindings = (all: readonly Remark[]): Finding[] =>
    all
      .map((remark) => findingOf(remark, places, options.file))
      .sort((a, b) => a.place.start.offset - b.place.start.offset || byCodeUnit(a.message, b.message));
  if (drafts.length === 0) return { keys: [], findings: asFindings(remarks) };
  const words = drafts
    .flatMap((d) => d.linked.couplets.flatMap((c) => c.leads.map((l) => l.words)))
    .join('\n');
  // The cells say where words end: what looks broken off is so in the print.
  for (const draft of drafts)
    draft.remarks.push(...wordRemarks(draft.linked).map((r) => ({ ...r, level: 'note' as const })));
  const common = {
    file: options.file,
    cite: options.cite,
    language: options.language ?? about?.language ?? languageOf(words),
    when: options.when !== false,
    id: options.id,
    title: options.title,
    furniture: [],
    names: new Set<string>(),
  };
  const keys = options.asOne === true ? [joinedKey(drafts, common)] : separateKeys(drafts, common);
  remarks.push(...sharing(about));
  return { keys, findings: asFindings([...remarks, ...drafts.flatMap((d) => d.remarks)]) };
}

/** What stands in the way of sharing an article. */
function sharing(about: About | undefined): Remark[] {
  const problem = about === undefined ? undefined : hindrance(about.licence, about.terms);
  if (about === undefined || problem === undefined) return [];
  return [{ rule: 'licence-shares', level: 'warning', line: about.line, message: problem }];
}

/** The same as findings. */
export function licenceRemarks(text: string, about: About | undefined, file: string): Finding[] {
  const places = new Lines(text);
  return sharing(about).map((remark) => findingOf(remark, places, file));
}

/** Tables that are keys; one that goes on with the numbers of the table before is a part of it. */
function keyTables(
  tables: readonly KeyTable[],
  remarks: Remark[],
  strict: boolean,
): { table: KeyTable; rows: readonly ReadRow[] }[] {
  const found: { table: KeyTable; rows: ReadRow[] }[] = [];
  for (const table of tables) {
    const rows = leadRows(table, strict);
    // A row without a label is a further lead, or what the table says beside its key.
    const labelled = (rows ?? []).filter(
      (r) => r.words.text !== '' && (r.label !== undefined || isEnded(r)),
    ).length;
    const enough = table.declared
      ? labelled * 2 >= table.rows.length
      : rows !== undefined && looksLikeKey(rows) && pairs(rows);
    if (rows === undefined || !enough) {
      if (table.declared)
        remarks.push({
          rule: 'table-read',
          level: 'error',
          line: table.line,
          message: `this table is marked as a key, but its columns are not label, lead and end: ${quoted(table.rows[0] === undefined ? '' : rowText(table.rows[0]))}`,
        });
      continue;
    }
    const last = found.at(-1);
    if (last !== undefined && goesOn(last.rows, rows)) last.rows.push(...rows);
    else found.push({ table, rows: [...rows] });
  }
  return found;
}

/** A key has at least one couplet of two leads: a second lead has a dash, its number again, or no label. */
function pairs(rows: readonly ReadRow[]): boolean {
  return rows.some((row, i) => {
    const before = rows[i - 1]?.label;
    if (before === undefined) return false;
    return row.label?.couplet === undefined || row.label.couplet === before.couplet || row.label.letters;
  });
}

/** Whether rows carry on the numbers of those before. */
function goesOn(before: readonly ReadRow[], rows: readonly ReadRow[]): boolean {
  const first = rows.find((r) => r.label !== undefined)?.label;
  if (first === undefined) return false;
  if (first.couplet === undefined) return true;
  const last = before.reduce((most, r) => Math.max(most, Number(r.label?.couplet) || 0), 0);
  const number = Number(first.couplet);
  return number === last + 1 || (number === last && number > 1);
}

/** Titles and ids, each once. */
class Titles {
  readonly #used = new Set<string>();
  #count = 0;

  constructor(readonly options: ImportOptions) {}

  next(heading: string | undefined): { title: string; id: string } {
    this.#count++;
    const title = (heading ?? this.options.title ?? stem(this.options.file) ?? `Key ${this.#count}`)
      .replace(/\s+/g, ' ')
      .replace(/[.:]$/, '')
      .trim();
    const own =
      slug(title.replace(/^(?:the|der|die|das)\s+|^(?:key|clavis) to (?:the |all )?/i, ''), 50) ||
      'printed-key';
    let id = own;
    for (let k = 2; this.#used.has(id); k++) id = `${own}-${k}`;
    this.#used.add(id);
    return { title, id };
  }
}

/** The name of a file without folder and ending; undefined where it has no letters. */
function stem(file: string): string | undefined {
  const name = file.replace(/^.*[/\\]/, '').replace(/\.[^.]*$/, '');
  return /\p{L}/u.test(name) ? name : undefined;
}

/** Sets the title and id that the author wants. */
export function nameAsWanted(drafts: readonly KeyDraft[], { id, title }: ImportOptions): void {
  drafts.forEach((draft, n) => {
    if (title !== undefined && drafts.length === 1) draft.title = title;
    if (id !== undefined) draft.id = drafts.length === 1 ? id : `${id}-${n + 1}`;
  });
}

/** A draft of a key, with a title and an id of its own. */
export function draftOf(
  key: TableKey,
  named: { readonly title: string; readonly id: string },
  about: About | undefined,
  stated?: Stated,
): KeyDraft {
  return {
    headings: [],
    before: [],
    linked: key.linked,
    layout: 'table',
    unsure: false,
    after: [],
    title: named.title,
    remark: '',
    id: named.id,
    ...(about === undefined ? {} : { about }),
    ...(stated === undefined ? {} : { stated }),
    remarks: [...key.linked.remarks],
  };
}
