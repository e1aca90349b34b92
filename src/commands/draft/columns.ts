import type { Finding, Place } from '../../diagnostic/finding.js';
import type { Data } from '../../key/document.js';
import { quoted } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { normalized } from '../../text/normalized.js';
import { defined } from '../../text/optional.js';
import { Ids } from '../../text/slug.js';
import type { Character } from '../../traits/character.js';
import { readNumbers, seemsNumber } from '../../traits/notation.js';
import { findUnit, ONE } from '../../traits/units.js';
import type { Heading } from './heading.js';
import { holdNumbers, type PlacedCell, saidIn } from './placed-cell.js';

/** A column that holds a character. */
export interface CharacterColumn {
  readonly id: string;
  readonly head: PlacedCell;
  readonly heading: Heading;
  /** A cell a row. */
  readonly cells: readonly PlacedCell[];
  /** The character, where shared terms define it. */
  readonly known: Character | undefined;
}

/** What the columns say: characters as an author would define them, and by column and row what a taxon shows. */
interface ReadColumns {
  readonly characters: Record<string, Data>;
  readonly traits: readonly (readonly (Data | undefined)[])[];
}

type Wrong = (rule: string, message: string, place: Place, detail?: Partial<Finding>) => void;

/** Tells what kind of character each column holds, and what each cell says. */
export function characterColumns(
  columns: readonly CharacterColumn[],
  remarks: string[],
  wrong: Wrong,
): ReadColumns {
  const characters: Record<string, Data> = Object.create(null);
  const read = columns.map((column) => {
    if (column.known !== undefined) return { column, traits: knownTraits(column, column.known) };
    const { definition, traits } = inferred(column, remarks, wrong);
    if (definition !== undefined) characters[column.id] = definition;
    return { column, traits };
  });
  inferGates(read, characters, remarks);
  return { characters, traits: read.map((r) => r.traits) };
}

function asData(parts: readonly string[]): Data | undefined {
  return parts.length === 0 ? undefined : parts.length === 1 ? (parts[0] as string) : parts;
}

/** States may be written by their id or by their meaning. */
function knownTraits(column: CharacterColumn, character: Character): (Data | undefined)[] {
  const meant = (part: string): string => {
    if (part === '-' || character.kind !== 'choice' || character.stateIndex.has(part)) return part;
    const said = normalized(part);
    const { states } = character;
    const own = states.filter((s) => normalized(s.id) === said);
    const [state, ...others] = own.length > 0 ? own : states.filter((s) => normalized(s.meaning) === said);
    return state === undefined || others.length > 0 ? part : state.id;
  };
  // Terms may have another unit than the heading of the table.
  const unit = character.kind === 'measure' ? column.heading.unit : undefined;
  const other = unit !== undefined && unit.id !== character.unit.id ? unit.id : undefined;
  const inUnit = (part: string) => (other === undefined || !/[\d).]$/.test(part) ? part : `${part} ${other}`);
  return column.cells.map((cell) => asData(saidIn(cell).map((part) => inUnit(meant(part)))));
}

interface Inferred {
  readonly definition: Data | undefined;
  readonly traits: (Data | undefined)[];
}

function inferred(column: CharacterColumn, remarks: string[], wrong: Wrong): Inferred {
  const { name, unit } = column.heading;
  const parts = column.cells.map(saidIn);
  const values = parts.flat().filter((p) => p !== '-');
  if (values.length === 0) {
    remarks.push(`column ${quoted(column.head.text)} says nothing of any taxon`);
    return { definition: undefined, traits: parts.map(() => undefined) };
  }
  if (unit !== undefined || holdNumbers(column.cells)) return numbers(name, parts, unit?.id);
  if (values.some(seemsNumber)) {
    const at = column.cells.find((cell) => saidIn(cell).some(seemsNumber)) as PlacedCell;
    wrong(
      'column-kind',
      `column ${quoted(column.head.text)} holds words, and here a number: ${quoted(at.text)}`,
      at.place,
      { found: at.text, expected: 'a state in words' },
    );
  }
  return states(column, name, parts, remarks);
}

/** What cannot be read as a number is reported when the taxa are read. */
function numbers(
  name: string,
  parts: readonly (readonly string[])[],
  headUnit: string | undefined,
): Inferred {
  const values = parts.flat().filter((p) => p !== '-');
  const written = values.flatMap((v) => findUnit(/([a-zA-Zµμ%°]+)\s*$/u.exec(v)?.[1] ?? '')?.id ?? []);
  const unit = headUnit ?? written[0];
  const whole = unit === undefined && values.every((v) => readNumbers(v, { whole: true, unit: ONE }).ok);
  return {
    definition: whole
      ? { name, kind: 'count' }
      : { name, kind: 'measure', ...defined({ unit: unit === '1' ? undefined : unit }) },
    traits: parts.map(asData),
  };
}

const YES_NO: Readonly<Record<string, string>> = {
  yes: 'present',
  no: 'absent',
  true: 'present',
  false: 'absent',
};

/** States that are written as signs only: `+`, `++`, `±`, `(+)`. */
const SIGNS = /^[+±()\s]+$/;

