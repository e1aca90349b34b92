import { distance } from 'fastest-levenshtein';

/** A longer word is not a typing mistake, and comparing it could take long. */
const LONGEST = 100;

/**
 * The known word that was most likely meant, or undefined when none is near.
 * Near means at most a third of the letters changed (two at least; one in words of three letters or fewer), where two
 * neighbours swapped are one change; capitals do not count.
 */
export function nearest(word: string, known: Iterable<string>): string | undefined {
  if (word.length > LONGEST) return undefined;
  const wanted = word.toLowerCase();
  let best: string | undefined;
  let least = mostSteps(wanted) + 1;
  for (const candidate of known) {
    if (Math.abs(candidate.length - wanted.length) >= least) continue;
    const steps = editDistance(wanted, candidate.toLowerCase());
    if (steps < least) {
      least = steps;
      best = candidate;
    }
  }
  return best;
}

/** The known words that may have been meant, the likeliest first, at most so many. */
export function nearestFew(word: string, known: Iterable<string>, most: number): string[] {
  if (word.length > LONGEST) return [];
  const wanted = word.toLowerCase();
  return [...known]
    .filter((k) => Math.abs(k.length - wanted.length) <= mostSteps(wanted))
    .map((k) => [editDistance(wanted, k.toLowerCase()), k] as const)
    .filter(([steps]) => steps <= mostSteps(wanted))
    .sort(([a], [b]) => a - b)
    .slice(0, most)
    .map(([, k]) => k);
}

function mostSteps(word: string): number {
  return word.length <= 3 ? 1 : Math.max(2, Math.floor(word.length / 3));
}

/** How many letters are wrong, missing or too many; two neighbours swapped are one. */
export function editDistance(a: string, b: string): number {
  const steps = distance(a, b);
  return steps === 2 && isSwap(a, b) ? 1 : steps;
}

/** Whether the words differ only in two neighbouring letters that changed places. */
function isSwap(a: string, b: string): boolean {
  const at = [...a].findIndex((letter, i) => letter !== b[i]);
  return a.slice(0, at) + (a[at + 1] ?? '') + (a[at] ?? '') + a.slice(at + 2) === b;
}
