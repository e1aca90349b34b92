import type { Key } from '../../key/key.js';
import { type SaidText, saidTexts } from '../../key/said-texts.js';
import { clearingIn } from '../../text/clearing.js';
import { quoted } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { example } from '../example.js';
import { sharedCharacters } from '../places.js';
import { rule } from '../rule.js';

export const clearsNothing = rule({
  id: 'clears-nothing',
  group: 'safety',
  level: 'error',
  what: 'No word in a key clears a find for eating: not in a lead, a name, an effect, a note or anything else that is shown.',
  why: 'Such a word is shown beside the result of somebody who may have taken a wrong lead, or whose find is not in the key.',
  source:
    'Graeme, 2014 (PMC4057534): some species once held edible were reclassified as poisonous; the list of words in fifteen languages is from memory',
  fix: 'Remove the word; what is known about harm goes into `concern`. Warnings ("not edible", "edibility unknown", "mistaken for edible ones") and epithets in scientific names are not reported. Words from a printed source, or a common name, can be allowed by a comment; they are then shown as a quotation.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa, note: Not edible; taken for the edible Bb edulis}
    - {lead: Ring absent, taxon: bb}
taxa:
  aa: {name: Aa aa, concern: {level: deadly, effect: liver failure, source: from memory}}
  bb: {name: Bb edulis, note: Edibility unknown}
`),
  bad: example(`
couplets:
  1:
    - lead: Cap edible #! clears-nothing
      taxon: aa
    - lead: Cap not as above
      taxon: bb
      note: Ungiftig #! clears-nothing
taxa:
  aa:
    name: "Aa aa (verdict: safe)" #! clears-nothing
    common: [delicious cap] #! clears-nothing
    concern:
      level: none-recorded
      effect: non toxique #! clears-nothing
      source: from memory
  bb: {name: Bb bb}
`),
  check({ key, report }) {
    for (const said of saidTexts(key.yaml.data)) {
      const word = clearingIn(said.text, said);
      if (word === undefined) continue;
      report(said.path, {
        ...defined({ side: said.kind !== 'text' && said.path.length > 1 ? 'name' : undefined }),
        message: `${what(said)} says ${quoted(word)}; no key can clear a find for eating`,
        found: word,
        expected: 'no word of clearance',
      });
    }
    for (const [text, place] of sharedTexts(key)) {
      const word = clearingIn(text);
      if (word === undefined) continue;
      report(['uses'], {
        message: `the shared terms say ${quoted(word)} in ${quoted(text)}; no key can clear a find for eating`,
        found: word,
        expected: 'no word of clearance',
        ...defined({ related: place && [{ message: 'here', place }] }),
      });
    }
  },
});

function what({ path, kind, text }: SaidText): string {
  if (kind === 'id') return `the id ${quoted(text)}`;
  const property = [...path].reverse().find((step) => typeof step === 'string');
  return path[0] === 'couplets' && property === 'lead' ? 'the lead' : quoted(text);
}

/** What a key shows of the terms that it shares with others. */
function* sharedTexts(key: Key): Generator<[text: string, place: ReturnType<Key['characterPlace']>]> {
  const own = new Set([...saidTexts(key.yaml.data)].filter((s) => s.kind !== 'text').map((s) => s.text));
  for (const [{ name, look, states }, place] of sharedCharacters(key)) {
    for (const text of [name, look ?? '', ...states.map((s) => s.meaning)]) yield [text, place];
  }
  for (const [term, meaning] of key.glossary)
    if (!own.has(term)) for (const text of [term, meaning]) yield [text, undefined];
}
