/** A key that was drafted and edited by hand is brought up to date with a changed table, and keeps what its author made. */
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { reviseKey } from '../../src/commands/draft/revise/revise.js';
import { readTaxaTable } from '../../src/commands/draft/table.js';
import { Failure } from '../../src/diagnostic/failure.js';
import { determine } from '../../src/engine/determine.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import { findingLines } from '../../src/words/findings.js';
import { find, observed, open } from '../support/open.js';
import { faultsOf } from './lint.js';
import { draft, drafted } from './support.js';
import { ids, specimenOf, type TableData, tables } from './tables.js';

vi.setConfig({ testTimeout: 120_000 });

function revised(text: string, data: object | string, form: 'yaml' | ',' = 'yaml') {
  const { chain } = loadChain(text, 'k.key.yaml', emptyShelf);
  const written = typeof data === 'string' ? data : JSON.stringify(data);
  const read = readTaxaTable({ file: 'taxa.yaml', text: written }, form, emptyShelf);
  if (chain === undefined || read.table === undefined) throw new Error('not loaded');
  expect(findingLines(read.findings)).toEqual([]);
  const out = reviseKey(text, chain, read.table, {
    prefer: ['effort', 'reliability'],
    lookAhead: 1,
    mostLeads: 2,
    mostCouplets: 200,
    shelf: emptyShelf,
  });
  return { ...out, text: out.text ?? '' };
}

/** What words by hand begin with. */
const MINE = 'In my own words';

