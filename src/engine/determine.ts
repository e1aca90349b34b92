import type { Key } from '../key/key.js';
import { listed } from '../text/words.js';
import type { Collection } from '../traits/collection.js';
import type { CompiledKey } from './compile.js';
import { type Evidence, gather } from './evidence.js';
import { Walk } from './follow.js';
import type { Candidate, Outcome, Warning } from './outcome.js';
import { scopeWarnings } from './scope.js';
import { nameFor, severity, verdictOn } from './verdict.js';

/** What a collection was determined as with a key, and everything to know about it. */
export interface Determination extends Outcome {
  readonly collection: Collection;
  readonly key: CompiledKey;
  readonly evidence: Evidence;
  readonly warnings: readonly Warning[];
}

export interface DetermineOptions {
  /** How many slips away an end may be to be named as near. Default 1. */
  readonly slips?: number;
}

// When nothing is reached at all, the nearest ends are looked for this far away: more failing characters than any
// couplet path of a real key asks.
const FURTHEST = 1000;

/** Determines one collection: evidence, candidates, near ends, name, verdict, warnings. */
export function determine(
  key: CompiledKey,
  collection: Collection,
  options: DetermineOptions = {},
): Determination {
  const evidence = gather(key, collection);
  const walk = new Walk(key, evidence, options.slips ?? 1);
  let { candidates, near } = walk.results();
  if (candidates.length === 0 && near.length === 0)
    near = fewestSlips(new Walk(key, evidence, FURTHEST).results().near);
  near.sort((a, b) => a.slips - b.slips || severity(a.taxon) - severity(b.taxon));
  const mixed = evidence.disagree.length > 0 && fallApart(key, collection);
  const warnings: Warning[] = [...scopes(key, candidates, near, collection), ...evidence.warnings];
  if (mixed)
    warnings.push({
      kind: 'two-species',
      message: 'two species in one basket? the specimens run to different ends; determine them apart',
    });
  if (candidates.length === 0)
    warnings.push({
      kind: 'fits-nothing',
      message:
        'fits nothing in this key; look again at what speaks against the nearest ends, or try another key',
    });
  warnings.push(...harmfulNear(near, candidates), ...duties(candidates));
  return {
    collection,
    key,
    evidence,
    candidates,
    near,
    verdict: verdictOn(candidates),
    ...nameFor(candidates, key.chain.taxa, mixed),
    warnings,
  };
}

function fewestSlips(near: readonly Candidate[]): Candidate[] {
  const least = Math.min(...near.map((n) => n.slips));
  return near.filter((n) => n.slips === least);
}

/** Whether the specimens of a collection, each on its own, have no candidate in common. */
function fallApart(key: CompiledKey, collection: Collection): boolean {
  const specimens = new Set(collection.observations.flatMap((o) => o.specimen ?? []));
  let common: Set<string> | undefined;
  for (const specimen of specimens) {
    const observations = collection.observations.filter(
      (o) => o.specimen === undefined || o.specimen === specimen,
    );
    const walk = new Walk(key, gather(key, { ...collection, observations }), 0);
    const taxa = walk.results().candidates.map((c) => c.taxon.id);
    // A specimen that fits nothing says nothing about its being another species.
    if (taxa.length === 0) continue;
    const before: Set<string> | undefined = common;
    common = new Set(before === undefined ? taxa : taxa.filter((t) => before.has(t)));
  }
  return common !== undefined && common.size === 0;
}

/** Scope warnings of the main key and of every other key that an end lies in. */
function scopes(
  key: CompiledKey,
  candidates: readonly Candidate[],
  near: readonly Candidate[],
  collection: Collection,
): Warning[] {
  const { main, keys } = key.chain;
  if (keys.length === 1) return scopeWarnings(main, collection);
  const used = new Set([main.id, ...[...candidates, ...near].flatMap((c) => c.ends.map((e) => e.key))]);
  const seen = new Set<string>();
  return keys
    .filter((k: Key) => used.has(k.id))
    .flatMap((k: Key) => scopeWarnings(k, collection))
    .filter((w) => !seen.has(w.message) && seen.add(w.message));
}

/** The deadly or severe taxa that one wrong observation hides. */
function harmfulNear(near: readonly Candidate[], candidates: readonly Candidate[]): Warning[] {
  if (candidates.length === 0) return [];
  return near
    .filter(
      (n) => n.slips === 1 && (n.taxon.concern.level === 'deadly' || n.taxon.concern.level === 'severe'),
    )
    .map((n) => ({
      kind: 'harmful-near' as const,
      message: `${n.taxon.name} (${n.taxon.concern.level}) is one slip away: look again at ${listed([...n.recheck, ...n.reconsider.map((a) => `answer ${a}`)])}`,
      characters: n.recheck,
    }));
}

function duties(candidates: readonly Candidate[]): Warning[] {
  return candidates.flatMap(({ taxon }) =>
    taxon.duties.map((d) => ({
      kind: 'duty' as const,
      message: `${taxon.name} is recorded as ${d.kind}${d.note === undefined ? '' : ` (${d.note})`}; check your local rules`,
    })),
  );
}
