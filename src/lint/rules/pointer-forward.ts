import { coupletGraph } from '../couplet-graph.js';
import { example } from '../example.js';
import { coupletPlace } from '../places.js';
import { rule } from '../rule.js';

export const pointerForward = rule({
  id: 'pointer-forward',
  group: 'structure',
  level: 'note',
  optional: true,
  what: 'Every lead goes to a couplet further down.',
  why: 'A number that points back looks like a mistake and often is one. Printed keys have them where branches join, so this rule is off unless it is turned on.',
  source: 'common practice, no source',
  fix: 'Renumber, so that a couplet comes below all that lead to it. `--fix` can do it.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, to: 2}
    - {lead: Ring absent, to: 3}
  2:
    - {lead: Ring white, taxon: aa}
    - {lead: Ring brown, to: 3}
  3:
    - {lead: Cap red, taxon: bb}
    - {lead: Cap brown, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, to: 3}
    - {lead: Ring absent, to: 2}
  2:
    - {lead: Cap red, taxon: bb}
    - {lead: Cap brown, taxon: cc}
  3:
    - {lead: Ring white, taxon: aa}
    - {lead: Ring brown, to: 2} #! pointer-forward
`),
  check({ key, report }) {
    const { index } = coupletGraph(key);
    for (const couplet of key.couplets.values()) {
      for (const lead of couplet.leads) {
        if (lead.end.kind !== 'couplet') continue;
        const to = index.get(lead.end.couplet);
        // A lead to its own couplet is a circle, which is reported as one.
        if (to === undefined || to >= (index.get(couplet.id) ?? 0)) continue;
        report([...lead.path, 'to'], {
          message: `${lead.label} points back to couplet ${lead.end.couplet}`,
          related: [coupletPlace(key, lead.end.couplet)],
        });
      }
    }
  },
});
