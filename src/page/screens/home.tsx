import { useContext, useState } from 'preact/hooks';
import { harmless } from '../../text/harmless.js';
import { hashOf } from '../app.js';
import { messages as say } from '../messages.js';
import type { KeptFind } from '../model/find.js';
import { AskSure } from '../parts/ask.js';
import { Cautions } from '../parts/cautions.js';
import { goTo, Page } from '../parts/page.js';
import { PickFile } from '../parts/pick-file.js';
import { ShareFinds } from '../parts/share.js';
import { saveFile } from '../sharing.js';
import { Imprint, KeyTexts, Scope } from './key.js';

/** The first screen: the key, what it is for, and the finds on this device. */
export function Home() {
  const app = useContext(Page);
  const { main } = app.key.chain;
  const begin = () => goTo(app.begin());
  return (
    <main class="home">
      <header class="title">
        <h1 tabIndex={-1}>{harmless(main.title)}</h1>
        <Imprint named={false} />
      </header>
      <KeyTexts node={main} />
      <Finds />
      <div class="actions">
        <TakeIn />
        <button type="button" class="strong" onClick={begin}>
          {say.begin}
        </button>
      </div>
      <Scope />
      <Cautions />
      <p>
        <a href={hashOf({ screen: 'key' })}>{say.aboutKey}</a>
      </p>
    </main>
  );
}

function Finds() {
  const app = useContext(Page);
  const { finds, damaged } = app.kept;
  const [removing, setRemoving] = useState<KeptFind | undefined>();
  const [sharing, setSharing] = useState(false);
  return (
    <section>
      <h2>{say.yourFinds}</h2>
      {app.listed && finds.length + damaged.length === 0 ? <p class="faint">{say.noFinds}</p> : null}
      <ul class="finds">
        {finds.map((find) => (
          <li key={find.id}>
            <a href={hashOf({ screen: find.finished === undefined ? 'find' : 'result', find: find.id })}>
              {harmless(find.determination.collection.id)}
            </a>
            <span class="faint">
              {[
                find.determination.collection.place,
                say.answersSoFar(find.determination.answers.length),
                find.finished === undefined ? undefined : say.finished,
              ]
                .filter((t) => t !== undefined)
                .join(', ')}
            </span>
            <button
              type="button"
              class="plain small"
              aria-label={`${say.remove} ${harmless(find.determination.collection.id)}`}
              onClick={() => setRemoving(find)}
            >
              {say.remove}
            </button>
          </li>
        ))}
        {damaged.map(({ id, called, why, text }) => (
          <li key={id} class="trouble">
            <p>{say.store.damaged(harmless(called), why)}</p>
            <button
              type="button"
              class="plain"
              onClick={() => saveFile(new File([text], `${called}.damaged.json`))}
            >
              {say.store.rescue}
            </button>
          </li>
        ))}
      </ul>
      <p class="faint">{say.nothingLeaves}</p>
      {finds.length < 2 ? null : (
        <div class="actions">
          <button type="button" class="plain" onClick={() => setSharing(true)}>
            {say.shareFinds}
          </button>
        </div>
      )}
      {sharing ? <ShareFinds finds={finds} done={() => setSharing(false)} /> : null}
      {removing === undefined ? null : (
        <AskSure
          question={say.removeSure(harmless(removing.determination.collection.id))}
          yes={say.remove}
          done={(sure) => {
            setRemoving(undefined);
            if (sure) void app.remove(removing.id);
          }}
        />
      )}
    </section>
  );
}

/** Takes a record in that was handed out before. */
function TakeIn() {
  const app = useContext(Page);
  const take = async (file: File) => {
    const bytes = await bytesOf(file);
    if (bytes === undefined) return app.tell(say.notTakenIn(say.cannotBeRead(harmless(file.name))));
    const { takeIn } = await import('../take-in.js');
    const { finds, problems } = takeIn(bytes, file.name, app.key.chain.main.id, app.now());
    const route = await app.takeIn(finds, problems);
    if (route.screen === 'home') await app.go(route);
    else goTo(route);
  };
  return (
    <PickFile
      id="take-in"
      accept=".yaml,.yml,.txt,.zip,text/yaml,text/plain,application/zip"
      words={say.takeIn}
      take={take}
    />
  );
}

/** undefined when the file is gone, or larger than the device can hold. */
async function bytesOf(file: File): Promise<Uint8Array | undefined> {
  try {
    return new Uint8Array(await file.arrayBuffer());
  } catch {
    return undefined;
  }
}
