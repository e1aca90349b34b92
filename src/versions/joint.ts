/** Two versions of a key brought onto the same characters, so that their finds can be compared. */

import type { Correspondences } from '../correspondences/check.js';
import { type CompiledKey, compile } from '../engine/compile.js';
import type { Chain } from '../key/chain.js';
import { type CharacterChange, MergedCharacters, type StateOfBoth } from './merged-characters.js';
import { type CoupletPair, pairCouplets } from './pairs.js';
import { Questions, type UnconditionedCouplet } from './questions.js';
import { MatchedTaxa } from './taxa.js';

/** Two versions over the same characters. */
export interface JoinedVersions {
  /** The versions as they are. */
  readonly oldChain: Chain;
  readonly newChain: Chain;
  /** The versions with the characters of both. */
  readonly old: CompiledKey;
  readonly now: CompiledKey;
  readonly same: MatchedTaxa;
  readonly pairs: readonly CoupletPair[];
  readonly changes: readonly CharacterChange[];
  /** Characters with another id and otherwise the same: old id to new id. */
  readonly renamed: ReadonlyMap<string, string>;
  /** By joint id: the id in the old and in the new key. */
  readonly ids: ReadonlyMap<string, { readonly old?: string; readonly now?: string }>;
  /** By joint id, where a file says which states are which: the state of either key that each joint state is. */
  readonly stateIds: ReadonlyMap<string, readonly StateOfBoth[]>;
  readonly questions: ReadonlyMap<string, UnconditionedCouplet>;
  /** By side, the couplets that have conditions here which stand in the other version only. */
  readonly borrowed: { readonly old: ReadonlySet<number>; readonly now: ReadonlySet<number> };
  /** Leads with a condition now that had none, and the other way round. */
  readonly coded: { readonly gained: readonly string[]; readonly lost: readonly string[] };
}

/** Brings two versions of a key onto the same characters; with a file, two keys of different authors. */
export function joinVersions(oldChain: Chain, newChain: Chain, file?: Correspondences): JoinedVersions {
  const plain = [compile(oldChain), compile(newChain)] as const;
  const same = (old: CompiledKey, now: CompiledKey) => new MatchedTaxa(old, now, sameTaxa(file, oldChain));
  const pairs = pairCouplets(plain[0], plain[1], same(plain[0], plain[1]));
  const merged = new MergedCharacters(oldChain, newChain, file);
  const questions = new Questions(plain[0], plain[1], pairs);
  const characters = new Map([...merged.characters, ...questions.characters]);
  const rewritten = (chain: Chain, side: 'old' | 'now'): Chain => ({
    ...chain,
    characters,
    nodes: chain.nodes.map((node, i) => ({
      ...node,
      couplet: {
        ...node.couplet,
        leads: node.couplet.leads.map((lead, l) =>
          questions.rewrite(merged.rewrite(lead, side), side, i, l, merged),
        ),
      },
    })),
  });
  const old = compile(rewritten(oldChain, 'old'));
  const now = compile(rewritten(newChain, 'now'));
  return {
    oldChain,
    newChain,
    old,
    now,
    same: same(old, now),
    pairs,
    changes: merged.changes,
    renamed: merged.renamed,
    ids: merged.ids,
    stateIds: merged.stateIds,
    questions: questions.all,
    borrowed: questions.borrowed,
    coded: questions.coded,
  };
}

/** By id of a taxon in the old key, the one of the new key that a person has confirmed to be it. */
function sameTaxa(file: Correspondences | undefined, old: Chain): ReadonlyMap<string, string> {
  const same = file?.taxa.filter((t) => t.confirmed && t.how === 'same') ?? [];
  return new Map(same.map(({ from, to }) => (file?.from === old ? [from.id, to.id] : [to.id, from.id])));
}
