import type { KeptFind } from '../model/find.js';

/** A find that is kept but cannot be read: left as it is, and handed out as it stands. */
export interface DamagedFind {
  readonly id: string;
  readonly called: string;
  readonly why: string;
  readonly text: string;
}

/** Everything that is kept for one key. */
export interface KeptFinds {
  readonly finds: readonly KeptFind[];
  readonly damaged: readonly DamagedFind[];
  /** Why nothing of what is kept can be read; absent where it can. */
  readonly unreadable?: string;
}

/** What became of a find that was to be kept. */
export type Kept =
  | { readonly kind: 'kept' }
  /** Another window has changed it since it was read: what stands there now. */
  | { readonly kind: 'changed'; readonly there: KeptFind }
  | { readonly kind: 'full' }
  | { readonly kind: 'failed'; readonly why: string };

/** Where finds are kept. Nothing in it throws: what went wrong is said. */
export interface FindStore {
  /** Whether finds are still there when the page was closed. */
  readonly lasts: boolean;
  all(key: string): Promise<KeptFinds>;
  one(id: string): Promise<KeptFind | undefined>;
  /** Keeps a find that was read, or kept last, at the revision `base` (0: never). */
  keep(find: KeptFind, base: number): Promise<Kept>;
  remove(id: string): Promise<void>;
  keepPhotograph(find: string, file: string, picture: Blob): Promise<Kept>;
  photograph(find: string, file: string): Promise<Blob | undefined>;
  /** Calls when another window has changed a find. */
  watch(changed: (id: string) => void): void;
}

const NAME = 'keywright';
const FINDS = 'finds';
const PHOTOGRAPHS = 'photographs';

/** In milliseconds: some browsers neither open what they keep nor say that they cannot. */
const PATIENCE = 10_000;

/** Opens what the device keeps; where it keeps nothing, a store that forgets with the page. */
export async function openStore(): Promise<FindStore> {
  try {
    const store = new DeviceStore(await openDatabase());
    // Asks that nothing of it is thrown away when the device needs room; some browsers ask the person.
    void navigator.storage?.persist?.();
    return store;
  } catch {
    return new PassingStore();
  }
}

function openDatabase(): Promise<IDBDatabase> {
  return new Promise((done, failed) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(FINDS, { keyPath: 'id' });
      asked.result.createObjectStore(PHOTOGRAPHS);
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
    asked.onblocked = () => failed(new Error('blocked'));
    setTimeout(failed, PATIENCE);
  });
}

class DeviceStore implements FindStore {
  readonly lasts = true;
  readonly #channel = 'BroadcastChannel' in globalThis ? new BroadcastChannel(NAME) : undefined;

  constructor(readonly database: IDBDatabase) {
    // A newer page in another window may bring the store up to date.
    database.onversionchange = () => database.close();
  }

  async all(key: string): Promise<KeptFinds> {
    let items: unknown[];
    try {
      items = await this.#read(FINDS, (store) => store.getAll());
    } catch (error) {
      return { finds: [], damaged: [], unreadable: String((error as Error | null)?.message ?? error) };
    }
    const finds: KeptFind[] = [];
    const damaged: DamagedFind[] = [];
    for (const item of items) {
      const why = whyUnreadable(item);
      if (why !== undefined) damaged.push(damagedFind(item, why));
      else if ((item as KeptFind).determination.key.id === key) finds.push(item as KeptFind);
    }
    finds.sort((a, b) => (a.changed < b.changed ? 1 : -1));
    return { finds, damaged };
  }

  async one(id: string): Promise<KeptFind | undefined> {
    const item: unknown = await this.#read(FINDS, (store) => store.get(id)).catch(() => undefined);
    return item === undefined || whyUnreadable(item) !== undefined ? undefined : (item as KeptFind);
  }

