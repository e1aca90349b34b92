import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { GROUPS, rulePageText } from '../../src/commands/explain/rule-page.js';
import { FolderShelf } from '../../src/files/shelf.js';
import { example, wholeText } from '../../src/lint/example.js';
import { lintAll } from '../../src/lint/lint.js';
import type { Rule } from '../../src/lint/rule.js';
import { rules } from '../../src/lint/rules/index.js';
import { KnownRules, type Settings } from '../../src/lint/settings.js';
import { PLAIN } from '../../src/text/paint.js';
import { lintText, marked, places } from './marks.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
const known = new KnownRules(rules);
/** Rules that are off unless set are turned on for their own page. */
const alone = (rule: Rule): Settings => (rule.optional ? new Map([[rule.id, rule.level]]) : new Map());
/** A disk with one figure on it. */
const lacking = (_file: string, figure: string) =>
  figure === 'figures/ring.png' ? undefined : 'there is no such file';
/** What cannot be shown in one small key says so in a comment instead. */
const shown = rules.filter((r) => r.bad.key !== undefined);

describe('the list of rules', () => {
  it('has every file of src/lint/rules, in the order of their names', () => {
    const files = readdirSync(join(root, 'src/lint/rules'))
      .filter((name) => name.endsWith('.ts') && name !== 'index.ts')
      .map((name) => name.replace(/\.ts$/, ''))
      .sort();
    expect(rules.map((r) => r.id)).toEqual(files);
  });

  it('has no id twice, and every group has its heading', () => {
    expect(new Set(rules.map((r) => r.id)).size).toBe(rules.length);
    expect([...new Set(rules.map((r) => r.group))].filter((g) => !GROUPS.includes(g))).toEqual([]);
  });

  it('has a page for everything that the loader can find', () => {
    // These stand behind a rule of shape, which says the same first.
    const behind = new Set(['character-name', 'character-states', 'unit-fits', 'unit-known']);
    const said = new Set<string>();
    for (const name of readdirSync(join(root, 'src/key')).filter((n) => /(?<!\.d)\.ts$/.test(n))) {
      const text = readFileSync(join(root, 'src/key', name), 'utf8');
      for (const match of text.matchAll(/(?:report(?:\.add|\.unknown)?\(\s*|rule: )'([a-z]+(?:-[a-z]+)+)'/g))
        said.add(match[1] as string);
    }
    expect(said.size).toBeGreaterThan(20);
    expect([...said].filter((id) => known.get(id) === undefined && !behind.has(id))).toEqual([]);
    const pages = rules.filter((r) => r.group === 'the file').map((r) => r.id);
    expect(pages.filter((id) => !said.has(id))).toEqual([]);
  });
});

describe('an example', () => {
  it('takes what it does not state from a sound key', () => {
    const { findings } = lintText(wholeText(example('title: Hats')), {}, 'hats.key.yaml');
    expect(findings.filter((f) => f.level === 'error')).toEqual([]);
    expect(example('title: Hats').key).toContain('id: caps\ntitle: Hats\nversion: 1.0.0\n');
  });

  it('has the characters and taxa that its couplets name, and no others', () => {
    const { key } = example('couplets:\n  1:\n    - {lead: Ring, when: {ring: present}, taxon: dd}\n');
    expect(key).toContain('characters:\n  ring: {name: ring, states: [present, absent]}\ncouplets:');
    expect(key).toMatch(/taxon: dd}\ntaxa:\n {2}dd: {name: Dd dd}\n$/);
  });
});

describe.each(shown.map((r) => [r.id, r] as const))('%s', (id, rule) => {
  const settings = () => alone(rule);

  it('is silent on its good example, in which nothing else is so wrong that it could not be run', () => {
    const good = wholeText(rule.good);
    const { findings, notRun, binding } = lintText(good, { settings, lacking });
    expect(findings.filter((f) => f.rule === id)).toEqual([]);
    expect([...binding]).toEqual([]);
    expect(notRun).toEqual([]);
    expect(marked(good)).toEqual([]);
  });

  it('finds its bad example, on the marked lines and nowhere else', () => {
    const bad = wholeText(rule.bad);
    const { findings } = lintText(bad, { settings, lacking });
    const own = findings.filter((f) => f.rule === id);
    expect(places(own)).toEqual(marked(bad).filter((mark) => mark.startsWith(`${id}:`)));
    expect(own.length).toBeGreaterThan(0);
    if (rule.witness === true) expect(own.filter((f) => f.witness === undefined)).toEqual([]);
  });

  it('shows of both on its page what matters', () => {
    const page = rulePageText(rule, known.binding(id), { width: 100, paint: PLAIN });
    for (const line of `${rule.good.part}\n${rule.bad.part}`.split('\n')) expect(page).toContain(line);
    expect(page).toContain(rule.source.split(' ')[0]);
    expect(page).toMatch(known.binding(id) ? /cannot be set aside/ : new RegExp(`# allow ${id}: `));
  });

  it('says what, why and how in sentences, and names its source', () => {
    for (const text of [rule.what, rule.why, rule.fix]) expect(text).toMatch(/^[A-Z`"“#].*[.)]$/s);
    expect(rule.source.trim()).not.toBe('');
  });
});

describe('keys of the fixtures', () => {
  const folder = join(root, 'tests/fixtures/lint');
  const names = readdirSync(folder).filter((name) => name.endsWith('.key.yaml'));

  it.each(names)('%s: what is marked is found, and nothing else of the rules it names', (name) => {
    const text = readFileSync(join(folder, name), 'utf8');
    const marks = marked(text);
    expect(marks.length).toBeGreaterThan(0);
    const file = join('tests/fixtures/lint', name);
    const { findings } = lintAll([{ file, text }], { shelf: new FolderShelf(root) });
    const here = findings.filter((f) => f.place.file === file);
    // A line `#: rules ...` at the top says which rules the key is about; without it, all.
    const about = /^#: rules (.*)$/m.exec(text)?.[1]?.trim().split(/\s+/);
    const own = about === undefined ? here : here.filter((f) => about.includes(f.rule));
    expect(places(own)).toEqual(marks);
  });
});
