import type { Key, Taxon } from '../../key/key.js';

/** A taxon whose name is in a text. */
interface NamedTaxon {
  readonly taxon: Taxon;
  readonly name: string;
  readonly at: number;
}

type KnownNames = ReadonlyMap<string, readonly (readonly [name: string, taxon: Taxon])[]>;

const lists = new WeakMap<Key, KnownNames>();

/**
 * The first taxon of a key that a text names: by its scientific name (also `A. mellea`), or by a common name of two words
 * or more. Names of informal groups and common names of one word are everyday words.
 */
export function taxonNamedIn(text: string, key: Key): NamedTaxon | undefined {
  const names = namesOf(key);
  for (const word of text.matchAll(/(?<![\p{L}\p{N}-])\p{L}[\p{L}-]*/gu)) {
    const longest = (names.get(word[0]) ?? []).find(([name]) => isAt(text, word.index, name));
    if (longest !== undefined) return { taxon: longest[1], name: longest[0], at: word.index };
  }
  return undefined;
}

/** By their first word, the longest first. */
function namesOf(key: Key): KnownNames {
  const known = lists.get(key);
  if (known !== undefined) return known;
  const names = new Map<string, (readonly [string, Taxon])[]>();
  for (const taxon of key.taxa.values()) {
    for (const name of namesFor(taxon)) {
      const [first = ''] = /^[\p{L}-]+/u.exec(name) ?? [];
      const list = names.get(first);
      if (list === undefined) names.set(first, [[name, taxon]]);
      else list.push([name, taxon]);
    }
  }
  for (const list of names.values()) list.sort(([a], [b]) => b.length - a.length);
  lists.set(key, names);
  return names;
}

function namesFor(taxon: Taxon): string[] {
  const common = taxon.common.filter((c) => /\s/.test(c));
  if (taxon.rank === 'group' || !/^\p{Lu}(?:\p{Ll}{2}|\p{Ll}+ )/u.test(taxon.name)) return common;
  const [genus = '', epithet, ...rest] = taxon.name.split(' ');
  const short = epithet !== undefined && rest.length === 0 ? [`${genus[0]}. ${epithet}`] : [];
  return [taxon.name, ...short, ...common];
}

function isAt(text: string, at: number, name: string): boolean {
  return text.startsWith(name, at) && !/[\p{L}\p{N}-]/u.test(text[at + name.length] ?? ' ');
}
