import type { Key, Lead } from '../../key/key.js';
import { askedOf } from '../asked.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import type { Language } from '../text/language.js';
import { saidNumbers } from '../text/said-numbers.js';
import { leadsOf, partsOf, statementsOf } from '../text/statements.js';

export const leadMeasured = rule({
  id: 'lead-measured',
  group: 'wording',
  level: 'note',
  what: 'A word of size comes with a number, or with something on the same specimen to compare it with.',
  why: '"Large" means nothing to a reader who has not seen the small one.',
  source:
    'Wisconsin botany course notes on keys, point 7; M. Donley, Creating a dichotomous key (school handout), point 4; NACTA Journal 29(4), 1985',
  fix: 'Give a number and unit, or a ratio: "cap 5-12 cm wide", "longer than the stem".',
  good: example(`
couplets:
  1:
    - {lead: "Cap large, 8-15 cm wide", taxon: aa}
    - {lead: Cap broader than the stem is long, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Cap large; stem 8-15 cm long, taxon: aa} #! lead-measured
    - {lead: Cap small; stem 2-4 cm long, taxon: bb} #! lead-measured
`),
  check({ key, report }) {
    for (const { lead, language } of leadsOf(key)) {
      const word = unmeasured(key, lead, language);
      if (word === undefined) continue;
      report([...lead.path, 'lead'], {
        message: `${lead.label} says "${word}" without a number or anything to compare with`,
        found: word,
        expected: 'a number and unit, or a ratio',
      });
    }
  },
});

function unmeasured(key: Key, lead: Lead, language: Language): string | undefined {
  const { words } = language;
  if (language.first(words.relative, lead.text) === undefined) return undefined;
  for (const statement of statementsOf(lead.text)) {
    const found = language.first(words.relative, statement.text);
    if (found === undefined) continue;
    // A number anywhere in the statement may give its measure: `leaves long, 8-12 cm`.
    if (/\p{N}/u.test(statement.text) || saidNumbers(statement.text, language).length > 0) continue;
    const around = partsOf(statement).find((p) => {
      const at = found.at + statement.start;
      return at >= p.start && at < p.start + p.text.length;
    });
    if (language.first(words.referents, around?.text ?? statement.text) !== undefined) continue;
    if (!defined(key, lead, found.word.toLowerCase())) return found.word;
  }
  return undefined;
}

/** Whether the glossary, or the meaning of a state that the lead asks, says what counts as large. */
function defined(key: Key, lead: Lead, word: string): boolean {
  if (key.glossary.has(word)) return true;
  return askedOf(lead.when).some(({ character }) =>
    key.characters
      .get(character)
      ?.states.some(
        (s) => s.id.split('-').includes(word) && s.meaning.toLowerCase() !== s.id.replaceAll('-', ' '),
      ),
  );
}
