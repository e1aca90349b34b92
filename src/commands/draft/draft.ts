/** Drafts a key from a table of described taxa. */

import { type Finding, hasErrors } from '../../diagnostic/finding.js';
import { type Account, accountOf } from './account.js';
import { gatherFacts } from './facts.js';
import { type GrowOptions, grow } from './grow.js';
import type { ReadTable } from './table.js';
import type { WhyTogether } from './together.js';
import { type KeyHead, ordered, writeKey } from './write.js';

export { type Preference, preferences, STANDARD } from './choose.js';

/** How a draft is made, and what its head says. */
export interface DraftOptions extends Omit<GrowOptions, 'mostCouplets'> {
  /** Without it, ten couplets a taxon. */
  readonly mostCouplets?: number;
  readonly head: KeyHead;
  /** The version of the program, for the first line. */
  readonly by: string;
}

/** The draft of a table, or why there is none. */
export interface DraftResult {
  /** undefined where the table has errors, or where nothing in it separates its taxa. */
  readonly drafted: { readonly text: string; readonly account: Account } | undefined;
  readonly findings: readonly Finding[];
  readonly remarks: readonly string[];
  readonly taxa: number;
  /** Why there is not one couplet, where a table of several taxa has no errors. */
  readonly undivided?: WhyTogether;
}

/** Drafts a key. It is never called the best possible: choosing couplets one by one finds a good key, not the best. */
export function draftKey({ table, findings, report }: ReadTable, options: DraftOptions): DraftResult {
  if (table === undefined || hasErrors(findings))
    return { drafted: undefined, findings, remarks: table?.remarks ?? [], taxa: 0 };
  const before = report.findings.length;
  const facts = gatherFacts([...table.key.characters.values()], table.key.taxa, report);
  const all = [...findings, ...report.findings.slice(before)];
  const remarks = [...table.remarks, ...facts.remarks];
  const taxa = facts.taxa.length;
  if (hasErrors(all) || taxa < 2) return { drafted: undefined, findings: all, remarks, taxa };
  const mostCouplets = options.mostCouplets ?? 10 * taxa;
  const grown = ordered(grow(facts, { ...options, mostCouplets }));
  if (grown.kind === 'end') return { drafted: undefined, findings: all, remarks, taxa, undivided: grown.why };
  const { text, numbers } = writeKey(table, facts, grown, options.head, options.by);
  return { drafted: { text, account: accountOf(facts, grown, numbers) }, findings: all, remarks, taxa };
}
