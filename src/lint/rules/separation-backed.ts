import { characterName } from '../../traits/character.js';
import { askedOf } from '../asked.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const separationBacked = rule({
  id: 'separation-backed',
  group: 'safety',
  level: 'note',
  optional: true,
  what: 'A couplet at which a name is given asks more than one character, or also says what is usual.',
  why: 'An error can be noticed when a second character contradicts it. Most good keys have couplets of one character, so this rule is off unless it is turned on; `harm-well-separated` is stricter where harm is at stake.',
  source: 'encyclopedia article “Identification key” (redundant characters); derivable',
  fix: 'Add a second, independent character to `when`, or to `usually`.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  smell: {name: smell, states: [mealy, none]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, usually: {smell: mealy}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, usually: {smell: none}, taxon: bb}
`),
  bad: example(`
couplets:
  1: #! separation-backed
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
  check({ key, report }) {
    for (const couplet of key.couplets.values()) {
      if (!couplet.leads.some((l) => l.end.kind === 'taxa')) continue;
      const asked = new Set(
        couplet.leads.flatMap((l) => [...askedOf(l.when), ...askedOf(l.usually)].map((a) => a.character)),
      );
      const [only] = asked;
      if (asked.size !== 1 || only === undefined) continue;
      report(['couplets', couplet.id], {
        side: 'name',
        message: `couplet ${couplet.id} gives a name by a single character: ${characterName(key.characters, only)}`,
      });
    }
  },
});
