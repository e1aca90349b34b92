/** What a person types for the end of a lead. */
import type { Key, Lead } from '../../../key/key.js';
import { TaxonNames } from '../../../key/taxon-names.js';
import { quoted } from '../../../text/harmless.js';
import { nearestFew } from '../../../text/nearest.js';
import { listed } from '../../../text/words.js';
import { readScientific } from '../names.js';

/** Where a lead shall end. */
export type WantedEnd =
  | { readonly kind: 'couplet'; readonly couplet: string }
  | { readonly kind: 'taxa'; readonly taxa: readonly string[] }
  | { readonly kind: 'new taxon'; readonly name: string }
  | { readonly kind: 'key'; readonly key: string; readonly at: string | undefined };

/** What was typed: an end, a name that the key does not have, or something that no end can be. */
export type TypedEnd =
  | { readonly kind: 'end'; readonly end: WantedEnd }
  | { readonly kind: 'unknown'; readonly name: string; readonly problem: string }
  | { readonly kind: 'problem'; readonly problem: string };

const OTHER_KEY = /^key\s+([a-z0-9][a-z0-9-]*)(?:\s+at\s+(\S+))?$/;
const NEW = /^new\s+(\S.*)$/;
const MANY = 3;

/**
 * Reads the number of a couplet, one or several taxa by name or id (parted by commas), `key ID` or `key ID at COUPLET`, and `new
 * NAME` for a taxon that the key does not have.
 */
export function typedEnd(written: string, key: Key): TypedEnd {
  const text = written.trim().replace(/\s+/g, ' ');
  if (text === '') return { kind: 'problem', problem: 'nothing was typed; expected a couplet or a taxon' };
  const couplet = /^(?:couplet )?(\S+)$/.exec(text)?.[1];
  if (couplet !== undefined && key.couplets.has(couplet))
    return { kind: 'end', end: { kind: 'couplet', couplet } };
  const [, other, at] = OTHER_KEY.exec(text) ?? [];
  if (other !== undefined) return { kind: 'end', end: { kind: 'key', key: other, at } };
  const names = new TaxonNames(key.taxa.values());
  const added = NEW.exec(text)?.[1];
  if (added !== undefined) {
    const there = names.called(added);
    if (there.length > 0)
      return { kind: 'end', end: { kind: 'taxa', taxa: there.slice(0, 1).map((t) => t.id) } };
    if (!/\p{L}/u.test(added))
      return { kind: 'problem', problem: `${quoted(added)} is no name; expected the name of a taxon` };
    return { kind: 'end', end: { kind: 'new taxon', name: added } };
  }
  const whole = called(text, names);
  if (typeof whole !== 'string') return whole;
  const parts = text.split(/\s*,\s*/).filter((p) => p !== '');
  if (parts.length > 1) {
    const each = parts.map((part) => called(part, names));
    const wrong = each.find((e) => typeof e === 'string' || e.kind !== 'end');
    if (wrong === undefined)
      return {
        kind: 'end',
        end: {
          kind: 'taxa',
          taxa: [...new Set(each.flatMap((e) => (typeof e !== 'string' ? taxaOf(e) : [])))],
        },
      };
    const name = typeof wrong === 'string' ? wrong : text;
    return { kind: 'problem', problem: `${quoted(name)} is no taxon of this key${near(name, key)}` };
  }
  // A number or a sign can only have been meant for a couplet.
  if (!/\p{L}{2}/u.test(text))
    return { kind: 'problem', problem: `there is no couplet ${quoted(text)}${near(text, key)}` };
  return {
    kind: 'unknown',
    name: text,
    problem: `${quoted(text)} is no couplet or taxon of this key${near(text, key)}`,
  };
}

function taxaOf(typed: TypedEnd): readonly string[] {
  return typed.kind === 'end' && typed.end.kind === 'taxa' ? typed.end.taxa : [];
}

/** The taxon of that name, or the name when the key has none. */
function called(text: string, names: TaxonNames): TypedEnd | string {
  const found = names.called(text);
  const [taxon] = found;
  if (taxon === undefined) return text;
  if (found.length > 1)
    return {
      kind: 'problem',
      problem: `${quoted(text)} may be ${listed(
        found.map((t) => t.id),
        'or',
      )}; type the id`,
    };
  return { kind: 'end', end: { kind: 'taxa', taxa: [taxon.id] } };
}

function near(text: string, key: Key): string {
  const known = new Set([...key.couplets.keys()]);
  for (const { id, name } of key.taxa.values()) known.add(name).add(id);
  // A name and its id say the same.
  const seen = new Set<string>();
  const found = nearestFew(text, known, MANY * 2).filter((word) => {
    const said = word.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');
    return seen.has(said) ? false : seen.add(said);
  });
  return found.length === 0 ? '' : `; did you mean ${listed(found.slice(0, MANY), 'or')}?`;
}

/** The end of a lead as a person would type it; empty when it has none. */
export function typedForm({ end }: Lead, key: Key): string {
  if (end.kind === 'couplet') return end.couplet;
  if (end.kind === 'key') return `key ${end.key}${end.at === undefined ? '' : ` at ${end.at}`}`;
  return end.taxa.map((id) => key.taxa.get(id)?.name ?? id).join(', ');
}

/** The rank that the form of a name shows. */
export function rankOf(name: string): string | undefined {
  const read = readScientific(name);
  return read?.form === 2 && name.includes(' ') ? read.rank : undefined;
}
