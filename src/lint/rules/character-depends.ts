import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const characterDepends = rule({
  id: 'character-depends',
  group: 'the file',
  level: 'error',
  what: 'A character does not depend on itself.',
  why: 'Whether it applies could never be known.',
  source: FILE_FORMAT,
  fix: 'Take one `applies-when` of the circle away.',
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
