import { agesOf } from '../../engine/ages.js';
import type { OpenFind } from './find.js';

/** The specimens and ages that answers can be read from. */
export interface SpecimensView {
  /** The specimens named so far, and the next name to give. */
  readonly named: readonly string[];
  readonly next: string;
  /** The ages that the key knows. */
  readonly ages: readonly string[];
  /** What answers are read from now. */
  readonly now: { readonly specimen?: string; readonly stage?: string };
}

/** What answers can be read from. */
export function specimensView({ keying }: OpenFind): SpecimensView {
  const { collection, answers, readFrom } = keying;
  const named = [
    ...new Set(
      [
        ...collection.observations,
        ...collection.choices,
        ...answers,
        readFrom,
        ...(collection.photographs ?? []),
      ].flatMap((from) => from.specimen ?? []),
    ),
  ];
  return { named, next: nextName(named), ages: agesOf(keying.key), now: readFrom };
}

/** The first letter, then `a2` and so on, that no specimen is called by. */
function nextName(named: readonly string[]): string {
  for (let n = 0; ; n++) {
    const letter = String.fromCharCode(97 + (n % 26));
    const name = n < 26 ? letter : `${letter}${Math.floor(n / 26) + 1}`;
    if (!named.includes(name)) return name;
  }
}
