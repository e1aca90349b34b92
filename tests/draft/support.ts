import { withAllowances } from '../../src/commands/draft/allowances.js';
import { type DraftOptions, type DraftResult, draftKey } from '../../src/commands/draft/draft.js';
import { readTaxaTable } from '../../src/commands/draft/table.js';
import { emptyShelf } from '../../src/key/load.js';
import { findingLines } from '../../src/words/findings.js';

/** Drafts a key from plain data (JSON is YAML) or the text of a table, as the command does. */
export function draft(
  data: object | string,
  options: Partial<DraftOptions> = {},
  form: 'yaml' | ',' = 'yaml',
): DraftResult {
  const text = typeof data === 'string' ? data : JSON.stringify(data);
  return draftKey(readTaxaTable({ file: 'taxa.yaml', text }, form, emptyShelf), {
    prefer: ['effort', 'reliability'],
    lookAhead: 1,
    mostLeads: 2,
    by: '0',
    head: { id: 'drafted', title: 'Drafted', date: '2026-11-25', regions: [] },
    ...options,
  });
}

/** The text and account of a draft; throws with the findings where there is none. */
export function drafted(
  data: object | string,
  options: Partial<DraftOptions> = {},
  form: 'yaml' | ',' = 'yaml',
) {
  const { drafted: made, findings } = draft(data, options, form);
  if (made === undefined) throw new Error(`nothing drafted\n${findingLines(findings).join('\n')}`);
  return { account: made.account, text: withAllowances(made.text, made.account.astray) };
}
