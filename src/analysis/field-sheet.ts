import { type Chain, nodeName } from '../key/chain.js';
import { listed } from '../text/words.js';
import type { Character, State } from '../traits/character.js';
import { charactersIn } from '../traits/condition.js';
import { charactersByUse } from './key-characters.js';
import { reachOf } from './key-paths.js';
import { minutesOf } from './next-characters.js';

/** One thing to note in the field. */
export interface SheetLine {
  readonly character: Character;
  /** The states that any of the keys knows. */
  readonly states: readonly State[];
  /** The couplets that ask it, `7` or `key-id/7`; empty when only descriptions use it. */
  readonly asked: readonly string[];
  /** How many couplets come before the one that asks it first. */
  readonly first: number;
  /** How many taxa are described by it. */
  readonly described: number;
}

/** Things to note at the same time, on the same specimens. */
interface SheetPart {
  readonly heading: string;
  readonly lines: readonly SheetLine[];
}

/** What to look at, before going out. */
export interface Sheet {
  readonly keys: readonly SheetKey[];
  /** Fresh first, then by age, then what takes its time. */
  readonly parts: readonly SheetPart[];
  readonly tools: readonly string[];
  /** The ages that some character needs. */
  readonly ages: readonly string[];
}

interface SheetKey {
  readonly id: string;
  readonly version: string;
  readonly title: string;
  readonly group: string | undefined;
  readonly note: string | undefined;
}

// What takes longer is not waited for in the field.
const LONG_WAIT = 60;

/** A field sheet for keys that will be used together: every character that one of their couplets or descriptions uses. */
export function sheetFor(chains: readonly Chain[]): Sheet {
  const lines = linesOf(chains);
  const parts = [
    {
      heading: 'At once, while it is fresh',
      lines: lines.filter((l) => l.character.perishable && !isSlow(l)),
    },
    ...byAge(lines.filter((l) => !l.character.perishable && !isSlow(l))),
    {
      heading: 'At home: what takes its time',
      lines: lines.filter(isSlow),
    },
  ].filter((p) => p.lines.length > 0);
  const used = lines.map((l) => l.character);
  return {
    keys: [...new Map(chains.flatMap((c) => c.keys).map((k) => [k.id, k])).values()].map((k) => ({
      id: k.id,
      version: k.version,
      title: k.title,
      group: k.scope.group,
      note: k.scope.note,
    })),
    parts,
    tools: [...new Set(used.flatMap((c) => c.tools))],
    ages: [...new Set(used.flatMap((c) => c.stages))].sort((a, b) => ageOrder(a) - ageOrder(b)),
  };
}

function isSlow({ character }: SheetLine): boolean {
  return minutesOf(character.wait) > LONG_WAIT;
}

/** The usual ages in their order; other words for ages come after them. */
const AGES = ['young', 'mature', 'old'];

function ageOrder(age: string): number {
  const at = AGES.indexOf(age);
  return at < 0 ? AGES.length : at;
}

/** Characters of any age first, then those of each age or ages. */
function byAge(lines: readonly SheetLine[]): SheetPart[] {
  const groups = new Map<string, SheetLine[]>([['', []]]);
  for (const line of lines) {
    const ages = listed(line.character.stages, 'or');
    groups.set(ages, [...(groups.get(ages) ?? []), line]);
  }
  return [...groups]
    .map(([ages, own]) => ({
      heading: ages === '' ? 'On specimens of any age' : `On ${ages} specimens`,
      lines: own,
      age: ages === '' ? -1 : ageOrder(own[0]?.character.stages[0] ?? ''),
    }))
    .sort((a, b) => a.age - b.age)
    .map(({ heading, lines: own }) => ({ heading, lines: own }));
}

/** The characters in use, those that keys ask earliest and most often first. */
function linesOf(chains: readonly Chain[]): SheetLine[] {
  const lines = new Map<string, { -readonly [K in keyof SheetLine]: SheetLine[K] }>();
  for (const chain of chains) {
    const name = (i: number) => nodeName(chain, i);
    const uses = charactersByUse(
      chain,
      () => true,
      name,
      reachOf(chain, () => true, name),
    );
    const used = new Set(
      uses.flatMap(({ character, asked, supports, described }) =>
        asked.length + supports.length + described > 0 ? [character.id] : [],
      ),
    );
    // What a character depends on has to be noted with it.
    for (const id of used) {
      const gate = chain.characters.get(id)?.appliesWhen;
      if (gate !== undefined) for (const on of charactersIn(gate)) used.add(on);
    }
    for (const { character, asked, first, described } of uses) {
      if (!used.has(character.id)) continue;
      const before = lines.get(character.id);
      if (before === undefined) {
        const { states } = character;
        lines.set(character.id, { character, states, asked, first: first ?? Infinity, described });
        continue;
      }
      const known = new Set(before.states.map((s) => s.id));
      before.states = [...before.states, ...character.states.filter((s) => !known.has(s.id))];
      before.asked = [...before.asked, ...asked.map((a) => (a.includes('/') ? a : `${chain.main.id}/${a}`))];
      before.first = Math.min(before.first, first ?? Infinity);
      before.described += described;
    }
  }
  return [...lines.values()].sort(
    (a, b) =>
      Number(b.asked.length > 0) - Number(a.asked.length > 0) ||
      (a.first === b.first ? 0 : a.first - b.first) ||
      b.asked.length - a.asked.length ||
      b.described - a.described,
  );
}

/** The columns of the empty table that `identify` reads: one row a specimen, a column a character. */
export function sheetColumns(sheet: Sheet): string[] {
  const fields = [
    'id',
    'specimen',
    'stage',
    'date',
    'place',
    'region',
    'by',
    'habitat',
    'note',
    'photographs',
  ];
  const characters = sheet.parts.flatMap((p) => p.lines.map((l) => l.character.id));
  // A character of that name is meant by the column, and the note of the field has to go elsewhere.
  return [...fields.filter((f) => !characters.includes(f)), ...characters];
}
