import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import type { CompiledKey } from '../../src/engine/compile.js';
import { determine } from '../../src/engine/determine.js';
import { type Answer, conclude, sessionState, withAnswers } from '../../src/engine/session.js';
import type { Collection } from '../../src/traits/collection.js';
import { find, observed, open } from '../support/open.js';
import { keyData, seen, specimen } from '../support/random-keys.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

// Couplets 2 and 3 both go on to 4: "can't tell" at 1 leads there by two ways, and 4 is asked once.
const key = open(
  `
keywright: 1
id: tufts
title: Tufts
version: 1
characters:
  print: {name: spore print, states: {white: white to cream, rust: rusty brown}}
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
  smell: {name: smell, states: [mealy, of fruit, none]}
couplets:
  1:
    - {lead: Print white, when: {print: white}, to: 2}
    - {lead: Print rusty, when: {print: rust}, to: 3}
  2:
    - {lead: Ring, when: {ring: present}, to: 4}
    - {lead: No ring, when: {ring: absent}, taxon: plain}
  3:
    - {lead: Ring, when: {ring: present}, to: 4}
    - {lead: No ring, when: {ring: absent}, taxon: deadly}
  4:
    - {lead: Looks good, taxon: good}
    - {lead: Looks odd, taxon: odd}
taxa:
  plain: {name: Plain}
  deadly: {name: Deadly, concern: {level: deadly, source: memory}}
  good: {name: Good, concern: {level: upset, source: memory}}
  odd: {name: Odd, concern: {level: severe, source: memory}}
`.replace('of fruit', 'fruity'),
);

const answers = (...labels: string[]): Answer[] =>
  labels.map((l) => ({ couplet: l.slice(0, -1), letter: l.endsWith('?') ? undefined : l.slice(-1) }));
const nothing = find([]);
const with_ = (written: Record<string, string>) => find(observed(key, written));
const stands = (collection: Collection, ...labels: string[]) =>
  sessionState(key, collection, answers(...labels));
const asks = (collection: Collection, ...labels: string[]) => stands(collection, ...labels).ask?.couplet.name;
const possible = (collection: Collection, ...labels: string[]) =>
  stands(collection, ...labels).possible.map((t) => t.id);

