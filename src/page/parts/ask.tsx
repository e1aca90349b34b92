import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { messages as say } from '../messages.js';

/** What must be done with before the screen is gone on with: Tab stays in it, Escape leaves it, and what had the focus gets it back. */
export function Dialog({
  label,
  title,
  close,
  children,
}: {
  /** What it is called, where it has no title. */
  label?: string;
  /** The id of what stands above it. */
  title?: string;
  /** Called when it is closed, not before: what is taken away while it is open gives the focus back to nothing. */
  close: () => void;
  children: ComponentChildren;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    dialog.current?.showModal();
    // What has the focus may stand below what is to be seen first.
    dialog.current?.scrollTo(0, 0);
  }, []);
  return (
    <dialog
      ref={dialog}
      class={title === undefined ? 'enlarged' : 'ask'}
      aria-label={label}
      aria-labelledby={title}
      onClose={close}
    >
      {children}
    </dialog>
  );
}

/** Closes the dialog that a button stands in. */
export function leave({ currentTarget }: { readonly currentTarget: Element }): void {
  currentTarget.closest('dialog')?.close();
}

export function Cancel() {
  return (
    <button type="button" class="plain" onClick={leave}>
      {say.cancel}
    </button>
  );
}

/** What ends a dialog: as it was, or with what was chosen. */
export function Ends({ yes, choose }: { yes: string; choose: () => void }) {
  return (
    <div class="row">
      <Cancel />
      <button
        type="button"
        class="strong"
        onClick={(event) => {
          choose();
          leave(event);
        }}
      >
        {yes}
      </button>
    </div>
  );
}

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
  const field = useRef<HTMLTextAreaElement>(null);
  const answer = useRef<string | undefined>(undefined);
  return (
    <Dialog title="ask-title" close={() => done(answer.current)}>
      <label id="ask-title" for="ask-text">
        {title}
      </label>
      <textarea id="ask-text" ref={field} rows={4} defaultValue={text} />
      <Ends
        yes={say.keep}
        choose={() => {
          answer.current = field.current?.value ?? '';
        }}
      />
    </Dialog>
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
  const sure = useRef(false);
  return (
    <Dialog title="sure-title" close={() => done(sure.current)}>
      <p id="sure-title">{question}</p>
      <Ends
        yes={yes}
        choose={() => {
          sure.current = true;
        }}
      />
    </Dialog>
  );
}
