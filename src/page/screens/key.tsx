import { useContext } from 'preact/hooks';
import type { Key } from '../../key/key.js';
import { imprint, scopeEntries, sourceText } from '../../printed/words.js';
import { harmless } from '../../text/harmless.js';
import { hashOf } from '../app.js';
import { messages as say } from '../messages.js';
import { sheetOf } from '../model/sheet.js';
import { Cautions } from '../parts/cautions.js';
import { Page } from '../parts/page.js';
import { PrintSheet } from './print-sheet.js';

/** All that is known of the key: whose it is, what it is for, what it continues in, what it was made from. */
export function KeyScreen() {
  const { key } = useContext(Page);
  const { main, keys } = key.chain;
  return (
    <main>
      <nav class="way">
        <a href={hashOf({ screen: 'home' })}>{say.finds}</a>
      </nav>
      <h1 tabIndex={-1}>{harmless(main.title)}</h1>
      <Imprint named />
      <KeyTexts node={main} />
      <Scope />
      {keys.length < 2 ? null : (
        <section>
          <h2>{say.keysOfChain}</h2>
          <ul>
            {keys.slice(1).map((other) => (
              <li key={other.id}>
                {harmless(other.title)}. <span class="faint">{harmless(imprint(other))}</span>
              </li>
            ))}
          </ul>
        </section>
      )}
      <p class="other-ways">
        <a href={hashOf({ screen: 'picture' })}>{say.picture}</a>
      </p>
      <PrintSheet sheet={sheetOf({ key })} />
      <Sources />
      <Cautions />
    </main>
  );
}

function Sources() {
  const { key } = useContext(Page);
  const sources = [...new Map(key.chain.keys.flatMap((k) => k.sources).map((s) => [s.cite, s])).values()];
  if (sources.length === 0) return null;
  return (
    <section>
      <h2>{say.sources}</h2>
      <ul>
        {sources.map((source) => (
          <li key={source.cite}>{harmless(sourceText(source))}</li>
        ))}
      </ul>
    </section>
  );
}

/** What the author says of the key, and of what it is for. */
export function KeyTexts({ node: { note } }: { node: Key }) {
  return note === undefined ? null : <p class="lead-in">{harmless(note)}</p>;
}

/** What the key is for. */
export function Scope() {
  const { key } = useContext(Page);
  const entries = scopeEntries(key.chain.main);
  if (entries.length === 0) return null;
  return (
    <section>
      <h2>{say.whatItIsFor}</h2>
      <dl class="entries">
        {entries.map(([heading, text]) => (
          <div key={heading}>
            <dt>{heading}</dt>
            <dd>{harmless(text)}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

/** Version, authors and licence, and how old the page is. */
export function Imprint({ named }: { named: boolean }) {
  const { key, data, now } = useContext(Page);
  const { main } = key.chain;
  const days = Math.floor((now().getTime() - new Date(data.made).getTime()) / 86_400_000);
  return (
    <p class="imprint">
      {named ? `${main.id}. ` : ''}
      {harmless(imprint(main))} {say.made(data.made, days)}
      {days > OLD ? ` ${say.old}` : ''}
    </p>
  );
}

/** Days after which a key may have been overtaken by what became known. */
const OLD = 365;
