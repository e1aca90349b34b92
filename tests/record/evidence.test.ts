import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CompiledKey } from '../../src/engine/compile.js';
import { determine } from '../../src/engine/determine.js';
import { evidenceOfRecord } from '../../src/record/evidence.js';
import { traitsInWords } from '../../src/record/lead-traits.js';
import type { FindRecord, RecordedDetermination } from '../../src/record/write.js';
import type { Collection } from '../../src/traits/collection.js';
import { writeValue } from '../../src/traits/value.js';
import { find, observed, open } from '../support/open.js';
import { judgeWhen } from '../support/oracle.js';
import {
  characters,
  type KeyData,
  keyData,
  type Specimen,
  seen,
  specimen,
  type When,
} from '../support/random-keys.js';
import { determined, keyingOf, recordOf, whole } from './making.js';

const possible = (key: CompiledKey, collection: Collection) =>
  determine(key, collection).possible.map((t) => t.id);

const written = (s: Specimen) => Object.fromEntries(Object.entries(s).map(([id, v]) => [id, String(v)]));

/** A determination by somebody who sees everything and answers what is true; "can't tell" where no lead fits. */
function keyedTruly(data: KeyData, s: Specimen): RecordedDetermination {
  const keying = keyingOf(open(data), find([]), []);
  for (let ask = keying.standing.ask; ask !== undefined; ask = keying.standing.ask) {
    const leads = data.couplets[ask.couplet.name] ?? [];
    const fits = leads.map((l) => l.when !== undefined && judgeWhen(l.when, written(s)) === 'fits');
    const free = leads.findIndex((l) => l.when === undefined && l.otherwise !== true);
    const rest = free >= 0 ? free : leads.findIndex((l) => l.otherwise === true);
    const lead = fits.includes(true) ? fits.indexOf(true) : rest;
    keying.answer(lead < 0 ? undefined : lead);
  }
  keying.finish();
  return keying.record();
}

const record = (...determinations: RecordedDetermination[]): FindRecord =>
  whole(recordOf(determinations)).record;

/** As records were before answers had what they say of characters. */
const older = (d: RecordedDetermination): RecordedDetermination => ({
  ...d,
  answers: d.answers.map(({ shows: _, ...a }) => a),
});

const showing = (collection: Collection, key: CompiledKey) =>
  Object.fromEntries(
    collection.observations.map((o) => {
      const character = key.chain.characters.get(o.character);
      return [o.character, character === undefined ? '' : writeValue(character, o.value)];
    }),
  );

