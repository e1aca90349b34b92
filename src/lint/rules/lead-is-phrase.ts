import { count } from '../../text/words.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import { leadsOf, wordsOf } from '../text/statements.js';

/** More words than in the longest leads of the floras that guides hold up as models. */
const MOST_WORDS = 60;

export const leadIsPhrase = rule({
  id: 'lead-is-phrase',
  group: 'wording',
  level: 'note',
  what: 'A lead is a phrase, neither a question nor a description.',
  why: 'A question has to be answered before the leads can be compared, and in a long text the contrast is lost.',
  source:
    'Wisconsin botany course notes on keys, point 3; the limit of 60 words is common practice, no source',
  fix: 'Write statements: "ring present". Move what is not a contrast to `usually` or to the `note` of the lead.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Is a ring present?, taxon: aa} #! lead-is-phrase
    - {lead: Ring absent, taxon: bb}
`),
  check({ key, report }) {
    for (const { lead } of leadsOf(key)) {
      const words = wordsOf(lead.text).length;
      if (/\?["”»]?\s*$/u.test(lead.text))
        report([...lead.path, 'lead'], {
          message: `${lead.label} is a question`,
          found: lead.text,
          expected: 'a statement',
        });
      else if (words > MOST_WORDS)
        report([...lead.path, 'lead'], {
          message: `${lead.label} has ${count(words, 'word')}; what separates the leads is hard to find in it`,
          found: count(words, 'word'),
          expected: `at most ${MOST_WORDS} words`,
        });
    }
  },
});
