import type { Finding } from '../../src/diagnostic/finding.js';
import { Logic } from '../../src/engine/logic.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf, type Shelf } from '../../src/key/load.js';
import type { Rule, Said } from '../../src/lint/rule.js';

/** What one rule finds in a key, with what the loader found under the same name. */
export function apply(
  rule: Rule,
  text: string,
  shelf: Shelf = emptyShelf,
  file = 'test.key.yaml',
): Finding[] {
  const { chain, loaded, findings } = loadChain(text, file, shelf, { words: 'written' });
  const out: Finding[] = findings.filter((f) => f.rule === rule.id);
  const key = loaded[0]?.key;
  if (key === undefined || rule.check === undefined) return out;
  const add = (place: Finding['place'], { side: _side, level, ...said }: Said) =>
    out.push({ rule: rule.id, level: level ?? rule.level, place, ...said });
  rule.check({
    key,
    chain,
    logic: chain === undefined ? undefined : new Logic(chain),
    lacking: () => undefined,
    report: (path, said) => add(key.yaml.place(path, said.side), said),
    reportIn: (other, path, said) => add(other.yaml.place(path, said.side), said),
  });
  return out;
}

/** What one rule says of a key. */
export function messages(rule: Rule, text: string, shelf?: Shelf): string[] {
  return apply(rule, text, shelf).map((f) => f.message);
}

/**
 * A key of one couplet with these leads, as text. A lead is its words, or its words and conditions as YAML; it ends at
 * a taxon of its own.
 */
export function keyOf(leads: readonly (string | readonly [string, string])[], more = ''): string {
  const lines = leads.map((lead, i) => {
    const [words, rest] = typeof lead === 'string' ? [lead, ''] : lead;
    return `    - {lead: ${JSON.stringify(words)}${rest === '' ? '' : `, ${rest}`}, taxon: t${i}}`;
  });
  return [
    'keywright: 1',
    'id: k',
    'title: K',
    'version: 1.0.0',
    more,
    'couplets:',
    '  1:',
    ...lines,
    'taxa:',
    ...leads.map((_, i) => `  t${i}: {name: Aa a${'abcdefgh'[i]}}`),
    '',
  ].join('\n');
}
