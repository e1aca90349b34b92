import { useContext } from 'preact/hooks';
import { CAUTIONS, cautionsInShort } from '../../words/cautions.js';
import { messages as say } from '../messages.js';
import { Page } from './page.js';

/** What no result can say, and whom to call; it stands on every screen that speaks of what a find may be. */
export function ShortCautions() {
  return (
    <aside class="cautions" aria-label={say.cautions}>
      {cautionsInShort(undefined).map((text) => (
        <p key={text}>{text}</p>
      ))}
      <Centre />
    </aside>
  );
}

/** The same in full. */
export function Cautions() {
  return (
    <section class="cautions">
      <h2>{say.cautions}</h2>
      <ul>
        {CAUTIONS.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
      <Centre />
    </section>
  );
}

function Centre() {
  const { centre = '' } = useContext(Page).data;
  const number = dialled(centre);
  if (centre.trim() === '') return <p>{say.noCentre}</p>;
  return (
    <p class="centre">
      {say.poisonCentre}: {number === undefined ? centre : <a href={`tel:${number}`}>{centre}</a>}
    </p>
  );
}

/** What a telephone dials: the first run of digits of what was given as a number. */
function dialled(given: string): string | undefined {
  const run = /\+?\d[\d\s()./-]*/.exec(given)?.[0].replace(/[^\d+]/g, '');
  return run === undefined || run.length < 3 ? undefined : run;
}
