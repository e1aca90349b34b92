import type { Related } from '../../diagnostic/finding.js';
import { FITS } from '../../engine/evaluate.js';
import type { Logic } from '../../engine/logic.js';
import { confirmedSpecimen, inWords } from '../../engine/witness.js';
import { defined } from '../../text/optional.js';
import { listed } from '../../text/words.js';
import { type DescriptionRun, describedEnds, describedRegion, endsByTaxon } from '../descriptions.js';
import { example } from '../example.js';
import { lostEnds } from '../lost-ends.js';
import { keyOf } from '../places.js';
import { rule } from '../rule.js';

export const taxonReachesItself = rule({
  id: 'taxon-reaches-itself',
  group: 'descriptions',
  level: 'error',
  witness: true,
  what: 'Run from its own description, a taxon reaches its own end and no other.',
  why: 'The key and the descriptions state the same thing twice; where they disagree, a good specimen gets a wrong name.',
  source: 'Flora of Nepal, contributors’ guide 6.4 (write the key from the descriptions)',
  fix: 'Correct the description or the lead; a taxon that shows both states is keyed out on both sides, with `repeats: meant`.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
taxa:
  aa: {name: Aa aa, traits: {ring: present}}
  bb: {name: Bb bb, traits: {ring: absent}}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
taxa:
  aa: {name: Aa aa, traits: {ring: [present, absent]}} #! taxon-reaches-itself
  bb: {name: Bb bb, traits: {ring: absent}}
`),
  check({ logic, key, report }) {
    if (logic === undefined) return;
    const ends = endsByTaxon(logic);
    const indexOf = new Map(logic.key.taxa.map((t, i) => [t.id, i]));
    for (const taxon of key.taxa.values()) {
      const own = ends.get(taxon.id) ?? [];
      const described = own.length === 0 ? undefined : describedRegion(logic, taxon);
      // A description that no find can show is reported by its own rule.
      if (described === undefined || described.length === 0) continue;
      const runs = describedEnds(logic, taxon, described);
      if (runs === undefined) continue;
      const index = indexOf.get(taxon.id) ?? -1;
      const others = runs.filter((run) => run.lead.taxa.length > 0 && !run.lead.taxa.includes(index));
      // What ends at nothing known may be its own end, or lead to it.
      const lost = logic.key.chain.keys.map(lostEnds).some((l) => l.couplets || l.mayName(taxon.id));
      const reached = own.some(({ couplet, lead }) => {
        const taken = logic.mayTake(couplet, lead);
        return (
          lost ||
          taken === undefined ||
          (logic.ask((budget) => logic.space.meet(described, taken, budget))?.length ?? 1) > 0
        );
      });
      if (reached && others.length === 0) continue;
      const elsewhere = listed(others.map((run) => endInWords(logic, run)));
      const message = reached
        ? `run from its own description, ${taxon.name} also reaches ${elsewhere}`
        : `run from its own description, ${taxon.name} does not reach its own end${others.length === 0 ? '' : ` but ${elsewhere}`}`;
      const witness = others.length === 0 ? undefined : witnessOf(logic, others[0] as DescriptionRun);
      report(['taxa', taxon.id, 'traits'], {
        message,
        side: 'name',
        related: [
          ...own.map(
            ({ couplet, lead }): Related => ({
              message: `its own end ${lead.label}`,
              place: keyOf(logic, couplet).yaml.place(lead.lead.path),
            }),
          ),
          ...others.map(
            (run): Related => ({
              message: `the other end ${run.lead.label}`,
              place: keyOf(logic, run.couplet).yaml.place(run.lead.lead.path),
            }),
          ),
        ],
        ...defined({ witness }),
      });
    }
  },
});

function endInWords(logic: Logic, { lead }: DescriptionRun): string {
  return `${lead.label} (${listed(
    lead.taxa.map((t) => logic.key.taxa[t]?.name ?? ''),
    'or',
  )})`;
}

function witnessOf(logic: Logic, { couplet, lead, region }: DescriptionRun): string | undefined {
  const [box] = region;
  const index = couplet.leads.indexOf(lead);
  const specimen =
    box === undefined
      ? undefined
      : confirmedSpecimen(logic, box, couplet, (truths) => truths[index] === FITS);
  return specimen === undefined
    ? undefined
    : `${inWords(logic, specimen)} agrees with the description and takes ${lead.label}`;
}
