/**
 * How far the name that a chain of answers leads to can be trusted (key-writing theory, error propagation). The
 * formulas are derivable; they take errors at different couplets as independent, which is the best case.
 */

/**
 * How often people read one character right, by the one study that measured it for single characters: 484 people, 25
 * plant character states, from images (Wäldchen et al. 2022, People and Nature 4: 1603-1615). No study measured it for
 * printed keys to fungi.
 */
export const MEASURED_RELIABILITY = 0.79;

/** The chance that every answer is right, when each is wrong as often as given: the product of `1 - e`. */
export function allRight(errors: Iterable<number>): number {
  let right = 1;
  for (const error of errors) right *= 1 - error;
  return right;
}

/** The same for `depth` couplets that are all misread equally often: `(1 - e)^d`. */
export function rightAtDepth(depth: number, error: number): number {
  return (1 - error) ** depth;
}

/** How many couplets a path may have for a name that is right in `wanted` of all cases: `ln r / ln (1 - e)`. */
export function depthAllowed(wanted: number, error: number): number {
  return Math.log(wanted) / Math.log(1 - error);
}

/**
 * How often each of `depth` couplets may be misread for a name that is right in `wanted` of all cases: `1 - r^(1/d)`.
 */
export function errorAllowed(wanted: number, depth: number): number {
  return 1 - wanted ** (1 / depth);
}

/**
 * By number of wrong answers, how often exactly that many answers are wrong. Errors may differ from answer to answer.
 */
export function wrongAnswers(errors: readonly number[]): number[] {
  const chances = [1];
  for (const error of errors) {
    chances.push(0);
    for (let wrong = chances.length - 1; wrong >= 0; wrong--)
      chances[wrong] =
        (chances[wrong] as number) * (1 - error) + (wrong === 0 ? 0 : (chances[wrong - 1] as number) * error);
  }
  return chances;
}

/**
 * How often the true end is among those that at most `slips` wrong answers lead to. For equal errors this is the sum
 * over j <= m of C(d,j) e^j (1-e)^(d-j).
 */
export function coverage(errors: readonly number[], slips: number): number {
  return wrongAnswers(errors)
    .slice(0, slips + 1)
    .reduce((sum, chance) => sum + chance, 0);
}

/**
 * The most ends that at most `slips` wrong turns lead to on a path of `depth` dichotomies: the sum of C(d,j), j <= m.
 */
export function endsWithin(depth: number, slips: number): number {
  let ends = 0;
  let ways = 1;
  for (let j = 0; j <= Math.min(slips, depth); j++) {
    ends += ways;
    ways = (ways * (depth - j)) / (j + 1);
  }
  return ends;
}

/**
 * What following all leads at the doubtful couplets gains: no error can be made there, at the price of at most as many
 * ends as the product of their leads.
 */
export function followingAll(
  firmErrors: readonly number[],
  doubtfulLeads: readonly number[],
): { readonly right: number; readonly ends: number } {
  return { right: allRight(firmErrors), ends: doubtfulLeads.reduce((product, leads) => product * leads, 1) };
}

/**
 * How often a name is right on which two independent determinations agree, each right in `right` of all cases, with
 * `names` equally likely wrong names: a² / (a² + (1-a)²/w). Two runs by one person on one specimen are not independent.
 */
export function rightWhenAgreed(right: number, names: number): number {
  return right ** 2 / (right ** 2 + (1 - right) ** 2 / names);
}

/** How often at least one of `pieces` is of another kind, when each is so with the given chance: `1 - (1 - p)^n`. */
export function chanceOfAnother(pieces: number, chance: number): number {
  return 1 - (1 - chance) ** pieces;
}

/**
 * The greatest chance of harm at which the expected loss of taking a find stays below that of leaving it: loss of
 * leaving over loss of harm. With 1 : 100 000 it is 0.00001, which no measured reliability comes near; it stands here
 * to
 * show why the verdict goes by the worst case and not by chances.
 */
export function harmThreshold(lossOfLeaving: number, lossOfHarm: number): number {
  return lossOfLeaving / lossOfHarm;
}
