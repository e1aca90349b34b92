/** The thread that cuts a large table into rows: the build makes a file of its own of it (`dist/rowthread.js`). */
import { parentPort, workerData } from 'node:worker_threads';
import { Failure } from '../diagnostic/failure.js';
import { BatchCutter, type RowBatch } from '../records/rowbatch.js';
import { delimiterOf } from '../records/rows.js';
import { filePieces } from './pieces.js';
import { MOST_UNREAD, type RowTask, type RowThreadMessage } from './rowsapart.js';

/** Letters that are cut together; few, so that the rows of a batch do not outlive a tidying of memory. */
const AT_ONCE = 16_384;

const { path, shown, format, read, port } = workerData as RowTask;
let sent = 0;

/** Hands on a batch; waits while the other thread has too many that it has not read. */
function send(batch: RowBatch | undefined): void {
  if (batch === undefined) return;
  for (;;) {
    const done = Atomics.load(read, 0);
    if (sent - done < MOST_UNREAD) break;
    Atomics.wait(read, 0, done);
  }
  sent++;
  post({ kind: 'rows', batch });
}

function post(message: RowThreadMessage): void {
  port.postMessage(message);
  parentPort?.postMessage(undefined);
}

try {
  let cutter: BatchCutter | undefined;
  for await (const piece of filePieces(path, shown)) {
    cutter ??= new BatchCutter(delimiterOf(format, piece));
    for (let at = 0; at < piece.length; at += AT_ONCE) send(cutter.read(piece.slice(at, at + AT_ONCE)));
  }
  send(cutter?.end());
  post({ kind: 'end' });
} catch (error) {
  if (!(error instanceof Failure)) throw error;
  const { message, hint } = error;
  post({ kind: 'failure', message, ...(hint === undefined ? {} : { hint }) });
}
