import type { Finding, Place, Position } from '../diagnostic/finding.js';
import { type Data, type DataMap, readYaml } from '../key/document.js';
import { asMap, asText, Reporter } from '../key/fields.js';
import { type ReadJson, readJson } from '../key/json.js';
import { checkShape } from '../key/load.js';
import { validateCollections } from '../key/validate.generated.js';
import { quoted } from '../text/harmless.js';
import { type Arranged, arranged } from './arranged.js';
import { CollectionDraft } from './collection-draft.js';
import { addCollection, type DocumentContext, type MistakeReporter } from './document.js';
import type { Entry, ReadOptions, TableReader } from './entry.js';
import { repeatedId } from './ids.js';
import { LONGEST_ROW } from './rows.js';

// A line is checked as if it were the only collection of a file.
const BEFORE = '{"keywright-collections": 1, "collections": [';
const AFTER = ']}';

/** Reads collections as lines of JSON: one collection a line, or one specimen a line with the id of its collection. */
export class NdjsonTable implements TableReader {
  readonly findings: Finding[] = [];
  readonly stopped = false;
  #rest = '';
  #line = 1;
  #before = 0;
  #skipping = false;
  #draft: CollectionDraft | undefined;
  #done: Entry[] = [];

  constructor(readonly options: ReadOptions) {}

  read(piece: string): readonly Entry[] {
    const text = this.#rest + piece;
    let start = 0;
    for (let end = text.indexOf('\n'); end >= 0; end = text.indexOf('\n', start)) {
      this.#take(text.slice(start, end));
      this.#line++;
      this.#before += end + 1 - start;
      start = end + 1;
    }
    this.#rest = text.slice(start);
    if (this.#rest.length > LONGEST_ROW) {
      if (!this.#skipping) this.#tooLong();
      this.#skipping = true;
      this.#rest = '';
    }
    return this.#taken();
  }

  end(): readonly Entry[] {
    this.#take(this.#rest);
    this.#rest = '';
    this.#finish();
    return this.#taken();
  }

  #taken(): readonly Entry[] {
    const done = this.#done;
    this.#done = [];
    return done;
  }

  #finish(): void {
    if (this.#draft !== undefined) this.#done.push(this.#draft.entry());
    this.#draft = undefined;
  }

