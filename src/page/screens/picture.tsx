import { useContext, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { harmless } from '../../text/harmless.js';
import { hashOf } from '../app.js';
import { messages as say } from '../messages.js';
import { pictureView } from '../model/picture.js';
import { Page } from '../parts/page.js';

const [LEAST, MOST, STEP] = [0.2, 2, 1.4];

/** The picture of the key, and where the find that is open stands in it. */
export function PictureScreen() {
  const { key, open, data } = useContext(Page);
  const { main } = key.chain;
  const view = useMemo(() => pictureView(key, open, data.program), [key, open, data.program]);
  const [scale, setScale] = useState(1);
  const frame = useRef<HTMLDivElement>(null);
  const { here, width, height } = view;
  useEffect(() => {
    if (here === undefined || frame.current === null) return;
    const { clientWidth, clientHeight } = frame.current;
    const { x, y, width: w, height: h } = here.box;
    frame.current.scrollTo((x + w / 2) * scale - clientWidth / 2, (y + h / 2) * scale - clientHeight / 2);
  }, [here, scale]);
  return (
    <main class="picture">
      <nav class="way">
        <a href={hashOf(open === undefined ? { screen: 'home' } : { screen: 'find', find: open.id })}>
          {open === undefined ? say.finds : harmless(open.called)}
        </a>
      </nav>
      <h1 tabIndex={-1}>{say.picture}</h1>
      {here === undefined ? null : <p>{say.youAreAt(here.number)}</p>}
      <div class="row">
        <button
          type="button"
          aria-disabled={scale <= LEAST}
          onClick={() => setScale(Math.max(LEAST, scale / STEP))}
        >
          {say.smaller}
        </button>
        <button
          type="button"
          aria-disabled={scale >= MOST}
          onClick={() => setScale(Math.min(MOST, scale * STEP))}
        >
          {say.larger}
        </button>
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must scroll by keyboard too */}
      <section class="frame" ref={frame} tabIndex={0} aria-label={say.picture}>
        <img
          src={`data:image/svg+xml,${encodeURIComponent(view.svg)}`}
          alt={say.pictureAlt(harmless(main.title), view.couplets)}
          width={Math.round(width * scale)}
          height={Math.round(height * scale)}
        />
      </section>
    </main>
  );
}
