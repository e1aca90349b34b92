import { example } from '../example.js';
import { rule } from '../rule.js';
import { abbreviationsOf, hasSentences, leadsOf, statementsOf, withoutRemarks } from '../text/statements.js';

export const separatorAlike = rule({
  id: 'separator-alike',
  group: 'wording',
  level: 'note',
  what: 'The statements of all leads are separated in one way: by semicolons, or as sentences.',
  why: 'Readers and programs split a lead into its statements at these signs.',
  source:
    'Wisconsin botany course notes on keys, point 3 (semicolons); Flora of Nepal, contributors’ guide (sentences); the two disagree, so that either will do',
  fix: 'Use the sign that most leads of the key use.',
  good: example(`
couplets:
  1:
    - {lead: "Ring present, at least as a trace; cap red", taxon: aa}
    - {lead: Ring absent; cap brown (see fig. A), taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present; cap red, to: 2}
    - {lead: Ring absent. Base bulbous, taxon: aa} #! separator-alike
  2:
    - {lead: Stem hollow; gills white, taxon: bb}
    - {lead: Stem full; gills pink, taxon: cc}
`),
  check({ key, report }) {
    const abbreviations = abbreviationsOf(key);
    const joined = [...leadsOf(key)].flatMap(({ lead }) => {
      const text = withoutRemarks(lead.text);
      if (statementsOf(text, abbreviations).length < 2) return [];
      const semicolon = text.includes(';');
      const sentence = hasSentences(text, abbreviations);
      return [{ lead, semicolon, sentence }];
    });
    const semicolons = joined.filter((j) => j.semicolon && !j.sentence).length;
    const sentences = joined.filter((j) => j.sentence && !j.semicolon).length;
    const bySemicolon = semicolons >= sentences;
    for (const { lead, semicolon, sentence } of joined) {
      if (bySemicolon ? !sentence : !semicolon) continue;
      const rest = bySemicolon ? 'semicolons' : 'full stops';
      report([...lead.path, 'lead'], {
        message:
          semicolon && sentence
            ? `${lead.label} separates its statements both by semicolons and by full stops`
            : `${lead.label} separates its statements by ${bySemicolon ? 'full stops' : 'semicolons'}, the rest of the key by ${rest}`,
        expected: rest,
      });
    }
  },
});
