import { reserved } from '../../key/conditions.js';
import { flowList, flowMap, oneOrList, wordScalar as text } from '../../key/scalars.js';
import { STAND_IN } from '../../key/stand-ins.js';
import { Ids, slug } from '../../text/slug.js';
import { capital, listed } from '../../text/words.js';

/** A character that the author has thought of. */
interface SkeletonCharacter {
  readonly name: string;
  /** Two or more, in words. */
  readonly states: readonly string[];
}

/** What is known of a key before it is written. */
export interface SkeletonInput {
  readonly id: string;
  readonly title: string;
  readonly group?: string;
  readonly regions: readonly string[];
  readonly characters: readonly SkeletonCharacter[];
  /** The words of the first two leads. */
  readonly leads?: readonly [string, string];
  readonly author?: string;
  /** An SPDX name; without one the author has still to choose. */
  readonly licence?: string;
  /** The day on which it is begun, as `2026-11-25`. */
  readonly date: string;
}

/** The character that stands in for those of the author. */
const EXAMPLE: SkeletonCharacter = { name: 'surface of the cap', states: ['smooth', 'scaly'] };

/**
 * Reads characters as a person writes them on one line: `spore print: white, rust; ring: present, absent`. What is wrong
 * is said in a sentence.
 */
export function readCharacterList(text: string): readonly SkeletonCharacter[] | string {
  const characters: SkeletonCharacter[] = [];
  const ids = new Set<string>();
  const own = new Ids('character');
  for (const part of text.split(';')) {
    if (part.trim() === '') continue;
    const [name = '', ...rest] = part.split(':');
    const states = rest
      .join(':')
      .split(',')
      .map((s) => s.trim())
      .filter((s) => s !== '');
    const said = name.trim();
    if (slug(said) === '')
      return `a character needs a name before its colon, such as "ring: present, absent"`;
    if (reserved.includes(slug(said)))
      return `a character cannot be called ${said}: the word joins conditions`;
    const id = own.of(said);
    if (ids.has(id)) return `the character ${said} is given twice`;
    ids.add(id);
    if (states.length < 2)
      return `the character ${said} needs two states or more after a colon, such as "${said}: present, absent"`;
    if (new Set(idsOf('state', states)).size < states.length) return `the states of ${said} must differ`;
    characters.push({ name: said, states });
  }
  return characters;
}

/**
 * The text of a new key file: sound, with comments that say what to do next. Lint finds nothing in it but the stand-ins
 * that are to be replaced, and what its author has left open.
 */
