import { beforeAll, describe, expect, it } from 'vitest';
import { analyse } from '../../src/analysis/analysis.js';
import type { CompiledKey } from '../../src/engine/compile.js';
import { determine } from '../../src/engine/determine.js';
import { PLAIN } from '../../src/text/paint.js';
import { displayWidth } from '../../src/text/wrap.js';
import type { Collection } from '../../src/traits/collection.js';
import { analysisSections } from '../../src/words/analysis.js';
import { analysisData } from '../../src/words/analysis-data.js';
import { fullLines, shortLines } from '../../src/words/determination.js';
import { identify, objects } from '../identify/run.js';
import { season, tufts } from './season.js';

let key: CompiledKey;
let finds: ReadonlyMap<string, Collection>;
beforeAll(() => {
  key = tufts();
  finds = season(key);
});

const analysis = (id: string) => analyse(determine(key, finds.get(id) as Collection));
const section = (id: string, heading: string) =>
  analysisSections(analysis(id)).find((s) => s.heading === heading)?.items ?? [];

describe('the report of an analysis', () => {
  it('says that a look-alike outside the candidates fits better', () => {
    expect(section('046', 'How it fits the descriptions')).toEqual([
      'Galerina marginata agrees in 10 of 12 characters seen; differs in texture of the ring and surface of the lower stem; not looked at: colour of the middle of the cap. But Kuehneromyces mutabilis (no harm recorded, which proves nothing), a look-alike that the key ruled out, fits better (by texture of the ring and surface of the lower stem).',
    ]);
  });

  it('says what one wrong observation hides, the grave first, and which are likely', () => {
    const [first] = section('002', 'If one observation or answer was wrong');
    expect(first).toBe(
      'surface of the lower stem (likelier than others: read right in 85 % of cases; soon lost): then Galerina marginata (deadly) at tarn-rust-spored 5b, though it fits the rest worse.',
    );
  });

  it('counts the harmful taxa that more than one observation rules out', () => {
    expect(section('021', 'Harmful taxa not named so far')).toEqual([
      '1 other harmful taxon is ruled out by two observations or more.',
    ]);
  });

  it('says what to look at, when and what each outcome leaves', () => {
    expect(section('021', 'What to look at next')).toEqual([
      'On another specimen (young): colour of the gills before the spores darken them; sulphur: Hypholoma fasciculare; pale: Hypholoma capnoides or Hypholoma lateritium; brownish: Hypholoma lateritium.',
      'Now: colour of the flesh (looked at in vain so far); yellow: Hypholoma fasciculare; pale: Hypholoma capnoides or Hypholoma lateritium.',
      'Now: wood that it grows on (looked at in vain so far); broadleaf: Hypholoma fasciculare or Hypholoma lateritium; conifer: Hypholoma fasciculare or Hypholoma capnoides.',
    ]);
    expect(section('037', 'What to look at next')[0]).toMatch(
      /^Tonight, or after the wait: colour of the spore print \(takes 6 h\); white: 4 taxa;/,
    );
    expect(section('046', 'What to look at next')[0]).toBe(
      'More looks may tell which it is; the verdict stands whatever they show.',
    );
  });

  it('says which of the observations people often misread, by the key', () => {
    expect(section('002', 'What the name rests on')[1]).toBe(
      'Of these, by the key, people most often misread smell, colour of the cap as it dries and texture of the ring.',
    );
  });

  it('sets specimens that run apart side by side', () => {
    expect(section('017', 'The specimens side by side')[0]).toBe(
      'Two species in one basket? a and c: Kuehneromyces mutabilis (no harm recorded, which proves nothing); b: Galerina marginata (deadly).',
    );
  });

  it('fits into any window', () => {
    for (const width of [30, 40, 60, 80])
      for (const id of ['002', '017', '021', '023', '024', '046']) {
        const a = analysis(id);
        const setting = { width, paint: PLAIN };
        for (const line of [...fullLines(a, setting), ...shortLines(a, setting, undefined)])
          expect(displayWidth(line)).toBeLessThanOrEqual(width);
      }
  });
});

