import type { Character } from '../../traits/character.js';
import { earlierLeads, placesOf, withWords } from '../earlier.js';
import { example } from '../example.js';
import { unaskable } from '../inapplicable.js';
import { couplets, keyOf, testPath } from '../places.js';
import { rule } from '../rule.js';

export const characterApplies = rule({
  id: 'character-applies',
  group: 'logic',
  level: 'error',
  what: 'A character is not asked where it cannot exist.',
  why: 'Nobody can answer a question about the ring of a find that has none, and no find can take the lead.',
  source: 'derivable (inapplicable is not absent)',
  fix: 'Ask the character only after a lead under which it applies, or correct its `applies-when`.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  texture: {name: texture of the ring, states: [membranous, fibrous], applies-when: {ring: present}}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: cc}
  2:
    - {lead: Ring membranous, when: {texture: membranous}, taxon: aa}
    - {lead: Ring fibrous, when: {texture: fibrous}, taxon: bb}
`),
  bad: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  texture: {name: texture of the ring, states: [membranous, fibrous], applies-when: {ring: present}}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: cc}
    - {lead: Ring absent, when: {ring: absent}, to: 2}
  2:
    - {lead: Ring membranous, when: {texture: membranous}, taxon: aa} #! character-applies
    - {lead: Ring fibrous, when: {texture: fibrous}, taxon: bb} #! character-applies
`),
  check({ logic, reportIn }) {
    if (logic === undefined) return;
    for (const couplet of couplets(logic)) {
      for (const lead of couplet.leads) {
        for (const index of unaskable(logic, couplet, lead)) {
          const character = logic.key.characters[index] as Character;
          const exists = logic.ask((budget) => logic.space.existence(index, budget)) ?? [];
          const earlier = earlierLeads(logic, couplet, exists);
          const since = earlier.length === 0 ? '' : ` after ${withWords(earlier)}`;
          reportIn(keyOf(logic, couplet), testPath(logic, couplet, lead, index), {
            message: `${lead.label} asks the ${character.name}, which no find has${since}`,
            related: placesOf(logic, earlier, 'ruled out by'),
          });
        }
      }
    }
  },
});
