import { example } from '../example.js';
import { meansOtherwise } from '../otherwise.js';
import { rule } from '../rule.js';
import type { Language } from '../text/language.js';
import { saidNumbers } from '../text/said-numbers.js';
import { isRefusal, leadsOf, openingOf, partsOf, statementsOf, wordsOf } from '../text/statements.js';

export const leadPositive = rule({
  id: 'lead-positive',
  group: 'wording',
  level: 'note',
  what: 'A lead says what is there, and does not only deny what the other lead says.',
  why: 'To follow "not an umbel" the reader must know every other thing it could be; to follow "not as above" every statement must be checked again.',
  source:
    'Wisconsin botany course notes on keys, point 4; The Phylobotanist (blog), July 2015. R. Jensen defends “not with this combination” for groups that no single character defines (Taxacom list, June 1995)',
  fix: 'Say what is seen: "flowers in a raceme", "ring absent". Where the lead is meant to take all the rest, mark it `otherwise: true`; it is then not reported.',
  good: example(`
couplets:
  1:
    - {lead: Ring present; cap not more than 5 cm wide, taxon: aa}
    - {lead: Ring absent, to: 2}
  2:
    - {lead: "Gills attached, not decurrent", taxon: bb}
    - {lead: Gills free, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Cap viscid, taxon: aa}
    - {lead: Cap not viscid, to: 2} #! lead-positive
  2:
    - {lead: With a ring, taxon: bb}
    - {lead: Without a ring, taxon: cc} #! lead-positive
`),
  check({ key, report }) {
    for (const { couplet, lead, language } of leadsOf(key)) {
      if (lead.otherwise || meansOtherwise(lead, couplet)) continue;
      const denial = denialIn(lead.text, language);
      if (denial === undefined) continue;
      report([...lead.path, 'lead'], {
        message: `${lead.label} says only what is not there: "${denial}"`,
        found: denial,
        expected: 'what is there',
      });
    }
  },
});

/** The first words of a lead that only denies, or a statement in it that does nothing else. */
function denialIn(text: string, language: Language): string | undefined {
  const { words } = language;
  if (isRefusal(text, language)) return text.trim();
  const opening = openingOf(text, language);
  if (opening !== undefined && language.is(words.negativeOpenings, opening.lower)) {
    // `not more than 5 spines` is a number.
    if (saidNumbers(text, language)[0]?.start === 0) return undefined;
    return text.slice(opening.start).split(/\s+/).slice(0, 3).join(' ');
  }
  if (!text.toLowerCase().includes(words.negations[0] ?? '')) return undefined;
  const statement = statementsOf(text).find((s) => onlyDenies(s.text, language));
  return statement?.text;
}

/** `Cap not viscid`: one or two words for the part, the denial, and nothing else. */
function onlyDenies(statement: string, language: Language): boolean {
  const { words } = language;
  const tokens = wordsOf(statement).filter(
    (w) => !language.is(words.articles, w.lower) && !language.is(words.copulas, w.lower),
  );
  const at = tokens.findIndex((w) => w.lower === words.negations[0]);
  if (at < 1 || at > 2 || tokens.length > at + 3) return false;
  const denied = tokens[at] as (typeof tokens)[number];
  if (saidNumbers(statement, language).some((n) => n.start <= denied.start && n.end > denied.start))
    return false;
  if (tokens.length === at + 1 || language.is(words.fillers, tokens[at + 1]?.lower ?? '')) return false;
  return (
    partsOf({ text: statement, start: 0 }).length === 1 &&
    !tokens.some((w) => language.is(words.or, w.lower) || language.is(words.and, w.lower))
  );
}
