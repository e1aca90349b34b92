import { useContext, useEffect, useRef, useState } from 'preact/hooks';
import { harmless } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { ownNumber } from '../../words/couplet.js';
import { hashOf } from '../app.js';
import { messages as say } from '../messages.js';
import {
  type ClockView,
  type CoupletView,
  clockView,
  coupletView,
  type LeadView,
  type StandingView,
  standingView,
  type TargetView,
} from '../model/couplet.js';
import type { OpenFind } from '../model/find.js';
import { AskText } from '../parts/ask.js';
import { ShortCautions } from '../parts/cautions.js';
import { Figures } from '../parts/figures.js';
import { Harm } from '../parts/harm.js';
import { TaxonName } from '../parts/names.js';
import { OtherWays } from '../parts/other-ways.js';
import { goTo, Page } from '../parts/page.js';
import { SeenOn } from './specimens.js';

/** The couplet that is asked: a tap an answer. */
export function CoupletScreen({ open }: { open: OpenFind }) {
  const app = useContext(Page);
  const couplet = coupletView(open.keying);
  const standing = standingView(open.keying);
  const clock = clockView(open.key, open.keying.standing);
  const heading = useRef<HTMLHeadingElement>(null);
  const here = couplet?.name ?? '';
  const first = useRef(true);
  // The next couplet is read from its beginning; on the first one the page is read from its own.
  useEffect(() => {
    if (!first.current) heading.current?.focus({ preventScroll: true });
    if (!first.current) scrollTo(0, 0);
    first.current = false;
  }, [here]);
  const finish = () => {
    app.act({ kind: 'finish' });
    goTo({ screen: 'result', find: open.id });
  };
  return (
    <main class="keying">
      <nav class="way">
        <a href={hashOf({ screen: 'home' })}>{say.finds}</a>
        <a href={hashOf({ screen: 'details', find: open.id })}>{harmless(open.called)}</a>
      </nav>
      <OtherWays open={open} />
      <Standing standing={standing} />
      <Clock clock={clock} />
      {couplet === undefined ? (
        <section class="asked">
          <h1 ref={heading} tabIndex={-1}>
            {say.nothingToAsk}
          </h1>
          <p>{say.nothingToAskText}</p>
          <button type="button" class="strong wide" onClick={finish}>
            {say.seeResult}
          </button>
        </section>
      ) : (
        <section class="asked" aria-labelledby="asked">
          <Heading couplet={couplet} heading={heading} />
          <Helps couplet={couplet} />
          <Leads key={here} couplet={couplet} />
        </section>
      )}
      <Answers open={open} />
      <ShortCautions />
      <Bar open={open} couplet={couplet} finish={finish} />
    </main>
  );
}

function Heading({
  couplet,
  heading,
}: {
  couplet: CoupletView;
  heading: { current: HTMLHeadingElement | null };
}) {
  const { key } = useContext(Page);
  const { number, from, owner } = couplet;
  return (
    <>
      {owner === key.chain.main ? null : <p class="running">{harmless(owner.title)}</p>}
      <h1 id="asked" ref={heading} tabIndex={-1} aria-label={say.couplet(number)}>
        <span class="number">{number}</span>
        {from.length === 0 ? null : <span class="from"> ({listed(from)})</span>}
      </h1>
    </>
  );
}

function Standing({ standing }: { standing: StandingView }) {
  const { status, worst, settled, decided, warnings, unsure } = standing;
  return (
    <div class="standing">
      <p class="status" role="status">
        {worst === undefined ? null : <Harm level={worst} words="" />} {status}
      </p>
      {settled === undefined ? null : <p class="settled">{settled}</p>}
      {warnings.map((text) => (
        <p key={text} class="warning">
          {harmless(text)}
        </p>
      ))}
      {unsure.length === 0 ? null : <p class="faint">{say.notTold(listed(unsure))}</p>}
      <Decided decided={decided} />
    </div>
  );
}

