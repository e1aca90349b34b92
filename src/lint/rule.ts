import type { Finding, Level, Path, Related } from '../diagnostic/finding.js';
import type { Logic } from '../engine/logic.js';
import type { Chain } from '../key/chain.js';
import type { Key } from '../key/key.js';
import type { Example } from './example.js';

/** What a rule is about; `explain` and the author's screen list rules under these headings. */
export type RuleGroup =
  | 'structure'
  | 'logic'
  | 'descriptions'
  | 'wording'
  | 'terms and names'
  | 'scope'
  | 'safety'
  | 'comments'
  | 'the file';

/** One rule: its check and its page of the manual, which is also its test. */
export interface Rule {
  /** Says what should be true: `target-exists`. */
  readonly id: string;
  readonly group: RuleGroup;
  readonly level: Level;
  /** Off unless it is turned on. */
  readonly optional?: boolean;
  /** Whether a finding shows a specimen. */
  readonly witness?: boolean;
  /** What should be true, in one sentence. */
  readonly what: string;
  /** What goes wrong for a reader when it is not. */
  readonly why: string;
  /** The published source of the rule, `common practice, no source`, or `derivable`. */
  readonly source: string;
  /** How an author fixes it. */
  readonly fix: string;
  /** A small key on which the rule is silent. */
  readonly good: Example;
  /**
   * A small key with the fault. A comment `#! rule-id` marks each line on which a finding of this rule starts; other
   * rules may find things too.
   */
  readonly bad: Example;
  /** Missing for rules that the loader itself checks while it builds the key. */
  readonly check?: (context: RuleContext) => void;
}

/** What a finding says besides its place; the engine adds rule and level. */
export interface Said {
  readonly message: string;
  readonly side?: 'name' | 'value';
  readonly related?: readonly Related[];
  readonly witness?: string;
  readonly found?: string;
  readonly expected?: string;
  readonly fix?: NonNullable<Finding['fix']>;
  /** Overrides the rule's own level, for rules whose findings differ in weight. */
  readonly level?: Level;
}

/** What a rule may look at, and where it reports. */
export interface RuleContext {
  /** The key that is linted; its findings belong to its file. */
  readonly key: Key;
  /** The key with everything it continues in; undefined when it has a cycle or cannot be joined. */
  readonly chain: Chain | undefined;
  /**
   * The exact trait logic of the chain; undefined when there is no chain. Conditions that are proposed and not reviewed are
   * not known to it.
   */
  readonly logic: Logic | undefined;
  /** The logic of the chain with those conditions as they stand; undefined when there are none. */
  readonly asProposed?: Logic | undefined;
  /** Why a figure that a file names cannot be used; undefined when it can, or when nobody can look. */
  lacking(file: string, figure: string): string | undefined;
  /** Reports a finding at a path of the key's own file. */
  report(path: Path, said: Said): void;
  /** Reports a finding in another key of the chain. */
  reportIn(key: Key, path: Path, said: Said): void;
}

/** The source of the rules that follow from how a key is written in a file. */
export const FILE_FORMAT = 'common practice, no source (the file format of this program)';

/** A rule object with its fields checked by the compiler. */
export function rule(definition: Rule): Rule {
  return Object.freeze(definition);
}
