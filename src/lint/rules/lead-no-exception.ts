import type { Key } from '../../key/key.js';
import { quoted } from '../../text/harmless.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import type { Language } from '../text/language.js';
import { leadsOf } from '../text/statements.js';
import { taxonNamedIn } from '../text/taxon-names.js';

export const leadNoException = rule({
  id: 'lead-no-exception',
  group: 'wording',
  level: 'note',
  what: 'A lead does not except a species from what it says.',
  why: 'The exception contradicts its own lead: readers would have to know the species in order to name it.',
  source: 'The Phylobotanist (blog), July 2015',
  fix: 'Key the species out on the other side, or on both and mark it `repeats: meant`. An exception of a part ("smooth except at the margin") is not reported.',
  good: example(`
couplets:
  1:
    - {lead: Cap smooth except at the margin, taxon: aa}
    - {lead: Cap scaly, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Cap smooth (except in Cortinarius minor), to: 2} #! lead-no-exception
    - {lead: Cap scaly, taxon: bb}
  2:
    - {lead: Ring present except in some species, taxon: aa} #! lead-no-exception
    - {lead: Ring absent, taxon: cc}
taxa:
  aa: {name: Cortinarius minor}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`),
  check({ key, report }) {
    for (const { lead, language } of leadsOf(key)) {
      const exception = exceptionIn(lead.text, key, language);
      if (exception === undefined) continue;
      report([...lead.path, 'lead'], {
        message: `${lead.label} excepts a species from what it says: ${quoted(exception)}`,
        found: exception,
      });
    }
  },
});

/** The words of a text that except a species, named or not. */
export function exceptionIn(text: string, key: Key, language: Language): string | undefined {
  const { words } = language;
  const except = language.first(words.exceptions, text);
  if (except === undefined) return undefined;
  const rest = text.slice(except.at);
  const after = rest.slice(except.word.length).replace(/^[\s,]+/, '');
  const own = after.replace(/^(?:in|for|on|with|bei|in|für|von)\s+/iu, '');
  const named = taxonNamedIn(own, key);
  const unnamed = language.first(words.unnamedSpecies, own);
  if (named?.at === 0 || unnamed?.at === 0) return rest.replace(/[).;].*$/s, '');
  return undefined;
}
