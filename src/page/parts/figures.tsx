import { useContext, useState } from 'preact/hooks';
import type { Figure } from '../../traits/character.js';
import { messages as say } from '../messages.js';
import { Dialog, leave } from './ask.js';
import { Page } from './page.js';

/** The pictures of a lead, a character or a taxon; a tap enlarges one. One that is not in the page shows its caption. */
export function Figures({ figures }: { figures: readonly Figure[] }) {
  const [open, setOpen] = useState<Figure | undefined>();
  if (figures.length === 0) return null;
  return (
    <div class="figures">
      {figures.map((figure) => (
        <Thumbnail key={figure.file} figure={figure} enlarge={() => setOpen(figure)} />
      ))}
      {open === undefined ? null : <Enlarged figure={open} close={() => setOpen(undefined)} />}
    </div>
  );
}

function Thumbnail({ figure, enlarge }: { figure: Figure; enlarge: () => void }) {
  const source = useContext(Page).data.figures[figure.file];
  if (source === undefined)
    return (
      <p class="caption">
        {captionOf(figure)} ({say.pictureLeftOut})
      </p>
    );
  return (
    <figure class={source.source.startsWith('data:image/svg') ? 'drawing' : undefined}>
      <button type="button" class="thumbnail" aria-label={say.enlarge(figure.caption)} onClick={enlarge}>
        <img
          src={source.source}
          alt={figure.caption}
          width={source.width}
          height={source.height}
          loading="lazy"
        />
      </button>
      <figcaption>{captionOf(figure)}</figcaption>
    </figure>
  );
}

function Enlarged({ figure, close }: { figure: Figure; close: () => void }) {
  const source = useContext(Page).data.figures[figure.file];
  return (
    <Dialog label={figure.caption} close={close}>
      <img src={source?.source ?? ''} alt={figure.caption} />
      <p>{captionOf(figure)}</p>
      <button type="button" class="plain" onClick={leave}>
        {say.close}
      </button>
    </Dialog>
  );
}

function captionOf({ caption, by }: Figure): string {
  if (by === undefined) return caption;
  return `${caption}${/[.!?…]$/.test(caption) ? '' : '.'} ${say.pictureBy(by)}`;
}