describe('a keying', () => {
  it('asks one couplet after the other, and knows where it came from', () => {
    const start = stands(nothing);
    expect([start.ask?.couplet.name, start.ask?.from, start.ask?.ruledOut]).toEqual([
      '1',
      [],
      [undefined, undefined],
    ]);
    expect(possible(nothing)).toEqual(['plain', 'deadly', 'good', 'odd']);
    const next = stands(nothing, '1a');
    expect([next.ask?.couplet.name, next.ask?.from]).toEqual(['2', ['1a']]);
    expect(possible(nothing, '1a')).toEqual(['plain', 'good', 'odd']);
    expect(possible(nothing, '1a', '2b')).toEqual(['plain']);
    expect(asks(nothing, '1a', '2b')).toBeUndefined();
  });

  it('follows all leads that are not ruled out when the person cannot tell', () => {
    const doubt = stands(nothing, '1?');
    expect(doubt.ask?.couplet.name).toBe('2');
    expect(doubt.open.map((o) => [o.couplet.name, o.letters, o.unsure])).toEqual([
      ['1', ['a', 'b'], true],
      ['2', ['a', 'b'], false],
      ['3', ['a', 'b'], false],
      ['4', ['a', 'b'], false],
    ]);
    expect(possible(nothing, '1?')).toEqual(['plain', 'deadly', 'good', 'odd']);
    // The ring decides couplet 3 as well: it is not asked again. Couplet 4 is reached by both ways and asked once.
    const ringed = stands(nothing, '1?', '2a');
    expect(ringed.decided.map((d) => [d.couplet.name, d.letters, d.reason])).toEqual([
      ['3', ['a'], '2a says ring: present'],
    ]);
    expect([ringed.ask?.couplet.name, ringed.ask?.from]).toEqual(['4', ['2a', '3a']]);
    expect(possible(nothing, '1?', '2a', '4b')).toEqual(['odd']);
    expect(asks(nothing, '1?', '2a', '4b')).toBeUndefined();
    const end = conclude(key, nothing, answers('1?', '2a', '4b'));
    expect([end.name, end.qualifier]).toEqual(['Odd', 'cf.']);
  });

  it('asks nothing more when the person can tell nothing', () => {
    const all = stands(nothing, '1?', '2?', '3?', '4?');
    expect(all.ask).toBeUndefined();
    expect(all.open.every((o) => o.unsure)).toBe(true);
    expect(all.possible).toHaveLength(4);
  });

  it('goes back by dropping answers: it stands where it stood', () => {
    const way = ['1?', '2a', '4b'];
    for (let n = 0; n <= way.length; n++) {
      const forth = stands(nothing, ...way.slice(0, n));
      stands(nothing, ...way);
      expect(stands(nothing, ...way.slice(0, n))).toEqual(forth);
    }
  });

  it('asks nothing that is known, and says why', () => {
    const seenRust = stands(with_({ print: 'rust' }));
    expect(seenRust.decided.map((d) => [d.couplet.name, d.letters, d.reason])).toEqual([
      ['1', ['b'], 'the find shows spore print: rusty brown'],
    ]);
    expect(seenRust.ask?.couplet.name).toBe('3');
    const both = stands(with_({ print: 'rust', ring: 'absent' }));
    expect(both.ask).toBeUndefined();
    expect(both.decided.map((d) => `${d.couplet.name}${d.letters.join('')}: ${d.reason}`)).toEqual([
      '1b: the find shows spore print: rusty brown',
      '3b: the find shows ring: absent',
    ]);
  });

  it('says why a lead of the couplet it asks is ruled out', () => {
    const three = open(`
keywright: 1
id: k
title: T
version: 1
characters:
  smell: {name: smell, states: [mealy, fruity, none]}
couplets:
  1:
    - {lead: Mealy, when: {smell: mealy}, taxon: a}
    - {lead: Fruity, when: {smell: fruity}, taxon: b}
    - {lead: Otherwise, otherwise: true, taxon: c}
taxa: {a: {name: A}, b: {name: B}, c: {name: C}}
`);
    const { ask } = sessionState(three, find(observed(three, { smell: 'mealy | none' })), []);
    expect(ask?.ruledOut).toEqual([undefined, 'the find shows smell: mealy or none', undefined]);
    const { decided } = sessionState(three, find(observed(three, { smell: 'none' })), []);
    expect(decided.map((d) => [d.letters, d.reason])).toEqual([[['c'], 'the find shows smell: none']]);
  });

  it('takes the leads that came with the find as answers', () => {
    const given = { ...nothing, choices: [{ couplet: '1', letter: 'b' }] };
    const { decided, ask } = sessionState(key, given, []);
    expect(decided.map((d) => [d.couplet.name, d.letters, d.reason])).toEqual([
      ['1', ['b'], 'the find came with it'],
    ]);
    expect(ask?.couplet.name).toBe('3');
  });

  it('says so as soon as every taxon that is left is one to leave', () => {
    expect([stands(nothing).settled, stands(nothing).worst]).toEqual([false, 'deadly']);
    expect([stands(nothing, '1b').settled, stands(nothing, '1b').worst]).toEqual([true, 'deadly']);
    expect([stands(nothing, '1a').settled, stands(nothing, '1a').worst]).toEqual([false, 'severe']);
    expect([stands(nothing, '1a', '2a').settled, stands(nothing, '1a', '2a').worst]).toEqual([
      true,
      'severe',
    ]);
    expect([stands(nothing, '1a', '2b').settled, stands(nothing, '1a', '2b').worst]).toEqual([
      false,
      'unknown',
    ]);
  });

  it('reports an answer that goes against the find', () => {
    const against = stands(with_({ print: 'white', ring: 'present' }), '4a', '3b');
    expect(against.warnings.map((w) => w.message)).toEqual([
      'answer 3b contradicts what was recorded on the ring (present)',
    ]);
  });
});

