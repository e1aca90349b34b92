import type { Finding } from '../diagnostic/finding.js';
import { type Data, readYaml, type YamlText } from '../key/document.js';
import { asList, asMap, asText, Reporter } from '../key/fields.js';
import { checkShape } from '../key/load.js';
import { validateCollections } from '../key/validate.generated.js';
import { arranged } from './arranged.js';
import { CollectionDraft } from './collection-draft.js';
import { addCollection, findingsOf } from './document.js';
import type { Entry, ReadOptions, TableReader } from './entry.js';
import { repeatedId } from './ids.js';

/** Reads a collections file in YAML. A YAML text has to be read whole; its size is bounded as that of a key is. */
export class YamlTable implements TableReader {
  readonly findings: Finding[] = [];
  stopped = false;
  #pieces: string[] = [];

  constructor(readonly options: ReadOptions) {}

  read(piece: string): readonly Entry[] {
    this.#pieces.push(piece);
    return [];
  }

  end(): readonly Entry[] {
    const text = this.#pieces.join('');
    this.#pieces = [];
    const { file, vocabulary, passOver, seen, notes } = this.options;
    const yaml = readYaml(text, file);
    this.findings.push(...yaml.findings);
    if (yaml.data === undefined) {
      this.stopped = true;
      return [];
    }
    const report = new Reporter(yaml);
    const all = asList(asMap(yaml.data).collections).map((item, i) => this.#arranged(item, i, yaml));
    const data =
      all.length === 0 ? yaml.data : ({ ...asMap(yaml.data), collections: all.map((a) => a.data) } as Data);
    checkShape({ ...yaml, data }, validateCollections, 'collections', report);
    const shape = report.findings.splice(0);
    const entries = all.map(({ data: item, others }, i) => {
      const data = asMap(item);
      const path = ['collections', i];
      const place = yaml.place(path);
      const id = asText(data.id)?.trim();
      const draft = new CollectionDraft(id || `line ${place.start.line}`, place.start.line);
      draft.fault(...findingsOf(shape, i));
      const first = id ? seen.note(id, file, place.start.line) : undefined;
      if (first !== undefined) draft.fault(repeatedId(draft.id, first, yaml.place([...path, 'id'])));
      for (const other of others) draft.addOther(...other);
      addCollection(draft, data, path, {
        vocabulary,
        passOver,
        teller: report,
        noted: (character, written, read, at) => notes?.value(character, written, read, () => yaml.place(at)),
      });
      draft.fault(...report.findings.splice(0));
      return draft.entry();
    });
    const owned = new Set(entries.flatMap((e) => e.findings));
    this.findings.push(...shape.filter((f) => !owned.has(f)));
    return entries;
  }

  #arranged(
    item: Data,
    index: number,
    yaml: YamlText,
  ): { data: Data; others: readonly (readonly [string, string])[] } {
    if (typeof item !== 'object' || item === null || Array.isArray(item)) return { data: item, others: [] };
    const { data, others, spelled } = arranged(asMap(item), this.options);
    const { notes } = this.options;
    const place = () => yaml.place(['collections', index]);
    for (const [name, as] of spelled) notes?.spelling(name, as, place);
    for (const [name] of others) notes?.unknown(name, place);
    return { data, others };
  }
}
