/** What cells of a table say: equal cells are one state and others never, in every script. */
import fc from 'fast-check';
import { describe, expect, it, vi } from 'vitest';
import { readTaxaTable } from '../../src/commands/draft/table.js';
import { emptyShelf } from '../../src/key/load.js';
import { findingLines } from '../../src/words/findings.js';
import { draft } from './support.js';

vi.setConfig({ testTimeout: 60_000 });

const quoted = (cell: string) => `"${cell.replaceAll('"', '""')}"`;

/** By taxon, what the one character of a table shows, as ids of states. */
function shown(cells: readonly string[]): {
  states: string[];
  meanings: string[];
  remarks: readonly string[];
} {
  const text = ['name,look of it', ...cells.map((c, i) => `Aus b${i},${quoted(c)}`)].join('\n');
  const { table, findings } = readTaxaTable({ file: 't.csv', text }, ',', emptyShelf);
  expect(findings).toEqual([]);
  const character = table?.key.characters.get('look-of-it');
  const states = [...(table?.key.taxa.values() ?? [])].map(({ traits }) => {
    const trait = traits.get('look-of-it');
    if (trait === undefined) return '?';
    if (trait.kind === 'inapplicable') return '-';
    if (trait.allowed.kind !== 'states') return 'numbers';
    return [...trait.allowed.states, ...(trait.partly ? ['-'] : [])].join(' | ');
  });
  return { states, meanings: character?.states.map((s) => s.meaning) ?? [], remarks: table?.remarks ?? [] };
}

