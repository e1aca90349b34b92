import type { Taxon } from '../../key/key.js';
import { severity } from '../../key/severity.js';
import type { Section } from '../../words/analysis.js';
import { concernText } from '../../words/cautions.js';
import { fullSections, qualifierText, summaryOf } from '../../words/determination.js';
import { summaryHeading, summaryLists } from '../../words/summary.js';
import type { OpenFind } from './find.js';

/** A taxon that is possible, as a result shows it. */
export interface CandidateView {
  readonly taxon: Taxon;
  /** All that is recorded of the harm it does, in a line. */
  readonly harm: string;
}

/** What a find comes to. */
export interface ResultView {
  /** `Leave it` or `Not cleared`, and why. */
  readonly verdict: string;
  readonly reason: string;
  readonly word: 'leave it' | 'not cleared';
  readonly settled: boolean;
  /** The find, its key, and its name where it has one. */
  readonly heading: string;
  /** What the qualifier of the name means. */
  readonly qualifier: string | undefined;
  /** The worst first. */
  readonly candidates: readonly CandidateView[];
  /** What else is possible, what one wrong look hides, what to look at now, what to bear in mind. */
  readonly lists: readonly Section[];
  /** What it rests on. */
  readonly full: readonly Section[];
}

/** The result of a find, as a terminal shows it. */
export function resultView(open: OpenFind): ResultView {
  const { analysis, words } = open.analysis();
  const { found } = analysis;
  const summary = summaryOf(analysis, words);
  const [, verdict = '', reason = ''] = /^([^.]*)\.\s*(.*)$/s.exec(summary.says) ?? [];
  const lists = summaryLists(summary).map(({ title, items }) => ({ heading: title, items }));
  const worstFirst = [...found.candidates].sort((a, b) => severity(a.taxon) - severity(b.taxon));
  return {
    verdict,
    reason,
    word: summary.verdict.word,
    settled: summary.verdict.settled,
    heading: summaryHeading(summary),
    qualifier: qualifierText(found.qualifier),
    candidates: worstFirst.map(({ taxon }) => ({ taxon, harm: concernText(taxon.concern) })),
    // The candidates stand first among them, and are shown with their pictures.
    lists: worstFirst.length === 0 ? lists : lists.slice(1),
    full: fullSections(analysis, words),
  };
}
