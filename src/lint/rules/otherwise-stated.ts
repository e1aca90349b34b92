import { defined } from '../../text/optional.js';
import { example } from '../example.js';
import { meansOtherwise, otherwiseFix } from '../otherwise.js';
import { rule } from '../rule.js';

export const otherwiseStated = rule({
  id: 'otherwise-stated',
  group: 'wording',
  level: 'warning',
  what: 'A lead that says "not as above" or the like is marked `otherwise`.',
  why: 'Without the mark the lead has no condition: when the finds of a table are run through the key, every one of them fits it.',
  source: 'derivable (a lead without a condition takes every find)',
  fix: 'Add `otherwise: true`, or say in `when` what the lead asks. `--fix` adds it.',
  good: example(`
characters:
  ring: {name: ring, states: [present, absent, broken]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Not as above, otherwise: true, taxon: bb}
`),
  bad: example(`
characters:
  ring: {name: ring, states: [present, absent, broken]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Not as above, taxon: bb} #! otherwise-stated
`),
  check({ key, report }) {
    for (const couplet of key.couplets.values()) {
      for (const lead of couplet.leads) {
        if (!meansOtherwise(lead, couplet)) continue;
        const fix = otherwiseFix(key, lead);
        report([...lead.path, 'lead'], {
          message: `lead ${lead.label} says that it takes all other finds, but is not marked "otherwise"`,
          found: lead.text,
          expected: 'otherwise: true',
          ...defined({ fix }),
        });
      }
    }
  },
});
