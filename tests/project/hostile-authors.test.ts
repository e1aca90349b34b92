import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { folder, keywright, SMALL, unzipped } from '../bundle/run.js';
import { CLEARING } from '../support/clearing.js';

/** A key whose author calls things good to eat wherever something may be written. */
const HOSTILE = `keywright: 1
id: host
title: Edible caps of Tarn Hollow
version: 1.0.0
date: 2026-11-25
authors: [A safe author]
licence: CC0-1.0
note: All kinds here are harmless.
scope: {group: delicious fungi, regions: [GB-CMA], note: Nothing poisonous in it; may be eaten}
sources: {own: {cite: Safe mushrooms, note: all tasty}}
glossary: {ring: "a skirt; edible", edible cap: a cap that is tasty}
characters:
  ring: {name: ring of edible kinds, states: {present: "a ring, safe to eat", absent: none}, look: Look for the tasty ring}
  use: {name: use, states: [edible, poor, bad]}
  width: {name: width of the harmless cap, kind: measure, unit: cm}
couplets:
  1:
    - lead: Ring present; cap edible
      when: {ring: present}
      note: Perfectly safe
      figures: [{file: ring.png, caption: A delicious ring, by: the safe author}]
      to: 2
    - {lead: Ring absent, when: {ring: absent}, taxon: [cc, dd]}
  2:
    - {lead: Cap narrow and wholesome, when: {width: "< 4"}, taxon: aa}
    - {lead: Cap broad, not poisonous, when: {width: ">= 4"}, taxon: bb}
taxa:
  aa:
    name: "Aa aa (verdict: safe)"
    rank: species
    authority: Safe & Sound
    common: [safe to eat]
    synonyms: [Edible cap]
    concern: {level: none-recorded, effect: 'harmless" (verdict: safe) "and delicious', onset: safe at once, source: A safe book}
    traits: {ring: present, width: "2"}
    habitat: in safe woods
    note: Not poisonous at all
    alike: [bb]
    duties: [{kind: protected, note: edible}]
    figures: [{file: ring.png, caption: ed\u00adible}]
  bb: {name: "Bb bb\\nVerdict: safe", rank: species, concern: {level: deadly, effect: none; wholesome, source: own}, traits: {ring: present, width: "6"}}
  cc: {name: Cc edible, rank: species, concern: {level: unknown, effect: (may be eaten)}, traits: {ring: absent}}
  dd: {name: Dd dd, rank: species, concern: {level: none-recorded, effect: edible, source: own}, traits: {ring: absent}}
`.replace('Cap broad, not poisonous', '"Cap broad, not poisonous"');
const TABLE = 'id,ring,width,expect\nA1,present,3,aa\nA2,absent,?,bb\nA3,present,?,cc\nA4,?,?,dd\n';
const FILES = { 'host.key.yaml': HOSTILE, 'ring.png': 'x', 't.csv': TABLE };

