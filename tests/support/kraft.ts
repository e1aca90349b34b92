/**
 * The sum over all ends of 1 / (product of the leads of the couplets along the path): 1 for a tree whose every lead goes
 * somewhere (Kraft 1949); less when a pointer dangles. A path is given by the number of leads of each of its couplets.
 */
export function kraftSum(paths: Iterable<readonly number[]>): number {
  let sum = 0;
  for (const path of paths) sum += path.reduce((part, leads) => part / leads, 1);
  return sum;
}
