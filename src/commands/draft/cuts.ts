import type { Character } from '../../traits/character.js';
import { fromBase, toBase } from '../../traits/units.js';
import { type Bits, hasBit, members } from './bits.js';
import type { CharacterFacts } from './facts.js';

/** More stretches of one character than this are hardly ever needed to find a good cut. */
const MOST_STRETCHES = 24;

/** A stretch that was cut is cut again while this part of it is left. */
const WORTH_ANOTHER = 0.05;

/** Numbers between two neighbouring ends of ranges: wherever a cut lies there, the same taxa lie wholly beyond it. */
interface Stretch {
  readonly above: number;
  readonly most: number;
  /** Whether a taxon ends just below it, and whether one begins just above it. */
  readonly ends: boolean;
  readonly begins: boolean;
}

/**
 * The numbers at which some taxon lies wholly on one side, of those from one (included) to another (excluded). In a gap
 * between ranges the cut stands in the middle; where one taxon alone would be kept off, also near its end, since
 * that settles more finds.
 */
export function cutsOf(
  facet: CharacterFacts,
  taxa: Bits,
  from = -Infinity,
  below = Infinity,
  most = MOST_STRETCHES,
): number[] {
  return widest(stretchesOf(facet, taxa, from, below), most).flatMap((stretch) => {
    const { above, most: to, ends, begins } = stretch;
    const middle = cutBetween(facet, above, to);
    if (ends === begins) return [middle];
    const near = nearEnd(facet.character, stretch);
    return near === middle ? [middle] : [middle, near];
  });
}

function stretchesOf(facet: CharacterFacts, taxa: Bits, from: number, below: number): Stretch[] {
  const lows: number[] = [];
  const highs: number[] = [];
  for (const t of members(taxa)) {
    if (hasBit(facet.silent, t) || facet.spans[t]?.length === 0) continue;
    lows.push(facet.low[t] as number);
    highs.push(facet.high[t] as number);
  }
  lows.sort((a, b) => a - b);
  highs.sort((a, b) => a - b);
  const found: Stretch[] = [];
  let [l, h] = [0, 0];
  for (;;) {
    // The next end of a range: lows up to l and highs up to h are passed.
    const above = Math.min(lows[l] ?? Infinity, highs[h] ?? Infinity);
    if (above === Infinity) return found;
    while (lows[l] === above) l++;
    const before = h;
    while (highs[h] === above) h++;
    const most = Math.min(lows[l] ?? Infinity, highs[h] ?? Infinity);
    // Somebody must lie wholly below or wholly above.
    if (above === -Infinity || most === Infinity || (h === 0 && l === lows.length)) continue;
    const [ends, begins] = [h > before, lows[l] === most];
    const [least, greatest] = [Math.max(above, from), Math.min(most, below)];
    const cutBefore = from > above || below < most;
    // A stretch that was cut on the way is cut again only nearer to the one taxon that it can keep off.
    if (least >= greatest || (cutBefore && ends === begins)) continue;
    if (cutBefore && greatest - least < WORTH_ANOTHER * (most - above)) continue;
    if ((begins && below < most) || (ends && from > above)) continue;
    found.push({ above: least, most: greatest, ends, begins });
  }
}

/** Of neighbouring stretches the widest: there the fewest finds lie near the cut. */
function widest(stretches: readonly Stretch[], most: number): readonly Stretch[] {
  if (stretches.length <= most) return stretches;
  return Array.from({ length: most }, (_, i) =>
    stretches
      .slice(Math.floor((i * stretches.length) / most), Math.floor(((i + 1) * stretches.length) / most))
      .reduce((a, b) => (b.most - b.above > a.most - a.above ? b : a)),
  );
}

/** The plainest number in the middle half between two, each worked out once. */
export function cutBetween({ character, cuts }: CharacterFacts, above: number, most: number): number {
  let known = cuts.get(above);
  if (known === undefined) {
    known = new Map();
    cuts.set(above, known);
  }
  let cut = known.get(most);
  if (cut === undefined) {
    const quarter = (most - above) / 4;
    cut =
      character.kind === 'count'
        ? Math.ceil((above + 1 + most) / 2)
        : plainBetween(character, above + quarter, most - quarter);
    known.set(most, cut);
  }
  return cut;
}

/** The plainest number in the quarter beside the taxon that the cut keeps off. */
function nearEnd(character: Character, { above, most, begins }: Stretch): number {
  if (character.kind === 'count') return begins ? most : Math.floor(above) + 1;
  const quarter = (most - above) / 4;
  return begins
    ? plainBetween(character, most - quarter, most)
    : plainBetween(character, above + quarter / 100, above + quarter);
}

/** The number with the fewest digits between two (both included), the nearest to their middle. */
function plainBetween(character: Character, low: number, high: number): number {
  const { unit } = character;
  const middle = (Number(fromBase(low, unit)) + Number(fromBase(high, unit))) / 2;
  for (let digits = -6; digits <= 9; digits++) {
    const step = 10 ** -digits;
    const cut = toBase((Math.round(middle / step) * step).toFixed(Math.max(0, digits)), unit);
    if (cut !== undefined && cut >= low && cut <= high) return cut;
  }
  return high;
}
