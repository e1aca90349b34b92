import { toldOnly } from '../example.js';
import { rule } from '../rule.js';

export const baselineUsed = rule({
  id: 'baseline-used',
  group: 'comments',
  level: 'warning',
  what: 'An entry in the list of accepted findings belongs to a finding that is still there.',
  why: 'A list that only grows would one day accept a new fault in place of an old one.',
  source: 'common practice, no source',
  fix: 'Run the command again with `--update-baseline`, or remove the entry.',
  good: toldOnly('A list in which every entry belongs to a finding.'),
  bad: toldOnly('A list with an entry whose finding has been fixed.'),
});
