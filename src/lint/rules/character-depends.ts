import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const characterDepends = rule({
  id: 'character-depends',
  group: 'the file',
  level: 'error',
  what: 'A character does not depend on itself.',
  why: 'It could never be known whether it applies.',
  source: FILE_FORMAT,
  fix: 'Remove one `applies-when` of the circle.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
`),
  bad: example(`
characters:
  ring: {name: ring, states: [present, absent], applies-when: {ring: present}} #! character-depends
  width: {name: width of the cap, kind: measure, unit: cm}
`),
});
