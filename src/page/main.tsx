import { render } from 'preact';
import { useEffect, useReducer, useRef } from 'preact/hooks';
import { App, hashOf, routeOf } from './app.js';
import { openPageKey, type PageData } from './data.js';
import { messages as say } from './messages.js';
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
  return (
    <Page.Provider value={app}>
      <div class="messages" aria-live="assertive">
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
  const json = (id: string) => JSON.parse(document.getElementById(id)?.textContent ?? '') as object;
  return { ...json('key'), figures: json('figures') } as PageData;
}

async function start(): Promise<void> {
  const root = document.getElementById('page') as HTMLElement;
  try {
    const data = pageData();
    const app = new App(openPageKey(data), data, await openStore());
    addEventListener('hashchange', () => void app.go(routeOf(location.hash)));
    await app.go(routeOf(location.hash));
    root.replaceChildren();
    render(<Screens app={app} />, root);
  } catch (error) {
    const said = document.createElement('p');
    said.textContent = `${say.startFailed} ${say.startFailedText} (${String(error)})`;
    root.replaceChildren(said);
  }
}

void start();
