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

/**
 * By number of wrong answers, how often just so many of the answers are wrong. Errors may differ from answer to answer.
 */
function wrongAnswers(errors: readonly number[]): number[] {
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
