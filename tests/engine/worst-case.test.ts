/** The verdict is given by the worst that doubts and single specimens leave: properties over random keys, and finds as people make them. */
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { type Determination, determine } from '../../src/engine/determine.js';
import { sessionState } from '../../src/engine/session.js';
import { severity } from '../../src/key/severity.js';
import type { Choice, Collection, Observation } from '../../src/traits/collection.js';
import { find, observed, open } from '../support/open.js';
import { type KeyData, keyData, seen, specimen } from '../support/random-keys.js';
import { type Ages, possibleAtWorst, type WrittenSpecimen } from '../support/worst-case.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 240_000 });

const NAMES = ['gills', 'ring', 'texture', 'width', 'spots'];
const AGES = ['young', 'mature'];

/** Which ages show which character; `always` = every age shows every one. */
const agesOf = (always: boolean): fc.Arbitrary<Ages> =>
  always
    ? fc.constant({})
    : fc
        .tuple(
          ...NAMES.map(() => fc.option(fc.constantFrom(['young'], ['mature']), { nil: undefined, freq: 1 })),
        )
        .map((drawn) =>
          Object.fromEntries(NAMES.flatMap((name, i) => (drawn[i] === undefined ? [] : [[name, drawn[i]]]))),
        );

const withAges = (key: KeyData, ages: Ages): KeyData => ({
  ...key,
  characters: Object.fromEntries(
    Object.entries(key.characters).map(([id, c]) => [
      id,
      ages[id] === undefined ? c : { ...c, stages: ages[id] },
    ]),
  ),
});

const specimens: fc.Arbitrary<WrittenSpecimen[]> = fc
  .array(
    specimen.chain((s) =>
      fc.record({
        age: fc.constantFrom(undefined, ...AGES),
        written: seen(s),
        doubted: fc.oneof(
          { arbitrary: fc.constant([]), weight: 2 },
          { arbitrary: fc.subarray(NAMES), weight: 1 },
        ),
      }),
    ),
    { minLength: 1, maxLength: 3 },
  )
  .map((all) => all.map((s, i) => ({ ...s, name: 'abc'[i] as string })));

interface Drawn {
  readonly couplet: number;
  readonly lead: number;
  readonly doubted: boolean;
  readonly on: number;
}

const choices: fc.Arbitrary<Drawn[]> = fc.array(
  fc.record({
    couplet: fc.integer({ min: 1, max: 5 }),
    lead: fc.integer({ min: 0, max: 2 }),
    doubted: fc.boolean(),
    on: fc.integer({ min: -2, max: 2 }),
  }),
  { maxLength: 2 },
);

const drawn = (always: boolean) =>
  fc
    .tuple(fc.constantFrom('tree' as const, 'reticulate' as const), agesOf(always), specimens, choices)
    .chain(([shape, ages, all, taken]) =>
      keyData(5, shape).map((key) => ({ key: withAges(key, ages), ages, specimens: all, choices: taken })),
    );

const choicesOf = (taken: readonly Drawn[], all: readonly WrittenSpecimen[]): Choice[] =>
  taken.map(({ couplet, lead, doubted, on }) => {
    const s = all[on];
    return {
      couplet: String(couplet),
      letter: 'abc'[lead] as string,
      doubted,
      ...(s === undefined ? {} : { specimen: s.name, ...(s.age === undefined ? {} : { stage: s.age }) }),
    };
  });

/** A find of the specimens; each is there although nothing may be seen of it. */
function findOf(
  compiled: ReturnType<typeof open>,
  all: readonly WrittenSpecimen[],
  taken: readonly Choice[] = [],
): Collection {
  const observations = all.flatMap(({ name, age, written, doubted }): Observation[] => {
    const on = { specimen: name, ...(age === undefined ? {} : { stage: age }) };
    return [
      { character: 'gills', value: undefined, ...on },
      ...observed(compiled, written, on).map((o) =>
        doubted.includes(o.character) ? { ...o, doubted: true } : o,
      ),
    ];
  });
  return find(observations, { choices: taken });
}

