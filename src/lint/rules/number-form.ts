import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const numberForm = rule({
  id: 'number-form',
  group: 'the file',
  level: 'error',
  what: 'Numbers, ranges and their units are written so that they can be read.',
  why: 'A range that is misread would be taken for a different one.',
  source: FILE_FORMAT,
  fix: 'Write it as in a printed key: 4-7, (3-)4-7(-9), > 5, 12 mm.',
  good: example(`
couplets:
  1:
    - {lead: Cap under 4 cm wide, when: {width: < 4}, taxon: aa}
    - {lead: Cap 4 cm wide or more, when: {width: ">= 4"}, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Cap under 4 cm wide, when: {width: 4 or so}, taxon: aa} #! number-form
    - {lead: Cap 4 cm wide or more, when: {width: ">= 4"}, taxon: bb}
`),
});