/** Edits such as an author makes: other words, remarks, numbers, and another order of the couplets. */
function byHand(text: string, dice: readonly number[]): string {
  const [head = '', couplets = '', tail = ''] = text.split(/(?<=\ncouplets:\n)|(?=\n\ntaxa:\n)/);
  let n = 0;
  const roll = () => dice[n++ % dice.length] as number;
  const blocks = couplets
    .split(/(?=^ {2}# |^ {2}\d+:$)/m)
    .reduce<string[]>((all, part) => {
      // A block begins with its comment.
      if (/^ {2}#/.test(part) || all.length === 0 || !/^ {2}# [^\n]*\n$/.test(all.at(-1) ?? ''))
        all.push(part);
      else all[all.length - 1] += part;
      return all;
    }, [])
    .map((block) =>
      block
        .replace(/^( {4}- lead: )[^>\n].*$/gm, (line, start: string) =>
          roll() < 0.4 ? `${start}${MINE} ${n}   # said by hand` : line,
        )
        .replace(/^ {2}# .*$/m, (line) =>
          roll() < 0.3 ? `  # a remark ${n}\n${line}` : roll() < 0.2 ? '  # mine' : line,
        ),
    );
  const [first = '', ...others] = blocks;
  const order = roll() < 0.5 ? [...others].reverse() : others;
  const moved = [first.replace(/\n*$/, '\n'), ...order.map((b) => b.replace(/\n*$/, '\n'))]
    .join('')
    .replace(/\n$/, '');
  const numbered =
    roll() < 0.5
      ? moved.replace(
          /^( {2}|.*\bto: )(\d+)(:?)$/gm,
          (_, before: string, id: string, after: string) => `${before}${Number(id) * 10}${after}`,
        )
      : moved;
  return head + numbered + tail;
}

const dice = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 11, maxLength: 40 });
const CHANGES = ['add', 'remove', 'copy cell', 'drop cell', 'drop column', 'rename'] as const;
const DROPPED = ['print', 'gills', 'smell', 'width', 'spores', 'teeth'];

/** A table after some changes, and the columns that it lost. */
function changed(
  table: TableData,
  other: TableData,
  how: readonly (typeof CHANGES)[number][],
  roll: readonly number[],
) {
  const now = structuredClone(table) as TableData;
  const gone: string[] = [];
  how.forEach((change, i) => {
    const names = Object.keys(now.taxa);
    const at = (k: number) =>
      names[Math.floor((roll[(i * 3 + k) % roll.length] as number) * names.length * 0.999)] as string;
    const [a, b] = [now.taxa[at(0)], now.taxa[at(1)]];
    const id = ids[Math.floor((roll[(i * 3 + 2) % roll.length] as number) * ids.length * 0.999)] as string;
    const free = DROPPED.includes(id);
    if (change === 'add') {
      const [one] = Object.values(other.taxa);
      if (one !== undefined)
        now.taxa[`n${i}`] = { ...one, name: `Novus ${'abcdef'[i]}us`, traits: { ...one.traits } };
      for (const g of gone) delete now.taxa[`n${i}`]?.traits[g];
      if (Object.keys(now.taxa[`n${i}`]?.traits ?? {}).length === 0) delete now.taxa[`n${i}`];
    } else if (change === 'remove' && names.length > 3) delete now.taxa[at(0)];
    else if (change === 'copy cell' && free && a !== undefined && b?.traits[id] !== undefined)
      a.traits[id] = b.traits[id];
    else if (change === 'drop cell' && free && a !== undefined && Object.keys(a.traits).length > 1)
      delete a.traits[id];
    else if (change === 'drop column' && free && gone.length === 0) {
      if (Object.values(now.taxa).some((t) => Object.keys(t.traits).every((c) => c === id))) return;
      gone.push(id);
      delete now.characters[id];
      for (const t of Object.values(now.taxa)) delete t.traits[id];
    } else if (change === 'rename' && a !== undefined) a.name = `Alius ${'abcdef'[i]}us`;
  });
  return { now, gone };
}

/** Nothing where too few taxa are left for a key, or for the table of this one. */
function unlessOfOthers<T>(run: () => T): T | undefined {
  try {
    return run();
  } catch (error) {
    if (error instanceof Failure && /has only \d+ of the|nothing is left to choose/.test(error.message))
      return undefined;
    throw error;
  }
}

/** What lint must not find in a revised key that it did not find in the key before. */
const SOUND =
  /^(?:leads-|ranges-|lead-possible|couplet-|taxon-|description-agrees|order-|path-|pointer-|property-|text-matches)/;

describe('a key that was edited by hand', () => {
  it('is the same, byte for byte, when the table is', () => {
    fc.assert(
      fc.property(tables(10), dice, (table, rolled) => {
        fc.pre(draft(table).drafted !== undefined);
        const text = byHand(drafted(table).text, rolled);
        const { text: now, look, done } = revised(text, table);
        expect(now).toBe(text);
        expect([...look, ...done]).toEqual([]);
      }),
      { numRuns: 40, endOnFailure: true },
    );
  });

  it('keeps every taxon of a changed table, its own words, and is as sound as before', () => {
    const how = fc.array(fc.constantFrom(...CHANGES), { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(tables(9), tables(3), how, dice, dice, (table, other, changes, rolled, hand) => {
        const { now, gone } = changed(table, other, changes, rolled);
        fc.pre(draft(table).drafted !== undefined && draft(now).drafted !== undefined);
        const text = byHand(drafted(table).text, hand);
        const out = unlessOfOthers(() => revised(text, now));
        if (out === undefined) return fc.pre(false);
        const key = open(out.text);
        for (const { name, traits } of Object.values(now.taxa)) {
          const specimen = specimenOf(traits, rolled) as Record<string, string>;
          for (const id of gone) delete specimen[id];
          const { candidates } = determine(key, find(observed(key, specimen)));
          expect(
            candidates.map((c) => c.taxon.name),
            `${JSON.stringify(specimen)}\n${out.text}`,
          ).toContain(name);
        }
        const before = open(text).chain.main;
        for (const couplet of key.chain.main.couplets.values()) {
          const old = before.couplets.get(couplet.id);
          if (old === undefined) expect(out.couplets).toContain(couplet.id);
          if (out.done.some((d) => d.startsWith('gone'))) continue;
          for (const { text: words, when } of old?.leads ?? []) {
            // Words of a draft change with what their lead asks, and with nothing else.
            const asked = couplet.leads.find((l) => JSON.stringify(l.when) === JSON.stringify(when));
            if (asked !== undefined || words.startsWith(MINE))
              expect(couplet.leads.map((l) => l.text)).toContain(words);
          }
        }
        const said = (t: string) => faultsOf(t).filter((f) => SOUND.test(f.rule) && f.level !== 'note');
        const known = new Set(said(text).map((f) => f.rule));
        expect(findingLines(said(out.text).filter((f) => !known.has(f.rule))).join('\n'), out.text).toBe('');
      }),
      { numRuns: 60, endOnFailure: true },
    );
  });

  it('gives finds that lack a character to a lead, where the couplet that kept them off is gone', () => {
    const characters = {
      ring: { name: 'ring on the stem', states: ['present', 'absent'] },
      texture: {
        name: 'texture of the ring',
        states: ['membranous', 'fibrous', 'powdery'],
        'applies-when': { ring: 'present' },
      },
      edge: {
        name: 'edge of the ring',
        states: ['even', 'toothed'],
        'applies-when': { texture: ['membranous', 'fibrous'] },
      },
    };
    const taxon = (name: string, traits: object) => ({ name: `Taxon ${name}us`, rank: 'species', traits });
    const taxa = {
      a: taxon('a', { ring: 'absent' }),
      b: taxon('b', { texture: 'membranous', edge: 'even' }),
      c: taxon('c', { texture: 'fibrous', edge: 'even' }),
      d: taxon('d', { texture: 'fibrous', edge: 'toothed' }),
    };
    const table = {
      'keywright-taxa': 1,
      characters,
      taxa: { ...taxa, e: taxon('e', { texture: 'powdery' }) },
    };
    // One of the keys that can be drafted from it.
    const couplets = `couplets:
  1:
    - lead: Ring on the stem absent, or ring texture membranous
      when: {any: [{ring: absent}, {texture: membranous}]}
      to: 2
    - lead: Ring on the stem present; ring texture fibrous or powdery
      when: {ring: present, texture: [fibrous, powdery]}
      to: 3
  2:
    - {lead: Ring on the stem present, when: {ring: present}, taxon: b}
    - {lead: Ring on the stem absent, when: {ring: absent}, taxon: a}
  3:
    - {lead: Ring texture powdery, when: {texture: powdery}, taxon: e}
    - {lead: Ring texture fibrous, when: {texture: fibrous}, to: 4}
  4:
    - lead: Ring edge even
      when: {edge: even}
      taxon: c
    - lead: Ring edge toothed
      when: {edge: toothed}
      taxon: d

taxa:
`;
    const text = drafted(table).text.replace(/^couplets:\n[\s\S]*?^taxa:\n/m, couplets);
    expect(text).toContain(couplets);
    const now = revised(text, { ...table, taxa });
    expect(now.text).toContain('any: [{texture: powdery}, {edge: even}]');
    expect(now.text).toContain('Ring texture powdery, or ring edge even');
    expect(now.look).toEqual([]);
    expect(faultsOf(now.text).map((f) => f.rule)).not.toContain('leads-exhaustive');
    const mine = revised(text.replace(/Ring edge /g, 'Edge '), { ...table, taxa });
    expect(mine.text).toContain('lead: Edge even\n      when: {any: [{texture: powdery}, {edge: even}]}');
    expect(mine.look).toEqual([
      expect.stringMatching(
        /^lead \d[ab] also takes texture of the ring powdery now; its words are your own/,
      ),
    ]);
  });
});
