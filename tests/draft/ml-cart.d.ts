/** What the tests use of ml-cart, which brings no types of its own. */
declare module 'ml-cart' {
  export class DecisionTreeClassifier {
    constructor(options: { gainFunction: 'gini'; maxDepth: number; minNumSamples: number });
    train(rows: readonly (readonly number[])[], classes: readonly number[]): void;
    toJSON(): { root: unknown };
  }
}
