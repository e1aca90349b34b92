import { asText } from '../../key/fields.js';
import type { Key, Lead } from '../../key/key.js';
import { type Character, numbersOf } from '../../traits/character.js';
import { readNumbers } from '../../traits/notation.js';
import { meetNumbers, type NumberSet } from '../../traits/number-set.js';
import { findUnit } from '../../traits/units.js';
import { askedOf, numbersAsked } from '../asked.js';
import { example } from '../example.js';
import { rule } from '../rule.js';
import type { Language } from '../text/language.js';
import { type SaidNumber, saidNumbers } from '../text/said-numbers.js';
import { leadsOf } from '../text/statements.js';
import { writtenAt } from '../written.js';

export const unitStated = rule({
  id: 'unit-stated',
  group: 'terms and names',
  level: 'note',
  what: 'Every measurement in a lead has its unit, and a key gives each character in one unit throughout.',
  why: 'Confusing mm and cm is a tenfold error.',
  source: 'Flora of Nepal, contributors’ guide, manuscript submission',
  fix: 'Write the unit after the number, and the same unit everywhere. Conditions are converted exactly, but readers convert in their heads.',
  good: example(`
characters:
  cap: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Cap under 4 cm wide, when: {cap: "< 4 cm"}, taxon: aa}
    - {lead: Cap 4 cm wide or more, when: {cap: ">= 4"}, taxon: bb}
`),
  bad: example(`
characters:
  cap: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Cap under 4 wide, when: {cap: "< 4"}, taxon: aa} #! unit-stated
    - {lead: Cap 4 cm wide or more, when: {cap: ">= 4"}, to: 2}
  2:
    - {lead: Cap under 80 mm wide, when: {cap: "< 8 cm"}, taxon: bb} #! unit-stated
    - {lead: Cap 8 cm wide or more, when: {cap: ">= 8 cm"}, taxon: cc}
`),
  check({ key, report }) {
    /** By character: the unit in which the key first gives it, and where. */
    const first = new Map<string, { unit: string; lead: Lead }>();
    const reported = new Set<string>();
    for (const { lead, language } of leadsOf(key)) {
      for (const character of measured(key, lead)) {
        const { bare, units } = measurementOf(lead, character, language);
        if (bare !== undefined)
          report([...lead.path, 'lead'], {
            message: `${lead.label} gives a measurement without a unit: "${bare.text}" (${character.name})`,
            found: bare.text,
            expected: `${bare.text} ${character.unit.id}`,
          });
        const written = asText(writtenAt(key, [...lead.path, 'when', character.id]));
        const inCondition = /[\d)]\s*([a-zA-Zµμ%°]+)$/u.exec(written ?? '')?.[1];
        for (const unit of new Set([
          ...units,
          ...(inCondition === undefined ? [] : [findUnit(inCondition)?.id ?? '']),
        ])) {
          const known = first.get(character.id);
          if (known === undefined) first.set(character.id, { unit, lead });
          else if (known.unit !== unit && !reported.has(character.id)) {
            reported.add(character.id);
            report([...lead.path, 'lead'], {
              message: `${lead.label} gives ${character.name} in ${unit}, ${known.lead.label} in ${known.unit}`,
              related: [{ message: known.lead.label, place: key.yaml.place([...known.lead.path, 'lead']) }],
              found: unit,
              expected: known.unit,
            });
          }
        }
      }
    }
  },
});

/** The characters with a unit that a lead asks. */
function measured(key: Key, lead: Lead): Character[] {
  return [...askedOf(lead.when), ...askedOf(lead.usually)].flatMap(({ character }) => {
    const found = key.characters.get(character);
    return found?.kind === 'measure' && found.unit.dimension !== 'ratio' ? [found] : [];
  });
}

/** The number in a text that is the one asked of a character but has no unit; and the units of those that have one. */
function measurementOf(
  lead: Lead,
  character: Character,
  language: Language,
): { bare?: SaidNumber; units: string[] } {
  const asked = [...askedOf(lead.when), ...askedOf(lead.usually)].filter((a) => a.character === character.id);
  const sets = asked.flatMap((a) => numbersAsked(a) ?? []);
  const units: string[] = [];
  let bare: SaidNumber | undefined;
  for (const said of saidNumbers(lead.text, language)) {
    if (said.times) continue;
    const unit = said.unit ?? character.unit;
    if (unit.dimension !== character.unit.dimension) continue;
    const read = readNumbers(`${said.notation} ${unit.id}`, { whole: false, unit: character.unit });
    // Only a number that is the one asked is surely a measurement of this character.
    if (!read.ok || !sets.some((s) => alike(s, read.value.possible, character))) continue;
    if (said.unit === undefined) bare = said;
    else units.push(said.unit.id);
  }
  return bare === undefined ? { units } : { bare, units };
}

function alike(a: NumberSet, b: NumberSet, character: Character): boolean {
  const all = numbersOf(character);
  return JSON.stringify(meetNumbers(a, all)) === JSON.stringify(meetNumbers(b, all));
}
