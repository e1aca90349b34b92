/** How well one reading of a key holds together, for choosing among several. */
import type { Item, Outline } from './draft.js';
import type { LinkedCouplet, LinkedLead, Remark } from './linked.js';

/** How well the reading holds together: what resolves counts for it, and what does not counts, more heavily, against it. */
export function scoreOf(
  outline: Outline,
  couplets: readonly LinkedCouplet[],
  remarks: readonly Remark[],
): number {
  let score = 0;
  const apart = isApart(outline, couplets);
  const capitals = beginWithCapitals(outline);
  for (const couplet of couplets) {
    if (couplet.leads.length < 2) score -= 6;
    if (couplet.group.again) score -= 3;
    score -= Math.max(0, couplet.leads.length - 3) * 0.6;
    // Where the second lead has the number too, what is below without one is the text after the key.
    if (couplet.leads[1]?.item.label?.readings[0]?.system === 'number')
      score -= 5 * couplet.leads.filter(({ item }) => item.label === undefined).length;
    score -= 4 * dashesBetween(couplet);
    for (const lead of couplet.leads) {
      const { target } = lead;
      if (target.kind === 'none') score -= 5;
      else if (target.kind === 'nowhere') score -= 4;
      else if (target.kind === 'several') score += 0;
      else if (target.kind === 'couplet' && target.couplet === couplet) score -= 5;
      else if (target.kind === 'couplet')
        score += target.via === 'next' ? 0.8 : target.via === 'below' && target.end !== undefined ? 1 : 2;
      else if (target.kind === 'taxa')
        score += target.via === 'guess' ? 0.5 : lead.how === 'number' ? 1.5 : 2;
      else score += 2;
      if (lead.words === '') score -= 3;
      // `Leaflets 3` with couplet 3 below it: where the leads of a couplet are apart, a last number belongs to the words.
      if (apart && lead.how === 'number') score -= 0.5;
      if (
        outline.layout === 'indented' &&
        /^[([]?(?:\d{1,4}[a-d'*]?|[A-Za-z])[.):]\s/.test(lead.item.pieces[0]?.text ?? '')
      )
        score -= 1.5;
      else if (outline.layout !== 'indented' && hasOtherLabel(lead)) score -= 3;
      // Where leads begin with capitals, one that does not is the rest of the one above.
      if (lead.item.label === undefined && /^[\p{Ll}\d]/u.test(lead.words)) score -= capitals ? 2 : 0.5;
      if (outline.layout === 'outline' && isOutOfLine(couplet, lead)) score -= 1;
      const inner = lead.item.ended && !['dots', 'column', 'line', 'sign'].includes(lead.how ?? '') ? 1 : 0;
      // Further ends on the lines of a lead may be those of leads that were taken for its words.
      score -= Math.max(0, lead.item.ends.length - 1) * 4;
      score -= inner;
      score -= Math.min(6, innerEnds(lead));
    }
  }
  for (const remark of remarks) {
    if (remark.rule === 'couplet-reachable') score -= 5;
    else if (remark.rule === 'back-reference-agrees') score -= 1.5;
  }
  const inside = outline.items.slice(1).reduce((n, item) => n + item.loose.length, 0);
  score -= Math.min(inside * 0.5, outline.items.length);
  return score;
}

/** Dashes among leads that are numbered one by one: each dash is more likely the second lead of the couplet of that number. */
function dashesBetween({ leads }: LinkedCouplet): number {
  const systems = leads.map(({ item }) => item.label?.readings[0]?.system);
  const numbers = new Set(
    leads.map(({ item }, i) => (systems[i] === 'number' ? item.label?.value : undefined)),
  );
  numbers.delete(undefined);
  return numbers.size < 2 ? 0 : systems.filter((s) => s === 'dash').length;
}

/** A lead without a label whose words begin with what is one: it was read under the wrong assumption. */
export function hasOtherLabel({ item }: LinkedLead): boolean {
  return (
    item.label === undefined &&
    /^[([]?(?:[IVXL]{1,5}|[A-Za-z]|\d{1,3})[.):]{1,2}\s+["“„(]?\p{Lu}\p{L}/u.test(item.pieces[0]?.text ?? '')
  );
}

/** Whether most leads begin with a capital. */
function beginWithCapitals({ items }: Outline): boolean {
  const begun = items.filter((item) => /^["“„(]?\p{Lu}/u.test(item.pieces[0]?.text.trimStart() ?? ''));
  return begun.length >= items.length * 0.6;
}

/** A later lead that is indented more or less than the first one of its couplet. */
export function isOutOfLine(couplet: LinkedCouplet, lead: LinkedLead, most = 1): boolean {
  const first = couplet.leads[0]?.item;
  if (first === undefined || Math.abs(first.indent - lead.item.indent) <= most) return false;
  // Labels of unequal length may stand to the right, so that the words begin in one column.
  return Math.abs((first.pieces[0]?.column ?? 0) - (lead.item.pieces[0]?.column ?? 0)) > most;
}

/** Whether the leads of some couplet have other couplets between them. */
export function isApart(outline: Outline, couplets: readonly LinkedCouplet[]): boolean {
  const place = new Map(outline.items.map((item, i) => [item, i]));
  return couplets.some(({ group: { leads } }) =>
    leads.some((item, i) => i > 0 && place.get(item) !== (place.get(leads[i - 1] as Item) ?? 0) + 1),
  );
}

/** Dots or wide gaps left inside the words: an end that was not seen as one. */
function innerEnds(lead: LinkedLead): number {
  let found = 0;
  const pieces = lead.item.pieces;
  for (let i = 0; i < pieces.length - 1 && i < 60; i++)
    if (/(?:\.\s?){4,}\s*\S+|\s{6,}\S+$/.test((pieces[i]?.text ?? '').slice(-80))) found += 2;
  return lead.how === 'dots' || lead.how === 'column' ? Math.max(0, found - 2) : found;
}
