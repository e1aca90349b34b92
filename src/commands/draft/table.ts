import type { Finding } from '../../diagnostic/finding.js';
import { buildKey } from '../../key/build.js';
import { type Data, type DataMap, readYaml, type YamlText } from '../../key/document.js';
import { asMap, Reporter, textsAt } from '../../key/fields.js';
import type { Key, Terms } from '../../key/key.js';
import { checkShape, loadTerms, type Shelf } from '../../key/load.js';
import { validateKey, validateTaxa } from '../../key/validate.generated.js';
import { quoted } from '../../text/harmless.js';
import { readCells } from './cells.js';

/** Described taxa, ready to be made into a key. */
export interface TaxaTable {
  readonly file: string;
  /** What the table says, as the key that it would be without couplets. */
  readonly key: Key;
  /** The same as plain data, as its author wrote it; cells of a table are put in the same form. */
  readonly data: DataMap;
  /** Shared terms that it uses: their characters and glossary belong to it. */
  readonly terms: readonly Terms[];
  /** What a reader of the table should know, in sentences. */
  readonly remarks: readonly string[];
}

/** A table as far as it could be read, and what is wrong with it. `report` collects what is found later. */
export interface ReadTable {
  readonly table: TaxaTable | undefined;
  readonly findings: readonly Finding[];
  readonly report: Reporter;
}

/** A text with the name of its file. */
interface NamedText {
  readonly file: string;
  readonly text: string;
}

/** How a table is written: YAML, or cells separated by some sign. */
export type TaxaForm = 'yaml' | ',' | ';' | '\t';

/**
 * Reads a table of described taxa. Never throws for what the text contains. Columns of cells that are named in
 * `asCharacter` are characters, whatever they are called.
 */
export function readTaxaTable(
  { file, text }: NamedText,
  form: TaxaForm,
  shelf: Shelf,
  characters?: NamedText,
  asCharacter: readonly string[] = [],
): ReadTable {
  const found: Finding[] = [];
  const terms: Terms[] = [];
  const take = (from: NamedText) => {
    // What is drafted is written again: the words are those of the author.
    const loaded = loadTerms(from.text, from.file, 'written');
    found.push(...loaded.findings);
    if (loaded.terms !== undefined) terms.push(loaded.terms);
  };
  if (characters !== undefined) take(characters);
  const remarks: string[] = [];
  const yaml =
    form === 'yaml'
      ? readYaml(text, file)
      : readCells(text, file, form, { terms: terms[0], asCharacter }, remarks);
  const report = new Reporter(yaml);
  report.findings.push(...yaml.findings);
  const done = (table: TaxaTable | undefined): ReadTable => ({
    table,
    findings: [...found, ...report.findings],
    report,
  });
  if (yaml.data === undefined) return done(undefined);
  const root = asMap(yaml.data);
  if (root.keywright === undefined) checkShape(yaml, validateTaxa, 'taxa', report);
  else checkShape(yaml, validateKey, 'key', report);
  for (const [reference, path] of textsAt(root.uses, ['uses'])) {
    const from = shelf.terms(reference, file);
    if (from.ok) take(from);
    else {
      const hint = from.nearest === undefined ? '' : `; did you mean ${from.nearest}?`;
      report.add('target-exists', `terms file ${quoted(reference)}: ${from.problem}${hint}`, path, {
        found: reference,
        expected: 'a terms file',
        nearest: from.nearest,
      });
    }
  }
  const data = withoutCouplets(root);
  const bare: YamlText = { ...yaml, data };
  return done({ file, key: buildKey(bare, data, terms, report), data, terms, remarks });
}

/** The couplets of a key that is drafted again do not count. */
function withoutCouplets(root: DataMap): DataMap {
  const out: Record<string, Data> = Object.create(null);
  for (const [name, value] of Object.entries(root))
    if (name !== 'couplets' && name !== 'start') out[name] = value as Data;
  return out;
}