describe('the evidence of a record', () => {
  it('for the key that it was made with is what the keying came to', () => {
    const drawn = fc.tuple(
      keyData(6, 'reticulate'),
      specimen.chain(seen),
      fc.array(fc.oneof(fc.nat(2), fc.constant('?' as const)), { maxLength: 6 }),
    );
    fc.assert(
      fc.property(drawn, ([data, one, said]) => {
        const key = open(data);
        const d = determined(key, find(observed(key, one, { specimen: 'a' })), said);
        const { collection, lost } = evidenceOfRecord(record(d), key.chain);
        expect(lost).toEqual([]);
        expect(possible(key, collection)).toEqual(d.result?.candidates.map((c) => c.taxon));
      }),
    );
  });

  it('rules nothing out in another key that all that is true of the find leaves', () => {
    const drawn = fc.tuple(keyData(6, 'reticulate'), keyData(6, 'reticulate'), specimen);
    let narrowed = 0;
    fc.assert(
      fc.property(drawn, ([data, other, s]) => {
        const key = open({ ...other, id: 'other' });
        const d = keyedTruly(data, s);
        const { collection, replaced } = evidenceOfRecord(record(d), key.chain);
        const before = evidenceOfRecord(record(older(d)), key.chain).collection;
        expect(replaced).toEqual([]);
        const [all, now, words] = [find(observed(key, written(s))), collection, before].map((c) =>
          possible(key, c),
        ) as [string[], string[], string[]];
        expect(now).toEqual(expect.arrayContaining(all));
        // What is worked out from words says no more than what was kept.
        expect(words).toEqual(expect.arrayContaining(now));
        if (words.length < possible(key, find([])).length) narrowed++;
      }),
      { numRuns: 300 },
    );
    expect(narrowed).toBeGreaterThan(5);
  });

  it('says that a ring is there where a lead says what it is, and not where a lead denies what it is', () => {
    const texture = (when: When): KeyData => ({
      ...caps,
      id: 'texture',
      characters: characters as unknown as KeyData['characters'],
      couplets: {
        1: [
          { lead: 'This', when, taxon: 'x' },
          { lead: 'Other', otherwise: true, taxon: 'y' },
        ],
      },
    });
    const key = open({ ...texture({ texture: 'fibrous' }), id: 'other' });
    const said = (when: When, lead: number) => {
      const d = determined(open(texture(when)), find([]), [lead]);
      return [d, older(d)].map((one) => showing(evidenceOfRecord(record(one), key.chain).collection, key));
    };
    const fibrous = { texture: 'fibrous' };
    const both = { ring: 'present', ...fibrous };
    const double = { not: { any: [{ texture: { not: ['fibrous'] } }] } };
    expect(said(double, 0)).toEqual([{}, {}]);
    expect(said({ texture: { not: ['fibrous'] } }, 1)).toEqual([{}, {}]);
    expect(said({ not: { not: fibrous } }, 0)).toEqual([both, fibrous]);
    // Records without the meaning of their leads know what depends on others from the key that reads them.
    expect(said({ not: fibrous }, 1)[0]).toEqual(both);
    expect(said({ any: [{ gills: 'free' }] }, 0)).toEqual([{ gills: 'free' }, { gills: 'free' }]);
    expect(said({ not: { any: [{ gills: 'free' }, { width: '< 1' }] } }, 0)[0]).toEqual({
      gills: 'adnate | decurrent',
      width: '>= 1 cm',
    });
  });

  const caps: KeyData = {
    keywright: 1,
    id: 'caps',
    title: 'Caps',
    version: '1',
    characters: {
      print: { name: 'print', states: { white: 'white to cream', rust: 'rusty brown', dark: 'black' } },
      smell: { name: 'smell', states: ['flour', 'none'] },
      width: { name: 'width', kind: 'measure', unit: 'cm' },
    },
    couplets: {
      1: [
        { lead: 'White', when: { print: 'white' }, to: '2' },
        { lead: 'Other', otherwise: true, to: '2' },
      ],
      2: [
        { lead: 'Small', when: { width: '< 4 cm' }, to: '3' },
        { lead: 'Large', when: { width: '>= 4 cm' }, to: '3' },
      ],
      3: [
        { lead: 'Nice', taxon: 'x' },
        { lead: 'Ugly', taxon: 'y' },
      ],
    },
    taxa: { x: { name: 'X' }, y: { name: 'Y' } },
  };
  const local = (print: object): KeyData => ({
    ...caps,
    id: 'local',
    characters: {
      print: { name: 'colour of the print', states: print } as never,
      width: caps.characters.width as never,
    },
    couplets: {
      1: [
        { lead: 'White', when: { print: 'white' }, taxon: 'x' },
        { lead: 'Rust', when: { print: 'rust' }, taxon: 'y' },
      ],
    },
  });
  const ours = open(local({ white: 'white to cream', rust: 'rusty brown', dark: 'black' }));
  const keyed = (said: number[]) => determined(open(caps), find([]), said);

  it('is what leads say of single characters, with the others of an otherwise denied', () => {
    const { collection, lost } = evidenceOfRecord(record(keyed([1, 0, 0])), ours.chain);
    expect(showing(collection, ours)).toEqual({
      print: 'rust | dark',
      width: '0 to < 4 cm'.replace('0 to', '>= 0 to'),
    });
    expect(lost).toEqual(['answer 3a of caps, which says nothing of one character alone']);
  });

  it('leaves out states that mean something else in the other key', () => {
    const theirs = open(local({ white: 'pure white', rust: 'rusty brown', dark: 'black' }));
    const { collection, lost } = evidenceOfRecord(record(keyed([0])), theirs.chain);
    expect(collection.observations).toEqual([]);
    expect(lost).toEqual([
      'print (white, answer 1a of caps): means "colour of the print: pure white" there; noted was "print: white to cream"',
    ]);
    const few = open(local({ white: 'white to cream', rust: 'rusty brown' }));
    expect(evidenceOfRecord(record(keyed([1])), few.chain).lost[0]).toContain(
      '"dark" is not a state of print',
    );
  });

  it('goes by the later of two determinations that differ, and says so', () => {
    const both = record(keyed([0, 0]), keyed([1, 0]));
    const { collection, replaced } = evidenceOfRecord(both, ours.chain);
    expect(showing(collection, ours).print).toBe('rust | dark');
    expect(collection.observations).toHaveLength(2);
    expect(replaced).toEqual([
      'print: rust | dark (answer 1b, determination 2) counts, not white (answer 1a, determination 1)',
    ]);
  });

  it('keeps doubts, specimens and ages, and never narrows what is sure by a doubt', () => {
    const d = keyed([0, 0]);
    const doubtful = {
      ...d,
      answers: d.answers.map((a, i) =>
        i === 0 ? { ...a, doubt: 'thin', specimen: 'b', stage: 'mature' } : { ...a, doubt: 'guessed' },
      ),
      collection: {
        ...d.collection,
        evidence: [{ character: 'width', shows: '3-5 cm', specimen: 'a', doubted: true as const }],
      },
    };
    const { observations } = evidenceOfRecord(record(doubtful), ours.chain).collection;
    expect(observations).toMatchObject([
      { character: 'width', specimen: 'a', doubted: true },
      { character: 'print', specimen: 'b', stage: 'mature', doubted: true },
    ]);
    const sure = {
      ...doubtful,
      collection: { ...d.collection, evidence: [{ character: 'width', shows: '3-5 cm' }] },
    };
    const [width] = evidenceOfRecord(record(sure), ours.chain).collection.observations;
    expect(width).toEqual(observed(ours, { width: '3-5 cm' })[0]);
  });

  it('is not counted against what was seen', () => {
    const d = keyed([0, 0]);
    const against = {
      ...d,
      collection: { ...d.collection, evidence: [{ character: 'width', shows: '7 cm' }] },
    };
    const { collection, replaced } = evidenceOfRecord(record(against), ours.chain);
    expect(showing(collection, ours).width).toBe('7 cm');
    expect(replaced).toEqual([
      'width: 7 cm (seen, determination 1) counts, not >= 0 to < 4 cm (answer 2a, determination 1)',
    ]);
  });

  it('leaves out the answers that were given with this very key, where they are to be given anew', () => {
    const { collection } = evidenceOfRecord(record(keyed([0, 0])), open(caps).chain, { anew: true });
    expect([collection.choices, collection.observations]).toEqual([[], []]);
  });
});

