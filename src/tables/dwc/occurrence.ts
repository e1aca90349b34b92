import type { DataMap } from '../../key/document.js';
import { asMap } from '../../key/fields.js';
import { readJson } from '../../key/json.js';
import { defined } from '../../text/optional.js';
import { partsOf } from '../../text/parts.js';
import { CollectionDraft } from '../collection-draft.js';
import type { ReadOptions } from '../entry.js';
import { isRegion, isSubdivision, photographsIn } from '../fields.js';
import { repeatedId } from '../ids.js';
import { RowFields } from '../row-fields.js';
import type { DataRow } from './data-rows.js';
import type { ArchivePart, TermColumn } from './meta.js';

/** Terms that are kept as they are, and what they say of a collection. */
const COPIED_TERMS = [
  ['locality', 'place'],
  ['recordedBy', 'by'],
  ['habitat', 'habitat'],
] as const;

/** Codes of Darwin Core for a country that is not known, and for the high seas: neither is a region of a key. */
const NO_COUNTRY = /^(ZZ|XZ)$/;

/** What keywright itself writes into `dynamicProperties`. */
const OWN_PROPERTIES = ['lifeStages', 'expectedTaxa', 'leadsChosen', 'photographs'];

/** Reads the occurrences of an archive, each into the draft of a collection. Unknown terms are ignored. */
export class OccurrenceReader {
  readonly #columns: ReadonlyMap<string, TermColumn>;
  readonly #fields: RowFields;
  #row: DataRow | undefined;

  constructor(
    readonly options: ReadOptions,
    readonly part: ArchivePart,
  ) {
    this.#columns = new Map(part.columns.map((c) => [c.term, c]));
    this.#fields = new RowFields(options, (cell, length) => (this.#row as DataRow).place(cell, length));
  }

  read(row: DataRow): CollectionDraft {
    this.#row = row;
    const { line, file } = row;
    const id = this.#text('occurrenceID').trim() || row.id;
    const draft = new CollectionDraft(id === '' ? `line ${line}` : id, line);
    const column = Math.max(0, this.#index('occurrenceID'), this.part.id);
    if (id === '')
      draft.fault({
        rule: 'id-needed',
        level: 'error',
        message: `the row in line ${line} has no id`,
        place: row.place(column, 1),
        found: 'nothing',
        expected: 'the id of the occurrence',
      });
    const first = id === '' ? undefined : this.options.seen.note(id, file, line);
    if (first !== undefined) draft.fault(repeatedId(id, first, row.place(column, id.length)));
    draft.fault(...row.faults());
    // When its quotes are wrong, it is not certain which cells a row has.
    if (row.mistakes.length === 0) this.#describe(draft);
    return draft;
  }

  #describe(draft: CollectionDraft): void {
    for (const [term, field] of COPIED_TERMS) {
      const text = this.#text(term);
      if (text !== '') draft.describe(field, text);
    }
    const date = this.#text('eventDate');
    if (date !== '') this.#fields.date(draft, this.#index('eventDate'), date);
    const region = this.#region();
    if (region !== undefined) draft.describe('region', region);
    const note = this.#text('occurrenceRemarks');
    if (note !== '') draft.addNote(note);
    draft.count = this.#text('individualCount') || undefined;
    const more = this.#dynamic(draft);
    for (const stage of strings(more.lifeStages) ?? partsOf(this.#text('lifeStage'))) draft.addStage(stage);
    this.#photographs(draft, more.photographs);
    const index = this.#index('dynamicProperties');
    for (const taxon of strings(more.expectedTaxa) ?? [])
      this.#fields.expect(draft, index, this.#text('dynamicProperties'), taxon);
    this.#leads(draft, more.leadsChosen);
  }

  #photographs(draft: CollectionDraft, own: unknown): void {
    if (!Array.isArray(own)) {
      draft.addPhotographs(photographsIn(this.#text('associatedMedia')));
      return;
    }
    for (const photograph of own as unknown[]) {
      const { file, ...more } = Object(photograph) as Record<string, unknown>;
      const [specimen, caption, date] = [more.specimen, more.caption, more.date].map((text) =>
        typeof text === 'string' ? text : undefined,
      );
      if (typeof file === 'string') draft.addPhotograph({ file, ...defined({ specimen, caption, date }) });
    }
  }

  #region(): string | undefined {
    const [own, province, country] = ['higherGeographyID', 'stateProvince', 'countryCode'].map((t) =>
      this.#text(t).trim(),
    ) as [string, string, string];
    if (isRegion(own)) return own;
    if (isSubdivision(province)) return province;
    return isRegion(country) && !NO_COUNTRY.test(country) ? country : undefined;
  }

  #leads(draft: CollectionDraft, chosen: unknown): void {
    if (!Array.isArray(chosen)) return;
    const index = this.#index('dynamicProperties');
    for (const choice of chosen as unknown[]) {
      const { couplet, lead, evidenceOnly, doubted, specimen, stage } = Object(choice) as Record<
        string,
        unknown
      >;
      if (typeof couplet !== 'string' || typeof lead !== 'string') continue;
      const found = this.options.vocabulary.findLead(couplet, lead);
      const more = {
        ...(evidenceOnly === true ? { evidenceOnly } : {}),
        ...(doubted === true ? { doubted } : {}),
        ...(typeof specimen === 'string' ? { specimen } : {}),
        ...(typeof stage === 'string' ? { stage } : {}),
      };
      const read = found.ok ? { ...found, choice: { ...found.choice, ...more } } : found;
      this.#fields.choose(draft, index, this.#text('dynamicProperties'), couplet + lead, read);
    }
  }

  /** The content of `dynamicProperties`; archives of other programs have other things there, or no JSON. */
  #dynamic(draft: CollectionDraft): DataMap {
    const text = this.#text('dynamicProperties');
    if (!text.startsWith('{')) return {};
    const read = readJson(text);
    if (read.ok) return asMap(read.data);
    // Properties of other programs are ignored.
    if (read.fault === 'twice' && OWN_PROPERTIES.some((name) => Object.hasOwn(asMap(read.data), name)))
      draft.fault({
        rule: 'id-unique',
        level: 'error',
        message: `dynamicProperties: ${read.message}`,
        place: (this.#row as DataRow).place(this.#index('dynamicProperties'), text.length),
      });
    return {};
  }

  #text(term: string): string {
    return (this.#row as DataRow).cell(this.#columns.get(term));
  }

  #index(term: string): number {
    return this.#columns.get(term)?.index ?? -1;
  }
}

function strings(data: unknown): readonly string[] | undefined {
  return Array.isArray(data) && data.every((d) => typeof d === 'string') ? data : undefined;
}
