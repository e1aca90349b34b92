import { useEffect, useRef } from 'preact/hooks';
import { messages as say } from '../messages.js';

/** Asks for a text; an empty one is an answer too. */
export function AskText({
  title,
  text,
  done,
}: {
  title: string;
  text: string;
  /** undefined = left as it was. */
  done: (text: string | undefined) => void;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  const field = useRef<HTMLTextAreaElement>(null);
  useEffect(() => dialog.current?.showModal(), []);
  const end = (answer: string | undefined) => {
    done(answer);
    dialog.current?.close();
  };
  return (
    <dialog ref={dialog} class="ask" aria-labelledby="ask-title" onCancel={() => done(undefined)}>
      <label id="ask-title" for="ask-text">
        {title}
      </label>
      <textarea id="ask-text" ref={field} rows={4} defaultValue={text} />
      <div class="row">
        <button type="button" class="plain" onClick={() => end(undefined)}>
          {say.cancel}
        </button>
        <button type="button" class="strong" onClick={() => end(field.current?.value ?? '')}>
          {say.keep}
        </button>
      </div>
    </dialog>
  );
}

/** Asks whether something is to be done that cannot be undone. */
export function AskSure({
  question,
  yes,
  done,
}: {
  question: string;
  yes: string;
  done: (sure: boolean) => void;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => dialog.current?.showModal(), []);
  const end = (sure: boolean) => {
    done(sure);
    dialog.current?.close();
  };
  return (
    <dialog ref={dialog} class="ask" aria-labelledby="sure-title" onCancel={() => done(false)}>
      <p id="sure-title">{question}</p>
      <div class="row">
        <button type="button" class="plain" onClick={() => end(false)}>
          {say.cancel}
        </button>
        <button type="button" class="strong" onClick={() => end(true)}>
          {yes}
        </button>
      </div>
    </dialog>
  );
}
