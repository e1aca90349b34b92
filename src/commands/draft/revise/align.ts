/** Which taxa, characters and states of a table are which of a key. */
import { Failure } from '../../../diagnostic/failure.js';
import { type Data, type DataMap, namesOf } from '../../../key/document.js';
import { asMap } from '../../../key/fields.js';
import type { Key, Taxon, Trait } from '../../../key/key.js';
import { plainName } from '../../../key/taxon-names.js';
import { quoted } from '../../../text/harmless.js';
import { normalized } from '../../../text/normalized.js';
import type { Character, State } from '../../../traits/character.js';
import type { TaxaTable } from '../table.js';

/** A state that the key does not have yet. */
interface NewState extends State {
  readonly character: string;
}

/** A table in the terms of a key, and what of it the key does not have. */
export interface Alignment {
  /** By id in the table, the id in the key. New ones are called in the key as in the table. */
  readonly characters: ReadonlyMap<string, string>;
  readonly taxa: ReadonlyMap<string, string>;
  readonly newCharacters: readonly Character[];
  /** Characters that the key describes and the table no longer has. */
  readonly goneCharacters: readonly Character[];
  readonly newStates: readonly NewState[];
  /** States with another name: they keep their id in the key. */
  readonly renamedStates: readonly NewState[];
  readonly newTaxa: readonly Taxon[];
  readonly goneTaxa: readonly Taxon[];
  /** What was taken to be the same though its name is another, in sentences. */
  readonly said: readonly string[];
  /** The fields of the table, in the terms of the key. */
  readonly data: DataMap;
}

/** Says what of a table is what of a key. Throws a Failure where a column and its character cannot be brought together. */
export function align(key: Key, table: TaxaTable): Alignment {
  return new Aligner(key, table).align();
}

class Aligner {
  readonly #characters = new Map<string, string>();
  readonly #taxa = new Map<string, string>();
  /** By character of the key: by state of the table, the state of the key. */
  readonly #states = new Map<string, Map<string, string>>();
  readonly #newStates: NewState[] = [];
  readonly #renamedStates: NewState[] = [];
  readonly #said: string[] = [];

  constructor(
    readonly key: Key,
    readonly table: TaxaTable,
  ) {}