describe('what older records say of characters', () => {
  const { characters } = open({
    keywright: 1,
    id: 'k',
    title: 'K',
    version: '1',
    characters: {
      a: { name: 'a', states: ['p', 'q', 'r'] },
      b: { name: 'b', states: ['p', 'q'], 'applies-when': { a: 'p' } },
      n: { name: 'n', kind: 'count', limits: '0-30' },
    },
    couplets: {
      1: [
        { lead: 'x', taxon: 'x' },
        { lead: 'y', taxon: 'x' },
      ],
    },
    taxa: { x: { name: 'X' } },
  }).chain;

  it.each([
    ['a: p', ['a: p']],
    ['a: p | q and n: 17 or 19', ['a: p | q', 'n: 17 or 19']],
    ['a: not p', ['a: q | r']],
    ['not (a: p | q)', ['a: r']],
    // Who says of it what it is says that it is there; who denies what it is may say that it is not there.
    ['b: not p', ['b: q']],
    ['not (b: p)', []],
    ['not (b: not q)', []],
    ['not (not (b: q))', ['b: q']],
    ['not (b: not q or n: 5)', ['n: 0-4 or 6-30']],
    ['not (a: q or n: 5 or 7)', ['a: p | r', 'n: 0-4 or 6 or 8-30']],
    ['n: > 2 to < 5', ['n: > 2 to < 5']],
    ['not (n: 0-9)', ['n: 10-30']],
    ['a: p or n: 5', []],
    ['(a: p and n: 5) or a: q', []],
    ['not (a: p and n: 5)', []],
    ['(a: p or a: q) and n: 5', ['n: 5']],
    ['zz: p', ['zz: p']],
    ['zz: not p', ['zz: not p']],
  ])('%s', (when, expected) => {
    expect(traitsInWords({ when }, characters).map((t) => `${t.character}: ${t.shows}`)).toEqual(expected);
  });

  it('deny the other leads of an otherwise, but for what may not apply', () => {
    const beside = [
      { lead: 'a', says: '', when: 'a: p' },
      { lead: 'b', says: '', when: 'a: q and n: 5' },
      { lead: 'c', says: '', when: 'n: 5', means: 'n: 5 (where a: p)' },
      { lead: 'd', says: '', when: 'b: not q' },
    ];
    expect(traitsInWords({ when: 'no other lead fits', beside }, characters)).toEqual([
      { character: 'a', shows: 'q | r' },
    ]);
  });
});
