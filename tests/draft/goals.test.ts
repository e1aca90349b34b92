/** How far drafts of published tables bring individuals down, run through the engine, beside the tables by brute force. */
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Preference, preferences, STANDARD } from '../../src/commands/draft/draft.js';
import { byDraft, byTable, onTheFront } from './measured.js';
import { openTable, openTables } from './open-tables.js';
import { draft, drafted } from './support.js';
import { tables } from './tables.js';

describe('individuals of published tables', () => {
  const single = { penguins: 319, iris: 124, zoo: 98, soybean: 434 };

  it.each(openTables)('%s: 95 in 100 of what the table settles, none lost, none wrong', (name) => {
    const table = openTable(name);
    const itself = byTable(table);
    const draft = byDraft(table);
    expect(itself).toMatchObject({ kept: itself.finds, wrong: 0, single: single[name] });
    expect(draft).toMatchObject({ kept: itself.finds, wrong: 0 });
    expect(draft.single).toBeGreaterThanOrEqual(0.95 * itself.single);
    expect(draft.single).toBeLessThanOrEqual(itself.single);
  });

  it.each(['penguins', 'iris'] as const)(
    '%s: no preference is better in size, names and effort at once',
    (name) => {
      const table = openTable(name);
      const others = (['short', 'information', 'pairs', 'harm'] as const).map((p) =>
        byDraft(table, { prefer: [p] }),
      );
      expect(onTheFront(byDraft(table), others)).toBe(true);
    },
  );

  it('a bound on couplets is kept, and takes away what settles least', () => {
    const table = openTable('soybean');
    const { couplets, single } = byDraft(table, { mostCouplets: 30 });
    expect(couplets).toBeLessThanOrEqual(30);
    expect(couplets).toBeGreaterThan(15);
    expect(single).toBeGreaterThan(0.6 * byTable(table).single);
    const { account, text } = drafted(table.table, { mostCouplets: 30 });
    expect(account.cutShort).toBe(true);
    expect(text).toContain('left together to keep the key short');
  });
});

describe('few couplets', () => {
  const boletes = readFileSync('examples/hollow-boletes.csv', 'utf8');
  const couplets = (table: object | string, prefer: readonly Preference[]) =>
    drafted(table, { prefer }, typeof table === 'string' ? ',' : 'yaml').account.couplets;

  it.each(openTables)('%s: where they are preferred, there are fewer, and most names are kept', (name) => {
    const table = openTable(name);
    const [usual, short] = [byDraft(table), byDraft(table, { prefer: ['short'] })];
    expect(short.couplets).toBeLessThan(0.75 * usual.couplets);
    expect(short.single).toBeGreaterThan(0.65 * usual.single);
    expect(short).toMatchObject({ kept: usual.kept, wrong: 0 });
  });

  it('are one fewer than the taxa where single states tell these apart, whatever is preferred', () => {
    // Of eleven, two cannot be told apart; harm and colours are among them.
    for (const prefer of preferences) expect(couplets(boletes, [prefer]), prefer).toBe(9);
    expect(couplets(boletes, STANDARD)).toBe(9);
    // Several characters in one couplet are trouble as well: 4.2 where they cost nothing.
    expect(drafted(boletes, { prefer: STANDARD }, ',').account.effort).toBeLessThan(3.2);
  });

  it('are never more where they are preferred', () => {
    fc.assert(
      fc.property(tables(8), (table) => {
        const { drafted: usual } = draft(table);
        const { drafted: short } = draft(table, { prefer: ['short', 'harm'] });
        expect(short === undefined).toBe(usual === undefined);
        expect(short?.account.couplets ?? 0).toBeLessThanOrEqual(usual?.account.couplets ?? 0);
      }),
      { numRuns: 25 },
    );
  });
});

describe('what chooses', () => {
  const { table } = openTable('zoo');
  const text = (of: object, prefer: Parameters<typeof byDraft>[1]) => drafted(of, { ...prefer }).text;

  it('is nothing that the table does not say: effort and reliability', () => {
    const own = text(table, { prefer: ['effort', 'reliability'] });
    expect(text(table, { prefer: ['effort'] })).toBe(own);
    expect(text(table, { prefer: ['reliability'] })).toBe(own);
  });

  it('is no guess at how well a colour is read', () => {
    const named = Object.entries(table.characters).map(([id, c], i) => [
      id,
      i % 2 === 0 ? { ...c, name: `colour of ${id}` } : c,
    ]);
    const coloured = { ...table, characters: Object.fromEntries(named) };
    const couplets = (prefer: Preference) => drafted(coloured, { prefer: [prefer] }).account.couplets;
    expect(couplets('reliability')).toBe(drafted(table).account.couplets);
    // One reliability that is stated lets them all count.
    const [[id, first] = []] = Object.entries(coloured.characters);
    const said = { ...coloured.characters, [id as string]: { ...(first as object), reliability: 0.99 } };
    expect(text({ ...coloured, characters: said }, { prefer: ['reliability'] })).not.toBe(
      text({ ...coloured, characters: said }, { prefer: ['short'] }),
    );
  });

  it('is effort where the table says it', () => {
    const first = (key: string) => /lead: (\w+)/.exec(key)?.[1];
    const own = text(table, { prefer: ['effort', 'reliability'] });
    const [asked] = Object.keys(table.characters).filter((id) => id === first(own)?.toLowerCase());
    expect(asked).toBeDefined();
    const hard = {
      ...table,
      characters: {
        ...table.characters,
        [asked as string]: { ...table.characters[asked as string], effort: 10 },
      },
    };
    expect(first(text(hard, { prefer: ['effort', 'reliability'] }))).not.toBe(first(own));
  });
});

describe('taxa that end together', () => {
  const table = (states: string[]) => ({
    'keywright-taxa': 1,
    characters: {
      colour: { name: 'colour', states: ['red', 'blue', 'green'] },
      length: { name: 'length', kind: 'measure', unit: 'mm' },
    },
    taxa: {
      a: { name: 'Aus aus', traits: { colour: 'red', length: '10-20' } },
      b: { name: 'Aus bus', traits: { colour: 'blue', length: '10-20' } },
      c: { name: 'Aus cus', traits: { colour: states, length: '10-20.0001' } },
    },
  });

  it('are said to be alike only where nothing described tells them apart', () => {
    const few = drafted(table(['blue']));
    expect(few.account.together.map((t) => t.why)).toEqual(['few']);
    expect(few.text).toContain('would settle hardly any find');
    expect(few.text).not.toContain('nothing that is described');
    const same = table(['blue']);
    same.taxa.c.traits.length = '10-20';
    expect(drafted(same).account.together.map((t) => t.why)).toEqual(['alike']);
  });

  it('by a gap are said to be so, since nobody knows what filling it would settle', () => {
    const open = table(['blue']);
    delete (open.taxa.c.traits as { length?: string }).length;
    const { account, text } = drafted(open);
    expect(account.together.map((t) => [t.why, t.open.map((c) => c.id)])).toEqual([['gap', ['length']]]);
    expect(text).toContain('what could tell these apart is not described of all of them');
  });

  it('in a short key are not said to be alike', () => {
    const many = openTable('soybean').table;
    const whys = new Set(drafted(many, { prefer: ['short'] }).account.together.map((t) => t.why));
    expect(whys).toContain('size');
    expect(whys).not.toContain('alike');
  });
});
