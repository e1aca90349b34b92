import { example, toldOnly } from '../example.js';
import { rule } from '../rule.js';

export const characterSame = rule({
  id: 'character-same',
  group: 'the file',
  level: 'error',
  what: 'A character that two keys of a chain share has the same kind and the same kind of unit in both.',
  why: 'An answer given in the first key is carried into the second; it must mean the same there.',
  source: 'derivable (one find has one width)',
  fix: 'Define it in shared terms that both keys use, or give one of the two another id.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
`),
  bad: toldOnly(
    'Two keys are needed to show it: "ring" is chosen from states in one and counted in the other.',
  ),
});
