import { allBits, members, size } from './bits.js';
import { type GrowingPlace, statesLeft } from './candidates.js';
import { type ChoiceOptions, Chooser, type Preference, saysOf } from './choose.js';
import type { Facts } from './facts.js';
import { applies, type Split, wholePiece } from './splits.js';

/** Why taxa end together: nothing separates them, the key would grow too long, or one misread character would hide harm. */
export type WhyTogether = 'alike' | 'size' | 'few' | 'harm';

/** A couplet of a draft, or an end of it. */
export type Grown =
  | {
      readonly kind: 'couplet';
      readonly place: GrowingPlace;
      readonly split: Split;
      readonly behind: readonly Grown[];
    }
  | {
      readonly kind: 'end';
      readonly place: GrowingPlace;
      /** Why its taxa, where it has several, are not separated. */
      readonly why: WhyTogether;
    };

/** How a draft is grown. */
export interface GrowOptions extends ChoiceOptions {
  /** No more couplets than this are made; what is not separated then ends together. */
  readonly mostCouplets: number;
}

interface OpenPlace {
  readonly place: GrowingPlace;
  readonly unsettled: number;
  readonly put: (grown: Grown) => void;
}

/**
 * A couplet is kept when it settles this share of all finds, or this share of the finds of one taxon: with less, there is
 * more to read for hardly any find.
 */
const WORTH_OF_ALL = 0.0003;
const WORTH_OF_ONE = 0.05;
/** What a find that goes astray counts beside one that is settled. */
const ASTRAY = 3;
/** So many couplets, and so many more a taxon, are made at most before the least useful are taken back. */
const MOST_TRIED = 500;
const MOST_TRIED_PER_TAXON = 20;

/**
 * Where the table gives none of the preferences anything to choose by, a key is grown in each of these ways besides, and the
 * one that settles the most for its size is kept; in larger tables they differ less and take long.
 */
const OTHER_WAYS: readonly Preference[] = ['information', 'pairs'];
const MOST_TAXA_IN_SEVERAL_WAYS = 50;

/** Grows a key. */
export function grow(facts: Facts, options: GrowOptions): Grown {
  const first = grownBy(facts, options);
  const free = !options.prefer.some((p) => saysOf(facts, p));
  if (!free || facts.taxa.length > MOST_TAXA_IN_SEVERAL_WAYS) return first.grown;
  return OTHER_WAYS.map((way) => grownBy(facts, { ...options, prefer: [way] })).reduce(
    (best, other) => (other.cost < best.cost - 1e-9 ? other : best),
    first,
  ).grown;
}

/**
 * Grows a key from the top, the place with the most unsettled finds first, so that a bound on its size cuts where it hurts
 * least; then takes back what settles too few finds for its couplets.
 */
function grownBy(facts: Facts, options: GrowOptions): { readonly grown: Grown; readonly cost: number } {
  const chooser = new Chooser(facts, options);
  const all = allBits(facts.taxa.length);
  const start: GrowingPlace = { pieces: [wholePiece(facts, all)], taxa: all, asked: [] };
  let root: Grown = { kind: 'end', place: start, why: 'alike' };
  const waiting: OpenPlace[] = [];
  const wait = (place: GrowingPlace, put: OpenPlace['put']) => {
    waiting.push({ place, unsettled: unsettledAt(chooser, place), put });
  };
  wait(start, (grown) => {
    root = grown;
  });
  const worth = Math.min(WORTH_OF_ONE, WORTH_OF_ALL * facts.taxa.length);
  const mostTried = MOST_TRIED + MOST_TRIED_PER_TAXON * facts.taxa.length;
  let couplets = 0;
  for (let open = takeMost(waiting); open !== undefined; open = takeMost(waiting)) {
    const { place, put, unsettled } = open;
    const n = size(place.taxa);
    const choice =
      n === 1
        ? 'alike'
        : couplets >= mostTried
          ? 'size'
          : couplets > 0 && unsettled < worth
            ? 'few'
            : chooser.choose(place);
    if (typeof choice === 'string') {
      const why = choice === 'alike' && n > 1 && differSomewhere(facts, place) ? 'few' : choice;
      put({ kind: 'end', place, why });
      continue;
    }
    couplets++;
    const behind: Grown[] = [];
    const { candidate } = choice;
    put({ kind: 'couplet', place, split: candidate.split, behind });
    choice.behind.forEach((next, i) => {
      behind[i] = { kind: 'end', place: next, why: 'alike' };
      wait(next, (grown) => {
        behind[i] = grown;
      });
    });
  }
  let grown = pruned(chooser, root, worth, 'few');
  // Where fewer are wanted, a couplet has to be worth more, until they are few enough.
  for (let more = worth; coupletsOf(grown).length > options.mostCouplets; more *= 1.2)
    grown = pruned(chooser, root, more, 'size');
  return { grown, cost: costOf(chooser, grown, worth) };
}

