import type { Condition } from './condition.js';
import { withinLimits } from './notation.js';
import type { NumberSet } from './number-set.js';
import type { Unit } from './units.js';

/** One of the values of a character that is chosen, with what it means in words. */
export interface State {
  /** As it stands in keys and tables. */
  readonly id: string;
  /** In words. */
  readonly meaning: string;
}

/** A picture that belongs to a character, a lead or a taxon. */
export interface Figure {
  /** Its path from the file that names it. */
  readonly file: string;
  readonly caption: string;
  readonly by?: string;
}

/** A feature that is compared: chosen from states, measured, or counted. */
export interface Character {
  readonly id: string;
  readonly name: string;
  readonly kind: 'choice' | 'measure' | 'count';
  /** In the author's order; empty unless `kind` is choice. */
  readonly states: readonly State[];
  readonly stateIndex: ReadonlyMap<string, number>;
  readonly unit: Unit;
  /** Outside these numbers (in base units) a value is a typing mistake. */
  readonly limits?: NumberSet;
  /** Where this fails the character cannot exist on the find. */
  readonly appliesWhen?: Condition;
  readonly look?: string;
  readonly wait?: string;
  readonly tools: readonly string[];
  /** 1 = a glance ... 10. */
  readonly effort: number;
  /** How often people read it right, 0-1, where the author says so. */
  readonly reliability?: number;
  readonly perishable: boolean;
  /** The ages that can show it; empty = any. */
  readonly stages: readonly string[];
  readonly figures: readonly Figure[];
  /**
   * Set when something is wrong with its definition, or with one that it depends on; what asks it cannot be evaluated
   * then.
   */
  readonly unread?: true;
}

/** Every number that the character can show, in base units. */
export function numbersOf(character: Character): NumberSet {
  return withinLimits(character.limits, character.kind === 'count');
}

/** The name of a character by its id; the id itself where there is none. */
export function characterName(characters: ReadonlyMap<string, Character>, id: string): string {
  return characters.get(id)?.name ?? id;
}
