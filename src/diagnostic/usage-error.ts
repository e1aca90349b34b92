/** The command line was not understood. `command` is the one it was meant for, where there was one. */
export class UsageError extends Error {
  override readonly name = 'UsageError';
  readonly command: string | undefined;

  constructor(message: string, command?: string) {
    super(message);
    this.command = command;
  }
}
