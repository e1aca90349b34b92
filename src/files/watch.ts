import { type FSWatcher, watch } from 'node:fs';
import { dirname, join } from 'node:path';

// Editors write a file in several steps; a change is reported when nothing has happened for this long.
const QUIET_MS = 80;

/**
 * Tells of changes to files. Their folders are watched, not the files: most editors replace the old file by a new one.
 */
export class FileWatcher {
  readonly #watchers = new Map<string, FSWatcher>();
  #files: ReadonlySet<string> = new Set();
  #folders: ReadonlySet<string> = new Set();
  #timer: NodeJS.Timeout | undefined;
  #changed = false;
  #tell: (() => void) | undefined;

  /** Watches these files, and in these folders every key that is there or comes; all as absolute paths. */
  watch(files: Iterable<string>, folders: Iterable<string>): void {
    this.#files = new Set(files);
    this.#folders = new Set(folders);
    const wanted = new Set([...[...this.#files].map((f) => dirname(f)), ...this.#folders]);
    for (const [folder, watcher] of this.#watchers) {
      if (wanted.has(folder)) continue;
      watcher.close();
      this.#watchers.delete(folder);
    }
    for (const folder of wanted) if (!this.#watchers.has(folder)) this.#open(folder);
  }

  /** Waits for the next change; one that happened since the last wait counts. */
  next(): Promise<void> {
    return new Promise((resolve) => {
      this.#tell = () => {
        this.#tell = undefined;
        this.#changed = false;
        resolve();
      };
      if (this.#changed && this.#timer === undefined) this.#tell();
    });
  }

  close(): void {
    clearTimeout(this.#timer);
    for (const watcher of this.#watchers.values()) watcher.close();
    this.#watchers.clear();
  }

  #open(folder: string): void {
    try {
      const watcher = watch(folder, (_, name) => this.#happened(folder, name));
      // A folder that goes away can no longer change.
      watcher.on('error', () => watcher.close());
      this.#watchers.set(folder, watcher);
    } catch {
      // A folder that is not there yet has no keys to watch.
    }
  }

  #happened(folder: string, name: string | null): void {
    const path = name === null ? undefined : join(folder, name);
    const concerns =
      path === undefined ||
      this.#files.has(path) ||
      (this.#folders.has(folder) && (path.endsWith('.key.yaml') || !/\.\w+$/.test(path)));
    if (!concerns) return;
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      this.#timer = undefined;
      this.#changed = true;
      this.#tell?.();
    }, QUIET_MS);
  }
}
