/** What belongs to a failure. */
export interface FailureOptions {
  /** What to do about it, in a sentence of its own. Default: nothing is said. */
  readonly hint?: string;
  /** The error that led to it. Default: none. */
  readonly cause?: unknown;
}

/**
 * The work asked for cannot be done, for a reason that the person can understand and fix: a file that
 * cannot be read, a key that has errors, two options that exclude each other. Printed as one sentence
 * without a trace. Anything else that is thrown is a bug.
 */
export class Failure extends Error {
  override readonly name = 'Failure';
  /** What to do about it, in a sentence of its own. */
  readonly hint: string | undefined;

  constructor(message: string, options: FailureOptions = {}) {
    super(message, options.cause === undefined ? undefined : { cause: options.cause });
    this.hint = options.hint;
  }
}
