import type { Character } from '../../traits/character.js';
import { conjunction } from '../../traits/condition.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

/** Such figures are not exact enough for a smaller difference to matter. */
const CLEARLY = 0.15;

export const reliableCharacterFirst = rule({
  id: 'reliable-character-first',
  group: 'wording',
  level: 'note',
  what: 'Of the characters that a lead combines, the one that people most often read right comes first.',
  why: 'Readers lean on the first statement.',
  source:
    'Moss Flora of China, contributors’ guide; Flora of Nepal, contributors’ guide; C. Laning, Advice on Keying Plants (Cal Poly Pomona)',
  fix: 'Change the order, in all leads of the couplet. Only characters whose `reliability` is stated are compared.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent], reliability: 0.95}
  smell: {name: smell, states: [mealy, none], reliability: 0.6}
couplets:
  1:
    - {lead: Ring present; smell mealy, when: {ring: present, smell: mealy}, taxon: aa}
    - {lead: Ring absent; smell none, when: {ring: absent, smell: none}, taxon: bb}
`),
  bad: example(`
characters:
  ring: {name: ring, states: [present, absent], reliability: 0.95}
  smell: {name: smell, states: [mealy, none], reliability: 0.6}
couplets:
  1: #! reliable-character-first
    - {lead: Smell mealy; ring present, when: {smell: mealy, ring: present}, taxon: aa}
    - {lead: Smell none; ring absent, when: {smell: none, ring: absent}, taxon: bb}
`),
  check({ key, report }) {
    for (const couplet of key.couplets.values()) {
      for (const lead of couplet.leads) {
        const tests = lead.when === undefined ? undefined : conjunction(lead.when);
        const characters = (tests ?? []).flatMap((t) => key.characters.get(t.character) ?? []);
        const [first] = characters;
        const better = characters.slice(1).reduce<Character | undefined>((best, c) => {
          const than = best?.reliability ?? (first?.reliability ?? 1) + CLEARLY - 1e-9;
          return c.reliability !== undefined && c.reliability > than ? c : best;
        }, undefined);
        if (first?.reliability === undefined || better?.reliability === undefined) continue;
        report(['couplets', couplet.id], {
          side: 'name',
          message: `couplet ${couplet.id} asks ${first.name} first, read right in ${percent(first.reliability)} of cases, and after it ${better.name}, ${percent(better.reliability)}`,
          related: [{ message: lead.label, place: key.yaml.place([...lead.path, 'when']) }],
          expected: `${better.id} first`,
        });
        break;
      }
    }
  },
});

function percent(part: number): string {
  return `${Math.round(part * 100)} %`;
}