/** Whether a verdict is milder than another: by the worst concern, then by the word. */
const milder = (a: Determination, b: Determination) =>
  severity({ concern: { level: a.verdict.worst } }) > severity({ concern: { level: b.verdict.worst } }) ||
  (a.verdict.word === 'not cleared' && b.verdict.word === 'leave it');
/** A find that contradicts itself is judged by both sides, and one that fits nothing at all by nothing. */
const sound = (d: Determination) =>
  d.evidence.contradictions.length === 0 && d.possible.length + d.further.length > 0;

describe('a verdict on random finds', () => {
  it('is never milder when what was seen of a character on a specimen is taken away', () => {
    fc.assert(
      fc.property(
        drawn(false),
        fc.integer({ min: 0, max: 2 }),
        fc.constantFrom(...NAMES),
        (d, which, name) => {
          const key = open(d.key);
          const taken = choicesOf(d.choices, d.specimens);
          const before = determine(key, findOf(key, d.specimens, taken));
          const fewer = d.specimens.map((s, i) =>
            i === which ? { ...s, written: { ...s.written, [name]: '' } } : s,
          );
          const after = determine(key, findOf(key, fewer, taken));
          if (sound(before)) expect(milder(after, before)).toBe(false);
        },
      ),
      { numRuns: 1500 },
    );
  });

  it('is never milder when an answer or an observation is doubted', () => {
    fc.assert(
      fc.property(
        drawn(false),
        fc.integer({ min: 0, max: 2 }),
        fc.constantFrom(...NAMES),
        (d, which, name) => {
          const key = open(d.key);
          const taken = choicesOf(d.choices, d.specimens);
          const before = determine(key, findOf(key, d.specimens, taken));
          const doubting = d.specimens.map((s, i) =>
            i === which ? { ...s, doubted: [...s.doubted, name] } : s,
          );
          const unsure = taken.map((c, i) => (i === which ? { ...c, doubted: true } : c));
          for (const after of [findOf(key, doubting, taken), findOf(key, d.specimens, unsure)])
            if (sound(before)) expect(milder(determine(key, after), before)).toBe(false);
        },
      ),
      { numRuns: 1500 },
    );
  });

  it('is never milder when a specimen is added, where every age shows every character', () => {
    fc.assert(
      fc.property(drawn(true), (d) => {
        const key = open(d.key);
        const taken = choicesOf(d.choices, d.specimens).filter(
          (c) => c.specimen !== d.specimens.at(-1)?.name,
        );
        if (d.specimens.length < 2) return;
        const before = determine(key, findOf(key, d.specimens.slice(0, -1), taken));
        const after = determine(key, findOf(key, d.specimens, taken));
        if (sound(before) && sound(after)) expect(milder(after, before)).toBe(false);
      }),
      { numRuns: 1500 },
    );
  });

  it('becomes milder by a specimen only through what no other specimen could show at its age', () => {
    fc.assert(
      fc.property(drawn(false), (d) => {
        const key = open(d.key);
        const last = d.specimens.at(-1) as WrittenSpecimen;
        const others = d.specimens.slice(0, -1);
        if (others.length === 0) return;
        const shown = (name: string) =>
          others.some(
            (s) => s.age === undefined || d.ages[name] === undefined || d.ages[name].includes(s.age),
          );
        // The one added shows nothing but what another could have shown; a texture also says that there is a ring.
        const own = NAMES.filter((n) => shown(n) && (n !== 'texture' || shown('ring')));
        const written = Object.fromEntries(Object.entries(last.written).filter(([n]) => own.includes(n)));
        const before = determine(key, findOf(key, others));
        const after = determine(key, findOf(key, [...others, { ...last, written }]));
        if (sound(before) && sound(after)) expect(milder(after, before)).toBe(false);
      }),
      { numRuns: 1500 },
    );
  });

  it('is given by just what the readings leave, worked out path by path', () => {
    fc.assert(
      fc.property(drawn(false), (d) => {
        const key = open(d.key);
        // Leads without a condition: what others say of the find is the business of other tests.
        const free = d.choices.filter((c) => {
          const lead = d.key.couplets[String(c.couplet)]?.[c.lead];
          return lead !== undefined && lead.when === undefined && lead.otherwise !== true;
        });
        const last = new Map(free.map((c) => [c.couplet, { ...c, on: -2 }]));
        const taken = [...last.values()];
        const found = determine(key, findOf(key, d.specimens, choicesOf(taken, d.specimens)));
        const expected = possibleAtWorst(
          d.key,
          d.specimens,
          taken.map((c) => ({ couplet: String(c.couplet), lead: c.lead, doubted: c.doubted })),
          d.ages,
        );
        const possible = found.possible.map((t) => t.id);
        const further = found.further.map((f) => f.taxon.id);
        expect([...possible, ...further].sort()).toEqual([...expected].sort());
        const taxa = [...expected]
          .map((id) => key.taxa.find((t) => t.id === id))
          .filter((t) => t !== undefined);
        const worst = Math.min(...taxa.map(severity));
        if (taxa.length > 0) expect(severity({ concern: { level: found.verdict.worst } })).toBe(worst);
        const names = d.specimens.map((s) => s.name);
        for (const open of found.openSpecimens) {
          expect(names).toContain(open.specimen);
          for (const taxon of open.taxa) expect(further).toContain(taxon.id);
        }
      }),
      { numRuns: 1500 },
    );
  });
});

