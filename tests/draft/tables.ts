/** Random tables of described taxa, as the plain data an author would write, and specimens of them. */
import fc from 'fast-check';

export type Traits = Record<string, string | string[]>;
export interface TableData {
  'keywright-taxa': 1;
  characters: Record<string, Record<string, unknown>>;
  taxa: Record<
    string,
    { name: string; rank: string; frequency?: number; concern?: { level: string }; traits: Traits }
  >;
}

/** Choices firm and weak, two that depend on a third, a measure and a count. */
export const characters = {
  ring: { name: 'ring on the stem', states: ['present', 'absent'] },
  texture: {
    name: 'texture of the ring',
    states: ['membranous', 'fibrous', 'powdery'],
    'applies-when': { ring: 'present' },
  },
  edge: {
    name: 'edge of the ring',
    states: ['even', 'toothed'],
    'applies-when': { texture: ['membranous', 'fibrous'] },
  },
  print: {
    name: 'colour of the spore print',
    states: { white: 'white to cream', rust: 'rusty brown', black: 'black', pink: 'pink' },
    wait: '6 h',
    effort: 5,
    stages: ['mature'],
  },
  gills: { name: 'how the gills meet the stem', states: ['free', 'adnate', 'decurrent'], reliability: 0.8 },
  surface: { name: 'surface of the cap', states: ['smooth', 'scaly', 'sticky', 'downy'] },
  scales: {
    name: 'scales of the cap',
    states: ['pointed', 'flat'],
    perishable: true,
    'applies-when': { surface: 'scaly' },
  },
  smell: { name: 'smell', states: ['none', 'mealy', 'aniseed'], reliability: 0.7, effort: 2 },
  width: { name: 'width of the cap', kind: 'measure', unit: 'cm' },
  spores: { name: 'length of the spores', kind: 'measure', unit: 'um', effort: 8, reliability: 0.95 },
  teeth: { name: 'number of teeth', kind: 'count' },
} as const;

type Id = keyof typeof characters;
export const ids = Object.keys(characters) as Id[];
const choice = (id: Id): readonly string[] | undefined => {
  const { states } = characters[id] as { states?: readonly string[] | Record<string, string> };
  return states === undefined ? undefined : Array.isArray(states) ? states : Object.keys(states);
};
const GATES: Partial<Record<Id, readonly [Id, readonly string[]]>> = {
  texture: ['ring', ['present']],
  edge: ['texture', ['membranous', 'fibrous']],
  scales: ['surface', ['scaly']],
};

/** One whole specimen; `-` where a character does not apply. */
export type Specimen = Record<Id, string>;

function number(id: Id): fc.Arbitrary<readonly [low: number, high: number]> {
  const most = id === 'teeth' ? 9 : 20;
  return fc
    .tuple(fc.integer({ min: 0, max: most }), fc.integer({ min: 0, max: most > 9 ? 6 : 3 }))
    .map(([low, more]) => (id === 'teeth' ? [low, low + more] : [low / 2, (low + more) / 2]));
}

/** What a taxon shows of one character, where it applies; undefined = not described. */
function shown(id: Id, gaps: number): fc.Arbitrary<string | string[] | undefined> {
  const states = choice(id);
  const value: fc.Arbitrary<string | string[]> =
    states === undefined
      ? number(id).map(([a, b]) => (a === b ? `${a}` : `${a}-${b}`))
      : fc.oneof(
          { weight: 4, arbitrary: fc.constantFrom(...states) },
          { weight: 1, arbitrary: fc.subarray([...states], { minLength: 1 }) },
        );
  return fc.oneof({ weight: gaps, arbitrary: fc.constant(undefined) }, { weight: 10, arbitrary: value });
}

