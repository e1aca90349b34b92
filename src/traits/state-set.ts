/**
 * A set of the states of one character, as bits in 32-bit words (state 0 is the lowest bit of word 0), so that a
 * character may have any number of states and the usual one-word set costs one machine operation.
 */
export type StateSet = readonly number[];

const wordsFor = (states: number) => Math.max(1, Math.ceil(states / 32));

/** The set of the given state numbers, out of `states` in all. */
export function stateSet(indices: Iterable<number>, states: number): StateSet {
  const words = new Array<number>(wordsFor(states)).fill(0);
  for (const i of indices) words[i >>> 5] = (words[i >>> 5] ?? 0) | (1 << (i & 31));
  return words;
}

/** Every state that is not in the set, out of `states` in all. */
export function otherStates(set: StateSet, states: number): StateSet {
  const indices: number[] = [];
  for (let i = 0; i < states; i++) if (!hasState(set, i)) indices.push(i);
  return stateSet(indices, states);
}

export function hasState(set: StateSet, index: number): boolean {
  return (((set[index >>> 5] ?? 0) >>> (index & 31)) & 1) === 1;
}

export function meetStates(a: StateSet, b: StateSet): StateSet {
  return a.map((word, i) => word & (b[i] ?? 0));
}

export function joinStates(a: StateSet, b: StateSet): StateSet {
  return a.map((word, i) => word | (b[i] ?? 0));
}

export function minusStates(a: StateSet, b: StateSet): StateSet {
  return a.map((word, i) => word & ~(b[i] ?? 0));
}

export function noStates(set: StateSet): boolean {
  for (let i = 0; i < set.length; i++) if (set[i] !== 0) return false;
  return true;
}

/** Whether every state of `a` is in `b`. */
export function statesWithin(a: StateSet, b: StateSet): boolean {
  for (let i = 0; i < a.length; i++) if (((a[i] as number) & ~(b[i] ?? 0)) !== 0) return false;
  return true;
}

/** Whether the two sets share no state. */
export function statesApart(a: StateSet, b: StateSet): boolean {
  for (let i = 0; i < a.length; i++) if (((a[i] as number) & (b[i] ?? 0)) !== 0) return false;
  return true;
}

/** The state numbers in the set, ascending. */
export function stateIndices(set: StateSet): number[] {
  const out: number[] = [];
  for (let w = 0; w < set.length; w++) {
    for (let word = set[w] as number, i = 0; word !== 0; word >>>= 1, i++) if (word & 1) out.push(w * 32 + i);
  }
  return out;
}
