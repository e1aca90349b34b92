import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { find, observed, open } from '../support/open.js';
import { type KeyData, keyData, seen, specimen } from '../support/random-keys.js';
import { determined, recordOf, redone, type Said, whole } from './making.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

const saids: fc.Arbitrary<Said[]> = fc.array(fc.oneof(fc.nat(3), fc.constant('?' as const)), {
  maxLength: 8,
});
const drawn = fc.tuple(keyData(6, 'reticulate'), specimen.chain(seen), saids);

/** The same key with words in every lead that no other lead has. */
function worded(data: KeyData): KeyData {
  const couplets = Object.fromEntries(
    Object.entries(data.couplets).map(([id, leads]) => [
      id,
      leads.map((lead, i) => ({ ...lead, lead: `Mark ${i} of question ${id}` })),
    ]),
  );
  return { ...data, couplets };
}

describe('a record run through a key again', () => {
  it('says that nothing is different, when the key is the same', () => {
    fc.assert(
      fc.property(drawn, ([data, one, said]) => {
        const key = open(data);
        const d = determined(key, find(observed(key, one, { specimen: 'a', stage: 'young' })), said);
        const [before] = whole(recordOf([d])).record.determinations;
        const { after, changes } = redone(before as never, key);
        expect(changes).toEqual({
          changed: false,
          name: { before: changes.name.after, after: changes.name.after },
          verdict: { before: d.result?.verdict, after: d.result?.verdict },
          gone: [],
          came: [],
          further: { gone: [], came: [] },
          altered: [],
          parting: undefined,
          opened: [],
          dropped: [],
          partly: [],
          moved: [],
          unread: [],
          otherwise: [],
          keys: [],
          evidence: { gone: [], came: [] },
        });
        expect(after.result).toEqual(d.result);
        expect(after.answers).toEqual(d.answers);
      }),
      { numRuns: 100 },
    );
  });

  it('comes to the same whatever the couplets are called and however their leads are ordered', () => {
    const shuffles = fc.tuple(drawn, fc.infiniteStream(fc.boolean()));
    fc.assert(
      fc.property(shuffles, ([[raw, one, said], turns]) => {
        const data = worded(raw);
        const n = Object.keys(data.couplets).length;
        const name = (id: string) => `${2 * n - Number(id)}`;
        const couplets = Object.fromEntries(
          Object.entries(data.couplets).map(([id, leads]) => {
            const renamed = leads.map((l) => (l.to === undefined ? l : { ...l, to: name(l.to) }));
            return [name(id), turns.next().value ? renamed.reverse() : renamed];
          }),
        );
        const key = open(data);
        const d = determined(key, find(observed(key, one)), said);
        const { after, changes } = redone(d, open({ ...data, version: '2', start: name('1'), couplets }));
        expect(changes).toMatchObject({
          changed: false,
          gone: [],
          came: [],
          dropped: [],
          partly: [],
          opened: [],
        });
        expect(changes.parting).toBeUndefined();
        expect(new Set(after.possible)).toEqual(new Set(d.possible));
        // Every answer has its words still, under another number.
        expect(after.answers.map((a) => a.says)).toEqual(d.answers.map((a) => a.says));
        for (const [i, a] of after.answers.entries())
          expect(a.couplet).toBe(name(d.answers[i]?.couplet ?? ''));
      }),
      { numRuns: 100 },
    );
  });

  it('finds the couplet whose lead ends elsewhere now', () => {
    let tried = 0;
    fc.assert(
      fc.property(drawn, fc.nat(), ([raw, one, said], pick) => {
        const data = worded(raw);
        const key = open(data);
        const d = determined(key, find(observed(key, one)), said);
        const ends = (d.result?.way ?? []).flatMap((s) =>
          s.going.filter((g) => g.ends !== undefined).map((g) => ({ couplet: s.couplet, lead: g.lead })),
        );
        const changed = ends[pick % Math.max(1, ends.length)];
        if (changed === undefined) return;
        tried++;
        const couplets = {
          ...data.couplets,
          [changed.couplet]: (data.couplets[changed.couplet] ?? []).map((l, i) =>
            'abc'[i] === changed.lead ? { ...l, taxon: 't9' } : l,
          ),
        };
        const taxa = { ...data.taxa, t9: { name: 'Genus t9', concern: { level: 'deadly' } } };
        const { changes } = redone(d, open({ ...data, version: '2', couplets, taxa }));
        expect(changes.changed).toBe(true);
        expect(changes.parting?.couplet).toBe(changed.couplet);
        expect(changes.came.map((c) => c.taxon)).toContain('t9');
        expect(changes.verdict.after?.word).toBe('leave it');
      }),
      { numRuns: 100 },
    );
    expect(tried).toBeGreaterThan(30);
  });

  it('follows an answer no further than its words, so that more stays possible and never less', () => {
    fc.assert(
      fc.property(drawn, fc.nat(), ([raw, one, said], pick) => {
        const data = worded(raw);
        const key = open(data);
        const d = determined(key, find(observed(key, one)), said);
        const taken = d.answers.filter((a) => a.lead !== '?');
        const chosen = taken[pick % Math.max(1, taken.length)];
        if (chosen === undefined) return;
        const couplets = {
          ...data.couplets,
          [chosen.couplet]: (data.couplets[chosen.couplet] ?? []).map((l, i) =>
            'abc'[i] === chosen.lead ? { ...l, lead: 'Something else altogether' } : l,
          ),
        };
        const { after, changes } = redone(d, open({ ...data, version: '2', couplets }));
        expect(changes.dropped.map((x) => x.couplet + x.lead)).toContain(chosen.couplet + chosen.lead);
        expect(changes.gone).toEqual([]);
        for (const taxon of d.possible) expect(after.possible).toContain(taxon);
      }),
      { numRuns: 100 },
    );
  });
});

