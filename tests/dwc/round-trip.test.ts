import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { determine } from '../../src/engine/determine.js';
import { resultOf } from '../../src/words/results.js';
import { find, open } from '../support/open.js';
import { capsKey, readTable } from '../tables/reading.js';
import { archiveOf, readFinds } from './archives.js';

vi.setConfig({ testTimeout: 60_000 });

/** Words as people write them, and as nobody should: quotes, delimiters, line breaks, signs of all kinds. */
const words = fc
  .oneof(
    fc.string({ unit: 'grapheme', minLength: 1, maxLength: 12 }),
    fc.string({
      unit: fc.constantFrom(
        'a',
        'é',
        ' ',
        '"',
        ',',
        ';',
        '|',
        '\n',
        '\r',
        '\r\n',
        '\t',
        "'",
        '=',
        '-',
        '\ufeff',
      ),
      minLength: 1,
      maxLength: 12,
    }),
  )
  .filter((text) => /\S/.test(text) && !text.includes('\0') && !/\p{Surrogate}/u.test(text));

const trait = {
  print: fc.constantFrom('white', 'rust', 'white | rust', '?', '-', 'rust | -', 'rust?', '-?'),
  ring: fc.constantFrom('present', 'absent', 'present | absent | -', '?'),
  'ring-texture': fc.constantFrom('membranous', 'fibrous', '-'),
  width: fc.constantFrom(
    ...['3 cm', '45 mm', '2-6 cm', '(1-)2-3(-5) cm', '< 5 cm', '> 5 cm', '>= 0.3 m', '<= 12 mm', '3.25 in'],
    ...['> 2 to < 5 cm', '17 or 19 mm', '3 or 13 cm', '2 cm | -', '?', '0.333 ft', '3 cm?', '2-6 cm | -?'],
    ...['< 2 or > 6 cm', '2-3 or 7 cm | -', '1 in or 2 in', '0.30000000000000004 in'],
  ),
  spots: fc.constantFrom('0', '3-7', '3 or 7', '< 4', '>= 2', '?', '-', '3 | -', '3?'),
  habitat: fc.constantFrom('wood', 'grass', '?'),
};
const traits = fc.record(trait, { requiredKeys: [] });
const photographs = fc.array(fc.oneof(words, fc.constantFrom('a.jpg', 'b.jpg', 'https://x.example/a;b')), {
  minLength: 1,
  maxLength: 3,
});
const document = fc.record(
  {
    date: fc.constantFrom('2026', '2026-09', '2026-09-05', '2026-09-05/2026-09-07'),
    place: words,
    region: fc.constantFrom('GB', 'GB-CMA', 'DE-BY', 'ORE', 'ORE-OO', '71'),
    by: words,
    habitat: words,
    stage: fc.oneof(fc.constantFrom('young', 'mature'), words),
    note: words,
    photographs,
    count: fc.constantFrom(3, '120'),
    traits,
    specimens: fc.array(
      fc.record(
        {
          id: fc.oneof(fc.constantFrom('a', 'b', 'TH-1/a'), words),
          stage: words,
          traits,
          note: words,
          photographs,
        },
        { requiredKeys: ['id'] },
      ),
      { minLength: 1, maxLength: 3 },
    ),
    leads: fc.constantFrom({ 3: 'a' }, { 4: 'b', 3: 'a' }),
    expect: fc.constantFrom('bell', ['tuft', 'plain'], 'large'),
  },
  { requiredKeys: [] },
);
const id = fc.oneof(
  fc.stringMatching(/^TH-[0-9]{1,3}$/),
  words.map((w) => w.trim()).filter((w) => w !== ''),
);
const season = fc
  .uniqueArray(id, { minLength: 1, maxLength: 5 })
  .chain((ids) => fc.tuple(...ids.map((i) => document.map((d) => ({ id: i, ...d })))));

describe('a collection', () => {
  it('comes back from an archive with everything that was in it', async () => {
    await fc.assert(
      fc.asyncProperty(
        season,
        fc.constantFrom(7, 100, 1 << 16),
        fc.nat(3),
        async (documents, piece, every) => {
          const before = readTable(documents.map((d) => `${JSON.stringify(d)}\n`).join(''), 'ndjson');
          expect(before.mistakes).toEqual([]);
          const doubt = <T>(told: T, i: number) => (i % 4 === every ? { ...told, doubted: true } : told);
          const collections = before.entries.map(({ collection }) => ({
            ...collection,
            observations: collection.observations.map(doubt),
            choices: collection.choices.map(doubt),
          }));
          const found = collections.map((c) => determine(capsKey, c));
          const bytes = archiveOf(found.map((f) => ({ kind: 'found', found: f })));
          const after = await readFinds(bytes, { piece });
          expect(after.mistakes).toEqual([]);
          expect(after.entries.map((e) => e.collection)).toEqual(collections);
          const results = after.entries.map((e) => determine(capsKey, e.collection));
          const told = (f: (typeof found)[number]) => resultOf({ kind: 'found', found: f }, capsKey);
          expect(results.map(told)).toEqual(found.map(told));
        },
      ),
      { numRuns: 60 },
    );
  });

  it('is read with the names of taxa as in any other table', async () => {
    const { entries } = readTable('{"id": "TH-1", "expect": ["bell", "Plana magma"]}', 'ndjson');
    const found = determine(capsKey, entries[0]?.collection ?? expect.fail());
    const after = await readFinds(archiveOf([{ kind: 'found', found }]), { taxa: true });
    expect(after.mistakes).toEqual([
      expect.stringMatching(
        /^finds\.zip\/occurrence\.txt:2:\d+ expect of "TH-1": "Plana magma" is no taxon of caps, .*did you mean Plana magna\?$/,
      ),
    ]);
  });

  it('keeps a number exactly, though the unit of its character cannot hold it', async () => {
    const key = open({
      keywright: 1,
      id: 'inches',
      title: 'Inches',
      version: '1',
      characters: { width: { name: 'width', kind: 'measure', unit: 'in' } },
      couplets: {
        1: [
          { lead: 'Narrow', when: { width: '<= 3 cm' }, taxon: 'aa' },
          { lead: 'Wide', when: { width: '> 3 cm' }, taxon: 'bb' },
        ],
      },
      taxa: { aa: { name: 'Aa bb' }, bb: { name: 'Cc dd' } },
    });
    const { entries } = readTable('{"id": "TH-1", "traits": {"width": "3 cm"}}', 'ndjson', { key });
    const found = determine(key, entries[0]?.collection ?? expect.fail());
    expect(found.name).toBe('Aa bb');
    const after = await readFinds(archiveOf([{ kind: 'found', found }], key), { key });
    expect(after.entries[0]?.collection).toEqual(entries[0]?.collection);
  });

  it('is not written when it could not be read again', async () => {
    const noted = (note: string) => [
      { kind: 'found', found: determine(capsKey, find([], { note })) } as const,
    ];
    const after = await readFinds(archiveOf(noted('é'.repeat(130_000))));
    expect(after.mistakes).toEqual([]);
    expect(after.entries[0]?.collection.note?.length).toBe(130_000);
    expect(() => archiveOf(noted('é'.repeat(131_100)))).toThrow(
      ' cannot be written: a row of occurrence.txt would be longer than the 262144 bytes that are read of one',
    );
  });
});
