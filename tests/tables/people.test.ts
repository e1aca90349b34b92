import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Character } from '../../src/traits/character.js';
import { readLoosely } from '../../src/traits/loose-value.js';
import { statesNamed } from '../../src/traits/state-words.js';
import { readValue } from '../../src/traits/value.js';
import { capsKey, readTable } from './reading.js';

const character = (id: string) => capsKey.chain.characters.get(id) as Character;
const width = character('width');
/** What a text is read as, written as keys write it; or what is wrong with it. */
const as = (id: string, text: string, decimalComma = false) => {
  const read = readLoosely(character(id), text, decimalComma);
  return read.ok ? `${read.as}${read.doubted ? ', doubted' : ''}` : read.problem;
};

describe('numbers in words', () => {
  it.each([
    ['4 to 6', '4-6 cm'],
    ['between 4 and 6 cm', '4-6 cm'],
    ['from 4 to 6 inches', '10.16-15.24 cm'],
    ['4 cm to 6 cm', '4-6 cm'],
    ['2 inches', '5.08 cm'],
    ['2"', '5.08 cm'],
    ['40 MM', '4 cm'],
    ['up to 5', '0.2-5 cm'],
    ['at most 5 cm', '0.2-5 cm'],
    ['over 3', '> 3 to <= 60 cm'],
    ['less than 5', '>= 0.2 to < 5 cm'],
    ['5 or more', '5-60 cm'],
    ['5+', '5-60 cm'],
    ['5 or less', '0.2-5 cm'],
    ['ca. 4', '3-5 cm'],
    ['c. 4 cm', '3-5 cm'],
    ['about 4-6 cm', '3-7 cm'],
    ['4 to ca. 6', '4-7 cm'],
    ['~40 mm', '3-5 cm'],
    ['ca. 4.5', '4.05-4.95 cm'],
    ['4 or so', '3-5 cm'],
    ['up to about 5', '0.2-6 cm'],
    ['over about 5', '> 4 to <= 60 cm'],
    ['ca. 60', '50-60 cm'],
    ['3?', '3 cm, doubted'],
    ['ca. 4 (?)', '3-5 cm, doubted'],
  ])('%s is %s', (text, meant) => expect(as('width', text)).toBe(meant));

  it('a count stays whole', () => {
    expect(as('spots', 'ca. 12')).toBe('10-14');
    expect(as('spots', 'about 3')).toBe('2-4');
  });

  it.each([
    ['ca. 80', '"80" is outside the limits of width (0.2-60 cm)'],
    ['not over 5', '"not over 5" is not a number'],
    ['8 mm to 1.2 cm', '"8 mm to 1.2" is not a number'],
    ['4 cm to 6', '"4 cm to 6" is not a number'],
    ['4 to 6 x 3', '"4 to 6 x 3" is not a number'],
    ['medium', '"medium" is not a number'],
  ])('%s is a mistake', (text, problem) => expect(as('width', text)).toContain(problem));

  it('a comma stands before decimals only where cells are parted by semicolons, and never where it may part thousands', () => {
    expect(as('width', '3,5', true)).toBe('3.5 cm');
    expect(as('width', '3,5 to 4,25 cm', true)).toBe('3.5-4.25 cm');
    expect(as('width', '3,5')).toContain('has a decimal comma');
    expect(as('width', '1,000', true)).toContain('has its thousands separated: write "1000"');
    expect(as('width', '1.234,5', true)).toContain('has its thousands separated');
  });

  it('"about" holds the number itself and what rounding to its last digit may have hidden', () => {
    fc.assert(
      fc.property(fc.integer({ min: 10, max: 3000 }), fc.integer({ min: 0, max: 2 }), (n, places) => {
        const digits = (n / 10 ** places).toFixed(places);
        const wide = { ...width, limits: undefined } as unknown as Character;
        const read = readLoosely(wide, `ca. ${digits}`);
        const value = read.ok ? read.value : undefined;
        const [only] = value?.kind === 'numbers' ? value.set.intervals : [];
        const half = 0.5 / 10 ** places;
        expect(only?.low ?? NaN).toBeLessThanOrEqual((Number(digits) - half) / 100 + 1e-12);
        expect(only?.high ?? NaN).toBeGreaterThanOrEqual((Number(digits) + half) / 100 - 1e-12);
      }),
    );
  });
});