  #take(text: string): void {
    if (this.#skipping) {
      this.#skipping = false;
      return;
    }
    const line = text.charCodeAt(0) === 0xfeff ? text.slice(1) : text;
    if (line.trim() === '') return;
    if (line.length > LONGEST_ROW) {
      this.#tooLong();
      return;
    }
    const read = readJson(line);
    if (read.ok) this.#collection(read.data, line);
    else this.#unread(read, line);
  }

  #collection(written: Data, line: string): void {
    const { data, others, spelled } = this.#arranged(written);
    const fields = asMap(data);
    const id = idOf(fields);
    const specimen = specimenOf(fields);
    const whole = specimen === undefined ? data : withoutSpecimen(fields);
    const draft = this.#draftFor(id, line);
    const before = draft.faults;
    for (const other of others) draft.addOther(...other);
    const named = this.#specimenName(draft, specimen, fields);
    const tally = new MistakeCounter();
    const { vocabulary, passOver, notes } = this.options;
    const place = () => this.#place(1, line.length);
    for (const [name, as] of spelled) notes?.spelling(name, as, place);
    for (const [name] of others) notes?.unknown(name, place);
    const document = { 'keywright-collections': 1, collections: [whole] };
    const shaped = validateCollections(document);
    if (shaped && specimen !== '') {
      const noted: DocumentContext['noted'] = (character, text, read) =>
        notes?.value(character, text, read, place);
      addCollection(draft, asMap(whole), PATH, { vocabulary, passOver, teller: tally, noted }, named);
      if (tally.told === 0) return;
    }
    // Something is wrong: read the line again, now with places.
    this.#tell(draft, line, shaped && specimen !== '', specimen);
    if (draft.faults === before) this.#lineFinding(draft, 'table-form', 'this is not a collection', line);
  }

  /**
   * Where several lines have the id of one collection, each is a specimen: named by `specimen`, or else numbered as the
   * rows of a table are.
   */
  #specimenName(draft: CollectionDraft, specimen: string | undefined, fields: DataMap): string | undefined {
    if (specimen !== undefined && specimen !== '') return specimen;
    if (draft.rows === 1 || fields.specimens !== undefined) return undefined;
    if (draft.rows === 2)
      draft.observations = draft.observations.map((o) =>
        o.specimen === undefined ? { ...o, specimen: '1' } : o,
      );
    return String(draft.rows);
  }

  #draftFor(id: string, line: string): CollectionDraft {
    const before = this.#draft;
    if (before !== undefined && id !== '' && before.id === id) {
      before.rows++;
      return before;
    }
    this.#finish();
    const draft = new CollectionDraft(id === '' ? `line ${this.#line}` : id, this.#line);
    this.#draft = draft;
    const first = id === '' ? undefined : this.options.seen.note(id, this.options.file, this.#line);
    if (first !== undefined) draft.fault(repeatedId(id, first, this.#place(1, line.length)));
    return draft;
  }

  /** Reports what is wrong with a line, each mistake at its own place. */
  #tell(draft: CollectionDraft, line: string, shaped: boolean, specimen: string | undefined): void {
    const yaml = readYaml(BEFORE + line + AFTER, this.options.file);
    const report = new Reporter(yaml);
    report.findings.push(...yaml.findings);
    if (yaml.data !== undefined) {
      const root = yaml.data as { collections: Data[] };
      const item = this.#arranged(root.collections[0] ?? null).data;
      if (specimen === '')
        report.add('value-form', 'specimen: expected the letter or number of the specimen', [
          ...PATH,
          'specimen',
        ]);
      const whole = specimen === undefined ? item : withoutSpecimen(asMap(item));
      const document = { ...yaml, data: { 'keywright-collections': 1, collections: [whole] } as Data };
      if (!shaped) checkShape(document, validateCollections, 'collections', report);
      else {
        const { vocabulary, passOver } = this.options;
        const again = new CollectionDraft(draft.id, draft.line);
        addCollection(again, asMap(whole), PATH, { vocabulary, passOver, teller: report });
      }
    }
    for (const finding of report.findings) draft.fault({ ...finding, place: this.#moved(finding.place) });
  }

  #arranged(data: Data): { data: Data; others: Arranged['others']; spelled: Arranged['spelled'] } {
    if (typeof data !== 'object' || data === null || Array.isArray(data))
      return { data, others: [], spelled: [] };
    return arranged(asMap(data), this.options);
  }

  /** A place in the checked text of a line, turned into a place in the table. */
  #moved(place: Place): Place {
    const move = ({ column, offset }: Position): Position => ({
      line: this.#line,
      column: Math.max(1, column - BEFORE.length),
      offset: this.#before + Math.max(0, offset - BEFORE.length),
    });
    return { ...place, start: move(place.start), end: move(place.end) };
  }

  #place(column: number, length: number): Place {
    const start = { line: this.#line, column, offset: this.#before + column - 1 };
    const end = { line: this.#line, column: column + length, offset: start.offset + length };
    return { file: this.options.file, path: [], start, end };
  }

  #unread({ fault, message, at, end, data }: Extract<ReadJson, { ok: false }>, line: string): void {
    const draft = this.#draftFor(data === undefined ? '' : idOf(asMap(data)), line);
    const place = this.#place(at + 1, end - at);
    if (fault === 'depth') draft.fault({ rule: 'text-depth', level: 'error', message, place });
    else if (fault === 'twice') draft.fault({ rule: 'id-unique', level: 'error', message, place });
    else
      draft.fault({
        rule: 'json-syntax',
        level: 'error',
        message:
          at >= line.trimEnd().length
            ? 'the line ends before its JSON does; each line must hold one whole collection'
            : `${message} from ${quoted(line.slice(at, at + 20))} on`,
        place,
        found: line.slice(at, at + 20),
        expected: 'one JSON object a line',
      });
  }

  #tooLong(): void {
    const draft = this.#draftFor('', '');
    this.#lineFinding(draft, 'row-form', `the line is longer than ${LONGEST_ROW} characters`, '');
  }

  #lineFinding(draft: CollectionDraft, rule: string, message: string, line: string): void {
    draft.fault({
      rule,
      level: 'error',
      message,
      place: this.#place(1, line.length),
      found: line.slice(0, 60),
      expected: 'a collection such as {"id": "TH-2026-041", "traits": {"spore-print": "rust"}}',
    });
  }
}

const PATH = ['collections', 0] as const;

/** Counts mistakes without looking for their places, which would cost every line that has none. */
class MistakeCounter implements MistakeReporter {
  told = 0;
  add(): void {
    this.told++;
  }
  unknown(): void {
    this.told++;
  }
}

/**
 * The specimen that a line stands for: undefined when it stands for a collection, empty when it has the wrong shape.
 */
function specimenOf(fields: DataMap): string | undefined {
  const { specimen } = fields;
  if (specimen === undefined) return undefined;
  return typeof specimen === 'string'
    ? specimen.trim()
    : typeof specimen === 'number'
      ? String(specimen)
      : '';
}

function withoutSpecimen(fields: DataMap): DataMap {
  const { specimen: _own, ...rest } = fields;
  return Object.assign(Object.create(null) as object, rest) as DataMap;
}

/** The id of a collection, which may be a number in JSON; empty where there is none. */
function idOf({ id }: DataMap): string {
  return (asText(id) ?? (typeof id === 'number' ? String(id) : '')).trim();
}
