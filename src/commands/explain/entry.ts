import type { CommandEntry } from '../command.js';

/** What `explain` takes and does, for its help and the check of its command line. */
export const EXPLAIN: CommandEntry = {
  name: 'explain',
  purpose: 'check',
  summary: 'Explain a rule of lint, or list all rules.',
  arguments: [{ name: '[RULE]', help: 'the id of a rule, as it stands in brackets after a finding' }],
  options: [
    {
      flags: '--format <FORMAT>',
      help: 'how it is written',
      choices: ['text', 'json'],
      standard: 'text',
    },
  ],
  examples: [
    {
      line: 'keywright explain leads-exclusive',
      does: 'says what the rule wants, why, and how to fix a key',
    },
  ],
  load: () => import('./command.js'),
};
