import { allBits, size } from './bits.js';
import type { GrowingPlace } from './candidates.js';
import { type ChoiceOptions, Chooser, type Preference, STANDARD, saysOf } from './choose.js';
import type { Facts } from './facts.js';
import { askedBy, type Split, wholePiece } from './splits.js';
import type { WhyTogether } from './together.js';

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
 * more to read for hardly any find. In a table of a few taxa, a part of all finds would be too little to ask for.
 */
const WORTH_OF_ALL = 0.0003;
const WORTH_OF_ONE = 0.05;
const WORTH_AT_LEAST = 0.005;
/** The same where few couplets are preferred, of the finds of one taxon. */
const WORTH_IN_SHORT = 0.1;
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

/**
 * Grows a key. Where few couplets are preferred before all else, each has to be worth more, the ways without a preference are
 * tried besides, and there are never more couplets than without that preference.
 */
export function grow(facts: Facts, options: GrowOptions): Grown {
  const others = facts.taxa.length > MOST_TAXA_IN_SEVERAL_WAYS ? [] : OTHER_WAYS;
  const choosing = (prefer: readonly Preference[]) => prefer.filter((p) => saysOf(facts, p));
  const waysOf = (says: readonly Preference[]): (readonly Preference[])[] =>
    says.length > 0 ? [says] : [['short'], ...others.map((p) => [p])];
  const grown = new Map<string, Growth>();
  const growthsOf = (ways: readonly (readonly Preference[])[]): Growth[] =>
    ways.map((prefer) => {
      const known = grown.get(prefer.join()) ?? growth(facts, { ...options, prefer });
      grown.set(prefer.join(), known);
      return known;
    });
  const { mostCouplets } = options;
  const prefer = choosing(options.prefer);
  const ways = waysOf(prefer);
  if (prefer[0] !== 'short') return best(growthsOf(ways), mostCouplets);
  const standard = waysOf(choosing(STANDARD));
  const most = coupletsOf(best(growthsOf(standard), mostCouplets)).length;
  return best(
    growthsOf([...ways, ...standard, ...others.map((p) => [p])]),
    Math.min(mostCouplets, most),
    WORTH_IN_SHORT,
  );
}

/** A key grown as far as it goes. */
interface Growth {
  readonly chooser: Chooser;
  readonly root: Grown;
}

/** Of several keys, taken back to what their couplets have to be worth and to so many of them, the one that settles most for its size. */
function best(growths: readonly Growth[], mostCouplets: number, worth = 0): Grown {
  const all = growths.map(({ chooser, root }) => {
    const least = worthIn(chooser.facts);
    let grown = pruned(chooser, root, least, 'few');
    if (worth > least) grown = pruned(chooser, grown, worth, 'size');
    // Where fewer are wanted, a couplet has to be worth more, until they are few enough.
    for (let more = Math.max(least, worth); coupletsOf(grown).length > mostCouplets; more *= 1.2)
      grown = pruned(chooser, grown, more, 'size');
    return { grown, cost: costOf(chooser, grown, Math.max(least, worth)) };
  });
  return all.reduce((a, b) => (b.cost < a.cost - 1e-9 ? b : a)).grown;
}

/** What a couplet has to settle of the finds of one taxon. */
function worthIn(facts: Facts): number {
  return Math.min(WORTH_OF_ONE, Math.max(WORTH_AT_LEAST, WORTH_OF_ALL * facts.taxa.length));
}

/**
 * Grows a key from the top, the place with the most unsettled finds first, so that a bound on its size cuts where it hurts
 * least.
 */
function growth(facts: Facts, options: GrowOptions): Growth {
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
  const worth = worthIn(facts);
  const mostTried = MOST_TRIED + MOST_TRIED_PER_TAXON * facts.taxa.length;
  let couplets = 0;
  for (let open = takeMost(waiting); open !== undefined; open = takeMost(waiting)) {
    const { place, put, unsettled } = open;
    const n = size(place.taxa);
    const choice =
      n === 1
        ? 'alike'
        : couplets >= mostTried
          ? chooser.whyTogether(place, 'size')
          : couplets > 0 && unsettled < worth
            ? chooser.whyTogether(place, 'few')
            : chooser.choose(place);
    if (typeof choice === 'string') {
      put({ kind: 'end', place, why: choice });
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
  return { chooser, root };
}

/** What a key leaves unsettled or leads astray, and its couplets at what each has to be worth. */
function costOf(chooser: Chooser, grown: Grown, worth: number): number {
  const couplets = coupletsOf(grown);
  const open = endsOf(grown).reduce((sum, end) => sum + unsettledAt(chooser, end.place), 0);
  return couplets.reduce(
    (sum, c) => sum + worth * askedBy(c.split).length + ASTRAY * lostAt(chooser, c),
    open,
  );
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
        grown: { kind: 'end', place: couplet.place, why: chooser.whyTogether(couplet.place, why) },
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