describe('the summary of a find', () => {
  it('fits on one screen at 80 columns, whatever the find, and begins with the verdict', () => {
    for (const id of finds.keys()) {
      const a = analysis(id);
      const deadly = a.found.verdict.settled && a.found.verdict.worst === 'deadly';
      const lines = shortLines(a, { width: 80, paint: PLAIN }, '01 23 45', undefined, 'More with --full.');
      expect(lines.length, lines.join('\n')).toBeLessThanOrEqual(deadly ? 21 : 20);
      expect(lines[0]).toMatch(/^Verdict: (Leave it|Not cleared)\./);
      expect(lines.at(-1)).toContain('poison centre at once, 01 23 45');
    }
  });

  it('names the worst first, with common name and harm, then what to look at', () => {
    expect(shortLines(analysis('013'), { width: 80, paint: PLAIN }, undefined)).toEqual([
      'Verdict: Leave it. It may be Galerina marginata (deadly).',
      'TH-2026-013, keyed with tarn-wood-tufts 0.4.0: tufted gilled fungi on wood sp.',
      'Possible, the worst of 8 first',
      '  Galerina marginata (funeral bell): deadly, liver failure (amatoxins)',
      '  Hypholoma fasciculare (sulphur tuft): severe poisoning, violent vomiting and',
      '    diarrhoea',
      '  Coprinellus micaceus: upsets stomach or gut, suspected of reacting with',
      '    alcohol',
      '  Hypholoma lateritium (brick tuft): upsets stomach or gut, stomach and gut;',
      '    reports differ',
      '  and 4 more, none of them worse',
      'Look at now',
      '  colour of the spore print (takes 6 h, looked at in vain so far): white, rust',
      '    or dark',
      '  colour of the middle of the cap: brick, yellow, tawny, brown or pale',
      '  colour of the lower stem: white or coloured',
      '  how the stem breaks: brittle or fibrous',
      '',
      'No key can clear a find for eating. Any doubt: leave it, and ask who knows.',
      'Unwell or in doubt after eating: call the poison centre at once, do not wait.',
    ]);
  });
});

describe('identify --full', () => {
  it('appends the analysis to what is written for programs, and changes nothing else', async () => {
    const table = 'id,print,ring,ring-texture\nA,rust,present,fibrous\nB,?,,\n';
    const plain = objects((await identify(table)).out);
    const full = objects((await identify(table, { full: true })).out);
    expect(full.map(({ analysis: _, ...rest }) => rest)).toEqual(plain);
    expect(full.map((o) => Object.keys(o).at(-1))).toEqual(['analysis', 'analysis']);
    expect(Object.keys(full[0]?.analysis as object)).toEqual([
      'decision',
      'fit',
      'reliance',
      'doubts',
      'twoSlips',
      'next',
      'specimens',
    ]);
    expect((full[0] as { analysis: { doubts: unknown[] } }).analysis.doubts[0]).toMatchObject({
      character: 'ring-texture',
      ends: [{ taxon: 'bell', name: 'Galerina funebris', concern: 'deadly', lead: '2a' }],
    });
    const yaml = (await identify(table, { full: true, format: 'yaml' })).out;
    expect(yaml).toContain('    moreKeying: to leave it');
  });

  it('reports on each collection for people, the cautions once', async () => {
    const { out, code } = await identify('id,print\nA,rust\nB,blue\n', {
      full: true,
      format: 'table',
      keepGoing: true,
    });
    expect(code).toBe(1);
    expect(out).toContain('A, keyed with caps 1.10: indet.\n');
    expect(out).toContain('B could not be read\n');
    expect(out.match(/call the poison/g)).toHaveLength(1);
    expect(out.match(/Verdict: /g)).toHaveLength(2);
  });

  it('ranks by what is asked for', async () => {
    const first = async (rank: 'harm' | 'effort') => {
      const [only] = objects(
        (await identify('id,spots\nA,3\n', { full: true, rank: [rank] })).out,
      ) as unknown as {
        analysis: { next: { looks: { character: string }[] } };
      }[];
      return only!.analysis.next.looks.map((l) => l.character);
    };
    expect((await first('harm')).length).toBeGreaterThan(1);
    expect((await first('harm')).toSorted()).toEqual((await first('effort')).toSorted());
  });

  it('says what does not go together', async () => {
    await expect(identify('', { full: true, format: 'csv' })).rejects.toThrow('--full does not fit into csv');
    await expect(identify('', { rank: ['harm'] })).rejects.toThrow('give --full as well');
  });
});

describe('an analysis as data', () => {
  it('names taxa, characters and leads by their ids', () => {
    const data = analysisData(analysis('017'));
    expect(JSON.parse(JSON.stringify(data))).toEqual(data);
    expect(data.specimens).toMatchObject({
      sets: [
        { specimens: ['a', 'c'], candidates: ['kuehneromyces-mutabilis'] },
        { specimens: ['b'], candidates: ['galerina-marginata'] },
      ],
    });
    expect(data.next).toMatchObject({ among: ['kuehneromyces-mutabilis', 'galerina-marginata'], pairs: 1 });
  });
});