/** A description that agrees with what depends on what. */
function traits(gaps: number): fc.Arbitrary<Traits> {
  return fc.record(Object.fromEntries(ids.map((id) => [id, shown(id, gaps)]))).map((drawn) => {
    const out: Traits = {};
    for (const id of ids) {
      const value = drawn[id] as string | string[] | undefined;
      const gate = GATES[id];
      if (gate !== undefined) {
        const [by, states] = gate;
        const shows = out[by] === undefined ? undefined : [out[by]].flat();
        // Not described, or described as not applying, where what it depends on is not so.
        if (shows?.every((s) => !states.includes(s))) {
          if (value !== undefined) out[id] = '-';
          continue;
        }
        if (shows === undefined && value !== undefined && [value].flat().length > 1) continue;
      }
      if (value !== undefined) out[id] = value;
    }
    if (Object.keys(out).length === 0) out.ring = 'absent';
    return out;
  });
}

const levels = ['deadly', 'severe', 'upset', 'unknown', 'none-recorded'];

/** Tables of two to `most` taxa, with more or fewer gaps. */
export function tables(most: number): fc.Arbitrary<TableData> {
  return fc
    .record({
      gaps: fc.constantFrom(0, 0, 1, 4),
      harm: fc.constantFrom(0, 0.3, 0.6),
      weighted: fc.boolean(),
      left: fc.subarray(
        ids.filter((id) => GATES[id] === undefined),
        { maxLength: 5 },
      ),
    })
    .chain(({ gaps, harm, weighted, left }) =>
      fc
        .array(
          fc.record({
            traits: traits(gaps),
            level: fc.constantFrom(...levels),
            harmful: fc.double({ min: 0, max: 1, noNaN: true }),
            frequency: fc.integer({ min: 1, max: 20 }),
          }),
          { minLength: 2, maxLength: most },
        )
        .map(
          (taxa): TableData => ({
            'keywright-taxa': 1,
            characters: characters as unknown as TableData['characters'],
            taxa: Object.fromEntries(
              taxa.map((t, i) => {
                const kept: Traits = { ...t.traits };
                for (const id of left) if (!ids.some((d) => GATES[d]?.[0] === id)) delete kept[id];
                if (Object.keys(kept).length === 0) kept.ring = 'absent';
                return [
                  `t${i + 1}`,
                  {
                    name: `Taxon ${String.fromCharCode(97 + (i % 26))}${'a'.repeat(Math.floor(i / 26))}us`,
                    rank: 'species',
                    ...(weighted ? { frequency: t.frequency } : {}),
                    ...(t.harmful < harm ? { concern: { level: t.level } } : {}),
                    traits: kept,
                  },
                ];
              }),
            ),
          }),
        ),
    );
}

/** A whole specimen that agrees with a description: each character one value, chosen by numbers from 0 to 1. */
export function specimenOf(described: Traits, dice: readonly number[]): Specimen {
  const out = {} as Specimen;
  // What is described of a dependent character says something of the one it depends on.
  const told: Traits = { ...described };
  for (const id of [...ids].reverse()) {
    const gate = GATES[id];
    const value = told[id];
    if (gate === undefined || value === undefined || value === '-' || [value].flat().includes('-')) continue;
    if (told[gate[0]] === undefined) told[gate[0]] = [...gate[1]];
  }
  ids.forEach((id, i) => {
    const die = Math.min(0.999999, dice[i % dice.length] ?? 0);
    const gate = GATES[id];
    if (gate !== undefined && !gate[1].includes(out[gate[0]])) {
      out[id] = '-';
      return;
    }
    const states = choice(id);
    if (states !== undefined) {
      const own = told[id] === undefined || told[id] === '-' ? states : [told[id]].flat();
      const list = own.filter((s) => s !== '-');
      out[id] = list[Math.floor(die * list.length)] as string;
      return;
    }
    const [low = 0, high = low] = String(told[id] ?? '0-12')
      .split('-')
      .map(Number);
    const steps = id === 'teeth' ? high - low : (high - low) * 4;
    const at = Math.floor(die * (steps + 1));
    out[id] = String(id === 'teeth' ? low + at : low + at / 4);
  });
  return out;
}