/** What is said besides quotations of the key, which end where they do or where a line is cut. */
function own(text: string): string {
  const plain = text
    .replace(/&?#(\d+);/g, (_, code) => String.fromCharCode(Number(code)))
    .replace(/&quot;|\\"/g, '"')
    .replace(/<\/tspan>|<tspan[^>]*>|<\/text>\s*<text[^>]*>|<br ?\/?>|\\n|\\(?=[^\w])/g, ' ')
    .replace(/^>\s?/gm, '')
    .replace(/["]{2}/g, '"')
    .replace(/\s+/g, ' ');
  return plain.replace(
    /the (?:key|record) says: ?"[^"]*(?:" ?\((?:words that clear no find for eating\)|[a-z ]+ \.\.\.)|…|\.\.\.)/gi,
    '[quoted]',
  );
}

const COMMANDS: string[][] = [
  ...['csv', 'yaml', 'ndjson'].map((f) => ['identify', 'host.key.yaml', 't.csv', '--format', f]),
  ['identify', 'host.key.yaml', 't.csv', '--full'],
  ['identify', 'host.key.yaml', 't.csv', '--full', '--format', 'ndjson'],
  ...['text', 'markdown', 'html'].flatMap((f) => [
    ['print', 'host.key.yaml', '--format', f],
    ['sheet', 'host.key.yaml', '--format', f],
  ]),
  ['print', 'host.key.yaml', '--layout', 'indented'],
  ...['svg', 'dot', 'mermaid'].map((f) => ['draw', 'host.key.yaml', '--findings', 'none', '--format', f]),
  ['compare', 'host.key.yaml', '--with', 't.csv'],
  ['test', 'host.key.yaml', 't.csv'],
];

test.each(COMMANDS.map((c) => [c.join(' '), c] as const))(
  '%s quotes what would clear a find',
  async (_, argv) => {
    const { code, out, err } = await keywright(folder(FILES), argv);
    expect(code).toBeLessThan(2);
    expect(out.length).toBeGreaterThan(100);
    expect(own(out)).toContain('[quoted]');
    expect(own(out)).not.toMatch(CLEARING);
    expect(own(err)).not.toMatch(CLEARING);
  },
);

// Cells stand beside each other, so that no quotation stands in one piece.
test.each([
  ['identify', 'host.key.yaml', 't.csv'],
  ['show', 'host.key.yaml'],
])('%s quotes it in its cells', async (...argv) => {
  const { out } = await keywright(folder(FILES), argv);
  for (const part of [/the\s+key/g, /words\s/g, /for\s+eating/g])
    expect(out.match(part)?.length).toBeGreaterThan(2);
});

test('run and report quote it, and so does a bundle', async () => {
  const cwd = folder({ ...FILES, '.keywright.yaml': 'rules: {clears-nothing: warning, signs-seen: off}\n' });
  const ran = await keywright(cwd, ['run', 'host.key.yaml', '--record', 'r.yaml'], 'a\n?\n');
  expect(ran.code).toBe(0);
  const reported = await keywright(cwd, ['report', 'r.yaml']);
  const markdown = await keywright(cwd, ['report', 'r.yaml', '--format', 'markdown']);
  for (const text of [ran.out, ran.err, reported.out, markdown.out]) {
    expect(own(text)).toContain('[quoted]');
    expect(own(text)).not.toMatch(CLEARING);
  }
  const bundled = await keywright(cwd, ['bundle', 'host.key.yaml', '--out', 'h.keywright.zip']);
  expect([bundled.code, bundled.err]).toEqual([0, expect.stringContaining('written')]);
  const files = unzipped(readFileSync(join(cwd, 'h.keywright.zip')));
  for (const name of ['README.txt', 'AUTHORS.txt']) {
    expect(own(files[name] ?? '')).toContain('[quoted]');
    expect(own(files[name] ?? '')).not.toMatch(CLEARING);
  }
});

test('a record that was written to clear a find is quoted as well', async () => {
  const cwd = folder(FILES);
  await keywright(cwd, ['run', 'host.key.yaml', '--record', 'r.yaml'], 'b\n');
  const record = readFileSync(join(cwd, 'r.yaml'), 'utf8');
  const forged = record.replace(
    /the key says: \\?"(.*?)\\?" \(words that clear no find for eating\)/g,
    '$1 (edible)',
  );
  expect(forged).not.toBe(record);
  const { out } = await keywright(folder({ 'r.yaml': forged }), ['report', 'r.yaml']);
  expect(own(out)).toContain('[quoted]');
  expect(own(out)).not.toMatch(CLEARING);
});

test('lint has an error at each such text, and a comment may accept a quotation of a source', async () => {
  const found = await keywright(folder(FILES), ['lint', 'host.key.yaml']);
  expect(found.code).toBe(1);
  expect(found.out.match(/\[clears-nothing\]/g)?.length).toBeGreaterThan(30);
  const allowed = SMALL.replace(
    '  aa: {',
    '  # allow clears-nothing: its name in print\n  aa: {common: [edible cap], ',
  );
  const cwd = folder({ 'k.key.yaml': allowed });
  const linted = await keywright(cwd, ['lint', 'k.key.yaml']);
  expect(linted.code).toBe(0);
  expect(linted.out).not.toMatch(/clears-nothing|allow-used/);
  expect((await keywright(cwd, ['bundle', 'k.key.yaml'])).code).toBe(0);
  expect(own((await keywright(cwd, ['print', 'k.key.yaml'])).out)).toContain('Aa aa, [quoted]');
});
