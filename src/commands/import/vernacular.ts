/** Vernacular names of two capitalised words, which look like a genus and its author. */
import type { Linked, LinkedLead } from './linked.js';
import type { ReadName } from './names.js';

/** So many of the names in a key must look like it. */
const LEAST_SHARE = 0.3;

/** Endings that genera have and hardly any English or German word. */
const LATIN = /(?:us|um|a|is|es|ops|odon|ix|ax|ys)$/;

/** `Hart Fern`, `Ribbon Spleenwort`: where many names of a key are two such words, the second is no author. */
export function settleVernacular({ couplets }: Linked): void {
  const leads = couplets.flatMap((c) => c.leads);
  let names = 0;
  let alike = 0;
  let latin = 0;
  for (const lead of leads) {
    if (lead.target.kind !== 'taxa') continue;
    for (const name of lead.target.end.names) {
      names++;
      if (isTwoWords(name) && LATIN.test(name.name)) latin++;
      if (isTwoWords(name) || (name.form === 0 && /^\p{Lu}\S*(?:\s\p{Lu}\S*)+$/u.test(name.name))) alike++;
    }
  }
  if (alike < 2 || alike < names * LEAST_SHARE || latin * 2 > alike) return;
  for (const lead of leads) settle(lead);
}

function settle(lead: LinkedLead): void {
  const { target } = lead;
  if (target.kind !== 'taxa' || !target.end.names.some(isTwoWords)) return;
  const names = target.end.names.map((name): ReadName => {
    if (!isTwoWords(name)) return name;
    const whole = `${name.name} ${(name.authority as string).replace(/\.$/, '')}`;
    return { name: whole, remarks: name.remarks, form: 1 };
  });
  lead.target = { ...target, end: { ...target.end, names, form: 1 } };
}

/** A genus and an author that is one plain word. */
function isTwoWords({ name, authority, rank }: ReadName): boolean {
  return (
    (rank === 'genus' || rank === undefined) &&
    !name.includes(' ') &&
    authority !== undefined &&
    /^\p{Lu}\p{Ll}{2,}\.?$/u.test(authority)
  );
}
