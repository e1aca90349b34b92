import type { Lead } from '../../key/key.js';
import { coupletGraph } from '../couplet-graph.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const shortLeadFirst = rule({
  id: 'short-lead-first',
  group: 'structure',
  level: 'note',
  optional: true,
  what: 'Of two leads, the one with fewer ends beyond it comes first.',
  why: 'The reader meets the short branch before a page of the long one. It matters in print, most of all in an indented key, so this rule is off unless it is turned on.',
  source: 'Moss Flora of China, contributors’ guide; Flora of Nepal, contributors’ guide',
  fix: 'Swap the two leads.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, to: 2}
  2:
    - {lead: Cap red, taxon: bb}
    - {lead: Cap brown, taxon: cc}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring absent, to: 2} #! short-lead-first
    - {lead: Ring present, taxon: aa}
  2:
    - {lead: Cap red, taxon: bb}
    - {lead: Cap brown, taxon: cc}
`),
  check({ key, chain, report }) {
    // In a circle there is no end to count.
    if (chain === undefined) return;
    const { couplets, index } = coupletGraph(key);
    const counted = new Map<number, number>();
    const endsBeyond = (lead: Lead): number => {
      const to = lead.end.kind === 'couplet' ? index.get(lead.end.couplet) : undefined;
      return to === undefined ? 1 : (counted.get(to) ?? 1);
    };
    for (const node of [...chain.nodes].reverse()) {
      const at = node.key === key ? index.get(node.couplet.id) : undefined;
      if (at === undefined) continue;
      // A branch where others join counts for each lead to it, as it would be printed.
      counted.set(
        at,
        node.couplet.leads.reduce((sum, lead) => sum + endsBeyond(lead), 0),
      );
    }
    for (const { id, leads } of couplets) {
      const [a, b] = leads;
      if (a === undefined || b === undefined || leads.length !== 2) continue;
      const [first, second] = [endsBeyond(a), endsBeyond(b)];
      if (first <= second || b.otherwise) continue;
      report(a.path, {
        message: `${id}a has ${first} ends beyond it and ${id}b ${second}; the shorter one comes first`,
        related: [{ message: `${id}b`, place: key.yaml.place(b.path) }],
      });
    }
  },
});
