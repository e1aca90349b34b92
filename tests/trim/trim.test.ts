import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { stringify } from 'yaml';
import { descriptionOf } from '../../src/analysis/description.js';
import { readChecklist } from '../../src/commands/trim/checklist.js';
import { type Trimmed, type TrimOptions, trimKey } from '../../src/commands/trim/trim.js';
import { Failure } from '../../src/diagnostic/failure.js';
import { type CompiledKey, compile } from '../../src/engine/compile.js';
import { determine } from '../../src/engine/determine.js';
import { evidenceOf } from '../../src/engine/evidence.js';
import { Walk } from '../../src/engine/walk.js';
import { FolderShelf } from '../../src/files/shelf.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf, type Shelf } from '../../src/key/load.js';
import { lintKey } from '../../src/lint/lint.js';
import { find, observed } from '../support/open.js';
import { type KeyData, keyData, seen, specimen } from '../support/random-keys.js';

const OPTIONS: TrimOptions = {
  list: 'my.txt',
  id: 'mine',
  title: 'Mine',
  date: '2026-11-25',
  keepNumbers: false,
  dropHarmful: false,
  keepUnused: false,
};

function opened(text: string, shelf: Shelf = emptyShelf, file = 'k.key.yaml'): CompiledKey {
  const { chain, findings } = loadChain(text, file, shelf);
  if (chain === undefined) throw new Error(findings.map((f) => f.message).join('\n'));
  return compile(chain);
}

function trimmed(text: string, names: string[], options: Partial<TrimOptions> = {}): Trimmed {
  const list = readChecklist(names.join('\n'), 'my.txt');
  const result = trimKey(text, opened(text), list, emptyShelf, { ...OPTIONS, ...options });
  if (result.trimmed === undefined) throw new Error('nothing known');
  return result.trimmed;
}

/** Trims, or gives undefined where a person is told that too little would be left. */
function perhaps(text: string, names: string[], options: Partial<TrimOptions> = {}): Trimmed | undefined {
  try {
    return trimmed(text, names, options);
  } catch (error) {
    if (error instanceof Failure && /two ends/.test(error.message)) return undefined;
    throw error;
  }
}

const PEBBLES = `# Pebbles of an invented beach.
keywright: 1
id: pebbles
title: Pebbles
version: 1.0.0
scope:
  group: pebbles   # of all sizes
  complete: true
sources:
  book: {cite: A book}
  other: {cite: Another book}
characters:
  shine: {name: shine, states: [dull, bright, glassy]}
  shape: {name: shape, states: [round, flat]}
  # how wide it is
  width: {name: width, kind: measure, unit: mm}
couplets:
  # where it begins
  1:
    - lead: Dull
      when: {shine: dull}
      to: 2
    - lead: Bright
      when: {shine: bright}
      taxon: lux
    # what is left
    - lead: Not so
      otherwise: true
      to: 3

  # by shape
  2:
    - lead: Round   # as an egg
      when: {shape: round}
      taxon: ovum
      note: common in spring
    - {lead: Flat, when: {shape: flat}, taxon: planum}

  # by width
  3:
    - lead: Narrow
      when: {width: < 4 mm}
      taxon: vitrum
    - lead: Wide
      when: {width: ">= 4 mm"}
      taxon: glacies
taxa:
  lux: {name: Lapis lucens, sources: [book]}
  # the egg
  ovum: {name: Lapis ovum, alike: [planum, lux], sources: [book]}
  planum: {name: Lapis planum, sources: [other], traits: {shine: dull, shape: flat}}
  vitrum: {name: Vitrum maris, common: [sea glass]}
  glacies: {name: Glacies maris, synonyms: [Glacies vera]}
glossary:
  planum: flat thing
`;

