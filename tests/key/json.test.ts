import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readManifest } from '../../src/files/manifest.js';
import { readJson } from '../../src/key/json.js';

describe('JSON', () => {
  it('is read as JSON.parse reads it', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 6 }), fc.integer({ min: 0, max: 3 }), (value, indent) => {
        const text = JSON.stringify(value, null, indent);
        const read = readJson(text);
        expect(read.ok && JSON.stringify(read.data)).toBe(JSON.stringify(JSON.parse(text)));
      }),
    );
  });

  it('is refused where a name stands twice in one object, wherever that is', () => {
    const name = fc.oneof(fc.constantFrom('a', ':', '"', '\\', '{', '__proto__'), fc.string());
    const twice = fc.tuple(name, fc.jsonValue(), fc.jsonValue(), fc.dictionary(fc.string(), fc.jsonValue()));
    fc.assert(
      fc.property(twice, fc.array(name, { maxLength: 5 }), ([own, one, two, rest], around) => {
        const others = Object.entries(rest).filter(([n]) => n !== own);
        const members = [[own, one], ...others, [own, two]];
        const inner = members.map(([n, v]) => `${JSON.stringify(n)}: ${JSON.stringify(v)}`).join(', ');
        const text = around.reduce((t, n) => `[{${JSON.stringify(n)}: ${t}}]`, `{${inner}}`);
        const read = readJson(text);
        if (read.ok) throw new Error(text);
        expect(read.fault).toBe('twice');
        expect(JSON.parse(text.slice(read.at, read.end))).toBe(own);
        expect(text.slice(read.end).trimStart()).toMatch(/^:/);
      }),
    );
  });

  it('may have one name in several objects', () => {
    expect(readJson('[{"a": {"a": 1}}, {"a": ":"}]').ok).toBe(true);
  });
});

describe('the manifest of a bundle', () => {
  it('is refused when it says something twice', () => {
    const read = readManifest(
      '{"keywright-bundle": 1,\n "key": {"file": "a.key.yaml"}, "files": [],\n "files": []}',
    );
    expect(read).toEqual({
      ok: false,
      problem: 'its manifest.json is damaged: "files" stands twice here; the first is in line 2, column 33',
    });
  });
});
