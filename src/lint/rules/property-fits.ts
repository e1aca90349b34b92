import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const propertyFits = rule({
  id: 'property-fits',
  group: 'the file',
  level: 'error',
  what: 'A line goes with the lines beside it: states with what is chosen, a unit with what is measured.',
  why: 'One of the two was not meant, and nothing shows which.',
  source: FILE_FORMAT,
  fix: 'Remove the line, or change the one that it does not go with.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
`),
  bad: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
  teeth: {name: teeth, kind: count, unit: cm} #! property-fits
`),
});
