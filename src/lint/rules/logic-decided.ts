import { contrastsOf } from '../contrasts.js';
import { type Example, example } from '../example.js';
import { coupletPath, couplets, keyOf } from '../places.js';
import { rule } from '../rule.js';

export const logicDecided = rule({
  id: 'logic-decided',
  group: 'logic',
  level: 'warning',
  what: 'The trait logic of every couplet is decided within the limit of work.',
  why: 'Where it is not, faults in the couplet and in those beyond it may go unseen; nothing is claimed about them.',
  source: 'derivable (exact logic over joined conditions can cost more than any limit)',
  fix: 'Write the condition with fewer alternatives, or cut the key so that fewer branches meet.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
`),
  bad: undecidable(),
  check({ logic, reportIn }) {
    if (logic === undefined) return;
    let beyond = 0;
    const first: { name: string; report: () => void }[] = [];
    for (const couplet of couplets(logic)) {
      const undecidedBefore =
        logic.arrival(couplet.index) === undefined && !logic.originOfDoubt(couplet.index);
      if (undecidedBefore) {
        beyond++;
        continue;
      }
      const undecided =
        logic.arrival(couplet.index) === undefined ||
        couplet.leads.some((l) => logic.taken(couplet, l) === undefined) ||
        contrastsOf(logic, couplet).undecided;
      if (undecided) {
        first.push({
          name: couplet.name,
          report: () =>
            reportIn(keyOf(logic, couplet), coupletPath(logic, couplet), {
              side: 'name',
              message: `the trait logic of couplet ${couplet.name} is not decided within the limit${beyond === 0 ? '' : `, nor is that of ${beyond} beyond such couplets`}`,
            }),
        });
      }
    }
    for (const { report } of first) report();
  },
});

/** A couplet whose conditions are alternatives of many characters each: the boxes multiply. */
function undecidable(): Example {
  const n = 14;
  const names = Array.from({ length: 2 * n }, (_, i) => `c${i + 1}`);
  const characters = names.map((name) => `  ${name}: {name: ${name}, states: [x, y, z]}`).join('\n');
  const alternatives = Array.from(
    { length: n },
    (_, i) => `          - any: [{${names[2 * i]}: x}, {${names[2 * i + 1]}: y}]`,
  ).join('\n');
  return example(`
characters:
${characters}
couplets:
  1: #! logic-decided
    - lead: One of each pair
      when:
        all:
${alternatives}
      taxon: aa
    - {lead: Not so, otherwise: true, taxon: bb}
`);
}