/** What was decided without a question. What is new since the last answer is said, and stands open. */
function Decided({ decided }: { decided: readonly string[] }) {
  const known = useRef<readonly string[]>([]);
  const fresh = decided.filter((text) => !known.current.includes(text));
  useEffect(() => {
    known.current = decided;
  });
  return (
    <>
      <div aria-live="polite">
        {fresh.map((text) => (
          <p key={text} class="decided">
            {text}
          </p>
        ))}
      </div>
      {decided.length === fresh.length ? null : (
        <details>
          <summary>{say.decidedAlready(decided.length)}</summary>
          <ul>
            {decided.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}

/** What must be looked at now, since it fades, and what can only be seen at home. */
function Clock({ clock }: { clock: ClockView }) {
  const { fresh, home } = clock;
  if (fresh.length + home.length === 0) return null;
  return (
    <details class="clock">
      <summary>
        {fresh.length > 0
          ? `${say.lookNow}: ${briefly(fresh.map((c) => harmless(c.name)))}`
          : say.waitsForHome}
      </summary>
      {fresh.length === 0 ? null : (
        <ul>
          {fresh.map((c) => (
            <li key={c.id}>
              {harmless(c.name)}
              {c.look === undefined ? '' : `: ${harmless(c.look)}`}
            </li>
          ))}
        </ul>
      )}
      {home.length === 0 ? null : (
        <>
          <p>{say.waitsForHome}</p>
          <ul>
            {home.map((c) => (
              <li key={c.id}>{say.takes(harmless(c.name), harmless(c.wait ?? ''))}</li>
            ))}
          </ul>
        </>
      )}
    </details>
  );
}

/** The first of some names, and how many more there are. */
function briefly(names: readonly string[]): string {
  const more = names.length - BRIEF;
  return more < 2 ? listed(names) : listed([...names.slice(0, BRIEF), say.andMore(more)]);
}

const BRIEF = 3;

function Helps({ couplet }: { couplet: CoupletView }) {
  const { terms, looks, besides, slow } = couplet;
  return (
    <>
      {slow.length === 0 ? null : (
        <p class="slow">
          {say.slowHere(listed(slow.map((c) => say.takes(harmless(c.name), harmless(c.wait ?? '')))))}
        </p>
      )}
      <div class="helps">
        {terms.length === 0 ? null : (
          <details>
            <summary>{say.terms}</summary>
            <dl>
              {terms.map(({ term, meaning }) => (
                <div key={term}>
                  <dt>{term}</dt>
                  <dd>{meaning}</dd>
                </div>
              ))}
            </dl>
          </details>
        )}
        {looks.length + besides.length === 0 ? null : (
          <details>
            <summary>{say.howToLook}</summary>
            <dl>
              {looks.map(({ name, shows, look, needs, figures }) => (
                <div key={name}>
                  <dt>{name}</dt>
                  <dd>
                    {shows}
                    {look === undefined ? null : <p>{look}</p>}
                    {needs === '' ? null : <p>{needs}</p>}
                    <Figures figures={figures} />
                  </dd>
                </div>
              ))}
            </dl>
            {besides.map((text) => (
              <p key={text}>{text}</p>
            ))}
          </details>
        )}
      </div>
    </>
  );
}

function Leads({ couplet }: { couplet: CoupletView }) {
  const app = useContext(Page);
  // A lead that is ruled out is taken only when it is asked for twice.
  const [doubted, setDoubted] = useState<string | undefined>();
  const take = (lead: LeadView, index: number) => {
    if (lead.ruledOut !== undefined && doubted !== lead.letter) setDoubted(lead.letter);
    else app.act({ kind: 'answer', lead: index });
  };
  return (
    <ol class="leads">
      {couplet.leads.map((lead, i) => (
        <li key={lead.letter} class={lead.ruledOut === undefined ? undefined : 'out'}>
          <button type="button" class="lead" onClick={() => take(lead, i)}>
            <span class="letter">{lead.letter}</span>
            <span class="words">
              {harmless(lead.text)}
              <span class="end">
                <span class="visually-hidden">, {say.leadsTo} </span>
                <span class="leader" aria-hidden="true" />
                <Target target={lead.target} />
                {lead.worst === undefined ? null : (
                  <Harm
                    level={lead.worst}
                    {...(lead.target.kind === 'taxa' && lead.target.taxa.length === 1
                      ? {}
                      : { words: say.worstOf(lead.worst) })}
                  />
                )}
              </span>
            </span>
          </button>
          {lead.ruledOut === undefined ? null : <p class="reason">{say.ruledOut(harmless(lead.ruledOut))}</p>}
          {doubted === lead.letter ? (
            <p class="reason" role="alert">
              {say.takeRuledOut(lead.letter)}
            </p>
          ) : null}
          <Figures figures={lead.figures} />
          {lead.target.kind === 'taxa'
            ? lead.target.taxa.map((t) => <Figures key={t.id} figures={t.figures} />)
            : null}
        </li>
      ))}
      <li>
        <button type="button" class="lead cant-tell" onClick={() => app.act({ kind: 'answer' })}>
          <span class="letter">?</span>
          <span class="words">
            {say.cantTell}
            <span class="end faint">{say.cantTellHelp}</span>
          </span>
        </button>
      </li>
    </ol>
  );
}

function Target({ target }: { target: TargetView }) {
  if (target.kind === 'couplet') return <span class="to">{say.toCouplet(target.number)}</span>;
  if (target.kind === 'key') return <span class="to">{harmless(say.toKey(target.name, target.at))}</span>;
  return (
    <span class="to">
      {target.taxa.map((taxon, i) => (
        <span key={taxon.id}>
          {i === 0 ? '' : ` ${say.or} `}
          <TaxonName taxon={taxon} />
        </span>
      ))}
    </span>
  );
}

/** The answers so far, each of which can be given again. */
function Answers({ open }: { open: OpenFind }) {
  const app = useContext(Page);
  const { answers } = open.keying;
  if (answers.length === 0) return null;
  return (
    <details class="answers">
      <summary>
        {say.yourAnswers} ({answers.length})
      </summary>
      <ol>
        {answers.map(({ couplet, lead, says, specimen, stage }) => {
          const { doubt, note } = open.keying.remarksOn(couplet);
          const number = ownNumber(couplet);
          const from = [specimen === undefined ? undefined : say.specimen(specimen), stage].filter(
            (t) => t !== undefined,
          );
          return (
            <li key={couplet}>
              <p>
                <b>
                  {number}
                  {lead}
                </b>{' '}
                {harmless(says[0] ?? say.couldNotTell)}
                {from.length === 0 ? '' : ` (${harmless(from.join(', '))})`}
              </p>
              {doubt === undefined ? null : (
                <p class="faint">
                  {say.inDoubt}: {harmless(doubt)}
                </p>
              )}
              {note === undefined ? null : (
                <p class="faint">
                  {say.note}: {harmless(note)}
                </p>
              )}
              <button
                type="button"
                class="plain small"
                onClick={() => app.act({ kind: 'reconsider', couplet })}
              >
                {say.answerAgain(number)}
              </button>
            </li>
          );
        })}
      </ol>
    </details>
  );
}

/** What can be done at a couplet besides answering it, where a thumb reaches it. */
function Bar({
  open,
  couplet,
  finish,
}: {
  open: OpenFind;
  couplet: CoupletView | undefined;
  finish: () => void;
}) {
  const app = useContext(Page);
  const [asked, setAsked] = useState<'doubt' | 'note' | 'seen' | undefined>();
  const { keying } = open;
  const number = couplet?.number;
  return (
    <div class="bar" role="toolbar" aria-label={say.besides}>
      <button type="button" disabled={keying.answers.length === 0} onClick={() => app.act({ kind: 'back' })}>
        {say.back}
      </button>
      <button
        type="button"
        disabled={number === undefined}
        aria-pressed={keying.doubt !== undefined}
        onClick={() => setAsked('doubt')}
      >
        {say.doubt}
      </button>
      <button type="button" aria-pressed={keying.note !== undefined} onClick={() => setAsked('note')}>
        {say.note}
      </button>
      <button
        type="button"
        aria-pressed={keying.readFrom.specimen !== undefined || keying.readFrom.stage !== undefined}
        onClick={() => setAsked('seen')}
      >
        {say.seenOn}
      </button>
      <button type="button" onClick={finish}>
        {say.result}
      </button>
      {asked === 'doubt' || asked === 'note' ? (
        <AskText
          title={
            asked === 'doubt'
              ? say.doubtAt(number ?? '')
              : number === undefined
                ? say.noteOnFind
                : say.noteAt(number)
          }
          text={(asked === 'doubt' ? keying.doubt : keying.note) ?? ''}
          done={(text) => {
            setAsked(undefined);
            if (text !== undefined) app.act({ kind: asked, text });
          }}
        />
      ) : null}
      {asked === 'seen' ? <SeenOn open={open} close={() => setAsked(undefined)} /> : null}
    </div>
  );
}
