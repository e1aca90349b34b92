import { listed } from '../../text/words.js';
import { characterName } from '../../traits/character.js';
import { askedBy } from '../../traits/check.js';
import { describedRegion, endsByTaxon, impossibleTraits } from '../descriptions.js';
import { fewestEmptying, placesOf, wayTo } from '../earlier.js';
import { example } from '../example.js';
import { conditionPath, keyOf } from '../places.js';
import { rule } from '../rule.js';

export const descriptionAgrees = rule({
  id: 'description-agrees',
  group: 'descriptions',
  level: 'error',
  what: 'The description of a taxon contradicts neither itself nor the leads on the way to it.',
  why: 'A reader who checks the description at the end finds that it contradicts the key.',
  source: 'Flora of Nepal, contributors’ guide 6.4',
  fix: 'Correct whichever is wrong: the trait, the lead, or where the lead ends.',
  good: example(`
characters:
  spores: {name: spore print, states: [white, pink]}
couplets:
  1:
    - {lead: Spore print white, when: {spores: white}, taxon: aa}
    - {lead: Spore print pink, when: {spores: pink}, taxon: bb}
taxa:
  aa: {name: Aa aa, traits: {spores: white}}
  bb: {name: Bb bb, traits: {spores: pink}}
`),
  bad: example(`
characters:
  spores: {name: spore print, states: [white, pink]}
  length: {name: length of the spores, kind: measure, unit: um, limits: 2-30}
couplets:
  1:
    - {lead: Spore print white, when: {spores: white}, taxon: aa} #! description-agrees
    - {lead: Spore print pink, when: {spores: pink}, taxon: bb}
taxa:
  aa: {name: Aa aa, traits: {spores: pink}}
  bb:
    name: Bb bb
    traits:
      spores: pink
      length: 70-90 #! description-agrees
`),
  check({ logic, key, reportIn }) {
    if (logic === undefined) return;
    const ends = endsByTaxon(logic);
    for (const taxon of key.taxa.values()) {
      const own = ends.get(taxon.id) ?? [];
      const described = describedRegion(logic, taxon);
      if (described === undefined) continue;
      const [first, ...others] = described.length === 0 ? impossibleTraits(logic, taxon) : [];
      if (first !== undefined) {
        const path = (id: string) => ['taxa', taxon.id, 'traits', id];
        const names = [first, ...others].map((id) => characterName(logic.key.chain.characters, id));
        reportIn(key, path(first), {
          message: `no find can show ${listed(names)} as described for ${taxon.name}`,
          related: others.map((id) => ({ message: 'together with this', place: key.yaml.place(path(id)) })),
        });
        continue;
      }
      for (const { couplet, lead } of own) {
        const taken = logic.mayTake(couplet, lead);
        if (taken === undefined || taken.length === 0) continue;
        if (logic.ask((budget) => logic.space.meet(described, taken, budget))?.length !== 0) continue;
        const way = wayTo(logic, couplet.index, couplet.leads.indexOf(lead));
        const culprits = fewestEmptying(logic, way, described) ?? way;
        const first = culprits[0] ?? { couplet, lead };
        const characters =
          first.lead.check === undefined ? [] : askedBy(first.lead.check).map((c) => logic.key.characters[c]);
        const traits = characters.filter((c) => c !== undefined && taxon.traits.has(c.id));
        reportIn(keyOf(logic, first.couplet), conditionPath(first.lead), {
          message: `${listed(culprits.map((s) => s.lead.label))} on the way to ${taxon.name} ${culprits.length === 1 ? 'contradicts' : 'contradict'} its description (${listed(traits.map((c) => c?.name ?? ''))})`,
          related: [
            ...traits.map((c) => ({
              message: `description of ${taxon.name}`,
              place: key.yaml.place(['taxa', taxon.id, 'traits', c?.id ?? '']),
            })),
            ...placesOf(logic, culprits.slice(1), 'with'),
          ],
        });
      }
    }
  },
});