const CAPS = {
  keywright: 1,
  id: 'caps',
  title: 'Caps',
  version: '1.0.0',
  characters: {
    ring: { name: 'ring', states: ['present', 'absent'] },
    print: { name: 'spore print', states: ['white', 'rust', 'black'] },
  },
  couplets: {
    1: [
      { lead: 'Ring present', when: { ring: 'present' }, to: '2' },
      { lead: 'Ring absent', when: { ring: 'absent' }, to: '3' },
    ],
    2: [
      { lead: 'Smell of meal', taxon: 'aa' },
      { lead: 'Smell of radish', taxon: 'bb' },
    ],
    3: [
      { lead: 'Print white', when: { print: 'white' }, taxon: 'cc' },
      { lead: 'Print rust', when: { print: 'rust' }, taxon: 'dd' },
    ],
  },
  taxa: {
    aa: { name: 'Genus aa', concern: { level: 'none-recorded' } },
    bb: { name: 'Genus bb', concern: { level: 'deadly' } },
    cc: { name: 'Genus cc' },
    dd: { name: 'Genus dd' },
  },
};

/** The example key with some of it changed. */
function caps(change: object = {}, couplets: object = {}, taxa: object = {}) {
  return open({
    ...CAPS,
    ...change,
    couplets: { ...CAPS.couplets, ...couplets },
    taxa: { ...CAPS.taxa, ...taxa },
  });
}

