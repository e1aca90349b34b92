import { useContext, useState } from 'preact/hooks';
import type { ReadFrom } from '../../record/keying.js';
import { harmless } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import type { Character } from '../../traits/character.js';
import { readLoosely } from '../../traits/loose-value.js';
import type { Value } from '../../traits/value.js';
import { hashOf } from '../app.js';
import { messages as say } from '../messages.js';
import { standingView } from '../model/couplet.js';
import type { OpenFind } from '../model/find.js';
import {
  type KnownView,
  type NextView,
  type SheetLineView,
  sheetView,
  valueOfStates,
} from '../model/sheet.js';
import { ShortCautions } from '../parts/cautions.js';
import { Field } from '../parts/field.js';
import { Figures } from '../parts/figures.js';
import { goTo, Page } from '../parts/page.js';
import { PrintSheet } from './print-sheet.js';
import { SeenOn } from './specimens.js';

/** The field sheet: every character that the key asks, to be filled in in any order. */
export function SheetScreen({ open }: { open: OpenFind }) {
  const app = useContext(Page);
  const { next, parts, sheet } = sheetView(open);
  const standing = standingView(open.keying);
  const [choosing, setChoosing] = useState(false);
  const finish = () => {
    app.act({ kind: 'finish' });
    goTo({ screen: 'result', find: open.id });
  };
  return (
    <main class="sheet">
      <nav class="way">
        <a href={hashOf({ screen: 'home' })}>{say.finds}</a>
        <a href={hashOf({ screen: 'details', find: open.id })}>{harmless(open.called)}</a>
      </nav>
      <h1 tabIndex={-1}>{say.sheetTitle}</h1>
      <p class="faint">{say.sheetHelp}</p>
      <p class="status" aria-live="polite">
        {standing.status}
      </p>
      {standing.settled === undefined ? null : <p class="settled">{standing.settled}</p>}
      {standing.warnings.map((text) => (
        <p key={text} class="warning">
          {harmless(text)}
        </p>
      ))}
      <Next next={next} />
      {parts.map(({ heading, lines }) => (
        <section key={heading}>
          <h2>{harmless(heading)}</h2>
          {lines.map((line) => (
            <Line key={line.character.id} line={line} />
          ))}
        </section>
      ))}
      <PrintSheet sheet={sheet} />
      <ShortCautions />
      <div class="bar" role="toolbar" aria-label={say.besides}>
        <button type="button" onClick={() => goTo({ screen: 'find', find: open.id })}>
          {say.coupletByCouplet}
        </button>
        <button type="button" aria-label={say.seenOn} onClick={() => setChoosing(true)}>
          {seenOnWords(open.keying.readFrom) ?? say.seenOn}
        </button>
        <button type="button" onClick={finish}>
          {say.result}
        </button>
        {choosing ? <SeenOn open={open} close={() => setChoosing(false)} /> : null}
      </div>
    </main>
  );
}

function Next({ next }: { next: readonly NextView[] }) {
  return (
    <section>
      <h2>{say.lookNext}</h2>
      {next.length === 0 ? <p class="faint">{say.nothingNext}</p> : null}
      <ol>
        {next.map(({ character, text }) => (
          <li key={character}>
            {/* A link would change the address, which names the screen. */}
            <button
              type="button"
              class="plain link"
              onClick={() => {
                const line = document.getElementById(lineId(character));
                line?.scrollIntoView({ block: 'start' });
                line?.focus({ preventScroll: true });
              }}
            >
              {harmless(text)}
            </button>
          </li>
        ))}
      </ol>
    </section>
  );
}

function lineId(character: string): string {
  return `line-${character}`;
}

function seenOnWords({ specimen, stage }: ReadFrom): string | undefined {
  const words = [specimen === undefined ? undefined : say.specimen(specimen), stage].filter(
    (w) => w !== undefined,
  );
  return words.length === 0 ? undefined : harmless(words.join(', '));
}

/** A character with what it can show: a tap notes a state, a second one takes it away. */
function Line({ line }: { line: SheetLineView }) {
  const app = useContext(Page);
  const { character, needs, entered, others } = line;
  const see = (value: Value | undefined) => app.act({ kind: 'observe', character: character.id, value });
  const clear = () => {
    const { readFrom } = app.open?.keying ?? { readFrom: {} };
    app.act({ kind: 'forget', character: character.id, ...readFrom });
  };
  return (
    <fieldset class="line">
      <legend id={lineId(character.id)} tabIndex={-1}>
        {harmless(character.name)}
        {needs === '' ? null : <span class="faint"> ({harmless(needs)})</span>}
      </legend>
      {character.look === undefined ? null : <p class="faint">{harmless(character.look)}</p>}
      <Figures figures={character.figures} />
      {character.kind === 'choice' ? (
        <States character={character} chosen={entered?.states ?? []} see={see} clear={clear} />
      ) : (
        <NumberField character={character} written={entered?.written ?? ''} see={see} clear={clear} />
      )}
      <div class="answers-besides">
        <Toggle
          pressed={entered?.kind === 'cannot tell'}
          words={say.cannotTellShort}
          press={(on) => (on ? see(undefined) : clear())}
        />
        {character.appliesWhen === undefined ? null : (
          <Toggle
            pressed={entered?.kind === 'does not apply'}
            words={say.doesNotApply}
            press={(on) => (on ? see({ kind: 'inapplicable' }) : clear())}
          />
        )}
      </div>
      {others.map((known) => {
        const text = knownText(known);
        return (
          <p key={text} class="known">
            {text}
          </p>
        );
      })}
    </fieldset>
  );
}

function knownText({ shows, couplet, specimen, stage }: KnownView): string {
  const from = seenOnWords(defined({ specimen, stage })) ?? say.wholeFind;
  return harmless(say.on(from, couplet === undefined ? shows : say.byAnswer(couplet, shows)));
}

function Toggle({
  pressed,
  words,
  press,
}: {
  pressed: boolean;
  words: string;
  press: (on: boolean) => void;
}) {
  return (
    <button type="button" class="state" aria-pressed={pressed} onClick={() => press(!pressed)}>
      {harmless(words)}
    </button>
  );
}

/** Several states may be seen on one find. */
function States({
  character,
  chosen,
  see,
  clear,
}: {
  character: Character;
  chosen: readonly number[];
  see: (value: Value | undefined) => void;
  clear: () => void;
}) {
  const press = (state: number, on: boolean) => {
    const states = on ? [...chosen, state] : chosen.filter((s) => s !== state);
    if (states.length === 0) clear();
    else see(valueOfStates(character, states));
  };
  return (
    <div class="states">
      {character.states.map((state, i) => (
        <Toggle
          key={state.id}
          pressed={chosen.includes(i)}
          words={state.meaning}
          press={(on) => press(i, on)}
        />
      ))}
    </div>
  );
}

function NumberField({
  character,
  written,
  see,
  clear,
}: {
  character: Character;
  written: string;
  see: (value: Value | undefined) => void;
  clear: () => void;
}) {
  const [problem, setProblem] = useState<string | undefined>();
  const keep = (text: string) => {
    setProblem(undefined);
    if (text === written) return;
    if (text === '') return clear();
    const read = readLoosely(character, text, true);
    if (read.ok) see(read.value);
    else setProblem(say.notAValue(read.problem, read.expected));
  };
  return (
    <Field
      id={`number-${character.id}`}
      label={character.kind === 'count' ? say.counted : say.measureIn(character.unit.id)}
      known={written}
      problem={problem}
      inputMode={character.kind === 'count' ? 'numeric' : 'decimal'}
      keep={keep}
    />
  );
}
