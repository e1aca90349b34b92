import type { Chain, Node } from '../key/chain.js';
import type { Character } from '../traits/character.js';
import { charactersIn } from '../traits/condition.js';
import { askedAtCouplet, type Reach } from './key-paths.js';

/** What a key does with a character. */
export interface CharacterUse {
  readonly character: Character;
  /** The couplets that ask it. */
  readonly asked: readonly string[];
  /**
   * How many couplets come before the one that asks it first, on the shortest path there; undefined when never asked.
   */
  readonly first: number | undefined;
  /** The couplets that name it as support only (`usually`). */
  readonly supports: readonly string[];
  /** How many taxa are described by it. */
  readonly described: number;
}

/** The characters of a key by use: those asked most often first, then by where they are first asked. */
export function charactersByUse(
  chain: Chain,
  counted: (node: Node) => boolean,
  name: (index: number) => string,
  { arrivals }: Reach,
): CharacterUse[] {
  const uses = new Map<
    string,
    { asked: string[]; first: number | undefined; supports: string[]; described: number }
  >();
  const of = (id: string) => {
    const known = uses.get(id);
    if (known !== undefined) return known;
    const made = { asked: [], first: undefined, supports: [], described: 0 };
    uses.set(id, made);
    return made;
  };
  const keys = new Set(chain.nodes.filter(counted).map((n) => n.key));
  for (const key of keys) {
    for (const id of key.characters.keys()) of(id);
    for (const taxon of key.taxa.values()) for (const id of taxon.traits.keys()) of(id).described++;
  }
  chain.nodes.forEach((node, i) => {
    const here = arrivals[i];
    if (here === undefined || !counted(node)) return;
    const asked = askedAtCouplet(node.couplet);
    for (const id of asked) {
      const use = of(id);
      use.asked.push(name(i));
      use.first = Math.min(use.first ?? Infinity, here.least);
    }
    const usual = node.couplet.leads.flatMap((l) => (l.usually === undefined ? [] : charactersIn(l.usually)));
    for (const id of new Set(usual)) if (!asked.includes(id)) of(id).supports.push(name(i));
  });
  return [...uses]
    .flatMap(([id, use]) => {
      const character = chain.characters.get(id);
      return character === undefined ? [] : [{ character, ...use }];
    })
    .sort((a, b) => b.asked.length - a.asked.length || (a.first ?? Infinity) - (b.first ?? Infinity) || 0);
}
