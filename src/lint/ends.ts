import type { Couplet, Key, Lead } from '../key/key.js';

/** A lead that ends at a taxon. */
export interface EndLead {
  /** `7b` */
  readonly label: string;
  readonly couplet: Couplet;
  readonly lead: Lead;
}

/** By taxon the leads of a key that end at it, in the order of the file. */
export function endsOf(key: Key): Map<string, EndLead[]> {
  const ends = new Map<string, EndLead[]>();
  for (const couplet of key.couplets.values()) {
    for (const lead of couplet.leads) {
      if (lead.end.kind !== 'taxa') continue;
      const end = { label: couplet.id + lead.letter, couplet, lead };
      for (const taxon of lead.end.taxa) {
        const known = ends.get(taxon);
        if (known === undefined) ends.set(taxon, [end]);
        else known.push(end);
      }
    }
  }
  return ends;
}
