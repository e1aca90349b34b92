import type { Correspondences } from '../correspondences/check.js';
import type { CompiledCouplet, CompiledKey, CompiledLead } from '../engine/compile.js';
import type { Chain } from '../key/chain.js';
import type { Key, Scope, Taxon } from '../key/key.js';
import { isHarmful, severity } from '../key/severity.js';
import { defined } from '../text/optional.js';
import type { Character } from '../traits/character.js';
import { askedBy } from '../traits/check.js';
import type { Condition } from '../traits/condition.js';
import { compareFinds, type DiffLimits, type FindChanges } from './finds.js';
import { type JoinedVersions, joinVersions } from './joint.js';
import type { CharacterChange } from './merged-characters.js';
import { reachable, said } from './pairs.js';

/** A taxon in both versions. */
export interface TaxonPair {
  readonly was: Taxon;
  readonly is: Taxon;
}

/** A taxon that is keyed out by asking other characters than before. */
export interface PathChange extends TaxonPair {
  /** Names of characters that are asked on the ways to it, or no longer. */
  readonly nowAsked: readonly string[];
  readonly noLonger: readonly string[];
  /** The fewest couplets to it. */
  readonly steps: readonly [was: number, is: number];
}

/** A text that was reworded. */
export interface Reworded {
  /** What it is: `lead 3a`, `note of the key`. */
  readonly what: string;
  /** The earlier words. */
  readonly was: string;
  /** The later words. */
  readonly is: string;
}

/** A text that was reworded, and what else of it has changed. */
export interface RewordedText extends Reworded {
  /** Of a lead: whether its condition or its end has changed as well. Absent for all other texts. */
  readonly also?: readonly ('condition' | 'end')[];
}

/** One statement about what a key is made for. */
interface ScopeChange {
  readonly what: keyof Scope;
  readonly was: string;
  readonly is: string;
}

/** All that differs between two versions of a key. */
export interface KeyDiff {
  readonly old: Key;
  readonly now: Key;
  readonly joint: JoinedVersions;
  readonly concerns: readonly TaxonPair[];
  readonly added: readonly Taxon[];
  readonly gone: readonly Taxon[];
  /** The same taxon under another id or name. */
  readonly renamed: readonly TaxonPair[];
  readonly finds: FindChanges;
  readonly paths: readonly PathChange[];
  readonly scope: readonly ScopeChange[];
  readonly characters: readonly CharacterChange[];
  readonly charactersAdded: readonly Character[];
  readonly charactersGone: readonly Character[];
  /** Taxa with another description, with the characters that differ. */
  readonly described: readonly (TaxonPair & { readonly characters: readonly string[] })[];
  /** Taxa whose duties (protected and the like) have changed. */
  readonly duties: readonly TaxonPair[];
  /** Leads without a condition whose words have changed. */
  readonly wordsThatDecide: readonly Reworded[];
  /** Texts that were reworded. */
  readonly words: readonly RewordedText[];
}

/** Compares two versions of a key, each with the keys that it continues in; with a file, two keys of different authors. */
export function diffKeys(old: Chain, now: Chain, limits?: DiffLimits, file?: Correspondences): KeyDiff {
  const joint = joinVersions(old, now, file);
  const taxa = new TaxonChanges(joint);
  const { decide, rest } = rewordings(joint);
  const asked = (chain: Chain) => [...chain.characters.values()];
  const oldIds = new Set([...joint.ids.values()].flatMap((i) => (i.now === undefined ? (i.old ?? []) : [])));
  const newIds = new Set([...joint.ids.values()].flatMap((i) => (i.old === undefined ? (i.now ?? []) : [])));
  return {
    old: old.main,
    now: now.main,
    joint,
    concerns: taxa.concerns(),
    added: taxa.added(),
    gone: taxa.gone(),
    renamed: taxa.renamed(),
    finds: compareFinds(joint, limits),
    paths: pathChanges(joint),
    scope: scopeChanges(old.main.scope, now.main.scope),
    characters: joint.changes,
    charactersAdded: asked(now).filter((c) => newIds.has(c.id) && !old.characters.has(c.id)),
    charactersGone: asked(old).filter((c) => oldIds.has(c.id) && !now.characters.has(c.id)),
    described: taxa.described(),
    duties: taxa.duties(),
    wordsThatDecide: decide,
    words: rest,
  };
}

