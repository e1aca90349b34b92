import type { CommandEntry } from '../command.js';

/** What `explain` takes and does, for its help and the check of its command line. */
export const EXPLAIN: CommandEntry = {
  name: 'explain',
  purpose: 'check',
  summary: 'Explain a file format, an answer, a rule of lint; or list all topics and rules.',
  arguments: [
    {
      name: '[TOPIC]',
      help: 'a page of the manual, or the id of a rule, as it stands in brackets after a finding; both are listed without one',
    },
  ],
  options: [
    {
      flags: '--format <FORMAT>',
      help: 'how it is written',
      choices: ['text', 'json'],
      standard: 'text',
    },
  ],
  examples: [
    { line: 'keywright explain verdict', does: 'says what the answer of a key means' },
    {
      line: 'keywright explain leads-exclusive',
      does: 'says what the rule wants, why, and how to fix a key',
    },
  ],
  load: () => import('./command.js'),
};
