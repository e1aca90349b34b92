import { asText } from '../../key/fields.js';
import type { Lead } from '../../key/key.js';
import { quoted } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { writeNumbers } from '../../traits/notation.js';
import { type Asked, askedOf, statesAsked } from '../asked.js';
import { example } from '../example.js';
import { type RuleContext, rule } from '../rule.js';
import { falseJoin } from '../text/false-joins.js';
import { falseNumbers } from '../text/false-numbers.js';
import { languageOf } from '../text/language.js';
import { falseStates } from '../text/said-states.js';
import { Subjects } from '../text/subjects.js';
import { askedPath, writtenAt } from '../written.js';

export const textMatchesWhen = rule({
  id: 'text-matches-when',
  group: 'wording',
  level: 'warning',
  what: 'The numbers, units, states and joining words of a lead agree with its `when`.',
  why: 'A reader follows the words and the program follows the condition; where they differ, they give one find two names.',
  source: 'derivable (two statements of the same thing)',
  fix: 'Correct the words or the condition, whichever is wrong.',
  good: example(`
characters:
  cap-width: {name: width of the cap, kind: measure, unit: cm}
  ring: {name: ring on the stem, states: [present, absent]}
couplets:
  1:
    - {lead: Cap 50-80 mm wide; ring absent, when: {cap-width: 5-8, ring: absent}, taxon: aa}
    - {lead: "Cap over 8 cm wide, or stem with a ring", when: {any: [{cap-width: "> 8"}, {ring: present}]}, taxon: bb}
`),
  bad: example(`
characters:
  cap-width: {name: width of the cap, kind: measure, unit: cm}
  ring: {name: ring on the stem, states: [present, absent]}
couplets:
  1:
    - lead: Cap 5-8 mm wide; ring absent
      when:
        cap-width: 5-8 #! text-matches-when
        ring: absent
      taxon: aa
    - lead: Cap over 8 cm wide; stem without a ring
      when:
        cap-width: "> 8"
        ring: present #! text-matches-when
      taxon: bb
`),
  check({ key, report }) {
    const language = languageOf(key);
    if (language === undefined) return;
    const subjects = new Subjects(key, language);
    for (const couplet of key.couplets.values())
      for (const lead of couplet.leads) if (lead.when !== undefined) compare(lead, subjects, report);
  },
});

function compare(lead: Lead, subjects: Subjects, report: RuleContext['report']): void {
  const { key } = subjects;
  const asked = askedOf(lead.when);
  const written = (of: Lead) => (id: string) => asText(writtenAt(key, [...of.path, 'when', id]));
  const related = [{ message: `the words of ${lead.label}`, place: key.yaml.place([...lead.path, 'lead']) }];
  for (const found of falseNumbers(lead.text, asked, askedOf(lead.usually), subjects, written(lead))) {
    const asks = writeNumbers(found.asked, found.character.unit);
    const only = found.boundary ? '; only the boundary differs' : '';
    report(askedPath(key, lead, found.character.id), {
      message: `${lead.label} says ${quoted(found.said.text)}, but its condition asks ${asks} (${found.character.name})${only}`,
      related,
      found: found.said.text,
      expected: asks,
    });
  }
  for (const found of falseStates(lead.text, asked, subjects)) {
    const { states, stateIndex } = found.character;
    const test = asked.find((a) => a.character === found.character.id) as Asked;
    const asks = listed(
      [...statesAsked(test, stateIndex)].sort((a, b) => a - b).map((s) => states[s]?.id ?? ''),
      'or',
    );
    report(askedPath(key, lead, found.character.id), {
      message: `${lead.label} says ${quoted(found.said)}, but its condition asks ${asks} (${found.character.name})`,
      related,
      found: found.said,
      expected: asks,
    });
  }
  const join = falseJoin(lead, subjects);
  if (join !== undefined) {
    report([...lead.path, 'when'], {
      message: `${lead.label} joins its statements with ${quoted(join.said)}, but its condition asks ${join.asks}`,
      related,
      found: join.said,
      expected: join.expected,
    });
  }
}
