import { render } from 'preact';
import { useEffect, useReducer, useRef } from 'preact/hooks';
import { App, hashOf, routeOf } from './app.js';
import { openPageKey, type PageData } from './data.js';
import { messages as say } from './messages.js';
import { OpenFind } from './model/find.js';
import { Page } from './parts/page.js';
import { CoupletScreen } from './screens/couplet.js';
import { DetailsScreen } from './screens/details.js';
import { Home } from './screens/home.js';
import { KeyScreen } from './screens/key.js';
import { PictureScreen } from './screens/picture.js';
import { ResultScreen } from './screens/result.js';
import { SheetScreen } from './screens/sheet.js';
import { openStore } from './store/finds.js';

function Screens({ app }: { app: App }) {
  const [, redraw] = useReducer((n: number) => n + 1, 0);
  useEffect(() => {
    app.onChange(() => redraw(undefined as never));
    redraw(undefined as never);
  }, [app]);
  const address = hashOf(app.route);
  const first = useRef(true);
  // A new screen is read from its heading; the first one from where the browser begins.
  useEffect(() => {
    if (!first.current) {
      scrollTo(0, 0);
      document.querySelector<HTMLElement>('h1')?.focus({ preventScroll: true });
    }
    first.current = false;
  }, [address]);
  const said = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (app.notice !== undefined) said.current?.scrollIntoView({ block: 'nearest' });
  }, [app.notice]);
  return (
    <Page.Provider value={app}>
      <div ref={said} class="messages" aria-live="assertive">
        {app.trouble === undefined ? null : <p class="trouble">{app.trouble}</p>}
        {app.notice === undefined ? null : <p class="notice">{app.notice}</p>}
      </div>
      <Screen key={address} app={app} />
    </Page.Provider>
  );
}

function Screen({ app }: { app: App }) {
  const { route, open } = app;
  if (route.screen === 'key') return <KeyScreen />;
  if (route.screen === 'picture') return <PictureScreen />;
  if (route.screen === 'home' || open === undefined) return <Home />;
  if (route.screen === 'sheet') return <SheetScreen open={open} />;
  if (route.screen === 'result') return <ResultScreen open={open} />;
  if (route.screen === 'details') return <DetailsScreen open={open} />;
  return <CoupletScreen open={open} />;
}

/** The data of the page, as the command put them in. */
function pageData(): PageData {
  const figures = JSON.parse(document.getElementById('figures')?.textContent ?? '') as PageData['figures'];
  return { ...globalThis.unpackedKey, figures };
}

/** Where what has the focus goes away, the heading that stands above it gets the focus: the keyboard would be lost without. */
function keepFocus(root: HTMLElement): void {
  let had = root;
  root.addEventListener('focusin', ({ target }) => {
    had = target as HTMLElement;
  });
  new MutationObserver((changes) => {
    const focusHeading = () => {
      if (had.isConnected || document.activeElement !== document.body) return;
      const [around = root] = changes.flatMap(
        ({ target }) => (target as Element).closest('section, main') ?? [],
      );
      const heading = around.querySelector<HTMLElement>('h1, h2') ?? root;
      heading.tabIndex = -1;
      heading.focus();
    };
    // After the screen is drawn, which it must not hold up, and has chosen what gets the focus.
    if (!had.isConnected) requestAnimationFrame(() => setTimeout(focusHeading));
  }).observe(root, { childList: true, subtree: true });
}

/** In milliseconds after the first screen is there. */
const WARM_UP = 50;

/**
 * Keys out a find that nobody sees: what is done for the first time takes a slow processor some times as long as what was done
 * before, and after this the first answers no longer are the first.
 */
function warmUp(app: App): void {
  const unseen = document.createElement('div');
  const find = OpenFind.begin(app.key, app.data.program, { id: '', called: '' }, app.now);
  for (let n = 0; n < 2; n++) {
    render(
      <Page.Provider value={app}>
        <CoupletScreen open={find} />
      </Page.Provider>,
      unseen,
    );
    // Laid out, and gone before it would be drawn.
    document.body.append(unseen);
    unseen.getBoundingClientRect();
    unseen.remove();
    find.act({ kind: 'answer', lead: 0 }, app.now());
  }
  render(null, unseen);
}

async function start(): Promise<void> {
  const root = document.getElementById('page') as HTMLElement;
  try {
    // The device looks for what it keeps while the key is opened.
    const opening = openStore();
    const data = pageData();
    const app = new App(openPageKey(data), data, opening);
    addEventListener('hashchange', () => void app.go(routeOf(location.hash)));
    const route = routeOf(location.hash);
    const gone = app.go(route);
    // A find is waited for; the first screen is there at once, and its list of finds as soon as they are read.
    if ('find' in route) await gone;
    root.replaceChildren();
    render(<Screens app={app} />, root);
    keepFocus(root);
    await gone;
    setTimeout(() => warmUp(app), WARM_UP);
  } catch (error) {
    const said = document.createElement('p');
    said.textContent = `${say.startFailed} ${say.startFailedText} (${String(error)})`;
    root.replaceChildren(said);
  }
}

void start();
