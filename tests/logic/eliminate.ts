/**
 * "For some value of this character": the character is tried with one value for each way in which its tests can come
 * out, and what is left of the condition each time is joined by `any`.
 */
import { named, type Plain, type PlainCharacter, type Stretch } from './plain.js';
import { valueFits } from './points.js';

const TRUE: Plain = { op: 'all', parts: [] };
const FALSE: Plain = { op: 'any', parts: [] };

/** Where a find has a character or not, as a test of its own: it does not go away with what the character depends on. */
export const applicability = (character: string): Plain => ({
  op: 'states',
  character: `applies-${character}`,
  states: ['yes'],
  except: false,
});

/** The condition with what each character depends on written out beside its tests. */
export function explicit(plain: Plain, characters: ReadonlyMap<string, PlainCharacter>): Plain {
  if (plain.op === 'not') return { op: 'not', part: explicit(plain.part, characters) };
  if (plain.op === 'all' || plain.op === 'any')
    return { op: plain.op, parts: plain.parts.map((p) => explicit(p, characters)) };
  const applies = characters.get(plain.character)?.applies;
  return applies === undefined ? plain : { op: 'all', parts: [explicit(applies, characters), plain] };
}

/** What an explicit condition says of the other characters alone. */
export function eliminate(plain: Plain, gone: readonly PlainCharacter[]): Plain {
  let left = plain;
  for (const character of gone) {
    if (!named(left).has(character.id)) continue;
    const parts = new Map<string, Plain>();
    for (const value of valuesOf(character, left)) {
      const part = given(left, character.id, value);
      parts.set(
        JSON.stringify(part, (_, x) => (typeof x === 'bigint' ? String(x) : x)),
        part,
      );
    }
    left = joined('any', [...parts.values()]);
  }
  return left;
}

/** The condition for a find that shows a value. */
function given(plain: Plain, character: string, value: string | number): Plain {
  if (plain.op === 'not') {
    const part = given(plain.part, character, value);
    return isConstant(part) ? (part.op === 'all' ? FALSE : TRUE) : { op: 'not', part };
  }
  if (plain.op === 'all' || plain.op === 'any')
    return joined(
      plain.op,
      plain.parts.map((p) => given(p, character, value)),
    );
  if (plain.character !== character) return plain;
  return valueFits(plain, value) ? TRUE : FALSE;
}

const isConstant = (plain: Plain) => (plain.op === 'all' || plain.op === 'any') && plain.parts.length === 0;

/** `all` or `any` of parts, without those that say nothing. */
function joined(op: 'all' | 'any', parts: readonly Plain[]): Plain {
  if (parts.some((p) => isConstant(p) && p.op !== op)) return op === 'all' ? FALSE : TRUE;
  const left = parts.filter((p) => !isConstant(p));
  return left.length === 1 ? (left[0] as Plain) : { op, parts: left };
}

/** Values of a character among which is one for each way in which its tests can come out. */
function valuesOf(character: PlainCharacter, plain: Plain): (string | number)[] {
  if (character.kind === 'choice') return [...character.states];
  const ends = new Set([0]);
  const add = (all: readonly Stretch[]) => {
    for (const { low, high } of all)
      for (const end of [low, high]) if (end !== undefined) ends.add(Number(end.at) / 1e12);
  };
  add(character.limits);
  const walk = (p: Plain): void => {
    if (p.op === 'not') walk(p.part);
    else if (p.op === 'all' || p.op === 'any') p.parts.forEach(walk);
    else if (p.op === 'numbers' && p.character === character.id) add(p.stretches);
  };
  walk(plain);
  const sorted = [...ends].sort((a, b) => a - b);
  const values =
    character.kind === 'count'
      ? sorted.flatMap((n) => [n - 1, n, n + 1])
      : sorted.flatMap((n, i) => [n, (n + (sorted[i + 1] ?? n + 1)) / 2]);
  const possible: Plain = {
    op: 'numbers',
    character: character.id,
    stretches: character.limits,
    except: false,
  };
  return [...new Set(values)].filter((n) => valueFits(possible, n));
}
