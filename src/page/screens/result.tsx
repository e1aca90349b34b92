import { useMemo } from 'preact/hooks';
import { harmless } from '../../text/harmless.js';
import type { Section } from '../../words/analysis.js';
import { hashOf } from '../app.js';
import { messages as say } from '../messages.js';
import type { OpenFind } from '../model/find.js';
import { resultView } from '../model/result.js';
import { Cautions, ShortCautions } from '../parts/cautions.js';
import { Figures } from '../parts/figures.js';
import { Harm } from '../parts/harm.js';
import { TaxonName } from '../parts/names.js';
import { Share } from '../parts/share.js';

/** What a find comes to: the verdict and why, what is possible (the worst first), and what it rests on. */
export function ResultScreen({ open }: { open: OpenFind }) {
  const { revision } = open.kept;
  // Worked out once for what is known: it asks more than a couplet does.
  const result = useMemo(() => resultView(open), [open, revision]);
  return (
    <main class="result">
      <nav class="way">
        <a href={hashOf({ screen: 'home' })}>{say.finds}</a>
        <a href={hashOf({ screen: 'find', find: open.id })}>{say.goOnAnswering}</a>
      </nav>
      <section class={`verdict ${result.word.replace(' ', '-')}`}>
        <h1 tabIndex={-1}>
          <span class="running">{say.verdict}</span> {result.verdict}
        </h1>
        <p class="because">{result.reason}</p>
        {result.settled ? <p>{say.settled}</p> : null}
        <p class="faint">{harmless(result.heading)}</p>
        {result.qualifier === undefined ? null : <p class="faint">{harmless(result.qualifier)}</p>}
      </section>
      <ShortCautions />
      {result.candidates.length === 0 ? null : (
        <section>
          <h2>{say.possible(result.candidates.length)}</h2>
          <ul
            class={
              result.candidates.some(({ taxon }) => taxon.figures.length > 0)
                ? 'candidates beside'
                : 'candidates'
            }
          >
            {result.candidates.map(({ taxon, harm }) => (
              <li key={taxon.id}>
                <h3>
                  <TaxonName taxon={taxon} />
                </h3>
                <Harm level={taxon.concern.level} words={harm} />
                <Figures figures={taxon.figures} />
              </li>
            ))}
          </ul>
        </section>
      )}
      <Sections sections={result.lists} />
      <Share open={open} />
      <details class="full">
        <summary>{say.moreOfIt}</summary>
        <Sections sections={result.full} />
      </details>
      <Cautions />
    </main>
  );
}

function Sections({ sections }: { sections: readonly Section[] }) {
  return (
    <>
      {sections.map(({ heading, items }) => (
        <section key={heading}>
          <h2>{heading}</h2>
          <ul>
            {items.map((text) => (
              <li key={text}>{harmless(text)}</li>
            ))}
          </ul>
        </section>
      ))}
    </>
  );
}
