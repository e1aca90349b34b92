import type { Writable } from 'node:stream';

/** How much text is gathered before it is written; many small writes are slow. */
const PIECE = 32_768;

/** Writes much text to a stream, no faster than the stream can take it. */
export class Outlet {
  #held = '';

  constructor(
    readonly stream: Writable,
    /** Aborted when nobody reads any more; then all output is discarded. */
    readonly signal: AbortSignal,
  ) {}

  write(text: string): void {
    this.#held += text;
  }

  /** Writes what has gathered, if it is much, and waits until the stream can take more. */
  async settle(): Promise<void> {
    if (this.#held.length >= PIECE) await this.flush();
  }

  /** Writes everything, and waits until the stream can take more. */
  async flush(): Promise<void> {
    const text = this.#held;
    this.#held = '';
    if (text !== '') await this.#put(text);
  }

  /** Writes bytes that are not text, and waits until the stream can take more. */
  async bytes(piece: Uint8Array): Promise<void> {
    await this.flush();
    await this.#put(piece);
  }

  async #put(piece: string | Uint8Array): Promise<void> {
    if (this.signal.aborted || this.stream.destroyed) return;
    if (this.stream.write(piece)) return;
    await new Promise<void>((resolve) => {
      const go = (): void => {
        for (const event of ['drain', 'close', 'error']) this.stream.off(event, go);
        this.signal.removeEventListener('abort', go);
        resolve();
      };
      for (const event of ['drain', 'close', 'error']) this.stream.on(event, go);
      this.signal.addEventListener('abort', go);
    });
  }
}
