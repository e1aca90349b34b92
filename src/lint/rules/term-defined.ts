import type { Key, Lead } from '../../key/key.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import { type Language, languageOf } from '../text/language.js';
import { leadsOf, wordsOf } from '../text/statements.js';

export const termDefined = rule({
  id: 'term-defined',
  group: 'terms and names',
  level: 'note',
  what: 'Every technical term that a lead uses is explained in the glossary of the key or of its terms, or by the meaning of a state.',
  why: 'Readers who mistake one term for another follow the wrong branch; in one study, explaining terms within the key gave a significantly higher share of right answers.',
  source:
    'Wisconsin botany course hints on keys; C. Laning, Advice on Keying Plants (Cal Poly Pomona); Vollbrecht, Rush & Cottenie, SURG J. 7, 2014',
  fix: 'Add the term to `glossary`, or use everyday words. It is reported once, where the term is first used.',
  good: example(`
glossary:
  umbonate: with a knob in the middle
characters:
  gills: {name: how the gills meet the stem, states: {adnate: by their whole width, free: not at all}}
couplets:
  1:
    - {lead: Gills adnate, when: {gills: adnate}, taxon: aa}
    - {lead: Gills free; cap umbonate, when: {gills: free}, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Gills adnate, taxon: aa} #! term-defined
    - {lead: Gills free; cap umbonate, taxon: bb} #! term-defined
`),
  check({ key, report }) {
    const language = languageOf(key);
    if (language === undefined) return;
    const terms = new Set(language.words.terms.map((t) => language.stem(t)));
    const explained = explainedIn(key, language);
    const seen = new Set<string>();
    for (const { lead } of leadsOf(key)) {
      for (const { word, stem } of stemsWithin(lead, language)) {
        if (!terms.has(stem) || explained.has(stem) || seen.has(stem)) continue;
        seen.add(stem);
        report([...lead.path, 'lead'], {
          message: `${lead.label} uses the term "${word}", which the key does not explain`,
          found: word,
          expected: `"${word}" in the glossary`,
        });
      }
    }
  },
});

function stemsWithin(lead: Lead, language: Language): { readonly word: string; readonly stem: string }[] {
  return wordsOf(lead.text)
    .flatMap((w) => w.lower.split('-'))
    .map((word) => ({ word, stem: language.stem(word) }));
}

/** The words that the glossary or the meaning of a state explains, as stems. */
function explainedIn(key: Key, language: Language): Set<string> {
  const stems = (text: string) => wordsOf(text.replaceAll('-', ' ')).map((w) => language.stem(w.lower));
  const explained = new Set([...key.glossary.keys()].flatMap(stems));
  for (const character of key.characters.values()) {
    for (const state of character.states) {
      const words = stems(state.id);
      const meaning = stems(state.meaning);
      if (meaning.some((m) => !words.includes(m))) for (const word of words) explained.add(word);
    }
  }
  return explained;
}
