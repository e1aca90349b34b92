/** Whatever sound table is drafted from, the key holds up: no error, no warning, and every taxon comes to its own end. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { determine } from '../../src/engine/determine.js';
import { findingLines } from '../../src/words/findings.js';
import { find, observed, open } from '../support/open.js';
import { faultsOf } from './lint.js';
import { draft, drafted } from './support.js';
import { specimenOf, type TableData, tables } from './tables.js';

const options = fc.record({
  prefer: fc.shuffledSubarray(['effort', 'short', 'information', 'pairs', 'reliability', 'harm'] as const, {
    minLength: 1,
  }),
  lookAhead: fc.constantFrom(0, 1, 2),
  mostLeads: fc.constantFrom(2, 2, 4),
});
const dice = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 11, maxLength: 11 });

const partsSomething = (table: TableData, how: object) => draft(table, how).drafted !== undefined;

describe('a drafted key', () => {
  it('has no errors and no warnings', () => {
    fc.assert(
      fc.property(tables(14), options, (table, how) => {
        fc.pre(partsSomething(table, how));
        const { text } = drafted(table, how);
        const found = faultsOf(text).filter((f) => f.level !== 'note');
        expect(findingLines(found).join('\n'), text).toBe('');
      }),
      { numRuns: 60, endOnFailure: true },
    );
  });

  it('leads every specimen of a taxon to one end, and the taxon stands there', () => {
    fc.assert(
      fc.property(tables(12), options, dice, (table, how, rolled) => {
        fc.pre(partsSomething(table, how));
        const { text } = drafted(table, how);
        const key = open(text);
        const ends = key.couplets.flatMap((c) => c.leads.filter((l) => l.next < 0).map((l) => [...l.taxa]));
        for (const [id, { traits }] of Object.entries(table.taxa)) {
          const specimen = specimenOf(traits, rolled);
          const { candidates } = determine(key, find(observed(key, specimen)));
          const reached = candidates.map((c) => c.taxon.id);
          expect(reached, JSON.stringify(specimen)).toContain(id);
          const numbers = candidates
            .map((c) => key.taxa.findIndex((t) => t.id === c.taxon.id))
            .sort((a, b) => a - b);
          expect(ends.map((e) => e.sort((a, b) => a - b))).toContainEqual(numbers);
        }
      }),
      { numRuns: 60, endOnFailure: true },
    );
  });

  it('leads a taxon, run from its description, to candidates among which it is', () => {
    fc.assert(
      fc.property(tables(12), options, (table, how) => {
        fc.pre(partsSomething(table, how));
        const key = open(drafted(table, how).text);
        for (const [id, { traits }] of Object.entries(table.taxa)) {
          const written = Object.fromEntries(
            Object.entries(traits).map(([c, v]) => [c, [v].flat().join(' | ')]),
          );
          const { candidates } = determine(key, find(observed(key, written)));
          expect(candidates.map((c) => c.taxon.id)).toContain(id);
        }
      }),
      { numRuns: 60, endOnFailure: true },
    );
  });
});
