import { parse as csv } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse as yaml } from 'yaml';
import { finds, identify, objects } from './run.js';

interface Find {
  readonly id: string;
  readonly date?: string | undefined;
  readonly region?: string | undefined;
  readonly specimens: readonly { readonly stage: string; readonly traits: Record<string, string> }[];
}

const trait = <T extends string>(...values: T[]) =>
  fc.option(fc.constantFrom(...values, '?'), { nil: undefined });
const traits = fc
  .record({
    print: trait('white', 'rust', 'purple-black', 'white | rust'),
    ring: trait('present', 'absent'),
    'ring-texture': trait('membranous', 'fibrous', '-'),
    width: trait('3 cm', '45 mm', '2-6 cm', '< 5 cm'),
    spots: trait('0', '3-7'),
  })
  .map(
    (t) => Object.fromEntries(Object.entries(t).filter(([, v]) => v !== undefined)) as Record<string, string>,
  );
const find = fc.record({
  date: fc.constantFrom(undefined, '2026-09-05', '2026-12-24'),
  region: fc.constantFrom(undefined, 'GB-CMA', 'DE-BY'),
  specimens: fc.array(fc.record({ stage: fc.constantFrom('', 'young', 'mature'), traits }), {
    minLength: 1,
    maxLength: 3,
  }),
});
const season = fc
  .array(find, { minLength: 1, maxLength: 6 })
  .map((all): Find[] => all.map((f, i) => ({ id: `TH-${i + 1}`, ...f })));

const CHARACTERS = ['print', 'ring', 'ring-texture', 'width', 'spots'];
const letter = (i: number) => String.fromCharCode(97 + i);

function asTable(all: readonly Find[], delimiter: string): string {
  const rows = all.flatMap(({ id, date, region, specimens }) =>
    specimens.map((s, i) => [id, date, region, letter(i), s.stage, ...CHARACTERS.map((c) => s.traits[c])]),
  );
  const header = ['id', 'date', 'region', 'specimen', 'stage', ...CHARACTERS];
  return `${[header, ...rows].map((r) => r.map((c) => c ?? '').join(delimiter)).join('\n')}\n`;
}

function asMeasurements(all: readonly Find[]): string {
  const rows = all.flatMap(({ id, date, region, specimens }) =>
    specimens.flatMap((s, i) => {
      const seen = Object.entries(s.traits);
      // A specimen of which nothing was seen still has its row.
      return (seen.length === 0 ? [['', '']] : seen).map(([c, v]) => {
        const measured = /^([\d-]+) (cm|mm)$/.exec(v ?? '');
        return [id, date, region, letter(i), s.stage, c, measured?.[1] ?? v, measured?.[2]];
      });
    }),
  );
  const header =
    'occurrenceID,eventDate,stateProvince,specimen,lifeStage,measurementType,measurementValue,measurementUnit';
  return `${[header, ...rows.map((r) => r.map((c) => c ?? '').join(','))].join('\n')}\n`;
}

const asData = ({ id, date, region, specimens }: Find) => ({
  id,
  ...(date === undefined ? {} : { date }),
  ...(region === undefined ? {} : { region }),
  specimens: specimens.map((s, i) => ({
    id: letter(i),
    ...(s.stage === '' ? {} : { stage: s.stage }),
    traits: Object.fromEntries(
      Object.entries(s.traits).map(([c, v]) => [c, v.includes('|') ? v.split(' | ') : v]),
    ),
  })),
});

const asLines = (all: readonly Find[]) => all.map((f) => `${JSON.stringify(asData(f))}\n`).join('');
const asSpecimenLines = (all: readonly Find[]) =>
  all
    .flatMap((f) => {
      const { specimens, ...rest } = asData(f);
      return specimens.map(({ id, ...own }) => `${JSON.stringify({ ...rest, specimen: id, ...own })}\n`);
    })
    .join('');
const asYaml = (all: readonly Find[]) =>
  JSON.stringify({ 'keywright-collections': 1, collections: all.map(asData) });

describe('the form of a table', () => {
  it('makes no difference to the results', async () => {
    await fc.assert(
      fc.asyncProperty(season, async (all) => {
        const expected = await identify(asTable(all, ','), { from: 'csv' });
        expect(expected.code).toBe(0);
        expect(objects(expected.out).map((o) => o.collection)).toEqual(all.map((f) => f.id));
        for (const [from, text] of [
          ['tsv', asTable(all, '\t')],
          ['csv', asTable(all, ';')],
          ['csv', asMeasurements(all)],
          ['ndjson', asLines(all)],
          ['ndjson', asSpecimenLines(all)],
          ['yaml', asYaml(all)],
        ] as const) {
          const got = await identify(text, { from });
          expect(got.err).toBe(expected.err);
          expect(objects(got.out)).toEqual(objects(expected.out));
        }
      }),
      { numRuns: 40 },
    );
  }, 60_000);
});

