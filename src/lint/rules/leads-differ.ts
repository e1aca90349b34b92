import type { Couplet, End, Lead } from '../../key/key.js';
import { listed } from '../../text/words.js';
import { example } from '../example.js';
import { lostEnds } from '../lost-ends.js';
import { rule } from '../rule.js';

export const leadsDiffer = rule({
  id: 'leads-differ',
  group: 'structure',
  level: 'warning',
  what: 'The leads of a couplet differ in their words, and do not all end in the same place; at one taxon they may if each has a note of its own.',
  why: 'Leads that read alike cannot be told apart; leads that all go to one place ask a question for nothing. Both come from copying a line.',
  source: 'derivable',
  fix: 'Correct the words or the end of the copied lead.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: "Ring  present.", to: 2} #! leads-differ
  2: #! leads-differ
    - {lead: Cap red, taxon: bb}
    - {lead: Cap brown, taxon: bb}
`),
  check({ key, report }) {
    for (const couplet of key.couplets.values()) {
      const first = new Map<string, Lead>();
      for (const lead of couplet.leads) {
        const words = plain(lead.text);
        const other = first.get(words);
        if (other === undefined) first.set(words, lead);
        else
          report([...lead.path, 'lead'], {
            message: `${lead.label} reads like ${other.label}`,
            related: [{ message: other.label, place: key.yaml.place([...other.path, 'lead']) }],
            found: lead.text,
            expected: 'other words',
          });
      }
      // Of a lead that goes nowhere it is not known where it should go.
      const lost = couplet.leads.some((lead) => lostEnds(key).leads.has(lead));
      const only = lost ? undefined : onlyEnd(couplet);
      if (only !== undefined)
        report(['couplets', couplet.id], {
          side: 'name',
          message: `every lead of couplet ${couplet.id} ends at ${only}: the couplet separates nothing`,
        });
    }
  },
});

function plain(text: string): string {
  return text
    .toLowerCase()
    .replace(/[\s.;,]+/g, ' ')
    .trim();
}

function onlyEnd({ leads }: Couplet): string | undefined {
  const [first] = leads;
  if (first === undefined || leads.length < 2) return undefined;
  const end = endName(first.end);
  if (leads.some((l) => endName(l.end) !== end)) return undefined;
  // What stands at a taxon may tell the reader where to go on: "p. 21; go on at 4b".
  const notes = new Set(leads.map((l) => l.note));
  return first.end.kind === 'taxa' && notes.size > 1 && !notes.has(undefined) ? undefined : end;
}

function endName(end: End): string {
  if (end.kind === 'couplet') return `couplet ${end.couplet}`;
  if (end.kind === 'taxa') return listed([...end.taxa].sort());
  return end.at === undefined ? `key ${end.key}` : `couplet ${end.at} of key ${end.key}`;
}