describe('states in the words of people', () => {
  const print = {
    ...character('print'),
    states: [
      { id: 'white', meaning: 'white, cream or palest lilac-grey' },
      { id: 'rust', meaning: 'rusty brown to ochre-brown' },
      { id: 'other', meaning: 'other than white, pink' },
      { id: 'dark', meaning: 'dark purplish brown to black' },
      { id: 'sooty', meaning: 'sooty, or black' },
    ],
  };
  const named = (text: string) => statesNamed(print, text).states.map((s) => s.id);

  it.each([
    ['Rust', ['rust']],
    ['RUSTY BROWN', ['rust']],
    ['ochre brown', ['rust']],
    ['rusty-brown to ochre-brown', ['rust']],
    ['Cream', ['white']],
    ['black', ['dark', 'sooty']],
    ['pink', []],
    ['brown', []],
    ['other than white, pink', ['other']],
  ])('%s names %j', (text, ids) => expect(named(text)).toEqual(ids));

  it('what may be one state or another is a mistake that names both', () => {
    const read = readLoosely(
      { ...print, stateIndex: new Map(print.states.map((s, i) => [s.id, i])) },
      'black',
    );
    expect(read).toMatchObject({ ok: false, problem: '"black" may be dark or sooty of print' });
  });

  it('doubt is kept, and a lone ? is still no value', () => {
    expect(as('ring', 'present?')).toBe('present, doubted');
    expect(as('ring', '? Present')).toBe('present, doubted');
    expect(as('ring', '-?')).toBe('-, doubted');
    expect(readTable('id,ring,print\nA,?,rust ?\n').entries[0]?.collection.observations).toMatchObject([
      { character: 'ring', value: undefined },
      { character: 'print', doubted: true },
    ]);
    expect(as('ring', 'presnet?')).toBe('"presnet?" is not a state of ring');
  });

  it('capitals and hyphens change nothing of any state', () => {
    const states = [...capsKey.chain.characters.values()].flatMap((c) =>
      c.states.map((s) => [c, s.id] as const),
    );
    const signs = fc.array(fc.boolean(), { minLength: 20, maxLength: 20 });
    fc.assert(
      fc.property(
        fc.constantFrom(...states),
        signs,
        fc.constantFrom('-', ' ', '_', ' - '),
        ([c, id], upper, dash) => {
          const written = [...id].map((l, i) => (upper[i] ? l.toUpperCase() : l)).join('');
          const read = readLoosely(c, written.replaceAll('-', dash));
          expect(read.ok && read.value).toEqual((readValue(c, id) as { value: unknown }).value);
        },
      ),
    );
  });
});

