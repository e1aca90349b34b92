import type { Character } from '../../traits/character.js';
import { charactersAsked } from '../asked.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import { type Language, languageOf } from '../text/language.js';

export const placeNotAlone = rule({
  id: 'place-not-alone',
  group: 'scope',
  level: 'note',
  what: 'No couplet is decided by the region of a find alone.',
  why: 'Organisms move, and a key should find the unexpected.',
  source: 'Moss Flora of China, contributors’ guide, section 7.3',
  fix: 'Add a character of the organism itself, and put the region last.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent]}
  region: {name: region, states: [north, south]}
couplets:
  1:
    - {lead: Ring present; in the north, when: {ring: present, region: north}, taxon: aa}
    - {lead: Ring absent; in the south, when: {ring: absent, region: south}, taxon: bb}
`),
  bad: example(`
characters:
  region: {name: region, states: [north, south]}
couplets:
  1: #! place-not-alone
    - {lead: In the north, when: {region: north}, taxon: aa}
    - {lead: In the south, when: {region: south}, taxon: bb}
`),
  check({ key, report }) {
    const language = languageOf(key);
    if (language === undefined) return;
    for (const couplet of key.couplets.values()) {
      const characters = charactersAsked(couplet).flatMap((id) => key.characters.get(id) ?? []);
      if (characters.length === 0 || !characters.every((c) => isPlace(c, language))) continue;
      report(['couplets', couplet.id], {
        side: 'name',
        message: `couplet ${couplet.id} is decided only by where the find was made: ${characters.map((c) => c.name).join(', ')}`,
      });
    }
  },
});

/** Whether a character says in which part of the world a find was made: by the first words of its name. */
function isPlace(character: Character, language: Language): boolean {
  const named = (text: string) => language.first(language.words.places, text)?.at === 0;
  return named(character.name.toLowerCase()) || named(character.id.replaceAll('-', ' '));
}
