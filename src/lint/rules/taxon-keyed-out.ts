import type { Logic } from '../../engine/logic.js';
import type { Key } from '../../key/key.js';
import { listed } from '../../text/words.js';
import { coupletGraph } from '../couplet-graph.js';
import { type EndLead, endPlaces, endsOf } from '../ends.js';
import { example } from '../example.js';
import { lostEnds } from '../lost-ends.js';
import { rule } from '../rule.js';

export const taxonKeyedOut = rule({
  id: 'taxon-keyed-out',
  group: 'structure',
  level: 'error',
  what: 'Every taxon that the key lists can be reached by some find.',
  why: 'A species that cannot be keyed out is given another name, and the reader has no way to notice.',
  source:
    'Moss Flora of China, contributors’ guide, section 7.1; M. Donley, Creating a dichotomous key (school handout)',
  fix: 'Let a lead end at the taxon, or remove it from the list. A taxon that only contains others, or that a lead `reaches`, needs no lead of its own.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
taxa:
  g: {name: Aa, rank: genus}
  aa: {name: Aa aa, within: g}
  bb: {name: Bb bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc} #! taxon-keyed-out
`),
  check({ key, chain, logic, report }) {
    const lost = lostEnds(key);
    const keys = chain?.keys ?? [key];
    const named = new Set(keys.flatMap((k) => [...endsOf(k).keys()]));
    const holders = new Set(keys.flatMap(holdersOf));
    const possible = logic === undefined ? undefined : possibleTaxa(logic);
    const graph = coupletGraph(key);
    const ends = endsOf(key);
    for (const taxon of key.taxa.values()) {
      const own = ends.get(taxon.id) ?? [];
      // A lead that ends at nothing known may be the one meant to end here.
      if (keys.some((k) => lostEnds(k).mayName(taxon.id))) continue;
      if (!named.has(taxon.id)) {
        if (holders.has(taxon.id)) continue;
        const alike = [...key.taxa.values()].some((t) => t.alike.includes(taxon.id));
        const only = alike ? '; it is only named as a look-alike' : '';
        report(['taxa', taxon.id], { side: 'name', message: `no lead ends at ${taxon.name}${only}` });
      } else if (lost.couplets && !reachedIn(graph, own, keys.length)) {
        // What cannot be reached may be where a lead that goes nowhere was meant to go.
      } else if (possible !== undefined ? !possible.has(taxon.id) : !reachedIn(graph, own, keys.length)) {
        const labels = own.map(({ lead }) => lead.label);
        const where = labels.length === 0 ? 'another key' : listed(labels);
        report(['taxa', taxon.id], {
          side: 'name',
          message: `no find can reach ${taxon.name}: it is only at ${where}, where no find arrives`,
          related: endPlaces(key, own, taxon),
        });
      }
    }
  },
});

function holdersOf(key: Key): string[] {
  const within = [...key.taxa.values()].flatMap((t) => t.within ?? []);
  const reaches = [...key.couplets.values()].flatMap((c) => c.leads.flatMap((l) => l.reaches ?? []));
  return [...within, ...reaches, ...(key.scope.within === undefined ? [] : [key.scope.within])];
}

/** The taxa at leads that some find can take; where that is not decided, it is taken as possible. */
function possibleTaxa(logic: Logic): Set<string> {
  const possible = new Set<string>();
  for (const couplet of logic.key.couplets) {
    for (const lead of couplet.leads) {
      if (lead.taxa.length === 0 || logic.mayTake(couplet, lead)?.length === 0) continue;
      for (const taxon of lead.taxa) possible.add(logic.key.taxa[taxon]?.id ?? '');
    }
  }
  return possible;
}

/** Without the logic only the graph decides; ends in another key are then not judged. */
function reachedIn(graph: ReturnType<typeof coupletGraph>, ends: readonly EndLead[], keys: number): boolean {
  if (keys > 1 && ends.length === 0) return true;
  return ends.some(({ couplet }) => graph.reached.has(graph.index.get(couplet.id) ?? -1));
}
