import { closeSync, openSync, readSync, statSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { MessageChannel, type MessagePort, receiveMessageOnPort, Worker } from 'node:worker_threads';
import { Failure } from '../diagnostic/failure.js';
import type { RowBatch } from '../records/rowbatch.js';
import { noteRead } from './reads.js';
import { isArchive } from './zipstart.js';

/** What the thread is to cut. */
export interface RowTask {
  readonly path: string;
  /** The name of the file, for messages. */
  readonly shown: string;
  readonly format: 'csv' | 'tsv';
  /** How many batches have been read, for the thread to wait by. */
  readonly read: Int32Array;
  /** Where it puts what it has to say. */
  readonly port: MessagePort;
}

/** What the thread puts there; each time it posts an empty message besides, to wake who waits. */
export type RowThreadMessage =
  | { readonly kind: 'rows'; readonly batch: RowBatch }
  | { readonly kind: 'end' }
  | { readonly kind: 'failure'; readonly message: string; readonly hint?: string };

/** Batches that may wait to be read: half a megabyte of text. */
export const MOST_UNREAD = 32;

/** A smaller table is read before a second thread has started. */
const WORTH_BYTES = 500_000;

/**
 * Whether a file is so large, and the machine has the processors, that a second thread is worth starting. An archive is
 * not, whatever its name says.
 */
export function worthAThread(path: string): boolean {
  try {
    const found = statSync(path);
    if (!found.isFile() || found.size < WORTH_BYTES || availableParallelism() < 2) return false;
    const start = new Uint8Array(4);
    const file = openSync(path, 'r');
    try {
      readSync(file, start);
    } finally {
      closeSync(file);
    }
    return !isArchive(start);
  } catch {
    // What is wrong with the file is said where it is read.
    return false;
  }
}

/**
 * The rows of a table, cut by a thread of its own that starts at once. Reading on throws a Failure when the file cannot
 * be read or is not text in UTF-8.
 */
export class RowsApart {
  readonly #read = new Int32Array(new SharedArrayBuffer(4));
  readonly #worker: Worker;
  readonly #port: MessagePort;
  #broken: Error | undefined;
  #wake: () => void = () => undefined;

  constructor(path: string, shown: string, format: RowTask['format']) {
    noteRead(path);
    const { port1, port2 } = new MessageChannel();
    const workerData: RowTask = { path, shown, format, read: this.#read, port: port2 };
    this.#port = port1;
    this.#worker = new Worker(new URL(import.meta.resolve('#rowthread')), {
      workerData,
      transferList: [port2],
      // Flags of the main thread (--import, --cpu-prof) are not for this one.
      execArgv: [],
      // What is cut is soon handed over: more room would only fill with what nobody needs any more.
      resourceLimits: { maxYoungGenerationSizeMb: 6 },
    });
    this.#worker.on('message', () => this.#wake());
    this.#worker.on('error', (error) => {
      this.#broken = error;
      this.#wake();
    });
    // Until its rows are read nothing waits for it, so that a command which ends before that does not hang. Listening,
    // above, would make node wait.
    this.#worker.unref();
  }

  async *[Symbol.asyncIterator](): AsyncGenerator<RowBatch, void> {
    this.#worker.ref();
    try {
      for (;;) {
        // Fetched one by one: what is fetched long before it is used costs the tidying of memory dear.
        const next = receiveMessageOnPort(this.#port)?.message as RowThreadMessage | undefined;
        if (next === undefined) await this.#more();
        else if (next.kind === 'end') return;
        else if (next.kind === 'failure')
          throw new Failure(next.message, next.hint === undefined ? {} : { hint: next.hint });
        else {
          yield next.batch;
          Atomics.add(this.#read, 0, 1);
          Atomics.notify(this.#read, 0);
        }
      }
    } finally {
      this.#port.close();
      await this.#worker.terminate();
    }
  }

  async #more(): Promise<void> {
    if (this.#broken !== undefined) throw this.#broken;
    await new Promise<void>((resolve) => {
      this.#wake = resolve;
    });
  }
}