/** Whether anything has changed for people: more than words, numbers and the order in the file. */
export function changesSomething(diff: KeyDiff): boolean {
  const { coded } = diff.joint;
  return [
    diff.concerns,
    diff.added,
    diff.gone,
    diff.renamed,
    diff.finds.moved,
    diff.finds.undecided,
    diff.paths,
    diff.scope,
    diff.characters,
    diff.charactersAdded,
    diff.charactersGone,
    diff.described,
    diff.duties,
    diff.wordsThatDecide,
    coded.gained,
    coded.lost,
  ].some((list) => list.length > 0);
}

class TaxonChanges {
  readonly #old: ReadonlyMap<number, Taxon>;
  readonly #now: ReadonlyMap<number, Taxon>;
  readonly #ends: { readonly old: ReadonlySet<number>; readonly now: ReadonlySet<number> };
  readonly #both: readonly TaxonPair[];

  constructor(readonly joint: JoinedVersions) {
    const { old, now, same } = joint;
    const numbered = (key: CompiledKey) => new Map(key.taxa.map((t) => [same.numberOf(t), t]));
    const ends = (key: CompiledKey) =>
      new Set(
        reachable(key).flatMap((c) =>
          c.leads.flatMap((l) => l.taxa.map((t) => same.numberOf(key.taxa[t] as Taxon))),
        ),
      );
    this.#old = numbered(old);
    this.#now = numbered(now);
    this.#ends = { old: ends(old), now: ends(now) };
    this.#both = [...this.#old].flatMap(([number, was]) => {
      const is = this.#now.get(number);
      return is === undefined ? [] : [{ was, is }];
    });
  }

  added(): Taxon[] {
    return this.#sorted(this.#ends.now, this.#ends.old, this.#now);
  }

  gone(): Taxon[] {
    return this.#sorted(this.#ends.old, this.#ends.now, this.#old);
  }

  #sorted(of: ReadonlySet<number>, without: ReadonlySet<number>, taxa: ReadonlyMap<number, Taxon>): Taxon[] {
    return [...of]
      .filter((n) => !without.has(n))
      .map((n) => taxa.get(n) as Taxon)
      .sort((a, b) => severity(a) - severity(b));
  }

  renamed(): TaxonPair[] {
    return this.#both.filter(({ was, is }) => was.id !== is.id || was.name !== is.name);
  }

  /** Harm that is lowered first, the worst of it first. */
  concerns(): TaxonPair[] {
    const lowered = ({ was, is }: TaxonPair) => (severity(is) > severity(was) ? 0 : 1);
    return this.#both
      .filter(({ was, is }) => was.concern.level !== is.concern.level)
      .sort(
        (a, b) =>
          lowered(a) - lowered(b) ||
          Math.min(severity(a.was), severity(a.is)) - Math.min(severity(b.was), severity(b.is)),
      );
  }

  described(): (TaxonPair & { characters: string[] })[] {
    const { renamed } = this.joint;
    return this.#both.flatMap(({ was, is }) => {
      const before = new Map([...was.traits].map(([id, t]) => [renamed.get(id) ?? id, JSON.stringify(t)]));
      const ids = new Set([...before.keys(), ...is.traits.keys()]);
      const characters = [...ids].filter((id) => {
        const trait = is.traits.get(id);
        return before.get(id) !== (trait === undefined ? undefined : JSON.stringify(trait));
      });
      return characters.length === 0 ? [] : [{ was, is, characters }];
    });
  }

  duties(): TaxonPair[] {
    const kinds = (t: Taxon) =>
      t.duties
        .map((d) => d.kind)
        .sort()
        .join(' ');
    return this.#both.filter(({ was, is }) => kinds(was) !== kinds(is));
  }
}

/** What is asked on the paths to each taxon. */
class WaysToTaxa {
  readonly #asked = new Map<number, Set<string>>();
  readonly #steps = new Map<number, number>();

