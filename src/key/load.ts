import type { Finding } from '../diagnostic/finding.js';
import { buildKey, buildTerms } from './build.js';
import { readYaml, type YamlText } from './document.js';
import { asMap, asTexts, Reporter } from './fields.js';
import type { Key, Terms } from './key.js';
import { explainShape } from './shape.js';
import { validateKey, validateTerms } from './validate.generated.js';

/** A text that was looked up, or why it could not be. `nearest` are ids or file names that are there and look alike. */
export type Found =
  | { readonly ok: true; readonly file: string; readonly text: string }
  | { readonly ok: false; readonly problem: string; readonly nearest?: string };

/** Where chained keys and shared terms are looked up; the outside world of this floor. */
export interface Shelf {
  /** A key by its id or by a path relative to the file that names it. */
  key(reference: string, fromFile: string): Found;
  /** A terms file by a path relative to the key that uses it. */
  terms(reference: string, fromFile: string): Found;
}

/** A shelf with nothing on it, for keys that stand alone. */
export const emptyShelf: Shelf = {
  key: (reference) => ({ ok: false, problem: `there is no key ${reference} to go on in` }),
  terms: (reference) => ({ ok: false, problem: `there is no terms file ${reference}` }),
};

/** A key as far as it could be built, and everything wrong with its file and the terms it uses. */
export interface LoadedKey {
  readonly key: Key | undefined;
  readonly yaml: YamlText;
  readonly findings: readonly Finding[];
}

/** Reads one key file: parses it once, checks its shape, builds it. Chained keys are not opened. */
export function loadKey(text: string, file: string, shelf: Shelf): LoadedKey {
  const yaml = readYaml(text, file);
  const report = new Reporter(yaml);
  report.findings.push(...yaml.findings);
  if (yaml.data === undefined) return { key: undefined, yaml, findings: report.findings };
  checkShape(yaml, validateKey, 'key', report);
  const shared: Terms[] = [];
  asTexts(asMap(yaml.data).uses).forEach((reference, i) => {
    const found = shelf.terms(reference, file);
    if (found.ok) {
      const terms = loadTerms(found.text, found.file);
      report.findings.push(...terms.findings);
      if (terms.terms !== undefined) shared.push(terms.terms);
    } else {
      report.add('target-exists', found.problem, ['uses', i], {
        found: reference,
        expected: 'a terms file',
        nearest: found.nearest,
      });
    }
  });
  const key = buildKey(yaml, shared, report);
  return { key, yaml, findings: report.findings };
}

/** Reads one terms file. */
export function loadTerms(
  text: string,
  file: string,
): { terms: Terms | undefined; findings: readonly Finding[] } {
  const yaml = readYaml(text, file);
  const report = new Reporter(yaml);
  report.findings.push(...yaml.findings);
  if (yaml.data === undefined) return { terms: undefined, findings: report.findings };
  checkShape(yaml, validateTerms, 'terms', report);
  return { terms: buildTerms(yaml, report), findings: report.findings };
}

type Validator = typeof validateKey;

/** Checks a document against a compiled schema and reports each problem in a plain sentence at its own place. */
export function checkShape(
  yaml: YamlText,
  validate: Validator,
  schema: 'key' | 'terms' | 'collections',
  report: Reporter,
): void {
  if (validate(yaml.data)) return;
  for (const problem of explainShape(validate.errors ?? [], yaml.data, schema)) {
    report.add(problem.rule, problem.message, problem.path, {
      side: problem.at === 'key' ? 'name' : 'value',
      ...(problem.found === undefined ? {} : { found: problem.found }),
      ...(problem.expected === undefined ? {} : { expected: problem.expected }),
      nearest: problem.nearest,
    });
  }
}
