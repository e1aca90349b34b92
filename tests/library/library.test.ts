import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import {
  analyse,
  asFullResult,
  asResult,
  compare,
  FindError,
  identify,
  identifyTable,
  lintKey,
  loadKey,
} from '../../src/index.js';

const text = `keywright: 1
id: caps
title: Caps
version: 1.10
characters:
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: cc}
  2:
    - {lead: Cap under 5 cm wide, when: {width: < 5}, taxon: aa}
    - {lead: Cap 5 cm wide or more, when: {width: '>= 5'}, taxon: bb}
taxa:
  aa: {name: Aa aa, concern: {level: deadly}}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`;

describe('the library', () => {
  it('loads a key from text and identifies finds given as data', () => {
    const { key, findings } = loadKey(text);
    expect(findings).toEqual([]);
    if (key === undefined) throw new Error('no key');
    const finds = [
      { id: 'one', traits: { ring: 'present', width: '45 mm' } },
      { id: 'two', specimens: [{ id: 'a', stage: 'mature', traits: { ring: ['present', 'absent'] } }] },
    ];
    const results = [...identify(key, finds)].map(asResult);
    expect(results.map((r) => [r.collection, r.name, r.version, r.verdict.word])).toEqual([
      ['one', 'Aa aa', '1.10', 'leave it'],
      ['two', null, '1.10', 'leave it'],
    ]);
  });

  it('reads tables as text, and gives what is wrong with a place', () => {
    const { key } = loadKey(text);
    if (key === undefined) throw new Error('no key');
    expect([...identifyTable(key, 'id,ring\na,absent\n', 'csv')].map((d) => d.name)).toEqual(['Cc cc']);
    try {
      expect([...identify(key, [{ id: 'x', traits: { rng: 'absent' } }])]).toBe('thrown');
    } catch (error) {
      expect(error).toBeInstanceOf(FindError);
      expect((error as FindError).findings[0]).toMatchObject({ nearest: 'ring' });
    }
  });

  it('says what is wrong with a key instead of giving one', () => {
    const { key, findings } = loadKey(text.replace('to: 2', 'to: 3'), { file: 'k.yaml' });
    expect(key).toBeUndefined();
    expect(findings.map((f) => [f.rule, f.place.file, f.place.start.line])).toEqual([
      ['target-exists', 'k.yaml', 10],
    ]);
  });

  it('analyses, and compares keys', () => {
    const { key } = loadKey(text);
    const other = loadKey(
      text.replace('id: caps', 'id: other').replace('< 5', '< 4').replace('>= 5', '>= 4'),
    );
    if (key === undefined || other.key === undefined) throw new Error('no key');
    const find = { id: 'one', traits: { ring: 'present', width: '45 mm' } };
    const found = [key, other.key].flatMap((k) => [...identify(k, [find])]);
    const { word, partings } = compare(found);
    expect([word, partings.map((p) => [p.key.chain.main.id, p.couplet, p.lead])]).toEqual([
      'disagree',
      [
        ['caps', '2', 'b'],
        ['other', '2', 'a'],
      ],
    ]);
    const [open] = identify(key, [{ id: 'two', traits: { ring: 'present' } }]);
    if (open === undefined) throw new Error('no determination');
    const analysis = analyse(open);
    expect(analysis.next.looks.map((l) => l.character.id)).toEqual(['width']);
    expect(asResult(open).analysis).toBeUndefined();
    expect(asFullResult(analysis).analysis).toBeDefined();
  });

  it('checks keys', () => {
    const { findings } = lintKey(text.replace('>= 5', '>= 6'), 'caps.key.yaml');
    expect(findings.map((f) => f.rule)).toContain('ranges-meet');
  });

  it('has an example that runs', () => {
    const example = fileURLToPath(new URL('../../examples/library.mjs', import.meta.url));
    const { status, stdout, stderr } = spawnSync(process.execPath, [example], { encoding: 'utf8' });
    expect([status, stderr]).toEqual([0, expect.stringContaining('Any doubt means: leave it.')]);
    expect(stdout).toMatch(/^TH-2026-005: Galerina marginata, 1 possible, leave it/m);
    const wrong = spawnSync(process.execPath, [example, example], { encoding: 'utf8' });
    expect(wrong.status).toBe(2);
  });

  it('reaches no file, terminal or clock', () => {
    const meta = JSON.parse(readFileSync(new URL('../../dist/meta.json', import.meta.url), 'utf8')) as {
      outputs: Record<
        string,
        { entryPoint?: string; imports: { path: string; kind: string }[]; inputs: Record<string, unknown> }
      >;
    };
    const entry = Object.keys(meta.outputs).find((o) => meta.outputs[o]?.entryPoint === 'src/index.ts') ?? '';
    const seen = new Set<string>();
    const inputs = new Set<string>();
    const walk = (output: string) => {
      if (seen.has(output)) return;
      seen.add(output);
      for (const input of Object.keys(meta.outputs[output]?.inputs ?? {})) inputs.add(input);
      for (const { path } of meta.outputs[output]?.imports ?? []) walk(path);
    };
    walk(entry);
    expect(inputs.size).toBeGreaterThan(10);
    expect(
      [...inputs].filter(
        (i) => /^src\/(files|terminal|commands)\//.test(i) || /chalk|inquirer|commander/.test(i),
      ),
    ).toEqual([]);
  });
});