describe('the trimmed text', () => {
  it('keeps comments and layout, takes out what is removed, and renumbers', () => {
    const { text } = trimmed(PEBBLES, ['Lapis ovum', 'sea glass', 'Glacies vera Author, 1901']);
    expect(text).toBe(`# Pebbles of an invented beach.
keywright: 1
id: mine
title: Mine
version: 1.0.0
date: 2026-11-25
scope:
  group: pebbles   # of all sizes
  complete: false
note: "Trimmed on 2026-11-25 from pebbles 1.0.0 to the list my.txt (3 of 5 taxa); finds of other taxa may get a wrong name here."
sources:
  book: {cite: A book}
characters:
  shine: {name: shine, states: [dull, bright, glassy]}
  # how wide it is
  width: {name: width, kind: measure, unit: mm}
couplets:
  # where it begins
  1:
    - lead: Dull
      when: {shine: dull}
      taxon: ovum
      note: "common in spring"
    # what is left
    - lead: Not so
      when: {not: {any: [{shine: dull}, {shine: bright}]}}
      to: 2

  # by width
  2:
    - lead: Narrow
      when: {width: < 4 mm}
      taxon: vitrum
    - lead: Wide
      when: {width: ">= 4 mm"}
      taxon: glacies
taxa:
  # the egg
  ovum: {name: Lapis ovum, sources: [book]}
  vitrum: {name: Vitrum maris, common: [sea glass]}
  glacies: {name: Glacies maris, synonyms: [Glacies vera]}
glossary:
  planum: flat thing
`);
  });

  it('keeps numbers and what is unused when asked to, and says where keying begins', () => {
    const { text } = trimmed(PEBBLES, ['vitrum', 'glacies'], { keepNumbers: true, keepUnused: true });
    expect(text).toContain('start: 3\n');
    expect(text).toMatch(/couplets:\n {2}# by width\n {2}3:\n/);
    expect(text).toContain('shape: {name: shape');
    expect(text).toContain('other: {cite: Another book}');
  });

  it('finds of removed taxa do not fall to "otherwise"', () => {
    const { after, out } = trimmed(PEBBLES, ['ovum', 'vitrum', 'glacies']);
    expect(out.writtenOut).toEqual([{ couplet: '1', lead: '1c', gone: ['1b'] }]);
    const bright = find(observed(after, { shine: 'bright', width: '3 mm' }));
    expect(determine(after, bright).possible).toEqual([]);
    const glassy = find(observed(after, { shine: 'glassy', width: '3 mm' }));
    expect(determine(after, glassy).possible.map((t) => t.id)).toEqual(['vitrum']);
  });

  it('warns of a taxon whose finds now get another name', () => {
    const { astray, toKnow } = trimmed(PEBBLES, ['ovum', 'vitrum', 'glacies']);
    expect(astray.map((a) => [a.taxon.id, a.by, a.as.map((t) => t.id)])).toEqual([
      ['planum', 'description', ['ovum']],
    ]);
    expect(toKnow.map((l) => [l.taxon.id, l.of[0]?.likeness.kind, l.parted])).toEqual([
      ['planum', 'alike', ['2b', '2a']],
      ['lux', 'alike', ['1b', '1a']],
    ]);
  });

  it('writes out aliases whose anchor goes', () => {
    const text = PEBBLES.replace('when: {shape: round}', 'when: &r {shape: round}')
      .replace('when: {shine: bright}', 'when: &b {shine: bright}')
      .replace('when: {width: < 4 mm}', 'when: {any: [*b, {width: < 4 mm}]}');
    const { after } = trimmed(text, ['ovum', 'planum', 'vitrum', 'glacies']);
    const couplet = after.chain.main.couplets.get('3');
    expect(couplet?.leads[0]?.when).toMatchObject({ kind: 'any' });
  });

  it('does not leave a key with one end', () => {
    expect(() => trimmed(PEBBLES, ['ovum'])).toThrow(/only one end of pebbles is on the list \(Lapis ovum\)/);
  });
});

const HARM = `keywright: 1
id: caps
title: Caps
version: 1.0.0
characters:
  ring: {name: ring, states: [present, absent]}
  spots: {name: spots, states: [many, few]}
  print: {name: spore print, states: [white, rust, pink]}
couplets:
  1:
    - {lead: Print white, when: {print: white}, to: 2}
    - {lead: Print rust, when: {print: rust}, to: 3}
    - {lead: Print pink, when: {print: pink}, taxon: ee}
  2:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
  3:
    - {lead: Many spots, when: {spots: many}, taxon: cc}
    - {lead: Few spots, when: {spots: few}, taxon: dd}
taxa:
  aa: {name: Aa aa, concern: {level: deadly}, traits: {print: white, ring: present, spots: many}}
  bb: {name: Bb bb, traits: {print: white, ring: absent, spots: few}}
  cc: {name: Cc cc, concern: {level: severe}, traits: {print: rust, spots: many, ring: present}}
  dd: {name: Dd dd, traits: {print: rust, spots: few, ring: absent}}
  ee: {name: Ee ee, traits: {print: pink}}
`;

describe('harmful look-alikes', () => {
  it('stay, with the reason, unless they are asked to go', () => {
    const kept = trimmed(HARM, ['Bb bb', 'Ee ee']);
    expect(kept.ends.map((t) => t.id)).toEqual(['aa', 'bb', 'ee']);
    expect(kept.stayed.map((l) => [l.taxon.id, l.of[0]?.likeness])).toEqual([
      ['aa', { kind: 'couplet', couplet: '2' }],
    ]);
    const dropped = trimmed(HARM, ['Bb bb', 'Ee ee'], { dropHarmful: true });
    expect(dropped.ends.map((t) => t.id)).toEqual(['bb', 'ee']);
    expect(dropped.toKnow.map((l) => l.taxon.id)).toContain('aa');
    expect(dropped.astray.map((a) => [a.taxon.id, a.as.map((t) => t.id)])).toEqual([['aa', ['bb']]]);
  });

  it('stay when one wrong observation separates them', () => {
    const text = HARM.replace('spots: few, ring: absent', 'spots: few, ring: present');
    const { stayed } = trimmed(text, ['Dd dd', 'Ee ee']);
    expect(stayed.map((l) => [l.taxon.id, l.of[0]?.likeness])).toEqual([
      ['aa', { kind: 'slip', characters: ['print'] }],
      ['cc', { kind: 'couplet', couplet: '3' }],
    ]);
  });

  it('that come nearer by what is no longer asked are named', () => {
    const { nearer } = trimmed(HARM, ['aa', 'dd', 'bb'], { dropHarmful: true });
    expect(nearer.map((n) => [n.taxon.id, n.to.id, n.before, n.after, n.lost])).toEqual([
      ['aa', 'dd', 2, 1, ['spots']],
    ]);
  });

  it('that lie in a group which stays as an end leave it their harm', () => {
    const text = HARM.replace('taxon: ee}', 'taxon: gg}')
      .replace(
        '  ee: {name: Ee ee, traits: {print: pink}}\n',
        '  gg: {name: Gg}\n  hh: {name: Gg hh, within: gg}\n',
      )
      .replace('cc: {name: Cc cc,', 'cc: {name: Gg cc, within: gg,');
    const { after } = trimmed(text, ['Gg hh', 'Bb bb'], { dropHarmful: true });
    expect(after.taxa.find((t) => t.id === 'gg')?.concern.level).toBe('severe');
  });
});

describe('random keys', () => {
  const subset = fc.subarray(['t1', 't2', 't3', 't4', 't5', 't6'], { minLength: 1 });
  const style = fc.constantFrom(
    (key: KeyData) => JSON.stringify(key),
    (key: KeyData) => stringify(key),
    (key: KeyData) => stringify(key, { collectionStyle: 'flow', lineWidth: 60 }),
  );

  /** What a find may be, by as much of it as the key asks. */
  const said = (key: CompiledKey, written: Record<string, string>) => {
    const known = Object.fromEntries(Object.entries(written).filter(([id]) => key.characterIndex.has(id)));
    return determine(key, find(observed(key, known))).possible.map((t) => t.id);
  };

  it('every find that came to a kept taxon still does, and comes to kept taxa only', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('tree' as const, 'reticulate' as const).chain((shape) => keyData(7, shape)),
        subset,
        style,
        fc.array(specimen.chain(seen), { minLength: 1, maxLength: 6 }),
        fc.boolean(),
        (key, names, write, finds, keepNumbers) => {
          const text = write(key);
          const result = perhaps(text, names, { dropHarmful: true, keepNumbers });
          if (result === undefined) return;
          const { before, after } = result;
          for (const written of finds) {
            const was = said(before, written);
            const now = said(after, written);
            expect(now).toEqual(expect.arrayContaining(was.filter((t) => names.includes(t))));
            expect(names).toEqual(expect.arrayContaining(now));
          }
        },
      ),
      { numRuns: 120 },
    );
  });

  it('trimmed to all their taxa they say the same of every find', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('tree' as const, 'reticulate' as const).chain((shape) => keyData(7, shape)),
        style,
        fc.array(specimen.chain(seen), { minLength: 1, maxLength: 6 }),
        (key, write, finds) => {
          const result = perhaps(write(key), ['t1', 't2', 't3', 't4', 't5', 't6']);
          if (result === undefined) return;
          const { before, after } = result;
          for (const written of finds) {
            expect(said(after, written).sort()).toEqual(said(before, written).sort());
          }
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe('a shipped key', () => {
  const file = 'keys/tarn-wood-tufts.key.yaml';
  const text = readFileSync(file, 'utf8');
  const shelf = new FolderShelf(process.cwd());
  const before = opened(text, shelf, file);
  const errors = (key: string) => lintKey(key, file, { shelf }).findings.filter((f) => f.level === 'error');

  it.each([
    ['Mycena inclinata', 'Pleurotus ostreatus', 'Panellus stipticus'],
    ['velvet shank', 'Hypholoma', 'Armillaria mellea (Vahl) P. Kumm.'],
    ['rust-spored', 'honey fungus'],
    ['Coprinellus', 'Psathyrella cf. piluliformis', 'Gymnopus fusipes'],
  ])('trimmed to %s, %s, ... keeps every taxon at its end and has no new errors', (...names) => {
    for (const dropHarmful of [false, true]) {
      const list = readChecklist(names.join('\n'), 'my.txt');
      const { trimmed: out } = trimKey(text, before, list, shelf, { ...OPTIONS, dropHarmful });
      if (out === undefined) throw new Error('nothing known');
      expect(errors(out.text)).toEqual([]);
      expect(out.ends.length).toBeGreaterThanOrEqual(3);
      for (const taxon of out.ends) {
        const number = out.after.taxa.findIndex((t) => t.id === taxon.id);
        const { values } = descriptionOf(out.after, number);
        expect(new Walk(out.after, evidenceOf(values), 0).reached).toContain(number);
      }
      const own = new Set(text.split('\n').map((l) => l.trim()));
      const comments = out.text.split('\n').filter((l) => l.trimStart().startsWith('#'));
      expect(comments.filter((l) => !own.has(l.trim()))).toEqual([]);
    }
  });
});
