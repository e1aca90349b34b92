import { useContext, useState } from 'preact/hooks';
import { readDate } from '../../tables/fields.js';
import { harmless } from '../../text/harmless.js';
import { hashOf, localDay } from '../app.js';
import { messages as say } from '../messages.js';
import type { OpenFind } from '../model/find.js';
import { Field } from '../parts/field.js';
import { Page } from '../parts/page.js';
import { Share } from '../parts/share.js';
import { Photographs } from './photographs.js';

const ASKED = ['place', 'date', 'by', 'habitat'] as const;
type Asked = (typeof ASKED)[number];

/** Where, when and by whom a find was found, and its photographs. Place and day are put in only when they are asked for. */
export function DetailsScreen({ open }: { open: OpenFind }) {
  return (
    <main class="details">
      <nav class="way">
        <a href={hashOf({ screen: 'home' })}>{say.finds}</a>
        <a href={hashOf({ screen: 'find', find: open.id })}>{say.goOnAnswering}</a>
      </nav>
      <h1 tabIndex={-1}>{harmless(open.called)}</h1>
      <form onSubmit={(event) => event.preventDefault()}>
        {open.mayBeRenamed ? <Called open={open} /> : null}
        {ASKED.map((name) => (
          <Detail key={name} name={name} open={open} />
        ))}
      </form>
      <Photographs open={open} />
      <Share open={open} />
    </main>
  );
}

function Called({ open }: { open: OpenFind }) {
  const app = useContext(Page);
  return (
    <Field
      id="detail-called"
      label={say.called}
      known={open.called}
      keep={(called, field) => {
        if (called === '') field.value = open.called;
        else if (called !== open.called) app.act({ kind: 'rename', called });
      }}
    />
  );
}

function Detail({ name, open }: { name: Asked; open: OpenFind }) {
  const app = useContext(Page);
  const known = open.keying.collection[name] ?? '';
  const [problem, setProblem] = useState<string | undefined>();
  const keep = (said: string) => {
    const wrong = name === 'date' && said !== '' && readDate(said) === undefined;
    setProblem(wrong ? say.badDate : undefined);
    if (!wrong && said !== known) app.act({ kind: 'describe', details: { [name]: said } });
  };
  const here = () =>
    navigator.geolocation?.getCurrentPosition(
      ({ coords: { latitude, longitude, accuracy } }) =>
        keep(`${latitude.toFixed(5)}, ${longitude.toFixed(5)} (± ${Math.round(accuracy)} m)`),
      () => setProblem(say.noPlace),
    );
  return (
    <Field id={`detail-${name}`} label={say.detailWords[name]} known={known} problem={problem} keep={keep}>
      {name === 'place' ? (
        <button type="button" class="plain small" onClick={here}>
          {say.here}
        </button>
      ) : null}
      {name === 'date' ? (
        <button type="button" class="plain small" onClick={() => keep(localDay(app.now()))}>
          {say.today}
        </button>
      ) : null}
    </Field>
  );
}