describe('cells of words', () => {
  it.each<[string[], string[]]>([
    [
      ['красный', 'белый', 'Красный', 'красный'],
      ['krasnyy', 'belyy', 'krasnyy', 'krasnyy'],
    ],
    [
      ['赤', '红', '赤'],
      ['chi', 'hong', 'chi'],
    ],
    [
      ['K+', 'K-', 'k+', 'K\u2212'],
      ['k-plus', 'k-minus', 'k-plus', 'k-minus'],
    ],
    [
      ['red+', 'red', 'red+'],
      ['red-plus', 'red', 'red-plus'],
    ],
    [
      ['C#', 'C', 'C#'],
      ['c-sharp', 'c', 'c-sharp'],
    ],
    [
      ['rosé', 'rose', 'ROSÉ'],
      ['rose', 'rose-2', 'rose'],
    ],
    [
      ['!', '!!', '!', 'white'],
      ['state-1', 'state-2', 'state-1', 'white'],
    ],
    // Nothing but signs: - is what is not +.
    [
      ['+', '-', '+', '+ | -', '?'],
      ['present', 'absent', 'present', 'present | absent', '?'],
    ],
    [
      ['+', '++', '±', '-'],
      ['present', 'plus-plus', 'plus-minus', 'absent'],
    ],
    // Beside words it does not apply, as everywhere.
    [
      ['+', '-', 'weak', '+'],
      ['plus', '-', 'weak', 'plus'],
    ],
  ])('%j', (cells, states) => {
    expect(shown(cells).states).toEqual(states);
  });

  it('that were hard to read are told', () => {
    expect(shown(['+', '-', '+']).remarks.join('\n')).toContain(
      '"-" in column "look of it" is read as absent',
    );
    expect(shown(['+', '-', 'weak']).remarks.join('\n')).toContain('is read as "does not apply"');
    expect(shown(['rosé', 'rose', 'rose']).remarks.join('\n')).toContain(
      '"rose" and "rosé" of "look of it" are taken as two states, rose-2 and rose',
    );
    expect(shown(['+', '-', '赤']).meanings).toEqual(['+', '赤']);
  });

  it('of any signs are one state where they are equal, and else not', () => {
    const sign = fc.oneof(
      fc.constantFrom(...'aбв赤红あ한ع+±#♀½²é-/'),
      fc.string({ unit: 'grapheme', minLength: 1, maxLength: 1 }),
    );
    // Words behind them, so that none is a number or a sign of its own, and case and form can vary.
    const word = fc
      .tuple(fc.array(sign, { minLength: 1, maxLength: 4 }), fc.constantFrom('wide', 'é'))
      .map(([signs, end]) => `w ${signs.join('')} ${end}`)
      .filter((t) => !/[|?\r\n\0]|\p{Surrogate}|\p{Cc}/u.test(t));
    const plain = (t: string) =>
      t
        .normalize('NFKD')
        .toLowerCase()
        .toUpperCase()
        .replace(/[\p{M}\p{Cf}\p{Pd}\s_\u2212'’ʼ]/gu, '');
    const rows = fc
      .uniqueArray(word, { minLength: 2, maxLength: 5, selector: plain })
      .chain((words) =>
        fc.tuple(
          fc.constant(words),
          fc.array(fc.tuple(fc.nat(words.length - 1), fc.nat(3)), { minLength: 2, maxLength: 8 }),
        ),
      );
    fc.assert(
      fc.property(rows, ([words, drawn]) => {
        const cells = drawn.map(([w, how]) => {
          const text = words[w] as string;
          return [text, ` ${text}  `, text.normalize('NFD'), text.toLowerCase().normalize('NFC')][
            how
          ] as string;
        });
        const { states } = shown(cells);
        drawn.forEach(([a], i) => {
          drawn.forEach(([b], j) => {
            expect(states[i] === states[j], JSON.stringify([cells[i], cells[j]])).toBe(a === b);
          });
        });
      }),
      { numRuns: 300 },
    );
  });
});

describe('headings and names', () => {
  const read = (text: string) => readTaxaTable({ file: 't.csv', text }, ',', emptyShelf);

  it('that differ are different, whatever their ids', () => {
    const { table, findings } = read('name,K+,K-,цвет\nБелый гриб,red,none,a\nБелый гриб!,none,red,b\n');
    expect(findings).toEqual([]);
    expect([...(table?.key.characters.values() ?? [])].map((c) => [c.id, c.name])).toEqual([
      ['k-plus', 'K+'],
      ['k-minus', 'K-'],
      ['tsvet', 'цвет'],
    ]);
    expect([...(table?.key.taxa.values() ?? [])].map((t) => [t.id, t.name])).toEqual([
      ['belyy-grib', 'Белый гриб'],
      ['belyy-grib-2', 'Белый гриб!'],
    ]);
  });

  it('that say the same are a mistake', () => {
    const lines = (csv: string) => findingLines(draft(csv, {}, ',').findings).join('\n');
    expect(lines('name,цвет,Цвет\nA b,a,b\nA c,b,a\n')).toContain('columns 2 and 3 are both');
    expect(lines('name,x\nГриб,a\nгриб,b\n')).toContain('taxon "гриб" stands twice');
    expect(lines('name,constructor\nA b,a\nA c,b\n')).toBe('');
  });

  it('find each other in any form', () => {
    const { table, findings } = read('name,within,alike,x\nГриб,,,a\nГриб белый,гриб,ГРИБ,b\n');
    expect(findings).toEqual([]);
    expect(table?.key.taxa.get('grib-belyy')).toMatchObject({ within: 'grib', alike: ['grib'] });
  });
});

describe('cells of numbers', () => {
  it.each(['3,5', '1,000', '1 000', '1/2'])(
    'with %s are no states, and the mistake is told at each',
    (cell) => {
      const csv = `name;width\nA b;${cell}\nA c;${cell}\n`;
      const { findings } = readTaxaTable({ file: 't.csv', text: csv }, ';', emptyShelf);
      expect(findings.map((f) => [f.rule, f.place.start.line])).toEqual([
        ['number-form', 2],
        ['number-form', 3],
      ]);
    },
  );

  it.each(['.5', '½', '1e-1', '٣', '0.30000000000000004'])('with %s are numbers', (cell) => {
    expect(shown([cell, '4', cell]).states).toEqual(['numbers', 'numbers', 'numbers']);
  });
});
