import { useContext, useState } from 'preact/hooks';
import { harmless } from '../../text/harmless.js';
import { handOut, handOutAll } from '../hand-out.js';
import { messages as say } from '../messages.js';
import type { KeptFind, OpenFind } from '../model/find.js';
import { canShare, type HandedOut, saveFile, shareFile } from '../sharing.js';
import { Cancel, Dialog, leave } from './ask.js';
import { Page } from './page.js';

/** Hands the record of the find out, with its photographs where it has any. */
export function Share({ open }: { open: OpenFind }) {
  const app = useContext(Page);
  const [shares] = useState(canShare);
  const pictured = (open.keying.collection.photographs ?? []).length > 0;
  const share = async () => {
    if (await shareOrSave(await handOut(app, open))) app.tell(say.shared);
  };
  return (
    <div class="actions">
      <button type="button" class="plain" onClick={async () => saveFile((await handOut(app, open)).file)}>
        {pictured ? say.downloadPictured : say.download}
      </button>
      {shares ? (
        <button type="button" class="strong" onClick={() => void share()}>
          {pictured ? say.sharePictured : say.share}
        </button>
      ) : null}
    </div>
  );
}

/** Hands several finds out as one archive: all of them, or those that are chosen. */
export function ShareFinds({ finds, done }: { finds: readonly KeptFind[]; done: () => void }) {
  const app = useContext(Page);
  const [shares] = useState(() => canShare(true));
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set());
  const chosen = finds.filter(({ id }) => !left.has(id)).map(({ id }) => id);
  const hand = async (currentTarget: Element, how: (out: HandedOut) => boolean | Promise<boolean>) => {
    const { out, problems } = await handOutAll(app, chosen);
    const handed = await how(out);
    leave({ currentTarget });
    app.tell([...(handed ? [say.sharedAll] : []), ...problems].join(' ') || undefined);
  };
  const choose = (id: string, on: boolean) => {
    const rest = new Set(left);
    if (on) rest.delete(id);
    else rest.add(id);
    setLeft(rest);
  };
  return (
    <Dialog title="share-title" close={done}>
      <fieldset>
        <legend id="share-title">{say.whichFinds}</legend>
        <label class="choice">
          <input
            type="checkbox"
            checked={left.size === 0}
            onChange={(event) =>
              setLeft(new Set(event.currentTarget.checked ? [] : finds.map(({ id }) => id)))
            }
          />
          {say.allFinds(finds.length)}
        </label>
        <div class="chosen">
          {finds.map(({ id, determination }) => (
            <label key={id} class="choice">
              <input
                type="checkbox"
                checked={!left.has(id)}
                onChange={(event) => choose(id, event.currentTarget.checked)}
              />
              {harmless(determination.collection.id)}
            </label>
          ))}
        </div>
      </fieldset>
      <p class="faint">{say.oneArchive}</p>
      <div class="row">
        <Cancel />
        <button
          type="button"
          class={shares ? 'plain' : 'strong'}
          disabled={chosen.length === 0}
          onClick={({ currentTarget }) => void hand(currentTarget, saved)}
        >
          {say.saveArchive}
        </button>
        {shares ? (
          <button
            type="button"
            class="strong"
            disabled={chosen.length === 0}
            onClick={({ currentTarget }) => void hand(currentTarget, shareOrSave)}
          >
            {say.shareArchive}
          </button>
        ) : null}
      </div>
    </Dialog>
  );
}

/** Whether it was handed over; what cannot be shared is saved. */
async function shareOrSave(out: HandedOut): Promise<boolean> {
  const done = await shareFile(out);
  if (done === 'cannot') saveFile(out.file);
  return done === 'shared';
}

/** What is saved is not handed over yet. */
function saved({ file }: HandedOut): boolean {
  saveFile(file);
  return false;
}