const KEY = `
keywright: 1
id: tufts
title: Tufts
version: 1
characters:
  print: {name: spore print, states: [white, rust], stages: [mature]}
  ring: {name: ring, states: [present, absent]}
  texture: {name: texture of the ring, states: [thin, woolly], applies-when: {ring: present}}
  cap: {name: cap, states: [smooth, scaly]}
  width: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Print white, when: {print: white}, to: 2}
    - {lead: Print rusty, when: {print: rust}, to: 3}
  2:
    - {lead: Ring present, when: {ring: present}, taxon: honey}
    - {lead: Ring absent, when: {ring: absent}, taxon: shank}
  3:
    - {lead: Stem scaly below the ring, taxon: tuft}
    - {lead: Stem silky below the ring, taxon: galerina}
taxa:
  honey: {name: Armillaria mellea, concern: {level: upset, source: test}, traits: {width: 4-12 cm}}
  shank: {name: Flammulina velutipes, concern: {level: none-recorded}, traits: {width: 1.5-4 cm}}
  tuft: {name: Kuehneromyces mutabilis, concern: {level: none-recorded}}
  galerina: {name: Galerina marginata, concern: {level: deadly, source: test}}
`;
const key = open(KEY);
const on = (name: string, written: Record<string, string>, stage?: string): Observation[] =>
  observed(key, written, { specimen: name, ...(stage === undefined ? {} : { stage }) });
const took = (label: string, more: Partial<Choice> = {}): Choice => ({
  couplet: label.slice(0, -1),
  letter: label.slice(-1),
  ...more,
});
const further = (d: Determination) => d.further.map((f) => [f.taxon.id, f.doubted, f.specimens]);

