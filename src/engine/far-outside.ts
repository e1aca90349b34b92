import type { Taxon } from '../key/key.js';
import { listed } from '../text/words.js';
import { writeNumbers } from '../traits/notation.js';
import type { Interval, NumberSet } from '../traits/number-set.js';
import type { CompiledKey } from './compile.js';
import type { Evidence } from './evidence.js';
import type { Warning } from './outcome.js';

/*
 * A measure is far outside a description when it is more than twice the largest, or less than half of the smallest, that is described,
 * extremes included. Young, stunted and well-fed specimens leave what is described by less than that; a slip of a decimal
 * point or of a unit, or a species that the key does not hold, leaves it by more. The rule is of our own.
 */
const TIMES = 2;

const MEASURED = new WeakMap<CompiledKey, readonly number[]>();

/** The measures and counts that some taxon is described by. */
function measuredBy(key: CompiledKey): readonly number[] {
  let measured = MEASURED.get(key);
  if (measured === undefined) {
    measured = key.characters.flatMap(({ id, kind }, c) =>
      kind !== 'choice' && key.taxa.some((t) => describedBy(t, id) !== undefined) ? [c] : [],
    );
    MEASURED.set(key, measured);
  }
  return measured;
}

function describedBy({ traits }: Taxon, id: string): NumberSet | undefined {
  const trait = traits.get(id);
  return trait?.kind === 'value' && trait.allowed.kind === 'numbers' ? trait.allowed.set : undefined;
}

/**
 * Warns of what was measured far outside all that is described of what is possible. Where nothing is described, nothing is
 * said.
 */
export function warnFarOutside(
  key: CompiledKey,
  evidence: Evidence,
  possible: readonly Taxon[],
  warnings: Warning[],
): void {
  if (possible.length === 0) return;
  for (const c of measuredBy(key)) {
    const value = evidence.known[c];
    // What a person answered is as wide as the lead, and no measure.
    if (value?.kind !== 'numbers' || evidence.origins[c] !== undefined) continue;
    const character = key.characters[c] as (typeof key.characters)[number];
    const { id } = character;
    const described = possible.flatMap((taxon) => describedBy(taxon, id) ?? []);
    if (described.length === 0 || !described.every((set) => isOutside(value.set, set))) continue;
    const texts = [...new Set(described.map((set) => writeNumbers(set, character.unit)))];
    const all =
      possible.length === 1
        ? `what ${(possible[0] as Taxon).name} is described with`
        : described.length === possible.length
          ? 'what all that is possible is described with'
          : 'all that is described of what is possible';
    warnings.push({
      kind: 'far-outside',
      message: `the ${character.name} (${writeNumbers(value.set, character.unit)}) is far outside ${all} (${listed(texts.length > 3 ? texts.slice(0, 3) : texts, 'or')}${texts.length > 3 ? ' and more' : ''}): measure again, with the unit; or the find is not in this key`,
      characters: [character.id],
    });
  }
}

function isOutside({ intervals }: NumberSet, described: NumberSet): boolean {
  return intervals.some((seen) => isFar(seen, described));
}

function isFar(seen: Interval, { intervals }: NumberSet): boolean {
  return intervals.every((d) => seen.low > d.high * TIMES || seen.high < d.low / TIMES);
}
