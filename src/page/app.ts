import { Failure } from '../diagnostic/failure.js';
import type { CompiledKey } from '../engine/compile.js';
import { harmless } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { listed } from '../text/words.js';
import type { PageData } from './data.js';
import { messages as say } from './messages.js';
import { type FindAction, type KeptFind, OpenFind } from './model/find.js';
import { fileWord, recordText } from './record-file.js';
import type { DamagedFind, FindStore, Kept, KeptFinds } from './store/finds.js';
import type { TakenFind } from './take-in.js';

/** The screens of the page, as the address after `#` names them. */
export type Route =
  | { readonly screen: 'home' }
  | { readonly screen: 'key' | 'picture' }
  | { readonly screen: 'find' | 'sheet' | 'result' | 'details'; readonly find: string };

const OF_A_FIND = ['find', 'sheet', 'result', 'details'] as const;

/** The screen that an address names; the first one where it names none. */
export function routeOf(hash: string): Route {
  const [screen, find = ''] = hash.replace(/^#/, '').split('/');
  if (screen === 'key' || screen === 'picture') return { screen };
  const own = OF_A_FIND.find((s) => s === screen);
  return own === undefined || find === '' ? { screen: 'home' } : { screen: own, find };
}

/** The address of a screen. */
export function hashOf(route: Route): string {
  if (route.screen === 'home') return '#';
  return 'find' in route ? `#${route.screen}/${route.find}` : `#${route.screen}`;
}

/** The page at work: what is shown, the find that is keyed out, and what is kept of it. Views draw it and tell it what was done. */
export class App {
  route: Route = { screen: 'home' };
  /** The find that the screens are of; undefined where none is open. */
  open: OpenFind | undefined;
  kept: KeptFinds = { finds: [], damaged: [] };
  /** Whether the device has said what it keeps. */
  listed = false;
  /** What is wrong with keeping the last entries; undefined where nothing is. */
  trouble: string | undefined;
  /** What a screen reader hears, and everybody sees until the next step. */
  notice: string | undefined;
  /** What was asked for last. */
  #going: Route = this.route;
  #saving: Promise<void> = Promise.resolve();
  #draw: () => void = () => undefined;
  /** What the next screen says. */
  #toTell: string | undefined;

  constructor(
    readonly key: CompiledKey,
    readonly data: PageData,
    readonly store: Promise<FindStore>,
    readonly now: () => Date = () => new Date(),
  ) {
    void store.then((opened) => {
      opened.watch((id) => void this.#changedElsewhere(id));
      if (opened.lasts) return;
      this.trouble = say.store.none;
      this.changed();
    });
  }

  onChange(draw: () => void): void {
    this.#draw = draw;
  }

  changed(): void {
    this.#draw();
  }

  /** Says something once. */
  tell(notice: string | undefined): void {
    this.notice = notice;
    this.changed();
  }

  /** Goes to the screen that the address of the page names. */
  async go(route: Route): Promise<void> {
    this.notice = this.#toTell;
    this.#toTell = undefined;
    this.#going = route;
    if ('find' in route) {
      if (this.open?.id !== route.find) await this.#openFind(route.find);
      // Reading takes a while, in which one may have gone elsewhere.
      if (this.#going !== route) return;
      this.route = this.open === undefined ? { screen: 'home' } : route;
    } else this.route = route;
    this.changed();
    if (this.route.screen === 'home') {
      await this.saved();
      await this.#list();
      this.changed();
    }
  }

  /** Begins a find and gives its screen. */
  begin(): Route {
    const id = newId();
    const minute = `${this.now().toISOString().slice(0, 16).replace('T', ' ')} UTC`;
    // Several may be begun in one minute, and are to be told apart.
    const taken = new Set([this.open?.called, ...this.kept.finds.map((f) => f.determination.collection.id)]);
    let called = minute;
    for (let n = 2; taken.has(called); n++) called = `${minute}, ${n}`;
    this.open = OpenFind.begin(this.key, this.data.program, { id, called }, this.now);
    return { screen: 'find', find: id };
  }

  /** Keeps finds that came from elsewhere, and says so with what could not be read of them; gives the screen of the only one. */
  async takeIn(taken: readonly TakenFind[], unread: readonly string[]): Promise<Route> {
    await this.saved();
    const problems = [...unread];
    const opened: OpenFind[] = [];
    const here: OpenFind[] = [];
    let missing = 0;
    for (const one of taken) {
      const { find, photographs } = one;
      const same = await this.#alreadyHere(one);
      if (same !== undefined) {
        here.push(same);
        continue;
      }
      const open = this.#resumed({ ...find, id: newId() });
      if (!(open instanceof OpenFind)) {
        problems.push(open.why);
        continue;
      }
      this.open = open;
      await this.#keep(open);
      opened.push(open);
      for (const { file } of open.keying.collection.photographs ?? []) {
        const picture = photographs.get(file);
        const kept = picture && (await (await this.store).keepPhotograph(open.id, file, picture));
        if (kept?.kind === 'full') this.trouble = say.store.full;
        if (kept?.kind !== 'kept') missing++;
      }
    }
    const [first] = opened;
    this.#toTell =
      [
        ...(first !== undefined && taken.length + problems.length > 1 ? [say.takenIn(opened.length)] : []),
        ...(missing > 0 ? [say.photographsMissing(missing)] : []),
        ...(here.length > 0
          ? [say.hereAlready(listed(here.map((f) => harmless(f.called))), here.length)]
          : []),
        ...problems.map(say.notTakenIn),
        ...(opened.length === 1 ? (first?.news ?? []) : []),
      ].join(' ') || undefined;
    return first !== undefined && opened.length === 1
      ? { screen: 'find', find: first.id }
      : { screen: 'home' };
  }

  /** The find on the device that holds all that was taken in: the same record, and its photographs; undefined where none does. */
  async #alreadyHere({ find, text, photographs }: TakenFind): Promise<OpenFind | undefined> {
    const store = await this.store;
    const isOpen = find.determination.status === 'open';
    // What was finished stands in the frame, whatever was begun after it.
    const content = (f: TakenFind['find']) => JSON.stringify([f.frame, isOpen && f.determination]);
    for (const kept of (await store.all(this.key.chain.main.id)).finds) {
      if (kept.determination.collection.id !== find.determination.collection.id) continue;
      const open = this.#resumed(kept);
      if (!(open instanceof OpenFind)) continue;
      // What was handed out here, or taken in before.
      let same = recordText(open) === text || content(kept) === content(find);
      for (const [file, picture] of photographs)
        same &&= (await bytesOf(picture)) === (await bytesOf(await store.photograph(kept.id, file)));
      if (same) return open;
    }
    return undefined;
  }

  /** A find as it is kept; undefined where there is none. */
  async read(id: string): Promise<OpenFind | DamagedFind | undefined> {
    const kept = await (await this.store).one(id);
    return kept && this.#resumed(kept);
  }

  #resumed(kept: KeptFind): OpenFind | DamagedFind {
    try {
      return OpenFind.resume(this.key, this.data.program, kept, this.now);
    } catch (error) {
      const called = kept.determination.collection.id;
      return { id: kept.id, called, why: whyOf(error), text: JSON.stringify(kept, undefined, 1) };
    }
  }

  /** Does something with a find, the open one, shows it, and keeps it. */
  act(action: FindAction, open = this.open): void {
    if (open === undefined) return;
    this.notice = undefined;
    open.act(action, this.now());
    this.changed();
    void this.#keep(open);
  }

  /** Keeps a photograph of the open find, of the specimen that is looked at. */
  async keepPhotograph(picture: Blob): Promise<void> {
    const { open } = this;
    if (open === undefined) return;
    const { collection, readFrom } = open.keying;
    const date = localDay(this.now());
    const file = freeName(open.called, new Set(collection.photographs?.map((p) => p.file)));
    const result = await (await this.store).keepPhotograph(open.id, file, picture);
    // A record that names a photograph which is not there would promise too much.
    if (result.kind === 'kept')
      this.act(
        { kind: 'photograph', photograph: { file, date, ...defined({ specimen: readFrom.specimen }) } },
        open,
      );
    else this.tell(result.kind === 'full' ? say.store.full : say.photographFailed);
  }

  async remove(id: string): Promise<void> {
    await this.saved();
    if (this.open?.id === id) this.open = undefined;
    await (await this.store).remove(id);
    await this.#list();
    this.changed();
  }

  /** Resolves when all that was entered is kept, or could not be. */
  saved(): Promise<void> {
    return this.#saving;
  }

  async #list(): Promise<void> {
    this.kept = await (await this.store).all(this.key.chain.main.id);
    this.listed = true;
    if (this.kept.unreadable !== undefined) this.trouble = say.store.unreadable(this.kept.unreadable);
  }

  async #openFind(id: string): Promise<void> {
    const going = this.#going;
    await this.saved();
    const read = await this.read(id);
    if (this.#going !== going) return;
    this.open = undefined;
    if (read instanceof OpenFind) {
      this.#take(read);
      this.notice = read.news.join(' ') || undefined;
    } else if (read !== undefined) {
      this.notice = say.store.damaged(read.called, read.why);
      this.kept = { ...this.kept, damaged: [...this.kept.damaged, read] };
    }
  }

  #take(read: OpenFind): void {
    this.open = read;
    read.stored = read.kept.revision;
  }

  /** Keeps a find, one step after the other, so that none overtakes another. */
  #keep(open: OpenFind): Promise<void> {
    this.#saving = this.#saving.then(async () => {
      const { kept, stored } = open;
      if (kept.revision <= stored) return;
      await this.#done(await (await this.store).keep(kept, stored), open, kept);
    });
    return this.#saving;
  }

  async #done(result: Kept, open: OpenFind, kept: KeptFind): Promise<void> {
    const before = this.trouble;
    if (result.kind === 'kept') {
      open.stored = kept.revision;
      if ((await this.store).lasts) this.trouble = undefined;
    } else if (result.kind === 'full') this.trouble = say.store.full;
    else if (result.kind === 'failed') this.trouble = say.store.failed(result.why);
    else await this.#keptApart(open, kept, result.there);
    if (this.trouble !== before) this.changed();
  }

  /** Both windows keep what was entered in them. */
  async #keptApart(open: OpenFind, own: KeptFind, there: KeptFind): Promise<void> {
    const { determination } = own;
    const called = say.store.apart(determination.collection.id);
    const apart: KeptFind = {
      ...own,
      id: newId(),
      determination: { ...determination, collection: { ...determination.collection, id: called } },
    };
    const result = await (await this.store).keep(apart, 0);
    if (result.kind === 'kept') {
      open.stored = Infinity;
      if (this.open === open) this.#take(OpenFind.resume(this.key, this.data.program, there, this.now));
      this.tell(say.store.keptApart(called));
    } else this.trouble = result.kind === 'full' ? say.store.full : say.store.failed('');
  }

  /** Another window has changed a find: what stands there is shown, unless something here is not kept yet. */
  async #changedElsewhere(id: string): Promise<void> {
    await this.saved();
    const { open } = this;
    if (this.route.screen === 'home') await this.#list();
    else if (open?.id === id && open.kept.revision === open.stored) {
      const kept = await (await this.store).one(id);
      if (kept !== undefined && kept.revision !== open.stored) {
        await this.#openFind(id);
        if (this.open !== open) this.notice ??= say.store.changedElsewhere;
      }
    } else return;
    this.changed();
  }
}

function whyOf(error: unknown): string {
  return error instanceof Failure ? error.message : 'its answers cannot be read';
}

/** All of a picture as a text that only the same picture has. */
async function bytesOf(picture: Blob | undefined): Promise<string | undefined> {
  return picture && String(new Uint8Array(await picture.arrayBuffer()));
}

/** The day where the person is, as year-month-day. */
export function localDay(now: Date): string {
  const two = (n: number) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** A file name for a photograph of a find, that none has yet. */
function freeName(called: string, taken: ReadonlySet<string>): string {
  const plain = fileWord(called);
  for (let n = 1; ; n++) if (!taken.has(`${plain}-${n}.jpg`)) return `${plain}-${n}.jpg`;
}

/** A name for the store; `randomUUID` is not to be had in pages that come over plain HTTP. */
function newId(): string {
  return [...crypto.getRandomValues(new Uint8Array(12))].map((b) => b.toString(16).padStart(2, '0')).join('');
}