/** Answers a keying to its end; `draw` chooses an answer, by its number among the leads that are left and "can't tell". */
function keyOut(compiled: CompiledKey, collection: Collection, draw: (n: number) => number): Answer[] {
  const given: Answer[] = [];
  for (let step = 0; ; step++) {
    const { ask, possible: left } = sessionState(compiled, collection, given);
    if (ask === undefined) return given;
    expect(step).toBeLessThan(compiled.couplets.length);
    expect(given.map((a) => a.couplet)).not.toContain(ask.couplet.name);
    const choices = ask.couplet.leads.filter((_, i) => ask.truths[i] !== 0).map((l) => l.lead.letter);
    expect(choices.length).toBeGreaterThan(1);
    const at = draw(choices.length + 1);
    given.push({ couplet: ask.couplet.name, letter: choices[at] });
    // Answering never adds a taxon.
    const after = sessionState(compiled, collection, given).possible.map((t) => t.id);
    for (const id of after) expect(left.map((t) => t.id)).toContain(id);
  }
}

describe('a keying of any key, answered at random to its end', () => {
  const drawn = fc.tuple(
    keyData(7, 'reticulate'),
    specimen.chain((s) => fc.oneof(seen(s), fc.constant({}))),
    fc.infiniteStream(fc.nat(1000)),
  );

  it('ends, asks nothing twice, and comes to what the find with these choices is identified as', () => {
    fc.assert(
      fc.property(drawn, ([data, written, numbers]) => {
        const compiled = open(data);
        const collection = find(observed(compiled, written));
        const given = keyOut(compiled, collection, (n) => numbers.next().value % n);
        const end = sessionState(compiled, collection, given);
        const told = given.flatMap((a) =>
          a.letter === undefined ? [] : [{ couplet: a.couplet, letter: a.letter }],
        );
        const identified = determine(compiled, { ...collection, choices: told });
        expect(end.possible.map((t) => t.id)).toEqual(identified.possible.map((t) => t.id));
        expect(end.possible.map((t) => t.id)).toEqual(identified.candidates.map((c) => c.taxon.id));
        expect(end.settled).toBe(identified.verdict.settled);
        if (end.worst !== undefined) expect(end.worst).toBe(identified.verdict.worst);
        const concluded = conclude(compiled, collection, given);
        expect(withAnswers(collection, given).choices).toEqual(told);
        expect([concluded.name, concluded.qualifier]).toEqual([identified.name, identified.qualifier]);
        expect(concluded.candidates).toEqual(identified.candidates);
      }),
      { numRuns: 150 },
    );
  });

  it('that is never in doubt comes to the ends of one path', () => {
    fc.assert(
      fc.property(drawn, ([data, written, numbers]) => {
        const compiled = open(data);
        const collection = find(observed(compiled, written));
        const given = keyOut(compiled, collection, (n) => numbers.next().value % (n - 1));
        const { candidates } = conclude(compiled, collection, given);
        // Every couplet passed has one lead that goes on, unless the find itself fits two.
        const { decided } = sessionState(compiled, collection, given);
        if (decided.every((d) => d.letters.length === 1)) {
          const ends = new Set(candidates.flatMap((c) => c.ends.map((e) => `${e.couplet}${e.lead}`)));
          expect(ends.size).toBe(1);
        }
      }),
      { numRuns: 150 },
    );
  });

  it('gives a reason for all that it decides by itself', () => {
    fc.assert(
      fc.property(drawn, ([data, written, numbers]) => {
        const compiled = open(data);
        const collection = find(observed(compiled, written));
        const given = keyOut(compiled, collection, (n) => numbers.next().value % n);
        for (const d of sessionState(compiled, collection, given).decided) {
          expect(d.reason).toMatch(/says|the find shows/);
          expect(d.reason).not.toMatch(/undefined|: ;|: $/);
        }
      }),
      { numRuns: 150 },
    );
  });
});
