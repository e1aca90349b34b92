import type { Taxon, Trait } from '../key/key.js';
import type { Character } from '../traits/character.js';
import { numbersApart } from '../traits/number-set.js';

/** Whether two taxa are described so that no find of one shows what the other shows of a character. */
export function traitsApart(a: Taxon, b: Taxon, character: Character): boolean {
  const x = a.traits.get(character.id);
  const y = b.traits.get(character.id);
  if (x === undefined || y === undefined) return false;
  if (x.kind === 'inapplicable' || y.kind === 'inapplicable')
    return x.kind !== y.kind && !partly(x) && !partly(y);
  if (x.partly && y.partly) return false;
  if (x.allowed.kind === 'numbers' && y.allowed.kind === 'numbers')
    return numbersApart(x.allowed.set, y.allowed.set);
  const shown = statesOf(x, character);
  return ![...statesOf(y, character)].some((s) => shown.has(s));
}

function partly(trait: Trait): boolean {
  return trait.kind === 'value' && trait.partly;
}

function statesOf(trait: Trait, character: Character): Set<string> {
  if (trait.kind !== 'value' || trait.allowed.kind !== 'states') return new Set();
  const { states, except } = trait.allowed;
  return new Set(character.states.map((s) => s.id).filter((id) => states.includes(id) !== except));
}
