import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { agreementOf, SameTaxa } from '../../src/analysis/agreement.js';
import { action, type CompareOptions } from '../../src/commands/compare/command.js';
import { determine } from '../../src/engine/determine.js';
import { displayWidth } from '../../src/text/wrap.js';
import { objects } from '../identify/run.js';
import { CLEARING } from '../support/clearing.js';
import { fakeWorld } from '../support/fake-world.js';
import { acted } from '../support/in-process.js';
import { find, observed, open } from '../support/open.js';

const folder = fileURLToPath(new URL('../fixtures/compare', import.meta.url));

/** Runs the command on a table given as text. */
async function compare(
  keys: readonly string[],
  table: string,
  options: Partial<CompareOptions> = {},
  columns?: number,
): Promise<{ code: number; out: string; err: string }> {
  const flags = { format: 'text', with: '-', ...options } as const;
  return acted(action, keys, flags, { cwd: folder, stdin: table, columns });
}

const both = ['caps.key.yaml', 'bells.key.yaml'];
const one = async (row: string, options: Partial<CompareOptions> = {}) => {
  const { out, code } = await compare(both, `id,print,ring-texture,width,smell,spots,leads\n${row}\n`, {
    format: 'ndjson',
    ...options,
  });
  return { code, result: objects(out)[0] as Record<string, never> & Record<string, unknown> };
};

