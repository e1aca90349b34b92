import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const oneTarget = rule({
  id: 'one-target',
  group: 'the file',
  level: 'error',
  what: 'A lead ends in exactly one of these: a couplet, one or more taxa, or another key.',
  why: 'Otherwise the reader is stranded, or has two ways to go.',
  source: FILE_FORMAT,
  fix: 'Give the lead one of `to`, `taxon` and `key`.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, to: 2}
  2:
    - {lead: Cap under 4 cm wide, when: {width: < 4}, taxon: bb}
    - {lead: Cap 4 cm wide or more, when: {width: ">= 4"}, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, to: 2, taxon: bb} #! one-target
  2:
    - {lead: Cap under 4 cm wide, when: {width: < 4}, taxon: bb}
    - {lead: Cap 4 cm wide or more, when: {width: ">= 4"}, taxon: cc}
`),
});
