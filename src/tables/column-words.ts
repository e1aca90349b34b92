/** Names of columns as people write them: in capitals, with spaces, in the words of the key, with a unit in brackets. */
import { editDistance, nearest } from '../text/nearest.js';
import { normalized } from '../text/normalized.js';
import type { Character } from '../traits/character.js';
import { unitNamed } from '../traits/number-words.js';
import { findUnit, type Unit } from '../traits/units.js';
import type { Column, Field } from './field-names.js';

/** The names of fields: those that always mean one, and those that do unless the key has a character of that name. */
interface FieldNames {
  readonly fixed: Readonly<Record<string, Field>>;
  readonly overridable: Readonly<Record<string, Field>>;
}

/** Other words for fields that stand in many tables. */
const ALSO: Readonly<Record<string, string>> = { notes: 'note', remarks: 'note', comments: 'note' };

function also(name: string): string {
  const said = normalized(name);
  return Object.hasOwn(ALSO, said) ? (ALSO[said] ?? '') : '';
}

/** What the name of a column means that is none of the known names; `unknown` where that cannot be told for sure. */
export function columnLoosely(
  name: string,
  characters: ReadonlyMap<string, Character>,
  fields: FieldNames,
): Column {
  const wanted = joined(name);
  const own = fieldCalled(wanted, fields.fixed);
  if (own !== undefined) return own;
  const named = charactersCalled(wanted, characters);
  const [only, ...others] = named;
  if (only !== undefined && others.length === 0) return { kind: 'character', character: only, as: only.id };
  if (others.length > 0) return { kind: 'unknown', nearest: only?.id, mistyped: true };
  const field =
    fieldCalled(wanted, fields.overridable) ?? fieldCalled(joined(also(name)), fields.overridable);
  if (field !== undefined) return field;
  return withUnit(name, characters) ?? unknownColumn(name, characters, fields);
}

/** A name without what does not count: `Cap width`, `cap_width` and `CapWidth` are one. */
function joined(name: string): string {
  return normalized(name).replaceAll(' ', '');
}

function fieldCalled(wanted: string, names: Readonly<Record<string, Field>>): Column | undefined {
  const found = Object.entries(names).find(([known]) => joined(known) === wanted);
  return found === undefined ? undefined : { kind: 'field', field: found[1], as: found[0] };
}

/** The characters of that id; else those that the key calls so. */
function charactersCalled(wanted: string, characters: ReadonlyMap<string, Character>): Character[] {
  const all = [...characters.values()];
  const byId = all.filter((c) => joined(c.id) === wanted);
  return byId.length > 0 ? byId : all.filter((c) => joined(c.name) === wanted);
}

/** `cap-width (mm)`: the numbers below are in that unit. */
function withUnit(name: string, characters: ReadonlyMap<string, Character>): Column | undefined {
  const [, before, written = ''] = /^([^([]*[^([\s])\s*[([]([^()[\]]+)[)\]]$/.exec(name) ?? [];
  if (before === undefined) return undefined;
  const unit = unitCalled(written.trim().replace(/^in\s+(?=\S)/i, ''));
  const [only, ...others] = charactersCalled(joined(before), characters);
  if (unit === undefined || only === undefined || others.length > 0) return undefined;
  if (only.kind !== 'measure' || only.unit.dimension !== unit.dimension) return undefined;
  return { kind: 'character', character: only, as: `${only.id} in ${unit.id}`, unit };
}

function unitCalled(written: string): Unit | undefined {
  return findUnit(written) ?? findUnit(unitNamed(written) ?? '');
}

/**
 * A name that is not known. It is held for mistyped when it is a letter or two off a known name, or holds all words of a
 * character: an observation that is passed over may be the one that points to harm.
 */
function unknownColumn(
  name: string,
  characters: ReadonlyMap<string, Character>,
  { fixed, overridable }: FieldNames,
): Column {
  const fieldNames = [...Object.keys(fixed), ...Object.keys(overridable)];
  const near = nearest(name, [...characters.keys(), ...fieldNames]);
  const bare = name.replace(/\s*[([].*$/, '').replace(/[?:!.*]+$/, '');
  for (const { id, name: words } of characters.values())
    for (const known of [id, words])
      if (isNear(joined(bare), joined(known)) || holdsWords(name, known))
        return { kind: 'unknown', nearest: id, mistyped: true };
  const meant = fieldNames.filter((f) => (fixed[f] ?? overridable[f]) !== 'unused');
  const field = meant.find((f) => f.length > 3 && isNear(joined(bare), joined(f), 1));
  return { kind: 'unknown', nearest: field ?? near, mistyped: field !== undefined };
}

/** Whether two names differ in so few letters that one is the other mistyped; longer names may differ in two. */
function isNear(name: string, known: string, most = 2): boolean {
  if (name === known) return true;
  const [a, b] = [name.slice(0, 100), known.slice(0, 100)];
  const allowed = Math.min(a.length, b.length) < 6 ? 1 : most;
  return Math.min(a.length, b.length) > 2 && editDistance(a, b) <= allowed;
}

/** Whether a name holds all words of another that has several. */
function holdsWords(name: string, known: string): boolean {
  const words = normalized(known).split(' ');
  const own = new Set(normalized(name.replace(/[^\p{L}\p{N}\p{M}]+/gu, ' ')).split(' '));
  return words.length > 1 && words.every((w) => own.has(w));
}