describe('an answer taken over to a newer version', () => {
  const meal = determined(caps(), find([]), [0, 0]);
  const white = determined(caps(), find([]), [1, 0]);

  it('is not applied to another couplet that has its number now', () => {
    const swapped = caps(
      {},
      {
        1: [
          { lead: 'Ring present', when: { ring: 'present' }, to: '3' },
          { lead: 'Ring absent', when: { ring: 'absent' }, to: '2' },
        ],
        2: CAPS.couplets[3],
        3: CAPS.couplets[2],
      },
    );
    const { after, changes } = redone(meal, swapped);
    expect(after.answers).toMatchObject([
      { couplet: '1', lead: 'a' },
      { couplet: '3', lead: 'a', from: '2a' },
    ]);
    expect(changes).toMatchObject({ changed: false, dropped: [], parting: undefined });
  });

  it('no longer holds when its words are others, and opens its couplet', () => {
    const reworded = caps({}, { 2: [{ lead: 'Smell of flour', taxon: 'aa' }, CAPS.couplets[2][1]] });
    const { changes } = redone(meal, reworded);
    expect(changes.dropped).toMatchObject([{ couplet: '2', lead: 'a', why: 'its wording has changed' }]);
    expect(changes).toMatchObject({
      changed: true,
      gone: [],
      came: [{ taxon: 'bb', concern: 'deadly' }],
      opened: ['2'],
      parting: { couplet: '2', why: 'a and b go on now, a before, since nothing decides it any more' },
      verdict: { before: { word: 'not cleared' }, after: { word: 'leave it', worst: 'deadly' } },
    });
  });

  it('no longer holds when its condition is another', () => {
    const other = caps(
      {},
      { 3: [{ ...CAPS.couplets[3][0], when: { print: ['white', 'black'] } }, CAPS.couplets[3][1]] },
    );
    expect(redone(white, other).changes.dropped).toMatchObject([
      { couplet: '3', lead: 'a', why: 'its condition is another now' },
    ]);
  });

  it('counts for what it says of the find, when another lead of its couplet has changed', () => {
    const third = caps(
      {},
      {
        3: [
          ...CAPS.couplets[3],
          { lead: 'Print black or white', when: { print: ['black', 'white'] }, taxon: 'bb' },
        ],
      },
    );
    const { changes, after } = redone(white, third);
    expect(changes.dropped).toEqual([]);
    expect(changes.partly).toMatchObject([
      { couplet: '3', lead: 'a', when: 'print: white', counts: 'evidence' },
    ]);
    // The new lead is not refused by an answer that was given before it was there.
    expect([...after.possible].sort()).toEqual(['bb', 'cc']);
    expect(changes.verdict.after?.word).toBe('leave it');
  });

  it('without a condition leans on the other leads, and is not taken over when these have changed', () => {
    const third = caps({}, { 2: [...CAPS.couplets[2], { lead: 'Smell of nothing', taxon: 'cc' }] });
    expect(redone(meal, third).changes).toMatchObject({
      changed: true,
      dropped: [{ couplet: '2', lead: 'a', why: 'its couplet has other leads now' }],
      opened: ['2'],
    });
  });

  it('holds again when a still newer version says again what it was given to', () => {
    const reworded = caps({}, { 2: [{ lead: 'Smell of flour', taxon: 'aa' }, CAPS.couplets[2][1]] });
    const between = redone(meal, reworded).after;
    const { after, changes } = redone(between, caps({ version: '1.2.0' }));
    expect(after.possible).toEqual(['aa']);
    expect(changes.dropped).toEqual([]);
  });

  it('does not move into another key of the chain that asks the same', () => {
    const other = JSON.stringify({
      ...CAPS,
      id: 'other',
      couplets: { 1: CAPS.couplets[2] },
      taxa: { aa: CAPS.taxa.aa, bb: CAPS.taxa.bb },
    });
    const chained = open(
      {
        ...CAPS,
        version: '1.1.0',
        couplets: {
          1: CAPS.couplets[1],
          2: [
            { lead: 'Smell of meal, strong', taxon: 'aa' },
            { lead: 'Smell of another kind', key: 'other' },
          ],
          3: CAPS.couplets[3],
        },
      },
      {
        key: () => ({ ok: true, file: 'other.key.yaml', text: other }),
        terms: () => ({ ok: false, problem: 'none' }),
      },
    );
    const { after, changes } = redone(meal, chained);
    expect(changes.dropped).toMatchObject([{ couplet: '2', lead: 'a', why: 'its wording has changed' }]);
    expect([...after.possible].sort()).toEqual(['aa', 'bb']);
  });

  it('stands at a couplet of which there are several now: it is not guessed which is meant', () => {
    const twice = caps(
      {},
      {
        2: [
          { lead: 'Small', to: '5' },
          { lead: 'Large', to: '6' },
        ],
        5: CAPS.couplets[2],
        6: CAPS.couplets[2],
      },
    );
    expect(redone(meal, twice).changes.dropped).toMatchObject([
      { couplet: '2', lead: 'a', why: 'what it says stands at several couplets now: 5 and 6' },
    ]);
  });

  it('is found again when the key begins at another couplet', () => {
    const before = caps(
      { start: '4' },
      {
        4: [
          { lead: 'X', to: '1' },
          { lead: 'Y', to: '1' },
        ],
      },
    );
    const { after, changes } = redone(meal, before);
    expect(after.possible).toEqual(['aa']);
    expect(changes.parting).toEqual({
      couplet: '4',
      why: 'the key begins at another couplet: 4, before 1',
    });
  });
});

