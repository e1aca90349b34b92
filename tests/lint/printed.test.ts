import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { lintText, marked, places } from './marks.js';

const folder = fileURLToPath(new URL('../fixtures/printed/', import.meta.url));
const names = readdirSync(folder).filter((name) => name.endsWith('.key.yaml'));

test('ten faults of printed keys are kept', () => expect(names).toHaveLength(10));

test.each(names)('%s: what is marked is found, and nothing else of the rules it is about', (name) => {
  const text = readFileSync(folder + name, 'utf8');
  const about = /^#: rules (.*)$/m.exec(text)?.[1]?.trim().split(/\s+/) ?? [];
  expect(about.length).toBeGreaterThan(0);
  expect(text).toMatch(/\b1(?:9\d\d)\b/);
  const { findings } = lintText(text);
  expect(places(findings.filter((f) => about.includes(f.rule)))).toEqual(marked(text));
});
