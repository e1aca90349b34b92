import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { unwrapped, workFolder } from '../run/lines.js';
import type { FakeOptions } from '../support/fake-world.js';
import { inProcess } from '../support/in-process.js';
import { whole } from './making.js';

const KEY = 'tufts.key.yaml';
const SUB = 'rusty.key.yaml';
const TERMS = 'shared.terms.yaml';

const files: Record<string, string> = {
  [KEY]: `keywright: 1
id: tufts
title: Tufts of an invented wood
version: 1.0.0
uses: [${TERMS}]
couplets:
  1:
    - {lead: Print rusty, when: {print: rust}, key: rusty}
    - {lead: Print white, when: {print: white}, taxon: pale}
taxa:
  pale: {name: Tufta pallens}
`,
  [SUB]: `keywright: 1
id: rusty
title: Rusty tufts
version: 0.3.0
uses: [${TERMS}]
couplets:
  1:
    - {lead: Ring like a membrane, when: {ring-texture: membranous}, taxon: one}
    - {lead: Ring like fibres, when: {ring-texture: fibrous}, to: 2}
  2:
    - {lead: Stem dark, when: {stem: dark}, taxon: two}
    - {lead: Stem pale, when: {stem: pale}, taxon: three}
taxa:
  one: {name: Tufta una, concern: {level: deadly, effect: liver failure, source: s}}
  two: {name: Tufta altera}
  three: {name: Tufta tertia}
sources:
  s: {cite: An invented source}
`,
  [TERMS]: `keywright-terms: 1
characters:
  print: {name: spore print, states: {rust: rusty brown, white: white}, stages: [mature]}
  ring: {name: ring, states: [present, absent]}
  ring-texture:
    name: texture of the ring
    states: {membranous: like a membrane, fibrous: like fibres}
    applies-when: {ring: present}
  stem: {name: stem, states: [dark, pale]}
`,
  'find.yaml': `keywright-collections: 1
collections:
  - id: F-1
    traits: {print: rust}
`,
};

let folder: string;
let remove: () => void;

beforeEach(async () => {
  ({ folder, remove } = workFolder());
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
  const args = ['run', KEY, '--with', 'find.yaml', '--record', 'rec.yaml'];
  expect(await said(args, ['b', 'a'])).toMatchObject({ code: 0 });
  expect(whole(text('rec.yaml')).record.determinations[0]?.possible).toEqual(['two']);
});
afterEach(() => remove());

async function said(argv: readonly string[], answers: readonly string[] = [], more: FakeOptions = {}) {
  const stdin = answers.map((a) => `${a}\n`).join('');
  const given = stdin === '' ? {} : { stdin };
  const { code, out, err } = await inProcess(argv, { cwd: folder, columns: 80, ...given, ...more });
  return { code, out: unwrapped(out), err: unwrapped(err) };
}

const text = (name: string) => readFileSync(join(folder, name), 'utf8');

function change(name: string, from: string, to: string): void {
  expect(text(name)).toContain(from);
  writeFileSync(join(folder, name), text(name).replace(from, to));
}

const redo = (...more: string[]) => said(['redo', 'rec.yaml', '--key', KEY, ...more]);
const resume = (...more: string[]) => said(['run', KEY, '--resume', 'rec.yaml', ...more], ['stop']);

/** The record as it was written before there were marks of contents and meanings. */
function asWrittenEarlier(): void {
  const lines = text('rec.yaml').split('\n');
  const kept: string[] = [];
  let within = false;
  for (const line of lines) {
    if (within && /^ {8}/.test(line)) continue;
    within = /^ {6}contents:/.test(line);
    if (!within && !/^\s+(only|means): /.test(line)) kept.push(line.replace(/, means: .*?(?=\})/, ''));
  }
  writeFileSync(join(folder, 'rec.yaml'), kept.join('\n'));
  const [d] = whole(text('rec.yaml')).record.determinations;
  expect([d?.key.contents, d?.answers.map((a) => a.means)]).toEqual([undefined, [undefined, undefined]]);
}

