import type { Path, Related } from '../../diagnostic/finding.js';
import type { Logic } from '../../engine/logic.js';
import type { Key } from '../../key/key.js';
import { count, listed } from '../../text/words.js';
import { earlierLeads } from '../earlier.js';
import { example } from '../example.js';
import { conditionPath, couplets, keyOf } from '../places.js';
import { isMarked, proposedLeads } from '../review.js';
import { rule } from '../rule.js';

export const proposalsReviewed = rule({
  id: 'proposals-reviewed',
  group: 'scope',
  level: 'warning',
  what: 'What "import" proposed, and marked "review", has been reviewed.',
  why: 'A condition that was read out of printed words can be wrong, and then sends finds to the wrong taxon. Until it is reviewed, other rules claim nothing that rests on it.',
  source: 'derivable (the marks are those that the program itself writes)',
  fix: 'Compare what is below each comment `# review:` with the print, correct it or remove it, and remove the comment. Of conditions that cannot all be right, the finding names the leads that no find could take.',
  good: example(`
couplets:
  1:
    - lead: Ring present
      when: {ring: present}
      taxon: aa
    - lead: Ring absent
      when: {ring: absent}
      taxon: bb
`),
  bad: example(`
couplets: #! proposals-reviewed
  1:
    - lead: Ring present
      # review: proposed from "Ring present"
      when: {ring: present}
      taxon: aa
    - lead: Ring absent
      # review: proposed from "Ring absent"
      when: {ring: absent}
      taxon: bb
`),
  check({ key, asProposed, report }) {
    const conditions = proposedLeads(key).size;
    const leads = [...key.couplets.values()].flatMap((c) => c.leads);
    const ends = leads.filter(({ path }) => ENDS.some((name) => isMarked(key, [...path, name]))).length;
    const made = [...key.couplets.keys()].filter((id) => isMarked(key, ['couplets', id])).length;
    const parts = [
      ...(conditions === 0 ? [] : [count(conditions, 'condition')]),
      ...(ends === 0 ? [] : [count(ends, 'end')]),
      ...(made === 0 ? [] : [count(made, 'couplet')]),
    ];
    if (parts.length === 0) return;
    const one = conditions + ends + made === 1;
    report(['couplets'], {
      side: 'name',
      message: `${listed(parts)} of this key ${one ? 'is' : 'are'} proposed and not reviewed`,
      related: asProposed === undefined ? [] : contradictions(asProposed, key),
    });
  },
});

const ENDS = ['to', 'taxon', 'key'];
/** A reader looks at the first few. */
const MOST = 10;

/** The leads that no find can take when every proposed condition is meant as it stands, with what rules them out. */
function contradictions(logic: Logic, key: Key): Related[] {
  const found: Related[] = [];
  for (const couplet of couplets(logic)) {
    if (keyOf(logic, couplet) !== key || logic.mayArrive(couplet.index)?.length === 0) continue;
    for (const lead of couplet.leads) {
      if (found.length === MOST) return found;
      if (logic.mayTake(couplet, lead)?.length !== 0) continue;
      const condition = logic.mayFit(couplet, lead) ?? [];
      const earlier = earlierLeads(logic, couplet, condition).map((e) => e.lead.label);
      const by =
        earlier.length === 0 ? '' : ` while ${listed(earlier)} ${earlier.length === 1 ? 'stands' : 'stand'}`;
      const path: Path = conditionPath(lead);
      found.push({
        message: `as proposed, no find can take ${lead.label}${by}`,
        place: key.yaml.place(path),
      });
    }
  }
  return found;
}