  constructor(key: CompiledKey, joint: JoinedVersions) {
    const sets: (Set<string> | undefined)[] = [];
    const depths: number[] = [];
    sets[key.start] = new Set();
    depths[key.start] = 1;
    for (const couplet of key.couplets) {
      const before = sets[couplet.index];
      if (before === undefined) continue;
      const depth = depths[couplet.index] ?? 1;
      const here = new Set([...before, ...couplet.leads.flatMap((l) => askedIn(l, key, joint))]);
      for (const lead of couplet.leads) {
        for (const taxon of lead.taxa) {
          const number = joint.same.numberOf(key.taxa[taxon] as Taxon);
          this.#asked.set(number, new Set([...(this.#asked.get(number) ?? []), ...here]));
          this.#steps.set(number, Math.min(this.#steps.get(number) ?? Infinity, depth));
        }
        if (lead.next < 0) continue;
        sets[lead.next] =
          sets[lead.next] === undefined ? here : new Set([...(sets[lead.next] ?? []), ...here]);
        depths[lead.next] = Math.min(depths[lead.next] ?? Infinity, depth + 1);
      }
    }
  }

  of(number: number): ReadonlySet<string> | undefined {
    return this.#asked.get(number);
  }

  steps(number: number): number {
    return this.#steps.get(number) ?? 0;
  }
}

/** With more couplets than this the characters on the paths are not gathered: the cost grows with their square. */
const MOST_WAYS = 3000;

function askedIn(lead: CompiledLead, key: CompiledKey, joint: JoinedVersions): string[] {
  if (lead.check === undefined) return [];
  return askedBy(lead.check).flatMap((c) => {
    const character = key.characters[c] as Character;
    return joint.questions.has(character.id) ? [] : [character.name];
  });
}

function pathChanges(joint: JoinedVersions): PathChange[] {
  if (Math.max(joint.old.couplets.length, joint.now.couplets.length) > MOST_WAYS) return [];
  const [before, after] = [new WaysToTaxa(joint.old, joint), new WaysToTaxa(joint.now, joint)];
  const done = new Set<number>();
  return joint.now.taxa
    .flatMap((is): PathChange[] => {
      const number = joint.same.numberOf(is);
      const [old, now] = [before.of(number), after.of(number)];
      if (old === undefined || now === undefined || done.has(number)) return [];
      done.add(number);
      const nowAsked = [...now].filter((c) => !old.has(c));
      const noLonger = [...old].filter((c) => !now.has(c));
      const steps = [before.steps(number), after.steps(number)] as const;
      if (nowAsked.length + noLonger.length === 0 && steps[0] === steps[1]) return [];
      return [{ was: joint.same.taxon(number), is, nowAsked, noLonger, steps }];
    })
    .sort((a, b) => (isHarmful(a.is.concern.level) ? 0 : 1) - (isHarmful(b.is.concern.level) ? 0 : 1));
}

function scopeChanges(old: Scope, now: Scope): ScopeChange[] {
  const text = (value: Scope[keyof Scope]): string =>
    Array.isArray(value)
      ? value.join(', ')
      : typeof value === 'boolean'
        ? value
          ? 'yes'
          : 'no'
        : String(value ?? '');
  const all: readonly (keyof Scope)[] = ['group', 'regions', 'months', 'stages', 'complete', 'within'];
  return all.flatMap((what) => {
    const [was, is] = [text(old[what]), text(now[what])];
    return was === is ? [] : [{ what, was, is }];
  });
}