/**
 * States in words or signs. `-` says that the character does not apply, as in every table, unless only `+` and the like stand
 * beside it: there it means what is not `+`, since a character with `+` alone would tell nothing.
 */
function states(
  column: CharacterColumn,
  name: string,
  parts: readonly (readonly string[])[],
  remarks: string[],
): Inferred {
  const values = parts.flat();
  const inSigns = values.includes('-') && values.every((v) => v === '-' || SIGNS.test(v));
  const ids = new Ids('state');
  if (values.includes('+')) ids.settle('+', inSigns ? 'present' : 'plus');
  if (inSigns) {
    ids.settle('-', 'absent');
    remarks.push(
      `"-" in column ${quoted(column.head.text)} is read as absent, since only "+" and the like stand beside it`,
    );
  } else if (values.includes('+') && values.includes('-'))
    remarks.push(
      `"-" in column ${quoted(column.head.text)} is read as "does not apply"; write absent where it means that`,
    );
  const meanings = new Map<string, string>();
  const uses = new Map<string, PlacedCell[]>();
  const traits = parts.map((list, r) =>
    asData(
      list.map((part) => {
        if (part === '-' && !inSigns) return part;
        const id = ids.of(part);
        if (!meanings.has(id)) meanings.set(id, meaningOf(id, part));
        const at = uses.get(id) ?? [];
        at.push(column.cells[r] as PlacedCell);
        uses.set(id, at);
        return id;
      }),
    ),
  );
  for (const [id, base] of ids.numbered)
    remarks.push(
      `${quoted(meanings.get(id) ?? id)} and ${quoted(meanings.get(base) ?? base)} of ${quoted(column.head.text)} are taken as two states, ${id} and ${base}`,
    );
  for (const [id, [only, ...others]] of uses) {
    if (only === undefined || others.length > 0) continue;
    const frequent = [...uses].filter(([other, at]) => other !== id && at.length > 1).map(([other]) => other);
    const near = id.length > 3 ? nearest(id, frequent) : undefined;
    if (near !== undefined && Math.abs(near.length - id.length) <= 1)
      remarks.push(
        `${quoted(meanings.get(id) ?? id)} of ${quoted(column.head.text)} stands once only (line ${only.place.start.line}); is it ${near}?`,
      );
  }
  const all = [...meanings];
  const plain = all.every(([id, meaning]) => id.replaceAll('-', ' ') === meaning);
  return {
    definition: { name, states: plain ? all.map(([id]) => id) : Object.fromEntries(all) },
    traits,
  };
}

function meaningOf(id: string, part: string): string {
  if (part === '+' || part === '-') return id === 'plus' ? part : id;
  return YES_NO[id] ?? (/^\p{Lu}\p{Ll}/u.test(part) ? lowered(part) : part);
}

function lowered(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}

interface ReadColumn {
  readonly column: CharacterColumn;
  readonly traits: readonly (Data | undefined)[];
}

/**
 * A character that does not apply to some taxa depends on another: the one of which those taxa show other states than
 * those that have it. Taken when one column alone can be meant, or when one has a word of its name.
 */
function inferGates(read: readonly ReadColumn[], characters: Record<string, Data>, remarks: string[]): void {
  for (const { column, traits } of read) {
    const definition = characters[column.id] as Record<string, Data> | undefined;
    if (definition === undefined) continue;
    const lacking = traits.flatMap((t, r) => (t === '-' ? [r] : []));
    const having = traits.flatMap((t, r) =>
      t !== undefined && t !== '-' && !statesIn(t).includes('-') ? [r] : [],
    );
    if (lacking.length === 0 || having.length === 0) continue;
    const gates = read.flatMap((other) => {
      if (other.column === column || !isChoice(characters[other.column.id])) return [];
      if (other.traits.some((t) => t === '-')) return [];
      const shownBy = (rows: readonly number[]) => new Set(rows.flatMap((r) => statesIn(other.traits[r])));
      const without = shownBy(lacking);
      const withIt = shownBy(having);
      const told = lacking.every((r) => other.traits[r] !== undefined);
      if (!told || withIt.size === 0 || [...withIt].some((s) => without.has(s))) return [];
      const words = other.column.id.split('-').filter((w) => w.length > 2);
      return [
        {
          id: other.column.id,
          states: [...withIt],
          named: words.some((w) => column.id.split('-').includes(w)),
        },
      ];
    });
    const named = gates.filter((g) => g.named);
    const gate = named.length === 1 ? named[0] : gates.length === 1 ? gates[0] : undefined;
    if (gate === undefined) continue;
    const shown = gate.states.length === 1 ? (gate.states[0] as string) : gate.states;
    definition['applies-when'] = { [gate.id]: shown };
    remarks.push(
      `${column.head.text} is taken to apply only where ${gate.id} is ${gate.states.join(' or ')}, since "-" stands in every other row`,
    );
  }
}

function isChoice(definition: Data | undefined): boolean {
  return typeof definition === 'object' && definition !== null && 'states' in definition;
}

function statesIn(data: Data | undefined): string[] {
  if (typeof data === 'string') return [data];
  return Array.isArray(data) ? data.filter((d): d is string => typeof d === 'string') : [];
}
