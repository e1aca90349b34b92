import { listed } from '../../text/words.js';
import { charactersAsked } from '../asked.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const stageInScope = rule({
  id: 'stage-in-scope',
  group: 'scope',
  level: 'note',
  what: 'Every couplet asks something that the ages the key is made for can show.',
  why: 'A couplet about young fruit bodies cannot be answered in a key for mature ones; it stays open for every find.',
  source:
    'M. Donley, Creating a dichotomous key (school handout), point 5; Flora of Nepal, contributors’ guide; lecture slides on keys to mammals',
  fix: 'Add the age to the `stages` of the scope, and say there what to bring; or give the couplet a second character that mature specimens show.',
  good: example(`
scope: {group: caps, regions: [GB], stages: [young, mature]}
characters:
  veil: {name: veil, states: [present, absent], stages: [young]}
couplets:
  1:
    - {lead: Veil present, when: {veil: present}, taxon: aa}
    - {lead: Veil absent, when: {veil: absent}, taxon: bb}
`),
  bad: example(`
scope: {group: caps, regions: [GB], stages: [mature]}
characters:
  veil: {name: veil, states: [present, absent], stages: [young]}
couplets:
  1: #! stage-in-scope
    - {lead: Veil present, when: {veil: present}, taxon: aa}
    - {lead: Veil absent, when: {veil: absent}, taxon: bb}
`),
  check({ key, report }) {
    const { stages } = key.scope;
    if (stages.length === 0) return;
    for (const couplet of key.couplets.values()) {
      const characters = charactersAsked(couplet).flatMap((id) => key.characters.get(id) ?? []);
      const shown = (of: readonly string[]) => of.length === 0 || of.some((s) => stages.includes(s));
      if (characters.length === 0 || characters.some((c) => shown(c.stages))) continue;
      report(['couplets', couplet.id], {
        side: 'name',
        message: `couplet ${couplet.id} asks ${listed(characters.map((c) => `${c.name} (${listed(c.stages, 'or')})`))}; the key is made for ${listed(stages, 'or')} finds`,
        related: [{ message: 'the scope', place: key.yaml.place(['scope', 'stages']) }],
      });
    }
  },
});
