import { useContext, useState } from 'preact/hooks';
import { harmless } from '../../text/harmless.js';
import { messages as say } from '../messages.js';
import type { OpenFind } from '../model/find.js';
import { specimensView } from '../model/specimens.js';
import { Dialog, Ends } from '../parts/ask.js';
import { Page } from '../parts/page.js';

/** Says which specimen, and of what age, answers are read from now. */
export function SeenOn({ open, close }: { open: OpenFind; close: () => void }) {
  const app = useContext(Page);
  const { named, next, ages, now } = specimensView(open);
  const [specimen, setSpecimen] = useState(now.specimen);
  const [stage, setStage] = useState(now.stage);
  const keep = () =>
    app.act({
      kind: 'read-from',
      from: {
        ...(specimen === undefined ? {} : { specimen }),
        ...(stage === undefined ? {} : { stage }),
      },
    });
  const choice = (
    name: string,
    value: string | undefined,
    words: string,
    chosen: string | undefined,
    set: (value: string | undefined) => void,
  ) => (
    <label key={value ?? ''} class="choice">
      <input type="radio" name={name} checked={chosen === value} onChange={() => set(value)} />
      {harmless(words)}
    </label>
  );
  return (
    <Dialog title="seen-on" close={close}>
      <h2 id="seen-on">{say.seenOn}</h2>
      <fieldset>
        <legend class="visually-hidden">{say.seenOn}</legend>
        {choice('specimen', undefined, say.wholeFind, specimen, setSpecimen)}
        {named.map((name) => choice('specimen', name, say.specimen(name), specimen, setSpecimen))}
        {choice('specimen', next, `${say.anotherSpecimen}: ${next}`, specimen, setSpecimen)}
      </fieldset>
      {ages.length === 0 ? null : (
        <fieldset>
          <legend>{say.itsAge}</legend>
          {choice('stage', undefined, say.ageNotTold, stage, setStage)}
          {ages.map((age) => choice('stage', age, age, stage, setStage))}
        </fieldset>
      )}
      <Ends yes={say.keep} choose={keep} />
    </Dialog>
  );
}