describe('the results', () => {
  it('as lines of JSON have the promised properties in the promised order', async () => {
    const { out } = await identify(finds);
    const all = objects(out);
    expect(all.map((o) => o.collection)).toEqual(['TH-1', 'TH-2', 'TH-3', 'TH-4', 'TH-5']);
    for (const o of all)
      expect(Object.keys(o)).toEqual([
        'collection',
        'key',
        'version',
        'name',
        'qualifier',
        'candidates',
        'near',
        'further',
        'openSpecimens',
        'verdict',
        'warnings',
      ]);
    expect(JSON.stringify(all[0])).toBe(
      '{"collection":"TH-1","key":"caps","version":"1.10","name":"Galerina funebris","qualifier":null,' +
        '"candidates":[{"taxon":"bell","name":"Galerina funebris","concern":"deadly","ends":[{"key":"caps","couplet":"2","lead":"a"}],"path":["1a","2a"],"slips":0}],' +
        '"near":[' +
        '{"taxon":"small","name":"Plana parva","concern":"upset","ends":[{"key":"caps","couplet":"4","lead":"a"}],"path":["1b","3a","4a"],"slips":1,"recheck":["print"]},' +
        '{"taxon":"tuft","name":"Tufta mutabilis","concern":"none-recorded","ends":[{"key":"caps","couplet":"2","lead":"b"}],"path":["1a","2b"],"slips":1,"recheck":["ring-texture"]},' +
        '{"taxon":"plain","name":"Plana communis","concern":"none-recorded","ends":[{"key":"caps","couplet":"3","lead":"b"}],"path":["1b","3b"],"slips":1,"recheck":["print"]}],' +
        '"further":[],"openSpecimens":[],"verdict":{"word":"leave it","worst":"deadly","settled":true},"warnings":[]}',
    );
    expect(all[1]).toMatchObject({
      name: 'Tufta mutabilis',
      verdict: { word: 'leave it', worst: 'upset', settled: false },
      warnings: [
        {
          kind: 'harmful-near',
          message: 'Galerina funebris (deadly) is one slip away: look again at ring-texture',
        },
      ],
    });
    const warned = (all[2]?.warnings ?? []) as { kind: string }[];
    expect(warned.map((w) => w.kind)).toEqual(['out-of-scope', 'out-of-scope']);
    expect(all[4]).toMatchObject({
      name: null,
      qualifier: 'indet.',
      verdict: { word: 'leave it', settled: false },
    });
  });

  it('as YAML are the same objects', async () => {
    const [asJson, asYamlText] = [await identify(finds), await identify(finds, { format: 'yaml' })];
    expect(yaml(asYamlText.out)).toEqual(objects(asJson.out));
    expect(yaml((await identify('id,print\n', { format: 'yaml' })).out)).toEqual([]);
  });

  it('as CSV have a row for each collection', async () => {
    const { out } = await identify(finds, { format: 'csv' });
    const rows = csv(out, { columns: true }) as Record<string, string>[];
    expect(Object.keys(rows[0] ?? {})).toEqual([
      'id',
      'name',
      'qualifier',
      'candidates',
      'concern',
      'verdict',
      'settled',
      'check',
      'warnings',
    ]);
    expect(rows.map((r) => [r.id, r.name, r.qualifier, r.verdict, r.settled])).toEqual([
      ['TH-1', 'Galerina funebris', '', 'leave it', 'yes'],
      ['TH-2', 'Tufta mutabilis', '', 'leave it', 'no'],
      ['TH-3', 'Plana magna', 'cf.', 'leave it', 'yes'],
      ['TH-4', 'Plana', 'sp.', 'leave it', 'no'],
      ['TH-5', '', 'indet.', 'leave it', 'no'],
    ]);
    expect(rows[3]).toMatchObject({
      candidates: 'Plana communis | Plana parva | Plana magna',
      concern: 'none-recorded | upset | upset',
      check: 'width | couplet 3',
    });
  });

  it('as CSV start no formula and steer no terminal', async () => {
    const { out } = await identify(
      'id,print\n"=1+1",rust\n"-2",rust\n"@x",\n"\u001b[31m",\n"two\nlines",\n',
      {
        format: 'csv',
        from: 'csv',
      },
    );
    const rows = csv(out) as string[][];
    expect(rows.slice(1).map((r) => r[0])).toEqual(["'=1+1", "'-2", "'@x", '\\u{1b}[31m', 'two\nlines']);
  });

  it('steer no terminal in any form', async () => {
    const nasty = 'id,print\n"\u001b]0;x\u0007\u009b31m\u202e",rust\nB,rust\n';
    for (const format of ['table', 'csv', 'yaml', 'ndjson'] as const) {
      const { out } = await identify(nasty, { format, from: 'csv' });
      // biome-ignore lint/suspicious/noControlCharactersInRegex: looking for control characters
      expect(out).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e]/);
    }
    expect(objects((await identify(nasty, { from: 'csv' })).out)[0]?.collection).toBe(
      '\u001b]0;x\u0007\u009b31m\u202e',
    );
  });
});

describe('each collection', () => {
  it('is in the results once and in order, mistakes and all', async () => {
    const id = fc.constantFrom('A', 'B', 'C', '');
    const row = fc.tuple(id, fc.constantFrom('rust', 'rsut', '', '?'), fc.constantFrom('3', 'x', '5"', ''));
    await fc.assert(
      fc.asyncProperty(fc.array(row, { maxLength: 10 }), async (rows) => {
        const expected: string[] = [];
        let before: string | undefined;
        rows.forEach((r, i) => {
          if (r.every((c) => c === '')) return;
          const name = r[0] === '' ? `line ${i + 2}` : r[0];
          if (name !== before) expected.push(name);
          before = name;
        });
        const text = `id,print,width\n${rows.map((r) => `${r.join(',')}\n`).join('')}`;
        for (const format of ['ndjson', 'csv'] as const) {
          const { out, code } = await identify(text, { from: 'csv', keepGoing: true, format });
          const ids =
            format === 'ndjson'
              ? objects(out).map((o) => o.collection)
              : (csv(out) as string[][]).slice(1).map((r) => r[0]);
          expect(ids).toEqual(expected);
          expect([0, 1]).toContain(code);
        }
      }),
      { numRuns: 60 },
    );
  }, 60_000);
});
