import type { Related } from '../../diagnostic/finding.js';
import type { CompiledLead } from '../../engine/compile.js';
import type { Logic } from '../../engine/logic.js';
import { inWords } from '../../engine/witness.js';
import type { Taxon } from '../../key/key.js';
import { defined } from '../../text/optional.js';
import { askedBy } from '../../traits/check.js';
import { contrastsOf, type Overlap } from '../contrasts.js';
import { describedRegion } from '../descriptions.js';
import { example } from '../example.js';
import { numericOverlap } from '../numeric.js';
import { conditionPath, couplets, keyOf, leadPlace } from '../places.js';
import { rule } from '../rule.js';

export const leadsExclusive = rule({
  id: 'leads-exclusive',
  group: 'logic',
  level: 'warning',
  witness: true,
  what: 'No find fits two leads of a couplet.',
  why: 'A find that fits both can be led to either side, and two readers may name it differently. It is an error when described taxa on both sides can show what fits both.',
  source:
    'Wisconsin botany course notes on keys; Moss Flora of China, contributors’ guide; Flora of Nepal, contributors’ guide',
  fix: 'Give each state or number to one lead only, or let the leads differ in one more character.',
  good: example(`
characters:
  cap: {name: cap, states: [red, brown, white]}
couplets:
  1:
    - {lead: Cap red or brown, when: {cap: [red, brown]}, taxon: aa}
    - {lead: Cap white, when: {cap: white}, taxon: bb}
`),
  bad: example(`
characters:
  cap: {name: cap, states: [red, brown, white]}
couplets:
  1:
    - {lead: Cap red or brown, when: {cap: [red, brown]}, taxon: aa}
    - lead: Cap brown or white
      when: {cap: [brown, white]} #! leads-exclusive
      taxon: bb
`),
  check({ logic, reportIn }) {
    if (logic === undefined) return;
    for (const couplet of couplets(logic)) {
      for (const overlap of contrastsOf(logic, couplet).overlaps) {
        if (numericOverlap(logic, overlap) !== undefined) continue;
        const { first, second, specimen } = overlap;
        const mixed = mixedTaxa(logic, overlap);
        const key = keyOf(logic, couplet);
        const more =
          mixed === undefined
            ? ''
            : `, and by their descriptions ${mixed[0].name} and ${mixed[1].name} both can`;
        const taxa: Related[] = (mixed ?? []).flatMap((taxon) =>
          logic.key.chain.keys
            .filter((k) => k.taxa.has(taxon.id))
            .slice(0, 1)
            .map((k) => ({
              message: `description of ${taxon.name}`,
              place: k.yaml.place(['taxa', taxon.id, 'traits']),
            })),
        );
        reportIn(key, conditionPath(second), {
          message: `a find can fit both ${first.label} and ${second.label}${more}`,
          related: [leadPlace(key, first), ...taxa],
          witness: `${inWords(logic, specimen)} fits both`,
          ...defined({ level: mixed && 'error' }),
        });
      }
    }
  },
});

/** A described taxon of each side that can show what fits both leads: each describes every character the leads ask. */
function mixedTaxa(logic: Logic, { first, second, region }: Overlap): readonly [Taxon, Taxon] | undefined {
  const asked = [first, second]
    .flatMap((l) => (l.check === undefined ? [] : askedBy(l.check)))
    .map((c) => logic.key.characters[c]?.id ?? '');
  const a = taxaBeyond(logic, first);
  const b = taxaBeyond(logic, second);
  const shows = (taxon: Taxon) => {
    if (!asked.every((id) => taxon.traits.has(id))) return false;
    const described = describedRegion(logic, taxon);
    if (described === undefined) return false;
    return (logic.ask((budget) => logic.space.meet(described, region, budget))?.length ?? 0) > 0;
  };
  const x = [...a].find((t) => !b.has(t) && shows(t));
  const y = x === undefined ? undefined : [...b].find((t) => !a.has(t) && shows(t));
  return x === undefined || y === undefined ? undefined : [x, y];
}

/** Every taxon that a lead can end at, by the graph alone. */
function taxaBeyond(logic: Logic, lead: CompiledLead): Set<Taxon> {
  const taxa = new Set<Taxon>();
  const seen = new Set<number>();
  const todo = [lead];
  for (let next = todo.pop(); next !== undefined; next = todo.pop()) {
    for (const t of next.taxa) taxa.add(logic.key.taxa[t] as Taxon);
    if (next.next < 0 || seen.has(next.next)) continue;
    seen.add(next.next);
    todo.push(...(logic.key.couplets[next.next]?.leads ?? []));
  }
  return taxa;
}
