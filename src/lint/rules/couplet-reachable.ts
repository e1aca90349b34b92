import { reachableFrom } from '../../key/graph.js';
import type { Lead } from '../../key/key.js';
import { count, inShort } from '../../text/words.js';
import { type CoupletGraph, coupletGraph } from '../couplet-graph.js';
import { example } from '../example.js';
import { lostEnds } from '../lost-ends.js';
import { type RuleContext, rule } from '../rule.js';

export const coupletReachable = rule({
  id: 'couplet-reachable',
  group: 'structure',
  level: 'error',
  what: 'Every couplet can be reached from the start of the key.',
  why: 'What is in a couplet that no lead goes to is never keyed out, and nobody notices.',
  source: 'common practice, no source; derivable',
  fix: 'Let a lead go to the couplet, or remove it. Where one couplet cuts off others, only the first is reported. A lead that goes nowhere may be the one meant to go there: while there are such leads, it is only told when more couplets are cut off; while leads run in a circle, nothing is.',
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
    - {lead: Ring present, taxon: dd}
    - {lead: Ring absent, taxon: aa}
  2: #! couplet-reachable
    - {lead: Ring white, taxon: aa}
    - {lead: Ring brown, to: 3}
  3:
    - {lead: Cap red, taxon: bb}
    - {lead: Cap brown, taxon: cc}
`),
  check({ key, report }) {
    const lost = lostEnds(key);
    const graph = coupletGraph(key);
    const { couplets, next, reached } = graph;
    const cutOff = couplets.map((_, i) => i).filter((i) => !reached.has(i));
    if (lost.couplets) {
      reportSurplus(lost.ways, graph, headsOf(graph, cutOff), report);
      return;
    }
    const reported = new Set<number>();
    for (const head of headsOf(graph, cutOff)) {
      if (reported.has(head)) continue;
      const with_ = [...reachableFrom(head, next)].filter((i) => !reached.has(i) && !reported.has(i));
      for (const i of with_) reported.add(i);
      const others = with_.filter((i) => i !== head).sort((a, b) => a - b);
      const id = couplets[head]?.id ?? '';
      const more =
        others.length === 0
          ? ''
          : `; it cuts off ${count(others.length, 'more couplet')} (${names(others, graph)})`;
      report(['couplets', id], {
        side: 'name',
        message: `couplet ${id} cannot be reached from couplet ${key.start}: no lead goes to it${more}`,
      });
    }
  },
});

/**
 * A lead that goes nowhere may be the one meant to go to a couplet that is cut off, but to one only: with more couplets than
 * such leads, some stay cut off, though it is not known which.
 */
function reportSurplus(
  ways: readonly Lead[] | undefined,
  graph: CoupletGraph,
  heads: readonly number[],
  report: RuleContext['report'],
): void {
  const [first] = heads;
  if (ways === undefined || first === undefined || heads.length <= ways.length) return;
  report(['couplets', graph.couplets[first]?.id ?? ''], {
    side: 'name',
    message: `no lead goes to couplets ${names(heads, graph)}; at least ${heads.length - ways.length} of them cannot be reached, for only ${count(ways.length, 'lead')} (${inShort(ways.map((l) => l.label)).join(', ')}) may still go to one`,
  });
}

/** The couplets at which cut-off parts begin: those that nothing leads to. Where there are circles, nothing is reported. */
function headsOf({ next }: CoupletGraph, cutOff: readonly number[]): number[] {
  const entered = new Set(cutOff.flatMap((i) => next[i] ?? []));
  return cutOff.filter((i) => !entered.has(i));
}

function names(others: readonly number[], { couplets }: CoupletGraph): string {
  const ids = others.map((i) => couplets[i]?.id ?? '');
  return ids.length <= 6 ? ids.join(', ') : `${ids.slice(0, 5).join(', ')} and others`;
}
