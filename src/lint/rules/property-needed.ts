import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const propertyNeeded = rule({
  id: 'property-needed',
  group: 'the file',
  level: 'error',
  what: 'Nothing required is missing: the id, title and version of a key, the name of a taxon.',
  why: 'Records name the key and its version; results name the taxon.',
  source: FILE_FORMAT,
  fix: 'Add the line.',
  good: example(`
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  bad: example(`
taxa:
  aa: {rank: species} #! property-needed
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
});
