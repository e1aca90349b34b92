import type { Finding, Path } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { buildKey, buildTerms } from './build.js';
import { type Data, readYaml, type YamlText } from './document.js';
import { asMap, Reporter, textsAt } from './fields.js';
import type { Key, Terms } from './key.js';
import { withClearingQuoted } from './said-texts.js';
import { explainShape, type SchemaName } from './shape.js';
import { validateKey, validateTerms } from './validate.generated.js';
import type { Validator } from './validator.js';

/** A text that was looked up, or why it could not be. `nearest` are ids or file names that are there and look alike. */
export type Found =
  | {
      /** It is there. */
      readonly ok: true;
      /** The name of the text in findings, and what relative paths in it start from. */
      readonly file: string;
      /** The whole text of the file. */
      readonly text: string;
    }
  | {
      /** It was not found, or cannot be used. */
      readonly ok: false;
      /** Why, to follow a colon. */
      readonly problem: string;
      /** An id or file name that is there and looks alike; absent where none does. */
      readonly nearest?: string;
    };

/** Where chained keys and shared terms are looked up. */
export interface Shelf {
  /** A key by its id or by a path relative to the file that names it. */
  key(reference: string, fromFile: string): Found;
  /** A terms file by a path relative to the key that uses it. */
  terms(reference: string, fromFile: string): Found;
}

/** A shelf with nothing on it, for keys that stand alone. */
export const emptyShelf: Shelf = {
  key: (reference) => ({ ok: false, problem: `there is no key ${reference} to continue in` }),
  terms: (reference) => ({ ok: false, problem: `there is no terms file ${reference}` }),
};

/** A key as far as it could be built, and everything wrong with its file and the terms it uses. */
export interface LoadedKey {
  readonly key: Key | undefined;
  readonly yaml: YamlText;
  readonly findings: readonly Finding[];
}

/**
 * How the words of authors come into a key: `quoted`, to be shown, those that clear a find are quoted; `written`,
 * to be checked or written again: all are as in the file.
 */
export type AuthorsWords = 'quoted' | 'written';

/**
 * Reads one key file: parses it once, checks its shape, builds it. Chained keys are not opened. `termsOf`
 * reads the terms files, so that a chain can read one that several keys use only once.
 */
export function loadKey(
  text: string,
  file: string,
  shelf: Shelf,
  termsOf: TermsReader = loadTerms,
  words: AuthorsWords = 'quoted',
): LoadedKey {
  const yaml = readYaml(text, file, { partly: true });
  const report = new Reporter(yaml);
  report.addFaultsOfText();
  if (yaml.data === undefined) return { key: undefined, yaml, findings: report.findings };
  checkShape(yaml, validateKey, 'key', report);
  const shared: Terms[] = [];
  for (const [reference, path] of textsAt(asMap(yaml.data).uses, ['uses'])) {
    const found = shelf.terms(reference, file);
    if (found.ok) {
      const terms = termsOf(found.text, found.file);
      report.findings.push(...terms.findings);
      if (terms.terms !== undefined) shared.push(terms.terms);
      else report.mute('character-known');
    } else {
      const hint = found.nearest === undefined ? '' : `; did you mean ${found.nearest}?`;
      report.add('target-exists', `terms file ${quoted(reference)}: ${found.problem}${hint}`, path, {
        found: reference,
        expected: 'a terms file',
        nearest: found.nearest,
      });
      // Without the terms every character they define would be reported as unknown.
      report.mute('character-known');
    }
  }
  const key = buildKey(yaml, wordsOf(yaml, words), shared, report);
  return { key, yaml, findings: report.findings };
}

/** Shared terms as far as they could be read, and everything wrong with their file. */
interface LoadedTerms {
  readonly terms: Terms | undefined;
  readonly findings: readonly Finding[];
}

/** Reads the text of a terms file of that name. */
type TermsReader = (text: string, file: string) => LoadedTerms;

/** Reads one terms file. */
export function loadTerms(text: string, file: string, words: AuthorsWords = 'quoted'): LoadedTerms {
  const yaml = readYaml(text, file, { partly: true });
  const report = new Reporter(yaml);
  report.addFaultsOfText();
  if (yaml.data === undefined) return { terms: undefined, findings: report.findings };
  checkShape(yaml, validateTerms, 'terms', report);
  return { terms: buildTerms(yaml, wordsOf(yaml, words), report), findings: report.findings };
}

function wordsOf({ data = null }: YamlText, words: AuthorsWords): Data {
  return words === 'quoted' ? withClearingQuoted(data) : data;
}

/** Checks a document against a compiled schema and reports each problem in a plain sentence at its own place. */
export function checkShape(yaml: YamlText, validate: Validator, schema: SchemaName, report: Reporter): void {
  if (validate(yaml.data)) return;
  for (const problem of explainShape(validate.errors ?? [], yaml.data, schema)) {
    report.add(problem.rule, problem.message + quotesHint(yaml, problem), problem.path, {
      side: problem.at === 'key' ? 'name' : 'value',
      ...defined({ found: problem.found, expected: problem.expected }),
      nearest: problem.nearest,
      shape: true,
    });
  }
}

/** `>5` begins a text of several lines in YAML, and what was meant as a number is empty. */
function quotesHint(yaml: YamlText, { rule, path }: { readonly rule: string; readonly path: Path }): string {
  if (rule !== 'value-needed') return '';
  const { start } = yaml.place(path);
  const sign = yaml.lines.text[start.offset];
  return sign === '>' || sign === '|' ? `; if a text begins with ${sign}, put it in quotes` : '';
}
