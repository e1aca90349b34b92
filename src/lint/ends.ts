import type { Related } from '../diagnostic/finding.js';
import type { Couplet, Key, Lead, Taxon } from '../key/key.js';
import type { RuleContext } from './rule.js';

/** A lead that ends at a taxon. */
export interface EndLead {
  readonly couplet: Couplet;
  readonly lead: Lead;
}

/** By taxon the leads of a key that end at it, in the order of the file. */
export function endsOf(key: Key): Map<string, EndLead[]> {
  const ends = new Map<string, EndLead[]>();
  for (const couplet of key.couplets.values()) {
    for (const lead of couplet.leads) {
      if (lead.end.kind !== 'taxa') continue;
      const end = { couplet, lead };
      for (const taxon of lead.end.taxa) {
        const known = ends.get(taxon);
        if (known === undefined) ends.set(taxon, [end]);
        else known.push(end);
      }
    }
  }
  return ends;
}

/** The ends of a taxon as related places. */
export function endPlaces(key: Key, ends: readonly EndLead[], taxon: Taxon): Related[] {
  return ends.map(({ lead }) => ({
    message: `${lead.label} ends at ${taxon.name}`,
    place: key.yaml.place(lead.path),
  }));
}

/** What a taxon should say, in words and as it would be written: at one taxon, or where none of the key has it. */
export interface Saying {
  readonly what: string;
  readonly expected: { readonly atOne: string; readonly atNone: string };
  says(taxon: Taxon): boolean;
}

/** Reports every taxon of a list that does not say something; where no taxon of the key says it, it is one omission. */
export function reportSilent(
  { key, report }: Pick<RuleContext, 'key' | 'report'>,
  taxa: Iterable<string>,
  { what, expected, says }: Saying,
): void {
  const silent = [...new Set(taxa)].flatMap((id) => key.taxa.get(id) ?? []).filter((t) => !says(t));
  if (silent.length > 1 && ![...key.taxa.values()].some(says)) {
    report(['taxa'], {
      side: 'name',
      message: `no taxon of the key says ${what}`,
      expected: expected.atNone,
    });
    return;
  }
  for (const { id, name } of silent)
    report(['taxa', id], { side: 'name', message: `${name} does not say ${what}`, expected: expected.atOne });
}
