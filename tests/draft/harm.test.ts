/** A harmful taxon is never parted from one without recorded harm by one weak character where two part them. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { determine } from '../../src/engine/determine.js';
import type { Taxon } from '../../src/key/key.js';
import { isHarmful } from '../../src/key/severity.js';
import { traitsApart } from '../../src/lint/traits-apart.js';
import { find, observed, open } from '../support/open.js';
import { faultsOf } from './lint.js';
import { draft, drafted } from './support.js';

const WEAK = ['print', 'gills', 'smell'];
const characters = {
  print: { name: 'colour of the spore print', states: ['white', 'rust', 'black'] },
  gills: { name: 'gills', states: ['free', 'adnate'], reliability: 0.8 },
  smell: { name: 'smell', states: ['mealy', 'sweet', 'faint'], perishable: true },
  base: { name: 'base of the stem', states: ['swollen', 'even'] },
};
type Id = keyof typeof characters;
const ids = Object.keys(characters) as Id[];

const trait = (id: Id) =>
  fc.oneof(
    { weight: 6, arbitrary: fc.constantFrom(...characters[id].states).map((s) => [s]) },
    { weight: 1, arbitrary: fc.subarray(characters[id].states, { minLength: 1 }) },
  );
const taxa = fc
  .array(
    fc.record({
      traits: fc.record({
        print: trait('print'),
        gills: trait('gills'),
        smell: trait('smell'),
        base: trait('base'),
      }),
      level: fc.constantFrom('deadly', 'severe', 'none-recorded', 'unknown', 'none-recorded'),
    }),
    { minLength: 2, maxLength: 9 },
  )
  .map((list) => ({
    'keywright-taxa': 1,
    characters,
    taxa: Object.fromEntries(
      list.map(({ traits, level }, i) => [
        `t${i}`,
        { name: `Taxon ${'abcdefghi'[i]}us`, concern: { level }, traits },
      ]),
    ),
  }));

describe('harm in a drafted key', () => {
  it('does not hang on one misread weak character where two characters differ', () => {
    fc.assert(
      fc.property(taxa, fc.array(fc.nat(), { minLength: 4, maxLength: 4 }), (table, dice) => {
        fc.pre(draft(table).drafted !== undefined);
        const { text } = drafted(table);
        const key = open(text);
        const byId = new Map(key.taxa.map((t) => [t.id, t]));
        for (const [id, { traits }] of Object.entries(table.taxa)) {
          const harmful = byId.get(id) as Taxon;
          if (!isHarmful(harmful.concern.level)) continue;
          const specimen = Object.fromEntries(
            ids.map((c, i) => [c, traits[c][(dice[i] as number) % traits[c].length] as string]),
          );
          for (const weak of WEAK as Id[]) {
            for (const state of characters[weak].states) {
              const misread = { ...specimen, [weak]: state };
              const reached = determine(key, find(observed(key, misread))).candidates.map((c) => c.taxon);
              if (reached.length === 0 || reached.some((t) => isHarmful(t.concern.level))) continue;
              // Of those that end there, one at least differs in nothing more: the misread find looks just like it.
              const apart = reached.map(
                (t) =>
                  ids.filter((c) => traitsApart(harmful, t, key.chain.characters.get(c) as never)).length,
              );
              expect(Math.min(...apart), `${id} ${weak} as ${state}\n${text}`).toBeLessThan(2);
            }
          }
        }
      }),
      { numRuns: 80, endOnFailure: true },
    );
  });

  const two = (print: string, level: string, base: string) => ({
    name: `Taxon ${print}us`,
    rank: 'species',
    concern: { level },
    traits: { print, base },
  });
  const colour = { print: characters.print };

  it('asks two characters together where both are weak', () => {
    const { text } = drafted({
      'keywright-taxa': 1,
      characters: { ...colour, base: { ...characters.base, reliability: 0.8 } },
      taxa: { aa: two('white', 'deadly', 'swollen'), bb: two('rust', 'none-recorded', 'even') },
    });
    expect(text).toContain('Spore print rust or black; stem base even');
    expect(text).toContain('Spore print white, or stem base swollen');
    expect(faultsOf(text)).toEqual([]);
  });

  it('takes a firm character before a weak one', () => {
    const { text } = drafted({
      'keywright-taxa': 1,
      characters: { ...colour, base: characters.base },
      taxa: { aa: two('white', 'deadly', 'swollen'), bb: two('rust', 'none-recorded', 'even') },
    });
    expect(text).toContain('Stem base swollen');
    expect(text).not.toContain('lead: Spore print');
  });

  it('keeps a find off though other finds of its taxon take the same lead', () => {
    const traits = (print: string, scales: string) => ({ print, surface: ['scaly', 'downy'], scales });
    const { text } = drafted({
      'keywright-taxa': 1,
      characters: {
        ...colour,
        surface: { name: 'surface of the cap', states: ['smooth', 'scaly', 'downy'] },
        scales: {
          name: 'scales of the cap',
          states: ['pointed', 'flat'],
          perishable: true,
          'applies-when': { surface: 'scaly' },
        },
      },
      taxa: {
        aa: { name: 'Taxon aus', concern: { level: 'deadly' }, traits: traits('white', 'pointed') },
        bb: { name: 'Taxon bus', concern: { level: 'none-recorded' }, traits: traits('rust', 'flat') },
      },
    });
    expect(text).not.toContain('# allow');
    expect(faultsOf(text).map((f) => f.rule)).not.toContain('harm-well-separated');
  });

  it('says so in the key and the report where one weak character is all there is', () => {
    const { text, account } = drafted({
      'keywright-taxa': 1,
      characters: { ...colour, base: characters.base },
      taxa: { aa: two('white', 'deadly', 'even'), bb: two('rust', 'none-recorded', 'even') },
    });
    expect(account.exposed.map((e) => [e.harmful.id, e.misread.id, e.taken.map((t) => t.id)])).toEqual([
      ['aa', 'print', ['bb']],
    ]);
    expect(text).toContain(
      '# allow harm-well-separated: no second character that is asked here keeps them apart',
    );
    expect(faultsOf(text)).toEqual([]);
  });

  it('counts a character that neither taxon has as none that separates them', () => {
    const ringless = (gills: string, level: string) => ({
      name: `Taxon ${gills}us`,
      concern: { level },
      traits: { ring: 'absent', texture: '-', gills },
    });
    const { account } = drafted({
      'keywright-taxa': 1,
      characters: {
        gills: characters.gills,
        ring: { name: 'ring', states: ['present', 'absent'] },
        texture: { name: 'texture', states: ['smooth', 'rough'], 'applies-when': { ring: 'present' } },
      },
      taxa: {
        aa: ringless('free', 'deadly'),
        bb: ringless('adnate', 'none-recorded'),
        cc: { name: 'Taxon cus', traits: { ring: 'present', texture: 'smooth', gills: 'adnate' } },
      },
    });
    expect(account.exposed.map((e) => [e.harmful.id, e.noSecond.map((t) => t.id)])).toEqual([['aa', ['bb']]]);
  });
});
