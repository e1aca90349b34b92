import type { Related } from '../../diagnostic/finding.js';
import type { Chain, Node } from '../../key/chain.js';
import type { Key, Lead } from '../../key/key.js';
import { listed } from '../../text/words.js';
import { toldOnly } from '../example.js';
import { rule } from '../rule.js';
import { writtenAt } from '../written.js';

export const chainScope = rule({
  id: 'chain-scope',
  group: 'scope',
  level: 'warning',
  what: 'A key in which another key continues is made for everything handed over to it: the taxon, the regions, the months and the ages.',
  why: 'A find that the second key was not made for gets a name from it all the same.',
  source:
    'Messiah University, key to fungi on wood (an initial key divides a large group); common practice, no source',
  fix: 'Say at the lead what it `reaches`, widen the scope of the second key, or narrow that of the first.',
  good: toldOnly(
    'Two keys are needed to show it: one for GB-CMA hands over to one that is made for all of GB.',
  ),
  bad: toldOnly('Two keys are needed to show it: one for GB hands over to one that is made for GB-CMA only.'),
  check({ key, chain, report }) {
    if (chain === undefined) return;
    const said = new Set<string>();
    for (const node of chain.nodes) {
      if (node.key !== key) continue;
      node.couplet.leads.forEach((lead, i) => {
        const next = chain.nodes[node.next[i] ?? -1]?.key;
        if (lead.end.kind !== 'key' || next === undefined) return;
        for (const problem of problemsOf(chain, node, lead, next)) {
          // What is true of the two keys as a whole is reported once.
          const mark = problem.ofKeys
            ? `${next.file}\0${problem.message}`
            : `${lead.label}\0${problem.message}`;
          if (said.has(mark)) continue;
          said.add(mark);
          report([...lead.path, 'key'], { message: problem.message, related: problem.related });
        }
      });
    }
  },
});

interface ScopeProblem {
  readonly message: string;
  readonly related: readonly Related[];
  readonly ofKeys: boolean;
}

function problemsOf(chain: Chain, node: Node, lead: Lead, next: Key): ScopeProblem[] {
  const at = (field: string): Related[] => [
    {
      message: `scope of ${next.id}`,
      place: next.yaml.place(writtenAt(next, ['scope', field]) === undefined ? ['title'] : ['scope', field]),
    },
  ];
  const problems: ScopeProblem[] = [];
  const add = (message: string, field: string, ofKeys: boolean) =>
    problems.push({ message, related: at(field), ofKeys });
  const { within } = next.scope;
  if (lead.reaches === undefined && within === undefined)
    add(
      `${lead.label} continues in ${next.id} without saying what it reaches, and the scope of ${next.id} names no taxon either`,
      'within',
      false,
    );
  if (lead.reaches !== undefined && within !== undefined && !isWithin(chain, lead.reaches, within)) {
    const name = (id: string) => chain.taxa.get(id)?.name ?? id;
    const part = isWithin(chain, within, lead.reaches) ? 'only a part of that' : 'something else';
    add(
      `${lead.label} hands over ${name(lead.reaches)}, but ${next.id} is made for ${name(within)}, ${part}`,
      'within',
      false,
    );
  }
  const { regions, months, stages } = node.key.scope;
  const outside = regions.filter((r) => !next.scope.regions.some((n) => r === n || r.startsWith(`${n}-`)));
  if (next.scope.regions.length > 0 && outside.length > 0)
    add(
      `${node.key.id} is also made for ${listed(outside)}, but ${next.id} only for ${listed(next.scope.regions)}`,
      'regions',
      true,
    );
  const early = months.filter((m) => !next.scope.months.includes(m));
  if (next.scope.months.length > 0 && early.length > 0)
    add(
      `${node.key.id} can be used in ${early.length === 1 ? 'month' : 'months'} ${listed(early.map(String))}, but ${next.id} cannot`,
      'months',
      true,
    );
  const ages = stages.filter((s) => !next.scope.stages.includes(s));
  if (next.scope.stages.length > 0 && ages.length > 0)
    add(
      `${node.key.id} is also made for ${listed(ages)} finds, but ${next.id} only for ${listed(next.scope.stages)}`,
      'stages',
      true,
    );
  return problems;
}

/** Whether a taxon is another or is within it. */
function isWithin(chain: Chain, taxon: string, within: string): boolean {
  const seen = new Set<string>();
  for (
    let at: string | undefined = taxon;
    at !== undefined && !seen.has(at);
    at = chain.taxa.get(at)?.within
  ) {
    if (at === within) return true;
    seen.add(at);
  }
  return false;
}
