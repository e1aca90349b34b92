import { allBits, size } from './bits.js';
import type { GrowingPlace } from './candidates.js';
import { type ChoiceOptions, Chooser } from './choose.js';
import type { Facts } from './facts.js';
import { type Split, wholePiece } from './splits.js';

/** Why taxa end together: nothing separates them, the key would grow too long, or one misread character would hide harm. */
export type WhyTogether = 'alike' | 'size' | 'harm';

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
  readonly put: (grown: Grown) => void;
}

/** Grows a key from the top, the place with the most taxa first, so that a bound on its size cuts where it hurts least. */
export function grow(facts: Facts, options: GrowOptions): Grown {
  const chooser = new Chooser(facts, options);
  const all = allBits(facts.taxa.length);
  const start: GrowingPlace = {
    pieces: [wholePiece(facts, all)],
    taxa: all,
    misreadArrivals: [],
    asked: [],
  };
  let root: Grown = { kind: 'end', place: start, why: 'alike' };
  // By number of taxa: the places that wait.
  const waiting: OpenPlace[][] = [];
  const wait = (open: OpenPlace) => {
    const n = size(open.place.taxa);
    const list = waiting[n];
    if (list === undefined) waiting[n] = [open];
    else list.push(open);
  };
  wait({
    place: start,
    put: (grown) => {
      root = grown;
    },
  });
  let couplets = 0;
  for (let n = facts.taxa.length; n >= 1; ) {
    const open = waiting[n]?.shift();
    if (open === undefined) {
      n--;
      continue;
    }
    const { place, put } = open;
    const choice = n === 1 ? 'alike' : couplets >= options.mostCouplets ? 'size' : chooser.choose(place);
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
      wait({
        place: next,
        put: (grown) => {
          behind[i] = grown;
        },
      });
    });
  }
  return root;
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
