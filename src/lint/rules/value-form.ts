import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const valueForm = rule({
  id: 'value-form',
  group: 'the file',
  level: 'error',
  what: 'Dates, versions, licences, region codes and the like are written in their standard form.',
  why: 'Other programs read them only in this form.',
  source: FILE_FORMAT,
  fix: 'Write it as the message says.',
  good: example(`
title: Caps
`),
  bad: example(`
date: 3 May 1901 #! value-form
`),
});
