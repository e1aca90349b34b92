import type { Rule } from '../rule.js';
import { page } from './page.js';

/** Rules about the shape of a key file: which lines may stand where, and what may stand in them. */
export const shapeRules: readonly Rule[] = [
  page({
    id: 'id-form',
    what: 'Ids are written as ids: lower-case letters, digits and hyphens; couplets as printed: letters, digits and dots.',
    why: 'Ids stand in tables and commands, where capitals, spaces and signs are mistyped.',
    mend: 'Write the id in small letters, words joined by hyphens; the name beside it may be anything.',
    broken: { '  bb: {name: Bb bb}': '  bb: {name: Bb bb}\n  Dd dd: {name: Dd dd} #! id-form' },
  }),
  page({
    id: 'one-condition',
    what: 'A lead has a condition or is the one for everything else, not both.',
    why: 'With both it cannot be said which finds take the lead.',
    mend: 'Keep `when`, or keep `otherwise`.',
    broken: {
      '    - {lead: Ring absent, when: {ring: absent}, to: 2}':
        '    - {lead: Ring absent, when: {ring: absent}, otherwise: true, to: 2} #! one-condition',
    },
  }),
  page({
    id: 'one-target',
    what: 'A lead ends in exactly one of a couplet, one or more taxa, and another key.',
    why: 'Otherwise the reader is stranded, or has two ways to go.',
    mend: 'Give the lead one of `to`, `taxon` and `key`.',
    broken: {
      '    - {lead: Ring absent, when: {ring: absent}, to: 2}':
        '    - {lead: Ring absent, when: {ring: absent}, to: 2, taxon: bb} #! one-target',
    },
  }),
  page({
    id: 'property-fits',
    what: 'A line goes with the lines beside it: states with what is chosen, a unit with what is measured.',
    why: 'One of the two was not meant, and it cannot be told which.',
    mend: 'Take the line away, or change the one that it does not go with.',
    broken: {
      '  width: {name: width of the cap, kind: measure, unit: cm}':
        '  width: {name: width of the cap, kind: measure, unit: cm}\n  teeth: {name: teeth, kind: count, unit: cm} #! property-fits',
    },
  }),
  page({
    id: 'property-known',
    what: 'Every line has a name that may stand where it stands.',
    why: 'A mistyped or misplaced line would be passed over, and what it says with it.',
    mend: 'Correct the name, or move the line to where it belongs.',
    broken: { '  aa: {name: Aa aa}': '  aa: {name: Aa aa, rnak: species} #! property-known' },
  }),
  page({
    id: 'property-needed',
    what: 'What cannot be done without is there: the id, title and version of a key, the name of a taxon.',
    why: 'Records name the key and its version; results name the taxon.',
    mend: 'Add the line.',
    broken: { '  aa: {name: Aa aa}': '  aa: {rank: species} #! property-needed' },
  }),
  page({
    id: 'value-allowed',
    what: 'Where only certain words may stand, one of them does.',
    why: 'The word decides what the program does; another is not understood.',
    mend: 'Write one of the words that the message names.',
    broken: { '  aa: {name: Aa aa}': '  aa: {name: Aa aa, rank: specie} #! value-allowed' },
  }),
  page({
    id: 'value-form',
    what: 'Dates, versions, licences, region codes and the like are written in their form.',
    why: 'Other programs read them, and only in this form.',
    mend: 'Write it as the message says.',
    broken: { 'version: 1.0.0': 'version: 1.0.0\ndate: 3 May 1901 #! value-form' },
  }),
  page({
    id: 'value-kind',
    what: 'Text, a number, a list or a group of lines stands where it is wanted.',
    why: 'Another kind of thing cannot be taken for it.',
    mend: 'Write what the message expects; look at the indentation of the lines around.',
    broken: { '  aa: {name: Aa aa}': '  aa: {name: [Aa, aa]} #! value-kind' },
  }),
  page({
    id: 'value-needed',
    what: 'A name before ":" has something after it.',
    why: 'An empty line says nothing; perhaps what belongs to it is indented wrongly.',
    mend: 'Write the value, or leave the line out.',
    broken: { '  aa: {name: Aa aa}': '  aa: {name: Aa aa, rank: } #! value-needed' },
  }),
  page({
    id: 'value-range',
    what: 'A number lies within its limits.',
    why: 'There is no thirteenth month, and no reliability above 1.',
    mend: 'Correct the number.',
    broken: { '  aa: {name: Aa aa}': '  aa: {name: Aa aa, months: [9, 13]} #! value-range' },
  }),
  page({
    id: 'value-unique',
    what: 'Nothing stands twice in a list.',
    why: 'The second was meant to be something else, or nothing.',
    mend: 'Correct the second, or take it away.',
    broken: { '  aa: {name: Aa aa}': '  aa: {name: Aa aa, months: [9, 9]} #! value-unique' },
  }),
];