describe('what a newer version changes without touching an answer', () => {
  const meal = determined(caps(), find([]), [0, 0]);

  it.each([
    [
      'where a lead leads',
      caps(
        {},
        { 1: [{ ...CAPS.couplets[1][0], to: '3' }, CAPS.couplets[1][1]], 2: undefined },
        { aa: undefined },
      ),
      { couplet: '1', why: 'a leads to couplet 3 now, to couplet 2 before' },
    ],
    [
      'where a lead ends',
      caps({}, { 2: [{ ...CAPS.couplets[2][0], taxon: 'cc' }, CAPS.couplets[2][1]] }),
      { couplet: '2', why: 'a leads to cc now, to aa before' },
    ],
    [
      'that a lead goes on',
      caps(
        {},
        {
          2: [{ lead: 'Smell of meal', to: '4' }, CAPS.couplets[2][1]],
          4: [
            { lead: 'Small', taxon: 'aa' },
            { lead: 'Large', taxon: 'cc' },
          ],
        },
      ),
      { couplet: '2', why: 'a leads to couplet 4 now, to aa before' },
    ],
  ])('%s: the couplet at which the way parts is named', (_, key, parting) => {
    expect(redone(meal, key).changes.parting).toEqual(parting);
  });

  it('a name: the taxon is known by its id, or by a name among its synonyms', () => {
    const renamed = caps(
      {},
      { 2: [{ ...CAPS.couplets[2][0], taxon: 'ab' }, CAPS.couplets[2][1]] },
      {
        aa: undefined,
        ab: { name: 'Genus ab', synonyms: ['Genus aa'], concern: { level: 'none-recorded' } },
      },
    );
    expect(redone(meal, renamed).changes).toMatchObject({
      changed: true,
      gone: [],
      came: [],
      altered: [{ before: { name: 'Genus aa' }, after: { name: 'Genus ab' } }],
    });
  });

  it('a concern: the result is another though the name is the same', () => {
    const worse = caps({}, {}, { aa: { name: 'Genus aa', concern: { level: 'severe' } } });
    expect(redone(meal, worse).changes).toMatchObject({
      changed: true,
      name: { before: 'Genus aa', after: 'Genus aa' },
      altered: [{ before: { concern: 'none-recorded' }, after: { concern: 'severe' } }],
      verdict: { before: { word: 'not cleared' }, after: { word: 'leave it' } },
      parting: undefined,
    });
  });

  it('a character: evidence that is not understood any more is told, and stays in the record', () => {
    const key = caps();
    const d = determined(key, find(observed(key, { print: 'white', ring: 'absent' })), []);
    const without = caps(
      {
        characters: { ...CAPS.characters, print: { name: 'spore print', states: ['pale', 'rust'] } },
      },
      {
        3: [{ lead: 'Print pale', when: { print: 'pale' }, taxon: 'cc' }, CAPS.couplets[3][1]],
      },
    );
    const { after, changes } = redone(d, without);
    expect(changes.unread).toEqual([expect.stringContaining('"white" is not a state of print')]);
    expect(after.collection).toEqual(d.collection);
    expect(after.possible).toEqual(['cc', 'dd']);
  });

  it('a lead that the find came with is known by its words as well', () => {
    const key = caps();
    const d = determined(key, find([], { choices: [{ couplet: '2', letter: 'a' }] }), [0]);
    expect(d.collection.leads).toMatchObject([{ couplet: '2', lead: 'a', says: ['Smell of meal'] }]);
    const reworded = caps({}, { 2: [{ lead: 'Smell of flour', taxon: 'aa' }, CAPS.couplets[2][1]] });
    const { after, changes } = redone(d, reworded);
    expect(after.possible).toEqual(['aa', 'bb']);
    expect(changes.unread).toEqual(['lead 2a, chosen beforehand: its wording has changed']);
  });
});