describe('several keys over the same collections', () => {
  it('agree on one taxon under two names', async () => {
    const { result } = await one('A,rust,membranous,3 cm,,,');
    expect(result).toMatchObject({
      collection: 'A',
      agreement: 'agree',
      keys: [
        { key: 'caps', version: '1.10', name: 'Galerina funebris', verdict: { worst: 'deadly' } },
        { key: 'bells', version: '2.0', name: 'Galerina autumnalis', verdict: { worst: 'severe' } },
      ],
      common: [{ taxon: 'bell', name: 'Galerina funebris' }],
      otherNames: [{ key: 'bells', name: 'Galerina autumnalis', as: 'Galerina funebris' }],
      partings: [],
      lacking: [],
      verdict: { word: 'leave it', worst: 'deadly', settled: true },
    });
  });

  it('agree in part when one ends at the genus of the other', async () => {
    const { result } = await one('B,white,,2 cm,,3,3a');
    expect(result).toMatchObject({
      agreement: 'overlap',
      common: [{ name: 'Plana parva' }],
      lowest: { name: 'Plana' },
      lacking: [],
    });
  });

  it('disagree, and say where the ways part and what a key does not hold', async () => {
    const { result } = await one('C,rust,fibrous,30 mm,,,');
    expect(result).toMatchObject({
      agreement: 'disagree',
      common: [],
      all: [{ name: 'Tufta mutabilis' }, { name: 'Galerina funebris' }],
      lowest: null,
      partings: [
        {
          key: 'caps',
          couplet: '2',
          taken: ['b'],
          lead: 'a',
          taxon: 'bell',
          namedBy: 'bells',
          characters: ['ring-texture'],
        },
      ],
      lacking: [{ key: 'bells', taxa: ['Tufta mutabilis'] }],
      verdict: { word: 'leave it', worst: 'severe', settled: false },
    });
  });

  it('name the first couplet that leads away, in each key that holds what the other names', () => {
    const key = (id: string, first: string, second: string) =>
      open({
        keywright: 1,
        id,
        title: id,
        version: '1',
        characters: { a: { name: 'a', states: ['x', 'y'] }, b: { name: 'b', states: ['x', 'y'] } },
        couplets: {
          1: [
            { lead: 'X', when: { [first]: 'x' }, to: '2' },
            { lead: 'Y', when: { [first]: 'y' }, taxon: 'p' },
          ],
          2: [
            { lead: 'X', when: { [second]: 'x' }, taxon: 'q' },
            { lead: 'Y', when: { [second]: 'y' }, taxon: 'r' },
          ],
        },
        taxa: { p: { name: 'P' }, q: { name: 'Q' }, r: { name: 'R' } },
      });
    const keys = [key('one', 'a', 'b'), key('two', 'b', 'a')];
    const found = keys.map((k) => determine(k, find(observed(k, { a: 'x', b: 'y' }))));
    const { word, partings } = agreementOf(found, new SameTaxa(keys));
    expect(word).toBe('disagree');
    expect(partings.map((p) => [p.key.chain.main.id, p.couplet + p.lead, p.taxon.id, p.characters])).toEqual([
      ['one', '1b', 'p', ['a']],
      ['two', '1a', 'r', ['b']],
    ]);
  });

  it('pass over what only others know, and take an unknown state for "cannot tell"', async () => {
    const { result } = await one('D,pink,,2 cm,meal,,');
    expect(result).toMatchObject({
      keys: [
        { key: 'caps', unknownStates: ['print'] },
        { key: 'bells', name: 'Plana', unknownStates: [] },
      ],
    });
    // Not known is not ruled out: every end of the first key is still there.
    expect((result.keys as unknown as { candidates: unknown[] }[])[0]?.candidates.length).toBeGreaterThan(2);
  });

  it('read a number without unit in the unit of the first key that has the character', async () => {
    const width = (keys: readonly string[]) =>
      compare(keys, 'id,print,width\nE,rust,5\n', { format: 'ndjson' }).then(({ out }) => objects(out)[0]);
    // 5 cm is more than 40 mm; 5 mm is less.
    expect(await width(both)).toMatchObject({ keys: [{}, { name: 'Armillaria' }] });
    expect(await width([...both].reverse())).toMatchObject({ keys: [{ name: 'Galerina autumnalis' }, {}] });
  });

  it('take a couplet without the id of a key for one of the first', async () => {
    const named = async (leads: string) => {
      const { result } = await one(`F,white,,2 cm,,3,${leads}`);
      return (result.keys as unknown as { candidates: { taxon: string }[] }[]).map((k) =>
        k.candidates.map((c) => c.taxon),
      );
    };
    expect(await named('3a')).toEqual([['small'], ['plana']]);
    expect(await named('bells/1a')).toEqual([['small'], ['autumn-bell']]);
    const { code, err } = await compare(both, 'id,print,leads\nG,white,9z\n');
    expect(code).toBe(2);
    expect(err).toContain('there is no couplet 9 in caps');
  });

  it('are shown side by side for people, in any window, with the cautions', async () => {
    const table = 'id,print,ring-texture,width,region\nA,rust,membranous,3 cm,DE-BY\nC,rust,fibrous,3 cm,\n';
    const { code, out, err } = await compare(both, table);
    expect(code).toBe(0);
    expect(out).toContain('A: the keys agree\n  caps   Galerina funebris\n  bells  Galerina autumnalis\n');
    expect(out).toContain('DE-BY lies outside the regions of caps (GB-CMA)');
    expect(out.replace(/\s+/g, ' ')).toContain(
      'in caps the ways part at couplet 2: 2b is taken, by ring-texture; 2a leads to Galerina funebris, which bells names',
    );
    expect(out).toContain('bells does not hold Tufta mutabilis');
    expect(out.replace(/\s+/g, ' ')).toContain('call the poison centre');
    expect(out).not.toMatch(CLEARING);
    expect(err.replace(/\s+/g, ' ')).toContain(
      '2 collections: 1 on which the keys agree, 0 in part, 1 on which they disagree and 0 that fit nothing.',
    );
    for (const columns of [40, 60, 100])
      for (const line of (await compare(both, table, {}, columns)).out.split('\n'))
        expect(displayWidth(line)).toBeLessThanOrEqual(columns);
  });

  it('give exit code 1 under --strict unless they agree', async () => {
    expect((await one('A,rust,membranous,3 cm,,,', { strict: true })).code).toBe(0);
    expect((await one('C,rust,fibrous,30 mm,,,', { strict: true })).code).toBe(1);
  });

  it('are told what is wrong with the table, once, and nothing is compared after it', async () => {
    const { code, out, err } = await compare(both, 'id,print,width\nA,rust,3\nB,rsut,4\nC,rust,3\n', {
      format: 'ndjson',
    });
    expect(code).toBe(2);
    expect(objects(out).map((o) => o.collection)).toEqual(['A']);
    expect(err.match(/ error: /g)).toHaveLength(1);
    expect(err).toContain(
      'standard input:3:3 error: print of "B": "rsut" is not a state of print; did you mean rust?',
    );
    const unknown = await compare(both, 'id,prnt\nA,rust\n');
    expect(unknown.code).toBe(2);
    expect(unknown.err).toContain('did you mean print?');
  });

  it('cannot be compared when they mean different things by one character', async () => {
    await expect(compare(['caps.key.yaml', 'lengths.key.yaml'], 'id\n')).rejects.toThrow(
      'width is a measure in cm in caps and chosen from states in lengths, so that one table cannot speak to both keys',
    );
  });

  it('are called by their versions or files where they have one id', async () => {
    const { out } = await compare(['caps.key.yaml', 'caps.key.yaml'], 'id,print\nA,rust\n');
    expect(out).toContain('caps 1.10 (caps.key.yaml)');
  });

  it('write YAML, and stream a long table', async () => {
    const rows = Array.from({ length: 5000 }, (_, i) => `N${i},rust,membranous,3 cm`).join('\n');
    const { out } = await compare(both, `id,print,ring-texture,width\n${rows}\n`, { format: 'yaml' });
    expect(out.match(/^- collection: N/gm)).toHaveLength(5000);
  }, 60_000);
});