describe('a key further down the chain that has changed', () => {
  it('is recorded with its version and its content', () => {
    const { key } = whole(text('rec.yaml')).record.determinations[0] as never as {
      key: { through: string[]; contents: Record<string, string> };
    };
    expect(key.through).toEqual(['rusty 0.3.0']);
    expect(Object.keys(key.contents)).toEqual(['tufts', 'rusty']);
  });

  it('is named with both versions, by redo and by --resume, and answers go on as in the main key', async () => {
    change(SUB, 'version: 0.3.0', 'version: 0.4.0');
    change(SUB, 'Stem dark', 'Stem blackish');
    const again = await redo();
    expect(again.out).toContain('- rusty 0.3.0 is now 0.4.0');
    expect(again.out).not.toContain('tufts 1.0.0');
    expect(again.out).toContain('answer rusty 2a no longer holds');
    expect(again.out).not.toContain('answer rusty 1b');
    const refused = await resume();
    expect(refused.code).toBe(2);
    expect(refused.err).toContain(
      'What the key tufts uses has changed since this record was made: rusty 0.3.0 is now 0.4.0. rec.yaml is left as it is.',
    );
    const gone = await resume('--changed-key');
    expect(gone.out + gone.err).toContain('No longer used: rusty/2a (its wording has changed)');
    expect(whole(text('rec.yaml')).record.determinations[1]?.answers).toMatchObject([
      { couplet: 'rusty/1', lead: 'b' },
    ]);
    const report = await said(['report', 'rec.yaml', '--full']);
    expect(report.out).toContain('another version of the key: rusty 0.3.0 is now 0.4.0');
  });

  it('is named though its version is still the same', async () => {
    change(SUB, 'Stem pale', 'Stem pale or whitish');
    expect((await redo()).out).toContain('- rusty has changed, though its version is still 0.3.0');
    const [row] = (await redo('--format', 'ndjson')).out.split('\n');
    expect(JSON.parse(row ?? '').keysChanged).toEqual([
      'rusty has changed, though its version is still 0.3.0',
    ]);
  });

  it('is named as far as an earlier record can tell', async () => {
    asWrittenEarlier();
    expect((await redo()).out).toContain('with the same text of tufts 1.0.0');
    change(SUB, 'Stem pale', 'Stem pale or whitish');
    expect((await redo()).out).toContain(
      'tufts, rusty or the terms in use have changed, though the versions are the same',
    );
    change(SUB, 'version: 0.3.0', 'version: 0.4.0');
    expect((await redo()).out).toContain('- rusty 0.3.0 is now 0.4.0');
  });
});

describe('terms that have changed behind the keys', () => {
  it('take an answer away whose condition means something else, and no other', async () => {
    change(
      TERMS,
      '{membranous: like a membrane, fibrous: like fibres}',
      '{membranous: m, fibrous: like hairs}',
    );
    const { out } = await redo();
    expect(out).toContain('- the shared terms have changed, the keys have not');
    expect(out).toContain(
      'answer rusty 1b no longer holds and counts as "can\'t tell": its condition means something else now: ring-texture: like hairs (where ring: present); before: ring-texture: like fibres (where ring: present)',
    );
    expect(out).not.toContain('answer rusty 2a');
    // The worst that is possible again is said.
    expect(out).toContain('possible now: Tufta una (deadly)');
    const refused = await resume();
    expect([refused.code, refused.err.includes('the shared terms have changed')]).toEqual([2, true]);
    const gone = await resume('--changed-key');
    expect(gone.out + gone.err).toContain('No longer used: rusty/1b (its condition means something else now');
  });

  it('so does what a character depends on', async () => {
    change(TERMS, 'applies-when: {ring: present}', 'applies-when: {stem: pale}');
    expect((await redo()).out).toContain(
      'ring-texture: like fibres (where stem: pale); before: ring-texture: like fibres (where ring: present)',
    );
  });

  it('and only what an answer says of the find counts, where another lead means something else', async () => {
    change(TERMS, 'membranous: like a membrane', 'membranous: like a sheet');
    expect((await redo()).out).toContain('answer rusty 1b counts only for what it says of the find');
    const gone = await resume('--changed-key');
    expect(gone.out + gone.err).toContain('No longer used: rusty/1b');
  });

  it('are named for evidence, which goes on to count: words of states, and ages', async () => {
    change(TERMS, 'rust: rusty brown', 'rust: orange');
    change(TERMS, 'stages: [mature]', 'stages: [young, mature]');
    const { out } = await redo();
    expect(out).toContain(
      'evidence print (rust) means "spore print: orange" now; before: "spore print: rusty brown"',
    );
    expect(out).toContain(
      'evidence print (rust) counts on young or mature specimens now; before: on mature specimens',
    );
    const gone = await resume('--changed-key');
    expect(gone.out + gone.err).toContain('Evidence that means something else now: print (rust) means');
    // It was noted as what it meant then, and is said again as long as it means something else.
    const last = whole(text('rec.yaml')).record.determinations[1];
    expect(last?.collection.evidence?.[0]?.means).toBe('spore print: rusty brown');
    expect(last?.otherwise).toHaveLength(2);
  });

  it('say nothing when nothing of it was asked or seen', async () => {
    change(TERMS, 'stem: {name: stem, ', 'stem: {name: stem, look: by day, ');
    const { code, out } = await redo();
    expect(code).toBe(0);
    expect(out).not.toContain('no longer holds');
    expect(out).not.toContain('evidence');
  });

  it('are not guessed at in an earlier record, and are told from then on', async () => {
    asWrittenEarlier();
    change(SUB, 'version: 0.3.0', 'version: 0.4.0');
    expect((await redo('--write')).code).toBe(0);
    const last = whole(text('rec.yaml')).record.determinations[1];
    expect(last?.answers[0]?.means).toBe('ring-texture: like fibres (where ring: present)');
    expect(last?.collection.evidence?.[0]?.only).toBe('on mature specimens');
    expect((await redo()).out).toContain('with the same text');
    change(TERMS, 'fibrous: like fibres', 'fibrous: like hairs');
    expect((await redo()).out).toContain('answer rusty 1b no longer holds');
  });
});
