import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const textDepth = rule({
  id: 'text-depth',
  group: 'the file',
  level: 'error',
  what: 'Nothing is nested deeper than 60 levels, and aliases repeat no more than 20,000 values.',
  why: 'No real key is; a text made to overload a program may be.',
  source: FILE_FORMAT,
  fix: 'Use fewer levels.',
  good: example(`
title: Caps
`),
  bad: example(`
title: ${'['.repeat(61)}${']'.repeat(61)} #! text-depth
`),
});
