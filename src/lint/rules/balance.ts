import type { Couplet, Key } from '../../key/key.js';
import { count } from '../../text/words.js';
import { coupletGraph } from '../couplet-graph.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

/** A run of this many couplets that each split off one end is a ladder; every good key has shorter runs. */
const LADDER = 8;

export const balance = rule({
  id: 'balance',
  group: 'structure',
  level: 'note',
  what: 'A key has no long ladder of couplets that each split off a single end from all the rest.',
  why: 'A ladder is as long as a key can be: every rung is one more chance to go wrong.',
  source:
    'The Phylobotanist (blog), July 2015; Osborne, New Phytologist 62, 1963 (from memory); the mean depths are derivable',
  fix: 'Begin with a character that divides the rest more evenly.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, to: 2}
    - {lead: Ring absent, to: 3}
  2:
    - {lead: Ring white, taxon: aa}
    - {lead: Ring brown, taxon: bb}
  3:
    - {lead: Cap red, taxon: cc}
    - {lead: Cap brown, taxon: dd}
`),
  bad: example(`
couplets:
  1: #! balance
    - {lead: Cap black, taxon: t1}
    - {lead: Cap not black, to: 2}
  2:
    - {lead: Cap red, taxon: t2}
    - {lead: Cap of another colour, to: 3}
  3:
    - {lead: Cap white, taxon: t3}
    - {lead: Cap of another colour, to: 4}
  4:
    - {lead: Cap green, taxon: t4}
    - {lead: Cap of another colour, to: 5}
  5:
    - {lead: Cap blue, taxon: t5}
    - {lead: Cap of another colour, to: 6}
  6:
    - {lead: Cap violet, taxon: t6}
    - {lead: Cap of another colour, to: 7}
  7:
    - {lead: Cap yellow, taxon: t7}
    - {lead: Cap of another colour, to: 8}
  8:
    - {lead: Cap grey, taxon: t8}
    - {lead: Cap brown, taxon: t9}
taxa:
  t1: {name: Aa aa}
  t2: {name: Aa ab}
  t3: {name: Aa ac}
  t4: {name: Aa ad}
  t5: {name: Aa ae}
  t6: {name: Aa af}
  t7: {name: Aa ag}
  t8: {name: Aa ah}
  t9: {name: Aa ai}
`),
  check({ key, report }) {
    for (const run of laddersOf(key)) {
      const ends = run.length + 1;
      // (n+2)(n-1)/2n couplets on average down a ladder of n ends, against n k + 2 (n - 2^k) in all at best.
      const down = ((ends + 2) * (ends - 1)) / (2 * ends);
      const k = Math.floor(Math.log2(ends));
      const best = k + (2 * (ends - 2 ** k)) / ends;
      const first = run[0] as Couplet;
      const last = run[run.length - 1] as Couplet;
      report(['couplets', first.id], {
        side: 'name',
        message: `couplets ${first.id} to ${last.id} are a ladder: ${count(run.length, 'couplet')} that each split off one end; ${ends} ends take ${down.toFixed(1)} couplets on average here and could take ${best.toFixed(1)}`,
        related: [
          {
            message: `the ladder goes down to couplet ${last.id}`,
            place: key.yaml.place(['couplets', last.id], 'name'),
          },
        ],
      });
    }
  },
});

/** The longest runs of couplets that each have one lead to the next and another that ends. */
function laddersOf(key: Key): Couplet[][] {
  const { couplets, next } = coupletGraph(key);
  const rung = couplets.map((c) => c.leads.length === 2 && c.leads.some((l) => l.end.kind === 'taxa'));
  const above = new Map<number, number>();
  next.forEach((list, i) => {
    const [to] = list;
    if (rung[i] && to !== undefined && rung[to]) above.set(to, above.has(to) ? -1 : i);
  });
  const runs: Couplet[][] = [];
  couplets.forEach((_, i) => {
    const from = above.get(i);
    if (!rung[i] || (from !== undefined && from >= 0)) return;
    const run: Couplet[] = [];
    const seen = new Set<number>();
    for (let at: number | undefined = i; at !== undefined && rung[at] && !seen.has(at); at = next[at]?.[0]) {
      seen.add(at);
      run.push(couplets[at] as Couplet);
    }
    if (run.length >= LADDER) runs.push(run);
  });
  return runs;
}
