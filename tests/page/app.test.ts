/** What the page does when the device is slow: steps overtake each other, and nothing that was entered is lost. */
import { describe, expect, it } from 'vitest';
import { FolderShelf } from '../../src/files/shelf.js';
import { App, hashOf, type Route, routeOf } from '../../src/page/app.js';
import { messages as say } from '../../src/page/messages.js';
import type { KeptFind } from '../../src/page/model/find.js';
import type { FindStore, Kept } from '../../src/page/store/finds.js';
import { clock } from '../record/making.js';
import { root } from '../support/program.js';
import { bothKeys } from './made.js';

const shelf = new FolderShelf(root, ['keys'], []);
const tufts = bothKeys(shelf.text('keys/tarn-wood-tufts.key.yaml'), 'keys/tarn-wood-tufts.key.yaml', shelf);

/** What a test lets through when it wants to. */
class Gate {
  #open: () => void = () => undefined;
  readonly passed = new Promise<void>((done) => {
    this.#open = done;
  });
  open(): Promise<void> {
    this.#open();
    return settled();
  }
}

/** Until everything that waits for nothing from outside is done. */
function settled(): Promise<void> {
  return new Promise((done) => setTimeout(done, 0));
}

/** A device that answers a kind of question when the test says so, and at once where it says nothing. */
class SlowStore implements FindStore {
  readonly finds = new Map<string, KeptFind>();
  readonly waits: { reading?: Gate; keeping?: Gate; photograph?: Gate } = {};

  constructor(readonly lasts = true) {}

  async all() {
    return { finds: [...this.finds.values()], damaged: [] };
  }

  async one(id: string): Promise<KeptFind | undefined> {
    await this.waits.reading?.passed;
    return this.finds.get(id);
  }

  async keep(find: KeptFind, base: number): Promise<Kept> {
    await this.waits.keeping?.passed;
    const there = this.finds.get(find.id);
    if (there !== undefined && there.revision !== base) return { kind: 'changed', there };
    this.finds.set(find.id, structuredClone(find));
    return { kind: 'kept' };
  }

  async remove(id: string): Promise<void> {
    this.finds.delete(id);
  }

  async keepPhotograph(): Promise<Kept> {
    await this.waits.photograph?.passed;
    return { kind: 'kept' };
  }

  photograph = async () => undefined;
  watch = () => undefined;

  /** How many answers each find has that is kept. */
  get answers(): number[] {
    return [...this.finds.values()].map((f) => f.determination.answers.length);
  }
}

/** The page on such a device, and what it has drawn. */
function appOn(store: SlowStore, opening = Promise.resolve()) {
  const app = new App(
    tufts.inPage,
    tufts.data,
    opening.then(() => store),
    clock(),
  );
  const drawn: { readonly address: string; readonly trouble: string | undefined }[] = [];
  app.onChange(() => drawn.push({ address: hashOf(app.route), trouble: app.trouble }));
  return { app, drawn };
}

/** Begins a find and answers its first couplet so many times; gives its screen. */
async function begun(app: App, answers = 1): Promise<Route & { find: string }> {
  const route = app.begin() as Route & { find: string };
  await app.go(route);
  for (let n = 0; n < answers; n++) app.act({ kind: 'answer' });
  return route;
}