describe('a table as people make it', () => {
  it('is read as the same table in the spelling of the key, and each kind of leniency is said once', () => {
    const plain = readTable(
      'id,date,print,ring,width\nA,2026-10-04,rust,present,3.5 cm\nB,2026-10-05,white,absent,4-6 cm\n',
    );
    const made = readTable(
      'sep=;\nFinds of Tarn Hollow;;;;\n\nID;Date;Print;RING;Width of the cap\nA;2026-10-04;Rust;Present;3,5\nB;2026-10-05;WHITE;Absent;4 to 6\n',
    );
    expect(made.mistakes).toEqual([]);
    expect(made.entries.map((e) => e.collection)).toEqual(plain.entries.map((e) => e.collection));
    expect(plain.notes).toEqual([]);
    expect(made.notes).toEqual([
      '1:1 the line sep=; is passed over',
      '2:1 1 line above the names of the columns (line 4) is passed over',
      '4:1 "ID" is read as id, "Date" is read as date, "Print" is read as print, "RING" is read as ring and "Width of the cap" is read as width',
      '5:14 print: "Rust" is read as rust; capitals, spaces and hyphens of a state do not count (4 cells of this table)',
      '5:27 width: "3,5" is read as 3.5 cm; cells are parted by semicolons, so a comma stands before decimals',
      '6:27 width: "4 to 6" is read as 4-6 cm; words around a number are read as the signs that keys write',
    ]);
  });

  it('the unit in the name of a column is that of its numbers', () => {
    const read = readTable('id,Width (mm)\nA,35\nB,3.5 cm\n');
    const [a, b] = read.entries.map((e) => e.collection.observations[0]?.value);
    expect([read.mistakes, a]).toEqual([[], b]);
    expect(readTable('id,width (kg)\nA,3\n').mistakes).toEqual([
      '1:4 column 2, "width (kg)", is neither a character of caps nor a field of a collection; did you mean width?',
    ]);
  });

  it('columns that mean nothing are kept, and named once', () => {
    const read = readTable(
      'id,weather,print,photo,photo\nA,rain,rust,1.jpg,2.jpg\nA,dry,white,,\nB,,rust,,\n',
    );
    expect(read.mistakes).toEqual([]);
    expect(read.entries.map((e) => e.collection.others)).toEqual([
      { weather: 'rain | dry', photo: '1.jpg', 'photo (2)': '2.jpg' },
      undefined,
    ]);
    expect(read.notes).toEqual([
      '1:4 "weather", "photo" and "photo (2)" mean nothing to the key; identify passes them on to csv, ndjson and yaml results (--strict-columns refuses them)',
    ]);
  });

  it('a column that is near a character is a mistake and never passed on', () => {
    const ids = [...capsKey.chain.characters.keys()].filter((id) => id.length > 3);
    const letter = fc.constantFrom(...'abcdefghijklmnopqrstuvwxyz-');
    fc.assert(
      fc.property(
        fc.constantFrom(...ids),
        fc.nat(),
        letter,
        fc.constantFrom('put', 'in', 'out'),
        (id, at, sign, how) => {
          const i = at % id.length;
          const name = id.slice(0, i) + (how === 'out' ? '' : sign) + id.slice(how === 'in' ? i : i + 1);
          const read = readTable(`id,${name}\nA,rust\n`, 'csv');
          expect(read.entries.flatMap((e) => Object.keys(e.collection.others ?? {}))).toEqual([]);
        },
      ),
    );
    for (const name of ['Ring (present/absent)', 'texture of ring', 'habitats', 'stge', 'dates'])
      expect(readTable(`id,${name}\nA,x\n`, 'csv').mistakes[0], name).toContain('is neither a character');
  });

  it('the long form and documents are read alike', () => {
    const long = readTable(
      'id,measurementType,measurementValue,measurementUnit\nA,Print,Rust?,\nA,width,3?,mm\nA,moon,full,\n',
    );
    const lines = readTable('{"ID":"A","Moon":"full","traits":{"Print":"Rust?","width":"3 mm?"}}\n');
    const yaml = readTable(
      'keywright-collections: 1\ncollections:\n  - {ID: A, Moon: full, print: Rust?, traits: {width: 3 mm?}}\n',
    );
    for (const read of [long, lines, yaml]) {
      expect(read.mistakes).toEqual([]);
      const [entry] = read.entries;
      expect(Object.values(entry?.collection.others ?? {})).toEqual(['full']);
      expect(new Set(entry?.collection.observations.map((o) => [o.character, o.doubted].join()))).toEqual(
        new Set(['print,true', 'width,true']),
      );
    }
    const seen = (read: typeof long) =>
      read.entries[0]?.collection.observations.find((o) => o.character === 'width');
    expect(seen(long)?.value).toEqual(seen(lines)?.value);
  });

  it('doubted observations keep their specimen and age', () => {
    const read = readTable('id,specimen,stage,print\nA,a,young,rust?\n');
    expect(read.entries[0]?.collection.observations).toMatchObject([
      { character: 'print', specimen: 'a', stage: 'young', doubted: true },
    ]);
  });

  it('without names of columns in its first lines, what is wrong is said of the first line', () => {
    expect(readTable('A,rust,3.5\nB,white,4\n').mistakes).toEqual([
      '1:1 the first line must name the columns, and "A" is no name of one',
    ]);
    const far = `${'title\n'.repeat(12)}id,print\nA,rust\n`;
    expect(readTable(far, 'csv').mistakes).toHaveLength(1);
  });
});
