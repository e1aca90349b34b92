import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { determine } from '../../src/engine/determine.js';
import { concernLevels } from '../../src/key/key.js';
import { cautions, cautionsInShort, concernWords, verdictText } from '../../src/words/cautions.js';
import { CLEARING } from '../support/clearing.js';
import { find, observed, open } from '../support/open.js';
import { keyData, seen, specimen } from '../support/random-keys.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const files = (folder: string, ending: RegExp): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => ending.test(name) && !name.includes('generated'))
    .map((name) => join(folder, name));

/** The texts that stand in quotes in a program. */
function literals(program: string): string[] {
  const code = program.replace(/\/\*[\s\S]*?\*\//g, '').replace(/(^|\s)\/\/.*$/gm, '');
  return code.match(/'(?:[^'\\\n]|\\.)*'|"(?:[^"\\\n]|\\.)*"|`(?:[^`\\]|\\.)*`/g) ?? [];
}

describe('a word that would clear a find', () => {
  it('is found by this test', () => {
    for (const text of ['this one is safe', 'edible', 'Not poisonous', 'a harmless kind', 'may be eaten raw'])
      expect(text).toMatch(CLEARING);
    for (const text of [
      'not cleared',
      'no harm recorded, which proves nothing',
      'nothing tells harmful from harmless',
    ])
      expect(text).not.toMatch(CLEARING);
  });

  it('stands in no text of the program', () => {
    const found = files('src', /\.ts$/).flatMap((file) =>
      literals(readFileSync(file, 'utf8'))
        // The helper of that name, its module, and code within a template are no text.
        .map((text) => text.replace(/harmless\(|harmless\.js/g, ''))
        .filter((text) => CLEARING.test(text))
        .map((text) => `${file}: ${text}`),
    );
    // Rules about wording, and the lists of words that are looked for in keys and prints, name what they look for.
    expect(found.filter((f) => !/^src\/(lint|commands\/import\/lexicon|text\/clearing)/.test(f))).toEqual([]);
  });

  it('stands in no schema', () => {
    for (const file of files('schemas', /\.json$/)) expect(readFileSync(file, 'utf8')).not.toMatch(CLEARING);
  });

  it('stands in no verdict', () => {
    const taxon = (level: (typeof concernLevels)[number], i: number) =>
      open({
        keywright: 1,
        id: 'k',
        title: 'T',
        version: '1',
        couplets: {
          1: [
            { lead: 'L', taxon: `t${i}` },
            { lead: 'L', taxon: `t${i}` },
          ],
        },
        taxa: { [`t${i}`]: { name: `Taxon ${i}`, concern: { level } } },
      });
    for (const level of concernLevels) {
      expect(concernWords(level)).not.toMatch(CLEARING);
      const { verdict, candidates } = determine(taxon(level, 1), find([]));
      const text = verdictText(verdict, candidates);
      expect(text).not.toMatch(CLEARING);
      expect(text).toMatch(/^(Leave it|Not cleared)\./);
    }
    for (const caution of [...cautions(undefined), ...cautionsInShort(undefined)])
      expect(caution).not.toMatch(CLEARING);
  });

  it('stands in no result, and the verdict is one of two words', () => {
    fc.assert(
      fc.property(
        keyData(5, 'reticulate'),
        specimen.chain((s) => seen(s)),
        (data, written) => {
          const key = open(data);
          const { verdict, warnings, candidates, near } = determine(key, find(observed(key, written)), {
            slips: 2,
          });
          expect(['leave it', 'not cleared']).toContain(verdict.word);
          for (const { message } of warnings) expect(message).not.toMatch(CLEARING);
          expect(verdictText(verdict, [...candidates, ...near])).not.toMatch(CLEARING);
        },
      ),
    );
  });
});