  async keep(find: KeptFind, base: number): Promise<Kept> {
    let there: KeptFind | undefined;
    const kept = await this.#write([FINDS], (transaction) => {
      const store = transaction.objectStore(FINDS);
      const asked = store.get(find.id);
      asked.onsuccess = () => {
        const before = asked.result as KeptFind | undefined;
        if (before !== undefined && before.revision !== base && whyUnreadable(before) === undefined)
          there = before;
        else store.put(find);
      };
    });
    if (there !== undefined) return { kind: 'changed', there };
    if (kept.kind === 'kept') this.#channel?.postMessage(find.id);
    return kept;
  }

  async remove(id: string): Promise<void> {
    await this.#write([FINDS, PHOTOGRAPHS], (transaction) => {
      transaction.objectStore(FINDS).delete(id);
      transaction.objectStore(PHOTOGRAPHS).delete(photographsOf(id));
    });
    this.#channel?.postMessage(id);
  }

  keepPhotograph(find: string, file: string, picture: Blob): Promise<Kept> {
    return this.#write([PHOTOGRAPHS], (transaction) => {
      transaction.objectStore(PHOTOGRAPHS).put(picture, [find, file]);
    });
  }

  async photograph(find: string, file: string): Promise<Blob | undefined> {
    const found: unknown = await this.#read(PHOTOGRAPHS, (store) => store.get([find, file])).catch(
      () => undefined,
    );
    return found instanceof Blob ? found : undefined;
  }

  watch(changed: (id: string) => void): void {
    if (this.#channel !== undefined) this.#channel.onmessage = ({ data }) => changed(String(data));
  }

  #read<T>(name: string, ask: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
    return new Promise((done, failed) => {
      const asked = ask(this.database.transaction(name).objectStore(name));
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => failed(asked.error);
    });
  }

  #write(names: readonly string[], work: (transaction: IDBTransaction) => void): Promise<Kept> {
    return new Promise((done) => {
      const failed = (error: unknown) => {
        const { name = '', message = '' } = (error ?? {}) as Partial<Error>;
        done(name === 'QuotaExceededError' ? { kind: 'full' } : { kind: 'failed', why: message || name });
      };
      try {
        const transaction = this.database.transaction([...names], 'readwrite');
        transaction.oncomplete = () => done({ kind: 'kept' });
        transaction.onabort = () => failed(transaction.error);
        work(transaction);
      } catch (error) {
        failed(error);
      }
    });
  }
}

/** Every photograph of a find: an empty list stands after every text. */
function photographsOf(id: string): IDBKeyRange {
  return IDBKeyRange.bound([id], [id, []]);
}

/** Finds in memory, for browsers that keep nothing. */
class PassingStore implements FindStore {
  readonly lasts = false;
  readonly #finds = new Map<string, KeptFind>();
  readonly #photographs = new Map<string, Blob>();

  all(key: string): Promise<KeptFinds> {
    const finds = [...this.#finds.values()].filter((f) => f.determination.key.id === key);
    return Promise.resolve({ finds: finds.reverse(), damaged: [] });
  }

  one(id: string): Promise<KeptFind | undefined> {
    return Promise.resolve(this.#finds.get(id));
  }

  keep(find: KeptFind): Promise<Kept> {
    this.#finds.set(find.id, find);
    return Promise.resolve({ kind: 'kept' });
  }

  remove(id: string): Promise<void> {
    this.#finds.delete(id);
    return Promise.resolve();
  }

  keepPhotograph(find: string, file: string, picture: Blob): Promise<Kept> {
    this.#photographs.set(`${find}/${file}`, picture);
    return Promise.resolve({ kind: 'kept' });
  }

  photograph(find: string, file: string): Promise<Blob | undefined> {
    return Promise.resolve(this.#photographs.get(`${find}/${file}`));
  }

  watch(): void {
    // No other window sees what is kept here.
  }
}

/** Why something that was kept is no find; undefined where it is one. Whether its answers hold is found when it is opened. */
function whyUnreadable(item: unknown): string | undefined {
  const { id, revision, changed, determination } = (item ?? {}) as Partial<KeptFind>;
  if (typeof id !== 'string' || typeof changed !== 'string' || !Number.isSafeInteger(revision))
    return 'it has no name or no date';
  if (typeof determination !== 'object' || determination === null) return 'its answers are missing';
  const { key, collection, answers, started } = determination as Partial<KeptFind['determination']>;
  if (typeof key?.id !== 'string' || typeof key.hash !== 'string')
    return 'it does not say with which key it was made';
  if (typeof collection?.id !== 'string' || typeof started !== 'string')
    return 'it does not say what it is a find of';
  const sound =
    Array.isArray(answers) &&
    answers.every((a) => typeof a?.couplet === 'string' && typeof a.lead === 'string');
  return sound ? undefined : 'its answers cannot be read';
}

function damagedFind(item: unknown, why: string): DamagedFind {
  const { id, determination } = (item ?? {}) as Partial<KeptFind>;
  const called = determination?.collection?.id;
  return {
    id: String(id),
    called: typeof called === 'string' ? called : String(id),
    why,
    text: JSON.stringify(item, undefined, 1) ?? '',
  };
}