/** Texts that differ: those of leads without a condition, and the rest. */
function rewordings(joint: JoinedVersions): { decide: Reworded[]; rest: RewordedText[] } {
  const decide: Reworded[] = [];
  const rest: RewordedText[] = [];
  const word = (
    list: RewordedText[],
    what: string,
    was: string | undefined,
    is: string | undefined,
    also?: RewordedText['also'],
  ) => {
    if ((was ?? '') !== (is ?? '')) list.push({ what, was: was ?? '', is: is ?? '', ...defined({ also }) });
  };
  const became = new Map(joint.pairs.map((pair) => [pair.old.index, pair.now.index]));
  const lead = (couplet: CompiledCouplet, index: number) => couplet.leads[index];
  for (const { old, now, leads } of joint.pairs)
    leads.forEach((other, own) => {
      const [a, b] = [lead(old, own), lead(now, other)];
      if (a === undefined || b === undefined) return;
      const bare = (l: CompiledLead) => l.check === undefined && !l.otherwise;
      const heard = said(a.lead.text) !== said(b.lead.text);
      const also = changedBesides([old, a], [now, b], joint, became);
      if (bare(a) && bare(b) && heard) word(decide, `lead ${b.label}`, a.lead.text, b.lead.text);
      else word(rest, `lead ${b.label}`, a.lead.text, b.lead.text, also);
      word(rest, `note of lead ${b.label}`, a.lead.note, b.lead.note);
    });
  const [old, now] = [joint.oldChain, joint.newChain];
  word(rest, 'title', old.main.title, now.main.title);
  word(rest, 'note of the key', old.main.note, now.main.note);
  word(rest, 'note of the scope', old.main.scope.note, now.main.scope.note);
  for (const [before, after] of sameCharacters(joint)) {
    const { id } = after;
    word(rest, `name of ${id}`, before.name, after.name);
    word(rest, `how to look at ${id}`, before.look, after.look);
  }
  const numbered = new Map(joint.old.taxa.map((t) => [joint.same.numberOf(t), t.id]));
  for (const taxon of joint.now.taxa) {
    // An id may have been given to another taxon, whose notes are no other words for those of the first.
    const before = old.taxa.get(numbered.get(joint.same.numberOf(taxon)) ?? '');
    const after = now.taxa.get(taxon.id) ?? taxon;
    if (before === undefined) continue;
    word(rest, `authority of ${after.name}`, before.authority, after.authority);
    word(rest, `note of ${after.name}`, before.note, after.note);
    word(rest, `effect of ${after.name}`, before.concern.effect, after.concern.effect);
    word(rest, `onset of ${after.name}`, before.concern.onset, after.concern.onset);
  }
  for (const [term, meaning] of now.main.glossary)
    word(rest, `meaning of ${term}`, old.main.glossary.get(term), meaning);
  for (const [term, meaning] of old.main.glossary)
    if (!now.main.glossary.has(term)) word(rest, `meaning of ${term}`, meaning, undefined);
  return { decide, rest };
}

/** What of a lead has changed besides its words. */
function changedBesides(
  [old, was]: readonly [CompiledCouplet, CompiledLead],
  [now, is]: readonly [CompiledCouplet, CompiledLead],
  joint: JoinedVersions,
  became: ReadonlyMap<number, number>,
): ('condition' | 'end')[] {
  const asks = ({ lead }: CompiledLead, couplet: CompiledCouplet, id: (id: string) => string): string =>
    // The meaning of `otherwise` depends on the other leads.
    lead.otherwise
      ? `otherwise ${couplet.leads.map((l) => conditionText(l.lead.when, id)).sort()}`
      : conditionText(lead.when, id);
  const ends = ({ taxa }: CompiledLead, key: CompiledKey): string =>
    taxa
      .map((t) => joint.same.numberOf(key.taxa[t] as Taxon))
      .sort((a, b) => a - b)
      .join();
  // What is called the same and cannot be compared is another character.
  const idNow = (id: string): string => {
    const own = joint.renamed.get(id) ?? id;
    return joint.ids.get(own)?.old === undefined ? `${id} (before)` : own;
  };
  const elsewhere =
    was.next < 0 && is.next < 0
      ? ends(was, joint.old) !== ends(is, joint.now)
      : was.next < 0 || is.next < 0 || became.get(was.next) !== is.next;
  return [
    ...(asks(was, old, idNow) === asks(is, now, (id) => id) ? [] : (['condition'] as const)),
    ...(elsewhere ? (['end'] as const) : []),
  ];
}

/** A condition as a text that is the same in whatever order its parts and states are written. */
function conditionText(condition: Condition | undefined, id: (id: string) => string): string {
  if (condition === undefined) return '';
  if (condition.kind === 'not') return `not (${conditionText(condition.part, id)})`;
  if (condition.kind !== 'test')
    return `${condition.kind} (${condition.parts.map((p) => conditionText(p, id)).sort()})`;
  const { allowed } = condition;
  const shown = allowed.kind === 'states' ? { ...allowed, states: [...allowed.states].sort() } : allowed;
  return JSON.stringify([id(condition.character), shown]);
}

/** The characters of both versions, those with another id among them. */
function sameCharacters({
  oldChain,
  newChain,
  renamed,
}: JoinedVersions): (readonly [Character, Character])[] {
  return [...oldChain.characters.values()].flatMap((before) => {
    const after = newChain.characters.get(renamed.get(before.id) ?? before.id);
    return after === undefined ? [] : [[before, after] as const];
  });
}
