import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readChecklist } from '../../src/commands/trim/checklist.js';
import { trimKey } from '../../src/commands/trim/trim.js';
import { Failure } from '../../src/diagnostic/failure.js';
import { compile } from '../../src/engine/compile.js';
import { evidenceOf } from '../../src/engine/evidence.js';
import { Walk } from '../../src/engine/walk.js';
import type { Chain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import { changesSomething, diffKeys, type KeyDiff } from '../../src/versions/diff.js';
import { drawFinds } from '../../src/versions/draw.js';
import { chainOf } from '../support/markup.js';
import { type KeyData, keyData, type LeadData, when } from '../support/random-keys.js';

const diff = (old: object | string | Chain, now: object | string | Chain): KeyDiff => {
  const opened = [old, now].map((k) => (typeof k === 'object' && 'nodes' in k ? (k as Chain) : chainOf(k)));
  return diffKeys(opened[0] as Chain, opened[1] as Chain);
};

/** The same key with other numbers, its couplets in another order in the file. */
function renumbered(key: KeyData, order: number[]): KeyData {
  const ids = Object.keys(key.couplets);
  const name = (id: string) => `N${(order[ids.indexOf(id)] ?? 0) + 1}`;
  const lead = (l: LeadData): LeadData => (l.to === undefined ? l : { ...l, to: name(l.to) });
  const entries = ids.map((id) => [name(id), (key.couplets[id] ?? []).map(lead)] as const);
  entries.sort(([a], [b]) => Number(a.slice(1)) - Number(b.slice(1)));
  return { ...key, start: name(ids[0] ?? ''), couplets: Object.fromEntries(entries) } as KeyData;
}

/** Where each of many finds ends in both versions, drawn independently of what the comparison did. */
function drawnMoves(found: KeyDiff, many: number): number {
  const { joint } = found;
  const ends = (key: typeof joint.old, known: Map<number, unknown>) => {
    const walk = new Walk(key, evidenceOf(key.characters.map((_, i) => known.get(i)) as never), 0);
    return walk.reached
      .map((t) => key.taxa[t]?.id)
      .sort()
      .join();
  };
  let moves = 0;
  for (const find of drawFinds(joint, many))
    if (ends(joint.old, find as never) !== ends(joint.now, find as never)) moves++;
  return moves;
}

const keys = fc.constantFrom('tree' as const, 'reticulate' as const).chain((shape) => keyData(7, shape));

describe('random keys', () => {
  it('numbered anew and put in another order are not changed', () => {
    fc.assert(
      fc.property(
        keys.chain((key) =>
          fc.tuple(
            fc.constant(key),
            fc.shuffledSubarray([...Object.keys(key.couplets).keys()], {
              minLength: Object.keys(key.couplets).length,
            }),
          ),
        ),
        ([key, order]) => {
          const found = diff(key, renumbered(key, order));
          expect(found.finds).toEqual({ moved: [], undecided: [], drawn: 0 });
          expect(changesSomething(found)).toBe(false);
          expect(found.words).toEqual([]);
        },
      ),
      { numRuns: 30 },
    );
  });

  it('with one condition changed: a find is shown when and only when one ends elsewhere', () => {
    let shown = 0;
    fc.assert(
      fc.property(keys, when, fc.nat(), fc.nat(), (key, condition, c, l) => {
        const ids = Object.keys(key.couplets);
        const id = ids[c % ids.length] as string;
        const leads = key.couplets[id] as LeadData[];
        const index = l % leads.length;
        if (leads[index]?.when === undefined) return;
        const changed = leads.map((lead, i) => (i === index ? { ...lead, when: condition } : lead));
        const now = { ...key, couplets: { ...key.couplets, [id]: changed } };
        const found = diff(key, now);
        expect(found.finds.undecided).toEqual([]);
        const drawn = drawnMoves(found, 150);
        if (drawn > 0) expect(found.finds.moved.length).toBeGreaterThan(0);
        for (const { was, is } of found.finds.moved) {
          shown++;
          expect(was.map((t) => t.id).sort()).not.toEqual(is.map((t) => t.id).sort());
        }
      }),
      { numRuns: 60 },
    );
    expect(shown).toBeGreaterThan(10);
  });

  it('trimmed to all their taxa are not changed for finds', () => {
    fc.assert(
      fc.property(keys, (key) => {
        const text = JSON.stringify(key);
        const list = readChecklist(Object.keys(key.taxa).join('\n'), 'all.txt');
        const options = {
          list: 'all.txt',
          id: 'all',
          title: 'All',
          date: '2026-11-25',
          keepNumbers: false,
          dropHarmful: false,
          keepUnused: true,
        };
        try {
          const { trimmed } = trimKey(text, compile(chainOf(text)), list, emptyShelf, options);
          const found = diff(text, trimmed?.text ?? '');
          expect([found.finds.moved, found.finds.undecided, found.gone]).toEqual([[], [], []]);
        } catch (error) {
          if (!(error instanceof Failure)) throw error;
        }
      }),
      { numRuns: 40 },
    );
  });

  it('compared with others: nothing drawn is overlooked', () => {
    fc.assert(
      fc.property(keys, keys, (old, now) => {
        const found = diff(old, now);
        if (found.finds.moved.length === 0 && found.finds.undecided.length === 0)
          expect(drawnMoves(found, 300)).toBe(0);
      }),
      { numRuns: 25 },
    );
  });
});
