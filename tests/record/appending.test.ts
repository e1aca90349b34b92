import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { readRecord } from '../../src/record/read.js';
import type { Collection } from '../../src/traits/collection.js';
import { find, observed, open } from '../support/open.js';
import { keyData, seen, specimen } from '../support/random-keys.js';
import { determined, keyingOf, recordOf, type Said, whole } from './making.js';

// Random tests take their time, the more so on a machine that does other work.
vi.setConfig({ testTimeout: 120_000 });

/** Texts that a careless writer of YAML would break on. */
const awkward = fc.oneof(
  fc.constantFrom(
    '...',
    '--- a',
    'x: y # z',
    '- a\n...\n- b',
    '"',
    "it's",
    '\u001b[2J',
    '~',
    'null',
    '1.10',
    ' lead',
    '\u2028x',
    '&a *a',
    '?',
    'a\tb',
    '...\n',
    '#',
  ),
  fc.string({ unit: 'binary', minLength: 1, maxLength: 40 }),
);

const saids: fc.Arbitrary<Said[]> = fc.array(fc.oneof(fc.nat(3), fc.constant('?' as const)), {
  maxLength: 6,
});

describe('a record', () => {
  it('reads back what was written, whatever stands in its texts', () => {
    const drawn = fc.tuple(keyData(4, 'reticulate'), specimen.chain(seen), saids, awkward, awkward, awkward);
    fc.assert(
      fc.property(drawn, ([data, one, said, place, note, doubt]) => {
        const key = open(data);
        const details = place.trim() === '' ? {} : { place };
        const collection = find(observed(key, one, { specimen: 'a', stage: 'young' }), details);
        const keying = keyingOf(key, collection, said.slice(1), {
          by: 'E. Marlow',
          ...(note.trim() === '' ? {} : { note }),
        });
        keying.setNote(note);
        keying.setDoubt(doubt);
        keying.answer(undefined);
        const unfinished = keying.record();
        expect(whole(recordOf([unfinished])).record.determinations).toEqual([unfinished]);
        keying.finish();
        const finished = keying.record();
        const { record } = whole(recordOf([finished]));
        expect(record.determinations).toEqual([finished]);
        expect(record.collection).toEqual({ id: 'f', ...details });
      }),
      { numRuns: 100 },
    );
  });

  it('keeps every earlier determination letter for letter, however many are added', () => {
    const drawn = fc.tuple(
      keyData(4, 'reticulate'),
      specimen.chain(seen),
      fc.array(fc.tuple(saids, fc.constantFrom(undefined, 'A', 'B'), awkward), {
        minLength: 2,
        maxLength: 5,
      }),
      fc.constantFrom('\n', '\r\n'),
      fc.boolean(),
    );
    fc.assert(
      fc.property(drawn, ([data, one, rounds, ends, marked]) => {
        const key = open(data);
        const collection = find(observed(key, one, { specimen: 'a' }));
        let text = '';
        rounds.forEach(([said, by, note], i) => {
          const d = determined(key, collection, said, {
            ...(by === undefined ? {} : { by }),
            ...(note.trim() === '' ? {} : { note }),
          });
          if (text === '') {
            text = recordOf([d]);
            // As an editor of another system would leave it.
            text = (marked ? '\ufeff' : '') + (ends === '\n' ? text : text.replaceAll('\n', ends));
            return;
          }
          const before = whole(text);
          const frame = before.frame('further');
          const kept = text.slice(0, text.lastIndexOf('...'));
          expect(frame.before).toBe(kept);
          const next = `${frame.before}${recordOf([d])
            .split('determinations:\n')[1]
            ?.replace(/\.\.\.\n$/, '')}${frame.after}`;
          expect(next.startsWith(kept)).toBe(true);
          const after = whole(next).record.determinations;
          expect(after).toHaveLength(i + 1);
          expect(after.slice(0, -1)).toEqual(before.record.determinations);
          expect(after.at(-1)).toEqual(d);
          text = next;
        });
      }),
      { numRuns: 50 },
    );
  });

  it('writes an open determination anew and leaves those before it alone', () => {
    const key = open({
      keywright: 1,
      id: 'k',
      title: 'K',
      version: '1',
      couplets: {
        1: [
          { lead: 'A', to: 2 },
          { lead: 'B', taxon: 'b' },
        ],
        2: [
          { lead: 'C', taxon: 'c' },
          { lead: 'D', taxon: 'd' },
        ],
      },
      taxa: { b: { name: 'B' }, c: { name: 'C' }, d: { name: 'D' } },
    });
    const first = determined(key, find([]), [0, 0]);
    const text = recordOf([first, keyingOf(key, find([]), [0]).record()]);
    const frame = whole(text).frame('last');
    expect(text.startsWith(frame.before)).toBe(true);
    expect(`${frame.before}...\n`).toBe(recordOf([first]));
  });

  it('that is laid out in another way is read, and nothing is put into it', () => {
    const key = open({
      keywright: 1,
      id: 'k',
      title: 'K',
      version: '1',
      couplets: {
        1: [
          { lead: 'A', taxon: 'a' },
          { lead: 'B', taxon: 'b' },
        ],
      },
      taxa: { a: { name: 'A' }, b: { name: 'B' } },
    });
    const { record } = whole(recordOf([determined(key, find([]), [0])]));
    const [d] = record.determinations;
    const text = recordOf([d as never]);
    const [head, body] = text.split('determinations:\n');
    const moved = `determinations:\n${body?.replace('...\n', '')}${head}...\n`;
    expect(whole(moved).record).toEqual(record);
    expect(() => whole(moved).frame('further')).toThrow(/laid out in another way/);
  });

  it('is never misread for what it holds, nor makes the program fail', () => {
    const key = open({
      keywright: 1,
      id: 'k',
      title: 'K',
      version: '1',
      characters: { ring: { name: 'ring', states: ['present', 'absent'] } },
      couplets: {
        1: [
          { lead: 'A', when: { ring: 'present' }, taxon: 'a' },
          { lead: 'B', when: { ring: 'absent' }, taxon: 'b' },
        ],
      },
      taxa: { a: { name: 'A', concern: { level: 'deadly' } }, b: { name: 'B' } },
    });
    const collection: Collection = find(observed(key, { ring: 'present' }, { specimen: 'a' }));
    const text = recordOf([determined(key, collection, ['?'], { by: 'X' })]);
    const lines = text.split('\n');
    const junk = fc.constantFrom('', 'x', '[]', '{}', 'null', '- 1', 'zz: 1', '"', '12', '  status: open');
    fc.assert(
      fc.property(fc.nat(lines.length - 1), junk, fc.constantFrom('value', 'line'), (at, put, how) => {
        const broken = [...lines];
        const line = broken[at] ?? '';
        broken[at] = how === 'line' ? put : line.replace(/(: ).*$/, `$1${put}`);
        const read = readRecord(broken.join('\n'), 'rec.yaml');
        if (read.ok) return;
        expect(read.problems.length).toBeGreaterThan(0);
        for (const problem of read.problems) {
          expect(problem).toMatch(/^rec\.yaml(:\d+:\d+:)? /);
          expect(problem).not.toMatch(/undefined|\[object|NaN|must (have|be|match|NOT)/);
        }
      }),
      { numRuns: 200 },
    );
  });
});
