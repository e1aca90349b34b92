import { Interrupted } from './lines.js';

/** Catches ^C while waiting for something else. */
interface Interruption {
  /** Rejects with `Interrupted` when the person presses ^C. */
  readonly happened: Promise<never>;
  /** Leaves ^C to the process again. */
  end(): void;
}

/** Catches ^C until `end` is called. */
export function interruption(): Interruption {
  let stop: (() => void) | undefined;
  const happened = new Promise<never>((_, reject) => {
    stop = () => reject(new Interrupted('interrupted'));
    process.once('SIGINT', stop);
  });
  happened.catch(() => undefined);
  return {
    happened,
    end: () => {
      if (stop !== undefined) process.off('SIGINT', stop);
    },
  };
}
