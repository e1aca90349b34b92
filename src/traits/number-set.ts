/** An interval of numbers; an open end does not belong to it. Ends at infinity are open. */
export interface Interval {
  readonly low: number;
  readonly high: number;
  readonly lowOpen: boolean;
  readonly highOpen: boolean;
}

/**
 * A set of numbers: ascending intervals that neither touch nor overlap. In a `whole` set only whole numbers count, its
 * ends are closed (or infinite), and neighbours such as 4-6 and 7-12 are one interval.
 */
export interface NumberSet {
  readonly whole: boolean;
  readonly intervals: readonly Interval[];
}

/** A closed interval, both ends included. */
export function closed(low: number, high: number): Interval {
  return { low, high, lowOpen: low === -Infinity, highOpen: high === Infinity };
}

/** The set of the numbers in any of the intervals. */
export function numberSet(intervals: readonly Interval[], whole: boolean): NumberSet {
  const [only] = intervals;
  if (only !== undefined && intervals.length === 1) {
    const one = whole ? wholeEnds(only) : only;
    return { whole, intervals: emptyInterval(one) ? [] : [one] };
  }
  const sorted = (whole ? intervals.map(wholeEnds) : intervals)
    .filter((i) => !emptyInterval(i))
    .sort((a, b) => a.low - b.low || Number(a.lowOpen) - Number(b.lowOpen));
  const out: Interval[] = [];
  for (const next of sorted) {
    const last = out[out.length - 1];
    if (last !== undefined && touches(last, next, whole)) out[out.length - 1] = span(last, next);
    else out.push(next);
  }
  return { whole, intervals: out };
}

/** All numbers. */
export function everyNumber(whole: boolean): NumberSet {
  return { whole, intervals: [closed(-Infinity, Infinity)] };
}

export function meetNumbers(a: NumberSet, b: NumberSet): NumberSet {
  const out: Interval[] = [];
  for (let i = 0, j = 0; i < a.intervals.length && j < b.intervals.length; ) {
    const x = a.intervals[i] as Interval;
    const y = b.intervals[j] as Interval;
    const both = meetInterval(x, y);
    if (!emptyInterval(both)) out.push(both);
    if (x.high < y.high || (x.high === y.high && x.highOpen)) i++;
    else j++;
  }
  // Parts of ordered, disjoint intervals are ordered and disjoint too.
  return a.whole === b.whole ? { whole: a.whole, intervals: out } : numberSet(out, a.whole);
}

export function joinNumbers(a: NumberSet, b: NumberSet): NumberSet {
  return numberSet([...a.intervals, ...b.intervals], a.whole);
}

/** Every number that is not in the set. */
export function otherNumbers(set: NumberSet): NumberSet {
  const out: Interval[] = [];
  let low = -Infinity;
  let lowOpen = true;
  for (const i of set.intervals) {
    out.push({ low, lowOpen, high: i.low, highOpen: !i.lowOpen });
    low = i.high;
    lowOpen = !i.highOpen;
  }
  out.push({ low, lowOpen, high: Infinity, highOpen: true });
  return numberSet(out, set.whole);
}

export function minusNumbers(a: NumberSet, b: NumberSet): NumberSet {
  return meetNumbers(a, otherNumbers(b));
}

export function noNumbers(set: NumberSet): boolean {
  return set.intervals.length === 0;
}

/** Whether every number of `a` is in `b`. */
export function numbersWithin(a: NumberSet, b: NumberSet): boolean {
  return a.intervals.every((x) => b.intervals.some((y) => startsWithin(x, y) && endsWithin(x, y)));
}

/** Whether the two sets share no number. */
export function numbersApart(a: NumberSet, b: NumberSet): boolean {
  for (const x of a.intervals) {
    for (const y of b.intervals) if (!emptyInterval(meetInterval(x, y))) return false;
  }
  return true;
}

function emptyInterval(i: Interval): boolean {
  return i.low > i.high || (i.low === i.high && (i.lowOpen || i.highOpen));
}

function wholeEnds(i: Interval): Interval {
  const low = Number.isFinite(i.low) ? (i.lowOpen ? Math.floor(i.low) + 1 : Math.ceil(i.low)) : i.low;
  const high = Number.isFinite(i.high) ? (i.highOpen ? Math.ceil(i.high) - 1 : Math.floor(i.high)) : i.high;
  // Rounding gives -0, which adding 0 makes 0.
  return closed(low + 0, high + 0);
}

function touches(a: Interval, b: Interval, whole: boolean): boolean {
  if (b.low < a.high) return true;
  if (whole) return b.low <= a.high + 1;
  return b.low === a.high && !(a.highOpen && b.lowOpen);
}

function span(a: Interval, b: Interval): Interval {
  const bEnds = b.high > a.high || (b.high === a.high && a.highOpen);
  return {
    low: a.low,
    lowOpen: a.lowOpen,
    high: bEnds ? b.high : a.high,
    highOpen: bEnds ? b.highOpen : a.highOpen,
  };
}

function meetInterval(a: Interval, b: Interval): Interval {
  const aStarts = a.low > b.low || (a.low === b.low && a.lowOpen);
  const aEnds = a.high < b.high || (a.high === b.high && a.highOpen);
  return {
    low: aStarts ? a.low : b.low,
    lowOpen: aStarts ? a.lowOpen : b.lowOpen,
    high: aEnds ? a.high : b.high,
    highOpen: aEnds ? a.highOpen : b.highOpen,
  };
}

function startsWithin(x: Interval, y: Interval): boolean {
  return x.low > y.low || (x.low === y.low && (x.lowOpen || !y.lowOpen));
}

function endsWithin(x: Interval, y: Interval): boolean {
  return x.high < y.high || (x.high === y.high && (x.highOpen || !y.highOpen));
}