describe('a page on a slow device', () => {
  it('tells finds apart that are begun in one minute', async () => {
    const store = new SlowStore();
    const now = () => new Date('2026-11-27T10:05:30Z');
    const app = new App(tufts.inPage, tufts.data, Promise.resolve(store), now);
    for (let n = 0; n < 3; n++) {
      await begun(app, 1);
      await app.go({ screen: 'home' });
    }
    expect([...store.finds.values()].map((f) => f.determination.collection.id)).toEqual([
      '2026-11-27 10:05 UTC',
      '2026-11-27 10:05 UTC, 2',
      '2026-11-27 10:05 UTC, 3',
    ]);
  });

  it('keeps each find that was begun before the device could keep any', async () => {
    const [store, opening] = [new SlowStore(), new Gate()];
    const { app, drawn } = appOn(store, opening.passed);
    await begun(app, 1);
    const home = app.go({ screen: 'home' });
    // One need not wait to go on.
    expect(drawn.at(-1)?.address).toBe('#');
    await begun(app, 2);
    expect(store.answers).toEqual([]);
    await opening.open();
    await home;
    await app.saved();
    expect(store.answers).toEqual([1, 2]);
  });

  it('says that nothing is kept as soon as that is known, whatever is shown', async () => {
    const opening = new Gate();
    const { app, drawn } = appOn(new SlowStore(false), opening.passed);
    await app.go({ screen: 'key' });
    expect(drawn.at(-1)).toEqual({ address: '#key', trouble: undefined });
    await opening.open();
    expect(drawn.at(-1)).toEqual({ address: '#key', trouble: say.store.none });
  });

  it('shows what was asked for last, though what was asked for before comes later', async () => {
    const store = new SlowStore();
    const { app } = appOn(store);
    const before = await begun(app);
    await app.go({ screen: 'home' });
    await begun(app);
    await app.go({ screen: 'home' });
    store.waits.reading = new Gate();
    const late = app.go(before);
    await settled();
    const last = await begun(app, 2);
    await store.waits.reading.open();
    await late;
    expect([app.route, app.open?.id]).toEqual([last, last.find]);
    app.act({ kind: 'answer' });
    await app.saved();
    expect(store.answers).toEqual([1, 1, 3]);
    // So too on the way back to the first screen.
    store.waits.reading = new Gate();
    const again = app.go(before);
    await app.go({ screen: 'home' });
    await store.waits.reading.open();
    await again;
    expect(app.route).toEqual({ screen: 'home' });
  });

  it('keeps a photograph with the find that it was taken of', async () => {
    const store = new SlowStore();
    const { app } = appOn(store);
    const first = await begun(app);
    store.waits.photograph = new Gate();
    const taken = app.keepPhotograph(new Blob(['x']));
    await begun(app);
    await store.waits.photograph.open();
    await taken;
    await app.saved();
    const photographs = [...store.finds.values()].map((f) => f.determination.collection.photographs?.length);
    expect(photographs).toEqual([1, undefined]);
    expect([...store.finds.keys()][0]).toBe(first.find);
  });

  it('keeps a find apart once, however much was entered while another window changed it', async () => {
    const store = new SlowStore();
    const { app } = appOn(store);
    const { find } = await begun(app);
    await app.saved();
    const there = store.finds.get(find) as KeptFind;
    store.finds.set(find, { ...there, revision: there.revision + 5 });
    store.waits.keeping = new Gate();
    app.act({ kind: 'answer' });
    app.act({ kind: 'answer' });
    await store.waits.keeping.open();
    await app.saved();
    expect(store.answers).toEqual([1, 3]);
    expect(app.open?.kept.revision).toBe(there.revision + 5);
    const [, apart] = [...store.finds.values()];
    expect(app.notice).toBe(say.store.keptApart(apart?.determination.collection.id ?? ''));
  });
});

describe('the address of a screen', () => {
  it('is read back, and shows the first screen where it names none', () => {
    const routes: Route[] = [
      { screen: 'home' },
      { screen: 'key' },
      { screen: 'picture' },
      { screen: 'find', find: '00ff' },
      { screen: 'result', find: '00ff' },
    ];
    for (const route of routes) expect(routeOf(hashOf(route))).toEqual(route);
    for (const hash of ['', '#', '#nothing', '#find', '#find/', '#constructor/1', '#%'])
      expect(routeOf(hash)).toEqual({ screen: 'home' });
    expect(routeOf('#find/%')).toEqual({ screen: 'find', find: '%' });
  });
});