describe('a doubted answer', () => {
  it('leaves the other leads of its couplet possible for the verdict, not for the name', () => {
    const sure = determine(key, find(observed(key, { print: 'rust' }), { choices: [took('3a')] }));
    expect([sure.name, sure.verdict.word, sure.further]).toEqual([
      'Kuehneromyces mutabilis',
      'not cleared',
      [],
    ]);
    const unsure = determine(
      key,
      find(observed(key, { print: 'rust' }), { choices: [took('3a', { doubted: true })] }),
    );
    expect([unsure.name, unsure.qualifier]).toEqual(['Kuehneromyces mutabilis', undefined]);
    expect(unsure.verdict).toEqual({ word: 'leave it', worst: 'deadly', settled: false });
    expect(further(unsure)).toEqual([['galerina', ['3a'], []]]);
  });

  it('counts in the state of a keying', () => {
    const state = sessionState(key, find(observed(key, { print: 'rust' })), [
      { couplet: '3', letter: 'a', doubted: true },
    ]);
    expect(state.possible.map((t) => t.id)).toEqual(['tuft']);
    expect(state.further.map((f) => f.taxon.id)).toEqual(['galerina']);
    expect([state.worst, state.settled]).toEqual(['deadly', false]);
  });

  it('that says something of the find says it no more', () => {
    const unsure = determine(key, find([], { choices: [took('1a', { doubted: true }), took('2b')] }));
    expect(further(unsure)).toEqual([
      ['galerina', ['1a'], []],
      ['tuft', ['1a'], []],
    ]);
  });
});

describe('a doubted observation', () => {
  it('rules nothing out for the verdict', () => {
    const seenUnsurely = observed(key, { print: 'white', ring: 'absent' }).map((o) =>
      o.character === 'print' ? { ...o, doubted: true } : o,
    );
    const found = determine(key, find(seenUnsurely));
    expect([found.name, found.verdict.worst]).toEqual(['Flammulina velutipes', 'deadly']);
    expect(further(found)).toEqual([
      ['galerina', ['print'], []],
      ['tuft', ['print'], []],
    ]);
  });
});

