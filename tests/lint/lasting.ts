/** Whether what is found in a key of which something is unknown also stands in the same key with it known. */
import type { Finding } from '../../src/diagnostic/finding.js';
import { Logic } from '../../src/engine/logic.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';

/** What a finding is about. Gaps and overlaps may be told by the one rule or by the other, a contradiction at any lead on the way. */
export function about({ rule, place, message }: Finding): string {
  const at = place.path.slice(0, 2).join('/');
  if (/^(?:leads-ex|ranges-meet)/.test(rule)) return `contrast ${at}`;
  // A couplet with a lead that nothing can take is not said to be settled.
  if (/^(?:lead-possible|character-applies|couplet-decides)$/.test(rule)) return `dead ${at}`;
  // Where no taxon of a key says it, it is told once for all of them.
  if (/^(?:concern|rank)-stated$/.test(rule)) return rule;
  return `${rule} ${/way to (Genus \w+)/.exec(message)?.[1] ?? at}`;
}

/** Those findings that the whole key does not bear out, though nothing in it keeps lint from looking. */
export function notLasting(
  findings: readonly Finding[],
  whole: string,
  inWhole: readonly Finding[],
): Finding[] {
  const known = new Set(inWhole.map(about));
  const unjudged = idle(whole);
  const cutOff = inWhole.filter((f) => f.rule === 'couplet-reachable').length;
  return findings.filter((f) => {
    // Some of several couplets are said to be cut off, not which.
    const some = /at least (\d+) of them cannot be reached/.exec(f.message);
    if (some !== null) return cutOff < Number(some[1]);
    return (
      !known.has(about(f)) &&
      !unjudged.couplets.has(String(f.place.path[1])) &&
      !unjudged.taxa.some((name) => f.message.includes(`way to ${name} `))
    );
  });
}

/** The couplets that no find comes to, and the taxa at leads that none can take, of which lint says no more than that. */
function idle(text: string) {
  const { chain } = loadChain(text, 'x.key.yaml', emptyShelf);
  const logic = new Logic(chain as NonNullable<typeof chain>);
  const { couplets, taxa } = logic.key;
  const dead = couplets.flatMap((c) => c.leads.filter((lead) => logic.taken(c, lead)?.length === 0));
  return {
    couplets: new Set(couplets.filter((c) => logic.arrival(c.index)?.length === 0).map((c) => c.name)),
    taxa: dead.flatMap((lead) => lead.taxa.map((t) => taxa[t]?.name ?? '')),
  };
}
