import { type Finding, hasErrors } from '../diagnostic/finding.js';
import { type CompiledKey, compile } from '../engine/compile.js';
import { loadChain } from '../key/chain.js';
import type { Concern, Duty } from '../key/key.js';
import { emptyShelf, type Shelf } from '../key/load.js';
import { meaningOf } from '../record/couplet-words.js';
import type { State } from '../traits/character.js';

/** Stands in no object: it keeps anything but what `loadKey` gave from being taken for a key. */
declare const opaque: unique symbol;

/** A taxon as the key describes it. */
export interface Taxon {
  /** As it stands in the key. */
  readonly id: string;
  /** The name without authority and qualifier. */
  readonly name: string;
  /** Absent where the author gives none, as for all optional texts. */
  readonly authority?: string;
  /** Such as `species`; absent where not stated. */
  readonly rank?: string;
  /** Common names; empty where none are stated. */
  readonly common: readonly string[];
  /** Other scientific names; empty where none are stated. */
  readonly synonyms: readonly string[];
  /** The id of the taxon that holds it; absent for one that stands on its own. */
  readonly within?: string;
  /** The worst recorded effect, its own or of what it holds; level `unknown` where nothing is recorded. */
  readonly concern: Concern;
  /** Legal statuses to be checked; empty says nothing of the law. */
  readonly duties: readonly Duty[];
  /** The ids of taxa it is easily taken for, as the author lists them. */
  readonly alike: readonly string[];
  /** How often it is met beside the others: a weight without unit; absent where not stated. */
  readonly frequency?: number;
  /** The months (1-12) in which it is found; empty where not stated. */
  readonly months: readonly number[];
  /** In words; absent where not stated. */
  readonly habitat?: string;
  /** Absent where there is none. */
  readonly note?: string;
}

/** A character that the key or its descriptions ask for. */
export interface Character {
  /** As it stands in tables. */
  readonly id: string;
  /** In words. */
  readonly name: string;
  /** Chosen from states, measured, or counted. */
  readonly kind: 'choice' | 'measure' | 'count';
  /** In the author's order; empty unless `kind` is `choice`. */
  readonly states: readonly State[];
  /** The UCUM code of the unit that numbers without one are in; undefined unless `kind` is `measure`. */
  readonly unit: string | undefined;
  /** Where and how to look; undefined where not stated. */
  readonly look: string | undefined;
  /** 1 (a glance) to 10. */
  readonly effort: number;
  /** The share of people (0-1) who read it right; undefined where not stated. */
  readonly reliability: number | undefined;
  /** Whether it must be seen on a fresh specimen. */
  readonly perishable: boolean;
  /** The ages that can show it; empty for any. */
  readonly stages: readonly string[];
}

/** One of the leads of a couplet. */
export interface Lead {
  /** `7b`; in a key that this one leads on to, `key-id/7b`. */
  readonly label: string;
  /** The words of the lead. */
  readonly text: string;
  /** Its condition in words; undefined where only a person can judge it. */
  readonly means: string | undefined;
  /** The name of the couplet it goes to; undefined at an end. */
  readonly to: string | undefined;
  /** The ids of the taxa it ends at; empty where it goes to a couplet. */
  readonly taxa: readonly string[];
}

/** A question of the key. */
export interface Couplet {
  /** `7`; in a key that this one leads on to, `key-id/7`. */
  readonly name: string;
  /** In the order of their letters. */
  readonly leads: readonly Lead[];
}

/** A key, with all that it continues in, ready to be used. It only comes from `loadKey` or `openKey`. */
export interface Key {
  /** Is not there: it keeps other objects from being taken for a key. */
  readonly [opaque]: never;
  /** Of the main key. */
  readonly id: string;
  /** Of the main key. */
  readonly title: string;
  /** Of the main key. */
  readonly version: string;
  /** The taxa of the key and of those it continues in, also groups at which no lead ends. */
  readonly taxa: readonly Taxon[];
  /** Of the key and of those it continues in. */
  readonly characters: readonly Character[];
  /** In an order in which every lead goes forward. */
  readonly couplets: readonly Couplet[];
}

/** A key, and everything that was found wrong; `key` is undefined when anything is an error. */
export interface Loaded {
  /** Ready to be used. */
  readonly key: Key | undefined;
  /** In the order of the text; empty where nothing is wrong. */
  readonly findings: readonly Finding[];
}

/** How a text of a key, or one that belongs to a key, is read. */
export interface TextOptions {
  /** The name of the text in findings, and what relative paths in it start from. Default `key.yaml`. */
  readonly file?: string;
  /** Where chained keys and shared terms are looked up. Default: nowhere, the key stands alone. */
  readonly shelf?: Shelf;
}

/**
 * Reads a key from its YAML text, with every key it continues in. Never throws for what the text contains: what is wrong
 * comes back as findings, each with line and column.
 */
export function loadKey(text: string, options: TextOptions = {}): Loaded {
  const { chain, findings } = loadChain(text, options.file ?? 'key.yaml', options.shelf ?? emptyShelf);
  return { key: chain === undefined || hasErrors(findings) ? undefined : keyOf(compile(chain)), findings };
}

const INNARDS = new WeakMap<Key, CompiledKey>();
const KEYS = new WeakMap<CompiledKey, Key>();

/** A compiled key as users see it; always the same one for the same. */
export function keyOf(compiled: CompiledKey): Key {
  const known = KEYS.get(compiled);
  if (known !== undefined) return known;
  const { id, title, version } = compiled.chain.main;
  let couplets: readonly Couplet[] | undefined;
  const key = Object.freeze({
    id,
    title,
    version,
    taxa: compiled.taxa,
    characters: charactersOf(compiled),
    get couplets() {
      couplets ??= coupletsOf(compiled);
      return couplets;
    },
  }) as unknown as Key;
  INNARDS.set(key, compiled);
  KEYS.set(compiled, key);
  return key;
}

/** What a key is compiled to. Throws a TypeError for what is no key of this library. */
export function compiledOf(key: Key): CompiledKey {
  const compiled = INNARDS.get(key);
  if (compiled === undefined) throw new TypeError('a key only comes from loadKey or openKey');
  return compiled;
}

function charactersOf({ characters }: CompiledKey): Character[] {
  return characters.map((c) => ({
    id: c.id,
    name: c.name,
    kind: c.kind,
    states: c.states,
    unit: c.kind === 'measure' ? c.unit.id : undefined,
    look: c.look,
    effort: c.effort,
    reliability: c.reliability,
    perishable: c.perishable,
    stages: c.stages,
  }));
}

function coupletsOf({ couplets, taxa, chain }: CompiledKey): Couplet[] {
  return couplets.map(({ name, leads }) => ({
    name,
    leads: leads.map(({ lead, label, next, taxa: ends }) => ({
      label,
      text: lead.text,
      means: lead.when === undefined ? undefined : meaningOf(lead.when, chain.characters),
      to: couplets[next]?.name,
      taxa: ends.flatMap((n) => taxa[n]?.id ?? []),
    })),
  }));
}
