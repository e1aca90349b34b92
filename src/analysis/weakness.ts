import { listed } from '../text/words.js';
import type { Character } from '../traits/character.js';

/** Read right less often than this, a character is weak evidence. */
export const FIRM = 0.9;

/**
 * Why a character is weak evidence by its nature, in words; empty when it is not: read right in fewer than
 * nine cases of ten, or a colour about which nothing is stated (light, rain and eyes differ), or soon lost.
 */
export function weaknesses(character: Character): readonly string[] {
  let why = WEAKNESSES.get(character);
  if (why === undefined) {
    why = weaknessesOf(character);
    WEAKNESSES.set(character, why);
  }
  return why;
}

const WEAKNESSES = new WeakMap<Character, readonly string[]>();

/**
 * Why no harm should depend on a character alone, in words; undefined when it is stated to be read right at least nine
 * times in ten, or nothing makes it weak.
 */
export function tooWeakForHarm(character: Character): string | undefined {
  if (character.reliability !== undefined)
    return character.reliability < FIRM
      ? `read right in ${percent(character.reliability)} of cases`
      : undefined;
  if (character.perishable) return 'perishable';
  if (character.stages.length > 0) return `shown only by ${character.stages.join(' or ')} specimens`;
  return isColour(character) ? 'a colour' : undefined;
}

function weaknessesOf(character: Character): string[] {
  const why: string[] = [];
  if (character.reliability !== undefined) {
    if (character.reliability < FIRM) why.push(`read right in ${percent(character.reliability)} of cases`);
  } else if (isColour(character)) why.push('a colour');
  if (character.perishable) why.push('soon lost');
  return why;
}

/**
 * Why a reading of a character is doubtful by the age of the specimen it was read from: the age is not
 * recorded, or is one that does not show it. `ages` are those of the specimens it was read from; undefined =
 * not recorded.
 */
export function ageDoubts(character: Character, ages: ReadonlySet<string | undefined>): string[] {
  if (
    character.stages.length === 0 ||
    [...ages].some((age) => age !== undefined && character.stages.includes(age))
  )
    return [];
  const shown = `shows on ${listed(character.stages, 'or')} specimens only`;
  const other = [...ages].filter((age) => age !== undefined).sort();
  return other.length === 0
    ? [`${shown}, and the age is not recorded`]
    : [`${shown}, and these are ${listed(other)}`];
}

/** Whether a character is a colour, by its name or id. */
export function isColour(character: Character): boolean {
  return /\bcolou?rs?\b|\bfarben?\b/i.test(`${character.name} ${character.id.replaceAll('-', ' ')}`);
}

function percent(part: number): string {
  return `${Math.round(part * 100)} %`;
}
