import { type Rule, rule } from '../rule.js';
import { page, SOUND } from './page.js';

/** Rules about the text of a file, and about what its parts call each other. */
export const nameRules: readonly Rule[] = [
  page({
    id: 'character-depends',
    what: 'A character does not depend on itself.',
    why: 'Whether it applies could never be known.',
    mend: 'Take one `applies-when` of the circle away.',
    broken: {
      '  ring: {name: ring, states: [present, absent]}':
        '  ring: {name: ring, states: [present, absent], applies-when: {ring: present}} #! character-depends',
    },
  }),
  page({
    id: 'character-known',
    what: 'A condition or a description names characters of the key or of the terms it uses.',
    why: 'What an unknown character shows cannot be asked.',
    mend: 'Correct the name, or add the character.',
    broken: { 'when: {ring: present}, taxon: aa}': 'when: {rings: present}, taxon: aa} #! character-known' },
  }),
  rule({
    id: 'character-same',
    group: 'the file',
    level: 'error',
    what: 'A character that two keys of a chain share is of one kind and one kind of unit in both.',
    why: 'An answer given in the first key is carried into the second; it must mean the same there.',
    source: 'derivable (one find has one width)',
    mend: 'Define it in shared terms that both keys use, or give one of the two another id.',
    good: SOUND,
    bad: '# Two keys are needed to show it: "ring" is chosen from states in one and counted in the other.\n',
  }),
  page({
    id: 'id-unique',
    what: 'No id stands twice.',
    why: 'Of two couplets, taxa or characters of one id only the first would be found.',
    mend: 'Give one of the two another id, or take it away.',
    broken: { '  bb: {name: Bb bb}': '  bb: {name: Bb bb}\n  aa: {name: Aa aa var. b} #! id-unique' },
  }),
  page({
    id: 'number-form',
    what: 'Numbers, ranges and their units are written so that they can be read.',
    why: 'A range that is not understood would be taken for another one.',
    mend: 'Write it as in a book: 4-7, (3-)4-7(-9), > 5, 12 mm.',
    broken: { 'when: {width: < 4}, taxon: bb}': 'when: {width: 4 or so}, taxon: bb} #! number-form' },
  }),
  page({
    id: 'state-known',
    what: 'A condition or a description names states that the character has.',
    why: 'A state that is not on the list can never be seen.',
    mend: 'Correct the state, or add it to the character.',
    broken: { 'when: {ring: present}, taxon: aa}': 'when: {ring: presnt}, taxon: aa} #! state-known' },
  }),
  page({
    id: 'taxon-known',
    what: 'Taxa that are named as lying above, as alike, or as reached are taxa of the key.',
    why: 'What is named must have its description and its concern somewhere.',
    mend: 'Correct the id, or add the taxon.',
    broken: { '  aa: {name: Aa aa}': '  aa: {name: Aa aa, alike: [cb]} #! taxon-known' },
  }),
  page({
    id: 'taxon-within',
    what: 'No taxon lies within itself.',
    why: 'A species cannot hold its own genus.',
    mend: 'Correct one of the lines `within`.',
    broken: { '  aa: {name: Aa aa}': '  aa: {name: Aa aa, within: aa} #! taxon-within' },
  }),
  page({
    id: 'text-depth',
    what: 'Nothing is nested deeper than 60 levels, and aliases repeat no more than 20,000 values.',
    why: 'A key never is; a text made to stop a program may be.',
    mend: 'Write it flatter.',
    broken: { 'title: Caps': `title: ${'['.repeat(61)}${']'.repeat(61)} #! text-depth` },
  }),
  rule({
    id: 'text-size',
    group: 'the file',
    level: 'error',
    what: 'A file has 24 MB at most.',
    why: 'A key of 10,000 couplets takes about 4 MB; a larger file is no key.',
    source: 'common practice, no source (the file format of this program)',
    mend: 'Split the key into keys that lead to each other.',
    good: SOUND,
    bad: '# A file of more than 24 MB.\n',
  }),
  page({
    id: 'yaml-syntax',
    what: 'The file can be read as YAML.',
    why: 'Nothing else can be looked at before.',
    mend: 'Look at the indentation, at closing brackets, and whether a text with ":" or "#" needs quotes.',
    broken: { 'title: Caps': 'title: Caps: small ones #! yaml-syntax' },
  }),
];