describe('finds beside each other with one key', () => {
  const table = 'id,print,ring-texture,width\nA,rust,membranous,3 cm\nB,rust,fibrous,8 cm\nC,rust,?,3 cm\n';

  it('says whether a second gathering may be the same', async () => {
    const { out, code } = await compare(['caps.key.yaml'], table);
    expect(code).toBe(0);
    expect(out).toContain('A and B are not the same taxon by this key');
    expect(out.replace(/\s+/g, ' ')).toContain(
      'they differ in texture of the ring (A: membranous, B: fibrous) their measures lie apart in width of the cap',
    );
    expect(out).toContain('A and C may be the same: Galerina funebris');
    expect(out).not.toMatch(CLEARING);
  });

  it('takes the finds that are named', async () => {
    const { out } = await compare(['caps.key.yaml'], table, { find: ['B', 'C'], format: 'ndjson' });
    expect(objects(out)).toMatchObject([
      { first: { collection: 'B' }, second: { collection: 'C' }, sameTaxon: 'possible' },
    ]);
    expect((await compare(['caps.key.yaml'], table, { strict: true })).code).toBe(1);
  });

  it('says what is missing', async () => {
    await expect(compare(['caps.key.yaml'], table, { find: ['A', 'D'] })).rejects.toThrow(
      'there is no find "D" in -',
    );
    await expect(compare(['caps.key.yaml'], 'id\nA\n')).rejects.toThrow('there is nothing to compare');
    await expect(compare(both, table, { find: ['A'] })).rejects.toThrow('give one KEY only');
    await expect(action(both, { format: 'text' }, fakeWorld({ cwd: folder }))).rejects.toThrow(
      '--with is missing',
    );
  });
});

describe('the shipped keys', () => {
  it('agree with themselves throughout', async () => {
    const root = fileURLToPath(new URL('../..', import.meta.url));
    const world = fakeWorld({
      cwd: root,
      stdin: readFileSync(join(root, 'examples/season-2026.yaml'), 'utf8'),
    });
    const code = await action(
      ['tarn-wood-tufts', 'tarn-wood-tufts'],
      { format: 'ndjson', with: '-', strict: true },
      world,
    );
    const words = new Set(objects(world.said.out()).map((o) => o.agreement));
    expect([...words].sort()).toEqual(['agree', 'nothing fits']);
    expect(code).toBe(1);
  });
});
