import { askedOf } from '../asked.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import { languageOf } from '../text/language.js';
import { wordsOf } from '../text/statements.js';
import { Subjects } from '../text/subjects.js';

export const organFirst = rule({
  id: 'organ-first',
  group: 'wording',
  level: 'note',
  what: 'A lead names the part first and then what it is like.',
  why: 'The reader looks for the part, then compares: "cap viscid", not "viscid cap".',
  source: 'lecture slides on keys to mammals',
  fix: 'Put the part first.',
  good: example(`
characters:
  cap: {name: feel of the cap, states: [dry, viscid]}
couplets:
  1:
    - {lead: Cap viscid, when: {cap: viscid}, taxon: aa}
    - {lead: Cap dry, when: {cap: dry}, taxon: bb}
`),
  bad: example(`
characters:
  cap: {name: feel of the cap, states: [dry, viscid]}
couplets:
  1:
    - {lead: Viscid cap, when: {cap: viscid}, taxon: aa} #! organ-first
    - {lead: Dry cap, when: {cap: dry}, taxon: bb} #! organ-first
`),
  check({ key, report }) {
    const language = languageOf(key);
    if (language === undefined) return;
    const subjects = new Subjects(key, language);
    for (const couplet of key.couplets.values()) {
      for (const lead of couplet.leads) {
        if (lead.when === undefined) continue;
        const words = wordsOf(lead.text)
          .filter((w) => !language.is(language.words.articles, w.lower))
          .slice(0, 4);
        const stems = words.map((w) => language.stem(w.lower));
        for (const { character: id } of askedOf(lead.when)) {
          const character = key.characters.get(id);
          if (character === undefined || character.kind !== 'choice') continue;
          const { states, core } = subjects.of(character);
          const said = states.flatMap((s) => s.exact).find((p) => p.every((stem, i) => stems[i] === stem));
          const part = words[said?.length ?? 0];
          // A word that is itself a part opens well: `Ring fibrous`.
          if (said === undefined || part === undefined || core.has(stems[0] ?? '')) continue;
          if (!core.has(stems[said.length] ?? '')) continue;
          const quality = words.slice(0, said.length).map((w) => w.text.toLowerCase());
          report([...lead.path, 'lead'], {
            message: `${lead.label} begins with what the part is like: "${quality.join(' ')} ${part.text}"`,
            found: `${quality.join(' ')} ${part.lower}`,
            expected: `${part.lower} ${quality.join(' ')}`,
          });
          break;
        }
      }
    }
  },
});
