import type { Path, Related } from '../../diagnostic/finding.js';
import type { Logic } from '../../engine/logic.js';
import type { Key } from '../../key/key.js';
import { count, listed } from '../../text/words.js';
import { earlierLeads } from '../earlier.js';
import { example } from '../example.js';
import { conditionPath, couplets, keyOf } from '../places.js';
import { isMarked, proposedLeads } from '../review.js';
import { reviewMarks, waiting } from '../review-marks.js';
import { rule } from '../rule.js';

export const importReviewed = rule({
  id: 'import-reviewed',
  group: 'comments',
  level: 'warning',
  what: 'What "keywright import" read with doubt, or proposed, was looked at by a person.',
  why: 'A lead that was misread sends a find to another taxon, and nothing else in the key shows it. Until a proposed condition is reviewed, other rules claim nothing that rests on it. A key with a doubtful couplet or a proposal is neither bundled nor made a page. Doubtful couplets and proposals are a warning; couplets that were likely read right are a note.',
  source: 'derivable (the comments are those that the program itself writes)',
  fix: 'Walk through them with "keywright import KEY --review", or set the comment above the couplet to "reviewed" and remove those that begin with "review:". Of proposed conditions that cannot all be right, the finding names the leads that no find could take.',
  good: example(`
couplets:
  # lines 3-4: reviewed
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
`),
  bad: example(`
couplets: #! import-reviewed
  # lines 3-4: doubtful
  # review: lead 1b: its name stands among the words
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
`),
  check({ key, asProposed, report }) {
    const open = [...reviewMarks(key).values()].flatMap((marks) => waiting(marks) ?? []);
    if (open.length === 0) return;
    const doubtful = open.filter((sure) => sure === 'doubtful').length;
    const conditions = proposedLeads(key).size;
    const leads = [...key.couplets.values()].flatMap((c) => c.leads);
    const ends = leads.filter(({ path }) => ENDS.some((name) => isMarked(key, [...path, name]))).length;
    const parts = [
      ...(doubtful === 0 ? [] : [count(doubtful, 'doubtful couplet')]),
      ...(conditions === 0 ? [] : [count(conditions, 'proposed condition')]),
      ...(ends === 0 ? [] : [count(ends, 'proposed end')]),
    ];
    const is = open.length === 1 ? 'is' : 'are';
    report(['couplets'], {
      side: 'name',
      level: parts.length > 0 ? 'warning' : 'note',
      message: `${open.length} of ${count(key.couplets.size, 'couplet')} ${is} still to be reviewed${parts.length === 0 ? '' : `: ${listed(parts)}`}`,
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
