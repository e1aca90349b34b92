import { example } from '../example.js';
import { coupletPlace } from '../places.js';
import { rule } from '../rule.js';
import { languageOf } from '../text/language.js';
import { openingOf } from '../text/statements.js';

export const coupletOpensOtherwise = rule({
  id: 'couplet-opens-otherwise',
  group: 'wording',
  level: 'note',
  optional: true,
  what: 'A couplet does not begin with the word that the couplet above it begins with.',
  why: 'Different first words help the eye to keep the couplets apart on a printed page. On a screen each is shown alone, so this rule is off unless it is turned on.',
  source: 'Wisconsin botany course notes on keys, point 6; lecture slides on keys to mammals',
  fix: 'Begin one of the two with another of the characters that it asks.',
  good: example(`
couplets:
  1:
    - {lead: Cap red, taxon: aa}
    - {lead: Cap brown, to: 2}
  2:
    - {lead: Stem hollow, taxon: bb}
    - {lead: Stem full, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Cap red, taxon: aa}
    - {lead: Cap brown, to: 2}
  2: #! couplet-opens-otherwise
    - {lead: Cap dry, taxon: bb}
    - {lead: Cap viscid, taxon: cc}
`),
  check({ key, report }) {
    const language = languageOf(key);
    if (language === undefined) return;
    let above: { id: string; stem: string } | undefined;
    for (const { id, leads } of key.couplets.values()) {
      const opening = openingOf(leads[0]?.text ?? '', language);
      const stem = opening === undefined ? '' : language.stem(opening.lower);
      if (opening !== undefined && above?.stem === stem)
        report(['couplets', id], {
          side: 'name',
          message: `couplet ${id} begins with "${opening.text}", as couplet ${above.id} above it does`,
          related: [coupletPlace(key, above.id)],
        });
      above = { id, stem };
    }
  },
});