  align(): Alignment {
    const { key, table } = this;
    const own = this.table.key;
    pair([...own.characters.values()], [...key.characters.values()], this.#characters, [
      (c) => [c.id],
      (c) => [normalized(c.name)],
    ]);
    pair([...own.taxa.values()], [...key.taxa.values()], this.#taxa, [
      (t) => [`${t.id} ${plainName(t.name)}`],
      (t) => [plainName(t.name)],
      (t, side) => (side === 'now' ? t.synonyms.map(plainName) : [plainName(t.name)]),
      (t, side) => (side === 'now' ? [plainName(t.name)] : t.synonyms.map(plainName)),
      (t) => [t.id],
    ]);
    for (const [now, was] of this.#characters) this.#sameKind(now, was);
    for (const [now, was] of this.#characters) this.#pairStates(now, was);
    this.#renamedColumns();
    this.#renamedTaxa();
    const used = new Set(this.#characters.values());
    const taken = new Set(this.#taxa.values());
    const described = new Set([...key.taxa.values()].flatMap((t) => [...t.traits.keys()]));
    const fresh = [...own.characters.values()].filter((c) => !this.#characters.has(c.id));
    const newTaxa = [...own.taxa.values()].filter((t) => !this.#taxa.has(t.id));
    for (const { id } of fresh) this.#characters.set(id, unused(id, key.characters));
    for (const { id } of newTaxa) this.#taxa.set(id, unused(id, key.taxa));
    return {
      characters: this.#characters,
      taxa: this.#taxa,
      newCharacters: fresh,
      goneCharacters: [...key.characters.values()].filter((c) => !used.has(c.id) && described.has(c.id)),
      newStates: this.#newStates,
      renamedStates: this.#renamedStates,
      newTaxa,
      // What the key does not describe was never drafted: its author has added it.
      goneTaxa: [...key.taxa.values()].filter((t) => !taken.has(t.id) && t.traits.size > 0),
      said: this.#said,
      data: this.#translated(table.data),
    };
  }

  #sameKind(now: string, was: string): void {
    const [a, b] = [this.table.key.characters.get(now), this.key.characters.get(was)];
    if (a === undefined || b === undefined) return;
    const numbers = (c: Character) => c.kind !== 'choice';
    if (numbers(a) !== numbers(b))
      throw new Failure(
        `${this.table.file} has ${numbers(a) ? 'numbers' : 'states'} for ${quoted(b.name)}, and ${this.key.file} ${numbers(b) ? 'numbers' : 'states'}`,
        { hint: 'rename the column, so that it is a new character, or change the key' },
      );
    if (numbers(a) && a.unit.id !== '1' && a.unit.dimension !== b.unit.dimension)
      throw new Failure(
        `${quoted(a.name)} is in ${a.unit.id} in ${this.table.file}, and ${b.unit.id === '1' ? 'has no unit' : `is in ${b.unit.id}`} in ${this.key.file}`,
        { hint: 'give both the same unit' },
      );
  }

  #pairStates(now: string, was: string): void {
    const [a, b] = [this.table.key.characters.get(now), this.key.characters.get(was)];
    if (a === undefined || b === undefined || a.kind !== 'choice' || b.kind !== 'choice') return;
    const same = new Map<string, string>();
    pair(a.states, b.states, same, [
      (s) => [s.id],
      (s) => [normalized(s.meaning)],
      (s, side) => [normalized(side === 'now' ? s.meaning : s.id)],
    ]);
    const left = a.states.filter((s) => !same.has(s.id));
    const free = b.states.filter((s) => ![...same.values()].includes(s.id));
    const showing = (
      taxa: Iterable<Taxon>,
      character: string,
      state: string,
      id: (t: Taxon) => string | undefined,
    ) =>
      [...taxa]
        .filter((t) => statesOf(t.traits.get(character)).includes(state) && id(t) !== undefined)
        .map((t) => id(t))
        .sort()
        .join();
    const back = new Set(this.#taxa.values());
    const nowBy = left.map((s) =>
      showing(this.table.key.taxa.values(), now, s.id, (t) => this.#taxa.get(t.id)),
    );
    const wasBy = free.map((s) =>
      showing(this.key.taxa.values(), was, s.id, (t) => (back.has(t.id) ? t.id : undefined)),
    );
    left.forEach((state, i) => {
      const marks = nowBy[i] as string;
      const at = wasBy.indexOf(marks);
      const only =
        marks !== '' &&
        at >= 0 &&
        wasBy.lastIndexOf(marks) === at &&
        nowBy.indexOf(marks) === nowBy.lastIndexOf(marks);
      const old = only ? free[at] : undefined;
      if (old === undefined) {
        const id = unused(state.id, b.stateIndex);
        same.set(state.id, id);
        this.#newStates.push({ ...state, id, character: was });
        return;
      }
      same.set(state.id, old.id);
      this.#renamedStates.push({ id: old.id, meaning: state.meaning, character: was });
      this.#said.push(
        `${quoted(state.meaning)} of ${b.name} is taken to be ${quoted(old.meaning)} under another name, since the same taxa show it; it is still called ${old.id}`,
      );
    });
    this.#states.set(was, same);
  }

  /** A column with another heading whose cells say the same of every taxon is the same character. */
  #renamedColumns(): void {
    const used = new Set(this.#characters.values());
    const left = [...this.table.key.characters.values()].filter((c) => !this.#characters.has(c.id));
    const free = [...this.key.characters.values()].filter((c) => !used.has(c.id));
    const both = [...this.#taxa].flatMap(([now, was]) => {
      const [a, b] = [this.table.key.taxa.get(now), this.key.taxa.get(was)];
      return a === undefined || b === undefined ? [] : [[a, b] as const];
    });
    const nowBy = left.map((c) => both.map(([a]) => markOf(a.traits.get(c.id))).join('\n'));
    const wasBy = free.map((c) => both.map(([, b]) => markOf(b.traits.get(c.id))).join('\n'));
    left.forEach((character, i) => {
      const marks = nowBy[i] as string;
      const at = wasBy.indexOf(marks);
      const old = free[at];
      const telling = new Set(marks.split('\n').filter((m) => m !== '')).size > 1;
      if (old === undefined || !telling || old.kind !== character.kind) return;
      if (wasBy.lastIndexOf(marks) !== at || nowBy.indexOf(marks) !== nowBy.lastIndexOf(marks)) return;
      this.#characters.set(character.id, old.id);
      this.#sameKind(character.id, old.id);
      this.#pairStates(character.id, old.id);
      this.#said.push(
        `column ${quoted(character.name)} is taken to be ${quoted(old.name)} under another name, since it says the same of every taxon; the key calls it ${quoted(old.name)} still`,
      );
    });
  }

  /** A row with another name that says just the same is the same taxon. */
  #renamedTaxa(): void {
    const used = new Set(this.#taxa.values());
    const left = [...this.table.key.taxa.values()].filter((t) => !this.#taxa.has(t.id) && t.traits.size > 0);
    const free = [...this.key.taxa.values()].filter((t) => !used.has(t.id) && t.traits.size > 0);
    const shared = [...this.#characters];
    const mark = (t: Taxon, now: boolean) =>
      shared
        .map(([a, b]) => markOf(t.traits.get(now ? a : b), now ? this.#states.get(b) : undefined))
        .join('\n');
    const nowBy = left.map((t) => mark(t, true));
    const wasBy = free.map((t) => mark(t, false));
    left.forEach((taxon, i) => {
      const at = wasBy.indexOf(nowBy[i] as string);
      const old = free[at];
      if (old === undefined || wasBy.lastIndexOf(nowBy[i] as string) !== at) return;
      if (nowBy.indexOf(nowBy[i] as string) !== nowBy.lastIndexOf(nowBy[i] as string)) return;
      this.#taxa.set(taxon.id, old.id);
      this.#said.push(
        `${taxon.name} is taken to be ${old.name} under another name, since its row says the same; it is still called ${old.id}`,
      );
    });
  }

  #translated(data: DataMap): DataMap {
    const taxa: Record<string, Data> = Object.create(null);
    for (const id of namesOf(asMap(data.taxa))) {
      const fields = { ...asMap(asMap(data.taxa)[id]) } as Record<string, Data>;
      const known = (name: Data): Data => (typeof name === 'string' ? (this.#taxa.get(name) ?? name) : name);
      if (fields.within !== undefined) fields.within = known(fields.within);
      if (Array.isArray(fields.alike)) fields.alike = (fields.alike as Data[]).map(known);
      if (fields.traits !== undefined) fields.traits = this.traits(asMap(fields.traits));
      taxa[this.#taxa.get(id) ?? id] = fields;
    }
    const characters: Record<string, Data> = Object.create(null);
    for (const [id, defined] of Object.entries(asMap(data.characters))) {
      const fields = { ...asMap(defined) } as Record<string, Data>;
      const gate = fields['applies-when'];
      if (gate !== undefined) fields['applies-when'] = this.#condition(gate);
      characters[this.#characters.get(id) ?? id] = fields;
    }
    return { ...data, taxa, characters };
  }

  #condition(data: Data): Data {
    if (Array.isArray(data)) return data.map((d) => this.#condition(d as Data));
    const out: Record<string, Data> = Object.create(null);
    for (const [name, value] of Object.entries(asMap(data))) {
      if (name === 'any' || name === 'all' || name === 'not') out[name] = this.#condition(value as Data);
      else Object.assign(out, this.traits({ [name]: value as Data }));
    }
    return out;
  }

  traits(written: DataMap): DataMap {
    const out: Record<string, Data> = Object.create(null);
    for (const [id, value] of Object.entries(written)) {
      const was = this.#characters.get(id) ?? id;
      const [a, b] = [this.table.key.characters.get(id), this.key.characters.get(was)];
      const states = this.#states.get(was);
      const unit = a?.unit.id;
      const other =
        unit !== undefined && unit !== '1' && b !== undefined && unit !== b.unit.id ? ` ${unit}` : '';
      const said = (part: Data): Data =>
        typeof part !== 'string' || part === '-'
          ? part
          : b?.kind === 'choice'
            ? (states?.get(part) ?? part)
            : /[\d).]$/.test(part)
              ? part + other
              : part;
      out[was] = Array.isArray(value) ? (value as Data[]).map(said) : said(value as Data);
    }
    return out;
  }
}

type Marks<T> = (one: T, side: 'now' | 'was') => readonly string[];

/** Pairs what has a mark in common, by one kind of mark after the other. */
function pair<T extends { readonly id: string }>(
  now: readonly T[],
  was: readonly T[],
  pairs: Map<string, string>,
  ways: readonly Marks<T>[],
): void {
  const taken = new Set(pairs.values());
  for (const marks of ways) {
    const waiting = new Map<string, string>();
    for (const one of was)
      if (!taken.has(one.id)) for (const mark of marks(one, 'was')) waiting.set(mark, one.id);
    for (const one of now) {
      if (pairs.has(one.id)) continue;
      const found = marks(one, 'now')
        .map((mark) => waiting.get(mark))
        .find((id) => id !== undefined && !taken.has(id));
      if (found === undefined) continue;
      pairs.set(one.id, found);
      taken.add(found);
    }
  }
}

function unused(id: string, taken: { has(id: string): boolean }): string {
  let free = id;
  for (let n = 2; taken.has(free); n++) free = `${id}-${n}`;
  return free;
}

function statesOf(trait: Trait | undefined): readonly string[] {
  return trait?.kind === 'value' && trait.allowed.kind === 'states' ? trait.allowed.states : [];
}

/** What a trait says, as a text that is the same where it says the same. */
export function markOf(trait: Trait | undefined, states?: ReadonlyMap<string, string>): string {
  if (trait === undefined) return '';
  if (trait.kind === 'inapplicable') return '-';
  const { allowed, usual, partly } = trait;
  const spans = (set: typeof usual) =>
    (set?.intervals ?? []).map((i) => `${i.low}${i.lowOpen}${i.high}${i.highOpen}`);
  const said =
    allowed.kind === 'states'
      ? allowed.states.map((s) => states?.get(s) ?? s).sort()
      : [...spans(allowed.set), '/', ...spans(usual)];
  return `${said.join()}${partly ? ' or not' : ''}`;
}