export function skeleton(input: SkeletonInput): string {
  const { title, id, date, author, group, regions, licence } = input;
  const own = input.characters.length > 0 || input.leads !== undefined;
  const characters = named(own ? input.characters : [EXAMPLE]);
  const [first, second] = firstLeads(input.leads, characters);
  return `${[
    '# Lines that begin with # are for you and change nothing; STAND-IN marks what is to be replaced.',
    '# keywright lint checks this file, run tries it, print shows it on paper.',
    'keywright: 1',
    `id: ${text(id)}`,
    `title: ${text(title)}`,
    'version: 0.1.0                     # raise it with every change that can alter a result',
    `date: ${date}`,
    'language: en',
    ...(licence === undefined
      ? ['# licence: choose the terms on which others may pass it on, as an SPDX name, such as CC-BY-4.0']
      : [`licence: ${text(licence)}`]),
    `authors: [${text(author ?? STAND_IN.author)}]${author === undefined ? ` # ${STAND_IN.mark}` : ''}`,
    'sources:                           # books, papers and people that it rests on, each under a short id',
    '  own: {cite: own observations}',
    '',
    'scope:',
    `  group: ${text(group ?? STAND_IN.group)}${group === undefined ? ` # ${STAND_IN.mark}: what the key is for` : ''}`,
    `  regions: ${flowList(regions.length === 0 ? [STAND_IN.region] : regions.map(text))}${regions.length === 0 ? ` # ${STAND_IN.mark}: ISO 3166 or WGSRPD codes, such as GB-CMA` : ''}`,
    '  # months: [9, 10, 11]            when it can be used',
    '  # stages: [mature]               the ages that it can name',
    '  complete: false                  # true = it holds every taxon of the group in the regions',
    '  within: whole-group              # the taxon, below, that everything in it belongs to',
    '',
    '# What is looked at: each character has a name, and states or numbers.',
    ...(characters.length === 0
      ? [
          '# characters:',
          ...named([EXAMPLE])
            .flatMap(characterLines)
            .map((l) => `# ${l}`),
        ]
      : ['characters:']),
    ...(own ? [] : [`  # ${STAND_IN.mark}`]),
    ...characters.flatMap(characterLines),
    '  # A number: cap-width: {name: width of the cap, kind: measure, unit: cm}',
    '  # Also: look (how to look at it), tools, wait, effort, stages, perishable, applies-when.',
    '',
    '# Each couplet is a list of leads. `when` says for which finds a lead is; it ends in one of',
    '# to: 2 (a couplet), taxon: an-id (or a list of them), key: another-key.',
    'couplets:',
    '  1:',
    ...leadLines(first, 'first-taxon'),
    ...leadLines(second, 'second-taxon'),
    '',
    '# What it leads to. concern says what a taxon does to people: deadly, severe, upset, unknown or',
    '# none-recorded, with effect, onset and source.',
    'taxa:',
    '  whole-group: {name: all taxa of this key, rank: group, concern: {level: unknown}}',
    ...taxonLines('first-taxon', STAND_IN.names[0], first),
    ...taxonLines('second-taxon', STAND_IN.names[1], second),
    '',
    '# Words that not every reader knows.',
    '# glossary:',
    '#   decurrent: running down the stem',
  ].join('\n')}\n`;
}

function idsOf(kind: string, texts: readonly string[]): string[] {
  const ids = new Ids(kind);
  return texts.map((text) => ids.of(text));
}

/** A character with the ids that it and its states have. */
interface Named {
  readonly id: string;
  readonly name: string;
  readonly states: readonly string[];
  readonly ids: readonly string[];
}

function named(characters: readonly SkeletonCharacter[]): Named[] {
  const ids = idsOf(
    'character',
    characters.map((c) => c.name),
  );
  return characters.map((c, i) => ({ ...c, id: ids[i] ?? '', ids: idsOf('state', c.states) }));
}

function characterLines({ id, name, states, ids }: Named): string[] {
  const alike = ids.every((s, i) => s === states[i]);
  const written = alike
    ? flowList(ids.map(text))
    : flowMap(ids.map((s, i) => [text(s), text(states[i] as string)]));
  return [`  ${text(id)}:`, `    name: ${text(name)}`, `    states: ${written}`];
}

interface SkeletonLead {
  readonly words: string;
  /** What it asks, where that is known. */
  readonly asks: { readonly character: string; readonly states: readonly string[] } | undefined;
}

/** The two leads of the first couplet. Words of the author's own get the states that they name. */
function firstLeads(own: SkeletonInput['leads'], characters: readonly Named[]): [SkeletonLead, SkeletonLead] {
  if (own === undefined) {
    const { id, name, states, ids } = characters[0] ?? (named([EXAMPLE])[0] as Named);
    const lead = (from: number, to?: number): SkeletonLead => ({
      words: capital(`${name} ${listed(states.slice(from, to), 'or')}`),
      asks: { character: id, states: ids.slice(from, to) },
    });
    return [lead(0, 1), lead(1)];
  }
  for (const { id, states, ids } of characters) {
    const [a, b] = own.map((words) => ids.filter((_, i) => mentions(words, states[i] ?? ''))) as [
      string[],
      string[],
    ];
    if (a.length === 0 || b.length === 0 || a.some((s) => b.includes(s))) continue;
    const asks = (some: readonly string[]) => ({ character: id, states: some });
    return [
      { words: own[0], asks: asks(a) },
      { words: own[1], asks: asks(b) },
    ];
  }
  return [
    { words: own[0], asks: undefined },
    { words: own[1], asks: undefined },
  ];
}

function mentions(words: string, state: string): boolean {
  const escaped = state.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
  return new RegExp(`(?<![\\p{L}\\p{N}])${escaped}(?![\\p{L}\\p{N}])`, 'iu').test(words);
}

function leadLines({ words, asks }: SkeletonLead, taxon: string): string[] {
  return [
    `    - lead: ${text(words)}`,
    asks === undefined
      ? '      # when: {character: state}   with it the program can follow the lead by itself'
      : `      when: ${asked(asks)}`,
    `      taxon: ${taxon}`,
  ];
}

function taxonLines(id: string, name: string, { asks }: SkeletonLead): string[] {
  return [
    `  ${id}:`,
    `    name: ${name} # ${STAND_IN.mark}`,
    '    rank: species',
    '    within: whole-group',
    '    concern: {level: unknown}',
    ...(asks === undefined ? [] : [`    traits: ${asked(asks)}`]),
    '    sources: [own]',
  ];
}

function asked({ character, states }: NonNullable<SkeletonLead['asks']>): string {
  return flowMap([[text(character), oneOrList(states.map(text))]]);
}