describe('a specimen', () => {
  const whole = on('a', { print: 'white', ring: 'absent' }, 'mature');

  it('does not vouch for the others: what these could show and nobody looked at stays open', () => {
    const found = determine(key, find([...whole, ...on('b', { cap: 'smooth' }, 'mature')]));
    expect([found.name, found.verdict.worst]).toEqual(['Flammulina velutipes', 'deadly']);
    expect(further(found)).toEqual([
      ['galerina', [], ['b']],
      ['honey', [], ['b']],
      ['tuft', [], ['b']],
    ]);
    expect(found.openSpecimens.map((o) => [o.specimen, o.taxa.map((t) => t.id), o.unseen])).toEqual([
      ['b', ['galerina', 'honey', 'tuft'], ['print', 'ring']],
    ]);
  });

  it('borrows what its own age cannot show, and no more', () => {
    const young = determine(key, find([...whole, ...on('b', { ring: 'absent' }, 'young')]));
    expect([young.verdict.word, young.further, young.openSpecimens]).toEqual(['not cleared', [], []]);
    const unlooked = determine(key, find([...whole, ...on('b', { cap: 'smooth' }, 'young')]));
    expect(unlooked.openSpecimens.map((o) => [o.specimen, o.taxa.map((t) => t.id), o.unseen])).toEqual([
      ['b', ['honey'], ['ring']],
    ]);
    const ageless = determine(key, find([...whole, ...on('b', { ring: 'absent' })]));
    expect(ageless.openSpecimens.map((o) => [o.specimen, o.unseen])).toEqual([['b', ['print']]]);
  });

  it('borrows for the verdict only where each that can show it was looked at', () => {
    const lenders = (c: Record<string, string>) => [
      ...on('a', { cap: 'smooth', ring: 'absent' }, 'young'),
      ...on('b', { print: 'white', ring: 'absent' }, 'mature'),
      ...on('c', { ...c, ring: 'absent' }, 'mature'),
    ];
    expect(determine(key, find(lenders({ print: 'white' }))).further).toEqual([]);
    const found = determine(key, find(lenders({ cap: 'smooth' })));
    expect(further(found)).toEqual([
      ['galerina', [], ['a', 'c']],
      ['tuft', [], ['a', 'c']],
    ]);
    // But only c is to blame.
    expect(found.openSpecimens.map((o) => [o.specimen, o.unseen])).toEqual([['c', ['print']]]);
  });

  it('counts what was told of the whole find as its own', () => {
    const told = observed(key, { print: 'white', ring: 'absent' });
    const found = determine(
      key,
      find([...told, ...on('a', { cap: 'smooth' }), ...on('b', { cap: 'scaly' })]),
    );
    expect([found.verdict.word, found.further]).toEqual(['not cleared', []]);
  });

  it('keeps an answer that was read from another one to that other one', () => {
    const seenOfBoth = [...on('a', { print: 'rust' }), ...on('b', { print: 'rust' })];
    const found = determine(key, find(seenOfBoth, { choices: [took('3a', { specimen: 'a' })] }));
    expect(found.name).toBe('Kuehneromyces mutabilis');
    expect(further(found)).toEqual([['galerina', [], ['b']]]);
    const both = determine(
      key,
      find(seenOfBoth, { choices: [took('3a', { specimen: 'a' }), took('3a', { specimen: 'b' })] }),
    );
    expect([both.verdict.word, both.further]).toEqual(['not cleared', []]);
  });

  it('lends an answer to one of an age that shows nothing of what the lead asks', () => {
    const choices = [took('1a', { specimen: 'a', stage: 'mature' })];
    const rings = [...on('a', { ring: 'absent' }, 'mature'), ...on('b', { ring: 'absent' }, 'young')];
    expect(determine(key, find(rings, { choices })).further).toEqual([]);
    const ripe = [...on('a', { ring: 'absent' }, 'mature'), ...on('b', { ring: 'absent' }, 'mature')];
    expect(further(determine(key, find(ripe, { choices })))).toEqual([
      ['galerina', [], ['b']],
      ['tuft', [], ['b']],
    ]);
  });

  it('of the wrong age says nothing by an answer either', () => {
    const found = determine(key, find([], { choices: [took('1a', { specimen: 'a', stage: 'young' })] }));
    expect(found.possible.map((t) => t.id)).toEqual(['honey', 'shank', 'tuft', 'galerina']);
    expect(found.warnings.map((w) => w.kind)).toEqual(['wrong-age']);
  });

  it('that fits something is judged though the find as a whole fits nothing', () => {
    const apart = open(
      KEY.replace(
        '{lead: Ring absent, when: {ring: absent}',
        '{lead: Ring absent, when: {ring: absent, cap: smooth}',
      ),
    );
    const found = determine(
      apart,
      find([
        ...observed(apart, { print: 'white', ring: 'absent', cap: 'scaly' }, { specimen: 'a' }),
        ...observed(apart, { print: 'white', ring: 'absent' }, { specimen: 'b' }),
      ]),
    );
    expect(found.possible).toEqual([]);
    expect(further(found)).toEqual([['shank', [], ['b']]]);
    expect(found.verdict.worst).toBe('none-recorded');
  });

  it('names a possible kind where two were put in one basket', () => {
    const two = [...on('a', { print: 'white', ring: 'absent' }), ...on('b', { print: 'rust' })];
    expect(determine(key, find(two)).warnings.find((w) => w.kind === 'two-species')?.message).toBe(
      'two species in one basket? a may be Flammulina velutipes, b may be Galerina marginata (deadly) or one other; determine them apart',
    );
  });
});

describe('a find that contradicts itself', () => {
  it('is judged by both sides: an answer against what was seen counts as doubted', () => {
    const found = determine(
      key,
      find(observed(key, { print: 'rust' }), { choices: [took('1a'), took('2b')] }),
    );
    expect(found.possible.map((t) => t.id)).toEqual(['shank']);
    expect(further(found)).toEqual([
      ['galerina', ['1a'], []],
      ['tuft', ['1a'], []],
    ]);
    expect(found.verdict.worst).toBe('deadly');
  });

  it('is judged by both sides: a ring that is absent and thin', () => {
    const found = determine(key, find(observed(key, { print: 'white', ring: 'absent', texture: 'thin' })));
    expect(found.possible.map((t) => t.id)).toEqual(['shank']);
    expect(further(found)).toEqual([['honey', ['ring'], []]]);
    expect(found.verdict).toEqual({ word: 'leave it', worst: 'upset', settled: false });
  });
});
