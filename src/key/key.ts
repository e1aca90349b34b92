import type { Path, Place } from '../diagnostic/finding.js';
import type { Character, Figure } from '../traits/character.js';
import type { Allowed, Condition } from '../traits/condition.js';
import type { Numbers } from '../traits/notation.js';
import type { YamlText } from './document.js';

/** How bad the worst recorded effect of a taxon is, worst first; `unknown` is what is not recorded. */
export const concernLevels = ['deadly', 'severe', 'upset', 'unknown', 'none-recorded'] as const;
/** One of the levels of concern. */
export type ConcernLevel = (typeof concernLevels)[number];

/** The harm that is recorded of a taxon. */
export interface Concern {
  /** How bad it is. */
  readonly level: ConcernLevel;
  /** What it does; absent where not recorded. */
  readonly effect?: string;
  /** When it shows, in words; absent where not recorded. */
  readonly onset?: string;
  /** Who says so; absent where not recorded. */
  readonly source?: string;
}

/** A legal status to be checked: protected, notifiable or invasive. */
export interface Duty {
  /** What the status is. */
  readonly kind: 'protected' | 'notifiable' | 'invasive';
  /** Where and how it holds; absent where not said. */
  readonly note?: string;
}

/** What a taxon is described to show of one character. */
export type Trait =
  | {
      readonly kind: 'value';
      readonly allowed: Allowed;
      readonly usual?: Numbers['usual'];
      readonly partly: boolean;
    }
  | { readonly kind: 'inapplicable' };

export interface Taxon {
  readonly id: string;
  readonly name: string;
  readonly authority?: string;
  readonly rank?: string;
  readonly common: readonly string[];
  readonly within?: string;
  readonly concern: Concern;
  /** Whether the author wrote a concern; without one the level is `unknown`. */
  readonly concernStated: boolean;
  readonly alike: readonly string[];
  readonly traits: ReadonlyMap<string, Trait>;
  readonly synonyms: readonly string[];
  readonly duties: readonly Duty[];
  readonly frequency?: number;
  readonly habitat?: string;
  readonly months: readonly number[];
  readonly repeats: boolean;
  readonly sources: readonly string[];
  readonly figures: readonly Figure[];
  readonly note?: string;
  /** Set when something is wrong with what is said of it; its harm is then not known. */
  readonly unread?: true;
}

/** Where a lead ends: a couplet, one or more taxa, or another key. */
export type End =
  | { readonly kind: 'couplet'; readonly couplet: string }
  | { readonly kind: 'taxa'; readonly taxa: readonly string[] }
  | { readonly kind: 'key'; readonly key: string; readonly at?: string };

export interface Lead {
  /** a, b, c ... by order. */
  readonly letter: string;
  /** Its couplet and letter: `7b`. */
  readonly label: string;
  readonly text: string;
  readonly when?: Condition;
  readonly usually?: Condition;
  readonly otherwise: boolean;
  /** Set when the condition could not be read; nothing is known of the finds that take the lead then. */
  readonly unread?: true;
  readonly end: End;
  readonly reaches?: string;
  readonly note?: string;
  readonly figures: readonly Figure[];
  readonly path: Path;
}

export interface Couplet {
  readonly id: string;
  readonly leads: readonly Lead[];
}

/** What a key is made for. */
export interface Scope {
  readonly group?: string;
  readonly regions: readonly string[];
  readonly months: readonly number[];
  readonly stages: readonly string[];
  readonly complete: boolean;
  readonly within?: string;
  readonly note?: string;
}

export interface Source {
  readonly id: string;
  readonly cite: string;
  readonly pages?: string;
  readonly url?: string;
  readonly note?: string;
}

/** Characters and glossary shared by several keys. */
export interface Terms {
  readonly characters: ReadonlyMap<string, Character>;
  readonly glossary: ReadonlyMap<string, string>;
  readonly sources: readonly Source[];
  readonly yaml: YamlText;
}

/** What errors leave open of a key as a whole. */
export interface UnknownParts {
  /** Whether the couplet at which it starts is not there. */
  readonly start: boolean;
  /** Whether further leads may lead to a couplet, since one stands twice. */
  readonly ways: boolean;
  /** Whether a taxon may hold others, or be reached, without its being known. */
  readonly holders: boolean;
}

/** One key, checked and frozen. Characters include those of the shared terms it uses. */
export interface Key {
  readonly file: string;
  readonly id: string;
  readonly title: string;
  readonly version: string;
  readonly date?: string;
  readonly language?: string;
  readonly licence?: string;
  readonly authors: readonly string[];
  readonly sources: readonly Source[];
  readonly scope: Scope;
  readonly start: string;
  /** What errors leave unknown of the key as a whole, when it is checked in spite of them. */
  readonly unknown?: UnknownParts;
  readonly uses: readonly string[];
  readonly note?: string;
  readonly characters: ReadonlyMap<string, Character>;
  /** In the order of the file. */
  readonly couplets: ReadonlyMap<string, Couplet>;
  readonly taxa: ReadonlyMap<string, Taxon>;
  readonly glossary: ReadonlyMap<string, string>;
  readonly yaml: YamlText;
  /** Where a character is defined: in the key itself or in one of its terms files. */
  characterPlace(id: string): Place | undefined;
}

/** The label of a lead as keys usually write it: `7b`. */
export function leadLabel(couplet: string, letter: string): string {
  return couplet + letter;
}

/** The letter of the n-th lead (from 0): a ... z, then aa, ab ... */
export function leadLetter(index: number): string {
  const last = String.fromCharCode(97 + (index % 26));
  return index < 26 ? last : leadLetter(Math.floor(index / 26) - 1) + last;
}
