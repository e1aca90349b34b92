import type { Readable } from 'node:stream';
import { isSystemError, systemFailure } from '../diagnostic/system-error.js';
import { Utf8Reader } from '../diagnostic/utf8.js';

/** The person pressed ^C; `main` turns it into exit code 130. */
export class Interrupted extends Error {
  // The name that prompts give it, so that one place can recognise both.
  override readonly name = 'ExitPromptError';
}

/**
 * The lines of an input as they arrive, without their ends; a last line may lack its end. ^C ends the wait for the next
 * one with `Interrupted`.
 */
export async function* inputLines(stdin: Readable): AsyncGenerator<string, void> {
  let stop: (() => void) | undefined;
  const interrupted = new Promise<never>((_, reject) => {
    stop = () => reject(new Interrupted('interrupted'));
    process.once('SIGINT', stop);
  });
  // It may happen while nobody is waiting; the next wait rejects then.
  interrupted.catch(() => undefined);
  const chunks = stdin[Symbol.asyncIterator]() as AsyncIterator<Buffer | string>;
  const reader = new Utf8Reader('the standard input');
  let rest = '';
  try {
    for (;;) {
      const { value, done } = await Promise.race([chunks.next(), interrupted]);
      if (done === true) break;
      const lines = (rest + reader.read(value)).split('\n');
      rest = lines.pop() ?? '';
      for (const line of lines) yield line.replace(/\r$/, '');
    }
    rest += reader.end();
    if (rest !== '') yield rest.replace(/\r$/, '');
  } catch (error) {
    // A terminal that hung up is not a file error for the person to fix.
    if (!isSystemError(error) || error.code === 'EIO') throw error;
    throw systemFailure(error, 'the standard input');
  } finally {
    if (stop !== undefined) process.off('SIGINT', stop);
    // A pipe that is still open must not keep the process waiting.
    stdin.destroy();
  }
}
