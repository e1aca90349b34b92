/**
 * Makes tables of described taxa, the same for the same seed: choices of two to five states and measures, some taxa
 * variable, some cells empty, one taxon in ten harmful.
 */
const COLOURS = ['red', 'green', 'blue', 'white', 'black', 'grey'];
const LETTERS = 'abcdefghij';

/** A CSV table of so many taxa by so many characters; `gaps` is the share of cells that say nothing. */
export function taxaTable({ taxa, characters = 30, gaps = 0.02, seed = 7 }) {
  let state = seed;
  const roll = () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const kinds = Array.from({ length: characters }, (_, c) => (c % 3 === 2 ? 'measure' : 2 + (c % 4)));
  const head = kinds.map((kind, c) => (kind === 'measure' ? `part ${c} length (mm)` : `part ${c}`));
  const name = (t) => `Taxon ${[1, 10, 100].map((n) => LETTERS[Math.floor(t / n) % 10]).join('')}us`;
  const cell = (kind) => {
    if (roll() < gaps) return '';
    if (kind === 'measure') {
      const from = 1 + Math.floor(roll() * 80);
      return `${from}-${from + 2 + Math.floor(roll() * 12)}`;
    }
    const one = () => COLOURS[Math.floor(roll() * kind)];
    return roll() < 0.08 ? [...new Set([one(), one()])].join(' | ') : one();
  };
  const rows = Array.from({ length: taxa }, (_, t) => [
    name(t),
    roll() < 0.1 ? 'severe' : 'none-recorded',
    ...kinds.map(cell),
  ]);
  return `${[['name', 'concern', ...head], ...rows].map((row) => row.join(',')).join('\n')}\n`;
}