/** What a key leaves unsettled or leads astray, and its couplets at what each has to be worth. */
function costOf(chooser: Chooser, grown: Grown, worth: number): number {
  const couplets = coupletsOf(grown);
  const open = endsOf(grown).reduce((sum, end) => sum + unsettledAt(chooser, end.place), 0);
  return couplets.reduce((sum, c) => sum + worth + ASTRAY * lostAt(chooser, c), open);
}

/** How many of the finds that come to a couplet go where their taxon does not stand. */
function lostAt(chooser: Chooser, { place, behind }: Extract<Grown, { kind: 'couplet' }>): number {
  const kept = new Map<number, number>();
  for (const next of behind) {
    const { taxa, mass } = chooser.arriving(next.place);
    taxa.forEach((t, i) => {
      kept.set(t, (kept.get(t) ?? 0) + (mass[i] as number));
    });
  }
  const { taxa, mass } = chooser.arriving(place);
  return taxa.reduce((sum, t, i) => sum + Math.max(0, (mass[i] as number) - (kept.get(t) ?? 0)), 0);
}

/** Whether something that can be asked at a place could still keep one of its taxa off, be it from a single find. */
function differSomewhere(facts: Facts, { pieces, taxa }: GrowingPlace): boolean {
  const all = members(taxa);
  return facts.facets.some((facet, c) => {
    if (!facet.usable || applies(facts, pieces, c) !== 'yes') return false;
    const shown = (t: number) =>
      facet.shows.length > 0
        ? String((facet.masks[t] as number) & statesLeft(pieces, c))
        : pieces
            .map(
              (p) =>
                `${Math.max(facet.low[t] as number, p.from[c] as number)} ${Math.min(facet.high[t] as number, p.below[c] as number)}`,
            )
            .join();
    return new Set(all.map(shown)).size > 1;
  });
}

/** The place with the most unsettled finds, taken off the list. */
function takeMost(waiting: OpenPlace[]): OpenPlace | undefined {
  let most = 0;
  for (let i = 1; i < waiting.length; i++)
    if ((waiting[i] as OpenPlace).unsettled > (waiting[most] as OpenPlace).unsettled) most = i;
  const taken = waiting[most];
  const last = waiting.pop();
  if (last !== undefined && most < waiting.length) waiting[most] = last;
  return taken;
}

/**
 * How many finds are not settled where a place is an end, those of one taxon together being 1. A find that ends among n taxa
 * is settled to one part in n.
 */
function unsettledAt(chooser: Chooser, place: GrowingPlace): number {
  const { mass } = chooser.arriving(place);
  return mass.reduce((sum, m) => sum + m, 0) * (1 - 1 / Math.max(1, mass.length));
}

/** Takes back the couplets below which too few finds are settled for their number. */
function pruned(chooser: Chooser, root: Grown, worth: number, why: WhyTogether): Grown {
  const done = new Map<
    Grown,
    { readonly grown: Grown; readonly unsettled: number; readonly couplets: number }
  >();
  for (const couplet of coupletsOf(root).reverse()) {
    let unsettled = 0;
    let couplets = 1;
    const behind = couplet.behind.map((next) => {
      const below = done.get(next);
      unsettled += below?.unsettled ?? unsettledAt(chooser, next.place);
      couplets += below?.couplets ?? 0;
      return below?.grown ?? next;
    });
    unsettled += ASTRAY * lostAt(chooser, couplet);
    const before = unsettledAt(chooser, couplet.place);
    if (couplet !== root && before - unsettled < worth * couplets)
      done.set(couplet, {
        grown: { kind: 'end', place: couplet.place, why },
        unsettled: before,
        couplets: 0,
      });
    else done.set(couplet, { grown: { ...couplet, behind }, unsettled, couplets });
  }
  return done.get(root)?.grown ?? root;
}

/** Every couplet of a draft, each before those below it, the branches in order. */
export function coupletsOf(grown: Grown): Extract<Grown, { kind: 'couplet' }>[] {
  const out: Extract<Grown, { kind: 'couplet' }>[] = [];
  const todo: Grown[] = [grown];
  for (let next = todo.pop(); next !== undefined; next = todo.pop()) {
    if (next.kind !== 'couplet') continue;
    out.push(next);
    todo.push(...[...next.behind].reverse());
  }
  return out;
}

/** Every end of a draft, in the order in which it reads. */
export function endsOf(grown: Grown): Extract<Grown, { kind: 'end' }>[] {
  const out: Extract<Grown, { kind: 'end' }>[] = [];
  const todo: Grown[] = [grown];
  for (let next = todo.pop(); next !== undefined; next = todo.pop()) {
    if (next.kind === 'end') out.push(next);
    else todo.push(...[...next.behind].reverse());
  }
  return out;
}
