import { quoted } from '../text/harmless.js';
import { listed } from '../text/words.js';
import { valueAt } from './data-path.js';
import type { SchemaName, SchemaPlace } from './schema-place.js';

// What is wanted at a place, by the name of its definition; elsewhere the kind of value is named.
const WANTED: Readonly<Record<string, string>> = {
  text: 'text',
  meaning: 'its meaning in words',
  keyId: 'one id',
  characterId: 'the id of one character',
  stateId: 'a state',
  taxonId: 'the id of one taxon',
  sourceId: 'the id of a source',
  coupletId: 'the number of one couplet',
  version: 'a version',
  date: 'a date',
  eventDate: 'a date',
  language: 'a language tag',
  licence: 'a licence name',
  url: 'a web address',
  duration: 'a time',
  region: 'a region code',
  month: 'the number of a month, 1 to 12',
  notation: 'a number or range',
  label: 'a number or word',
  leadLetter: 'the letter of a lead',
  wholeNumber: 'a whole number',
  sources: 'sources, each under its id',
  scope: 'lines such as "group:" and "regions:"',
  characters: 'characters, each under its id',
  couplets: 'couplets, each under its number',
  taxa: 'taxa, each under its id',
  concern: 'lines such as "level:" and "effect:"',
  glossary: 'terms, each with its meaning',
  couplet: 'a list of leads, each beginning with "- lead:"',
  lead: 'a lead: lines such as "lead:", "when:" and "to:"',
  condition: 'characters with what they must show, such as {ring: present}',
  test: 'a state, a list of states, a number or range, or {not: state}',
  traits: 'characters with what they show, such as {ring: present}',
  trait: 'a state, a list of states, or a number or range',
  character: 'a character: lines such as "name:" and "states:"',
  taxon: 'a taxon: lines such as "name:" and "rank:"',
  figure: 'a figure: the lines "file:" and "caption:"',
  figureFile: 'a picture beside this file or below it',
  source: 'a source: a line "cite:" and perhaps others',
  duty: 'a duty: the lines "kind:" and "note:"',
  collection: 'a collection: lines such as "id:", "date:" and "traits:"',
  specimen: 'a specimen: lines such as "id:", "stage:" and "traits:"',
  instant: 'a date and time',
  letterOrUnsure: 'the letter of a lead, or ?',
  conditionText: 'a condition in one line',
  determination: 'a determination: lines such as "program:", "key:" and "answers:"',
  keyMark: 'a key: the lines "id:", "version:", "title:" and "hash:"',
  answer: 'an answer: lines such as "couplet:", "lead:" and "at:"',
  droppedAnswer: 'an answer: lines such as "couplet:", "lead:" and "why:"',
  result: 'a result: lines such as "name:" and "verdict:"',
  verdict: 'a verdict: the lines "word:", "worst:" and "settled:"',
  keyOfPair: 'a key: the lines "key:" and "version:"',
  characterPair: 'a character: lines such as "is:" and "states:"',
  taxonPair: 'a taxon: one of the lines "same:", "within:" and "contains:"',
  counterparts: 'a state, or a list of states',
  taxaOfPair: 'the id of a taxon, or a list of ids',
  factor: 'a number above 0',
  confirmed: 'yes or no',
  setting: 'off, note, warning or error',
  accepted: 'an accepted finding: lines such as "rule:" and "reason:"',
};

const NOUNS: Readonly<Record<string, string>> = {
  characterId: 'a character',
  stateId: 'a state',
  taxonId: 'a taxon',
  sourceId: 'a source',
  coupletId: 'a couplet',
  coupletPlace: 'a couplet',
  glossaryTerm: 'a term',
};

const KINDS: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  integer: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  object: 'a map',
};

// Said only where no example shows it.
const HOW: Readonly<Record<string, string>> = {
  array: ' (entries beginning with "- ")',
  object: ' (lines of "name: value")',
};

/** What a name of that definition names. */
export function nounOf(def: string | undefined): string | undefined {
  return def === undefined ? undefined : NOUNS[def];
}

/** What is expected at a place, with an example where a short one is known. */
export function expectation(place: SchemaPlace): string {
  const { shape, def } = place;
  const wanted = def === undefined ? undefined : WANTED[def];
  const first = shape.required?.[0];
  if (first?.startsWith('keywright')) return `lines of "name: value", the first of them "${first}: 1"`;
  if (shape.enum !== undefined) return allowedWords(shape.enum);
  if (shape.type === 'boolean') return 'true or false';
  // A definition of many lines says by itself what they are.
  if (wanted !== undefined && shape.type !== 'string' && !Array.isArray(shape.type)) return wanted;
  const such = example(place);
  const words = wanted ?? kinds(shape.type, such === undefined);
  return such === undefined || words.includes('{') ? words : `${words}, such as ${such}`;
}

/** The words that are allowed, each spelled in one way only. */
export function allowedWords(words: readonly unknown[]): string {
  const plain = [...new Set(words.map(String))].filter((w) => /^[\x20-\x7e]+$/.test(w));
  return listed(plain, 'or');
}

function kinds(type: string | readonly string[] | undefined, explained: boolean): string {
  const types = typeof type === 'string' ? [type] : (type ?? []);
  // Where text may stand a number is let pass for the sake of editors; it is text all the same.
  const named = types.includes('string') ? types.filter((t) => t !== 'number' && t !== 'integer') : types;
  return (
    named.map((t) => `${KINDS[t] ?? t}${explained ? (HOW[t] ?? '') : ''}`).join(' or ') || 'something else'
  );
}

/** The first example of a place as an author would write it, when it is short enough for a message. */
export function example(place: SchemaPlace | undefined): string | undefined {
  const first = place?.shape.examples?.[0];
  const text = first === undefined ? undefined : inYaml(first);
  return text !== undefined && text.length <= 60 ? text : undefined;
}

function inYaml(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(inYaml).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    return `{${Object.entries(value)
      .map(([name, v]) => `${name}: ${inYaml(v)}`)
      .join(', ')}}`;
  }
  return String(value);
}

/** What stands in the file, in words: `"Tarn"`, `5`, `a list`. */
export function shown(value: unknown): string {
  if (typeof value === 'string') return quoted(value);
  return typeof value === 'number' || typeof value === 'boolean' ? String(value) : kindOf(value);
}

/** What kind of thing stands in the file. */
export function kindOf(value: unknown): string {
  if (value === null || value === undefined) return 'nothing';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a map';
  if (typeof value === 'string') return 'text';
  return typeof value === 'number' ? 'a number' : String(value);
}

/** A value as the author wrote it; lists and maps by their kind. */
export function asWritten(value: unknown): string {
  return typeof value === 'string' ? value : typeof value === 'object' ? kindOf(value) : String(value);
}

const ROOTS: Readonly<Record<SchemaName, string>> = {
  key: 'the key file',
  terms: 'the terms file',
  taxa: 'the table of taxa',
  collections: 'the collections file',
  record: 'the record',
  correspondences: 'the correspondences',
  'lint-config': 'the file of rule levels',
  'lint-baseline': 'the list of accepted findings',
};

const ENTRIES: Readonly<Record<string, string>> = {
  couplets: 'couplet',
  taxa: 'taxon',
  characters: 'character',
  sources: 'source',
  glossary: 'term',
};

/** A place as a naturalist would call it: `lead b of couplet 2`, `"rank" of taxon galerina`. */
export function placeInWords(name: SchemaName, path: readonly string[], data: unknown): string {
  const [owner, taken] = (OWNERS[name] ?? entryInWords)(path, data);
  if (path.length === taken) return owner ?? ROOTS[name];
  let words = '';
  let joiner = '';
  for (let i = path.length - 1; i >= taken; i--) {
    const step = path[i] ?? '';
    const item = isItem(path.slice(0, i + 1), data);
    words += `${joiner}${item ? `item ${Number(step) + 1}` : quoted(step)}`;
    joiner = item ? ' of ' : ' in ';
  }
  return owner === undefined ? words : `${words} of ${owner}`;
}

const OWNERS: Partial<Record<SchemaName, typeof entryInWords>> = {
  collections: collectionInWords,
  record: determinationInWords,
};

/** Whether a path ends at an item of a list, which has a number but no name. */
export function isItem(path: readonly string[], data: unknown): boolean {
  return path.length > 0 && Array.isArray(valueAt(data, path.slice(0, -1)));
}

function entryInWords(path: readonly string[], data: unknown): [string | undefined, number] {
  const [section = '', id, index] = path;
  const noun = Object.hasOwn(ENTRIES, section) ? ENTRIES[section] : undefined;
  if (noun === undefined || id === undefined || isItem(path.slice(0, 2), data)) return [undefined, 0];
  const entry = `${noun} ${word(id)}`;
  if (section !== 'couplets' || index === undefined || !isItem(path.slice(0, 3), data)) return [entry, 2];
  return [`lead ${letter(Number(index))} of ${entry}`, 3];
}

function collectionInWords(path: readonly string[], data: unknown): [string | undefined, number] {
  const [section, index, inner, specimen] = path;
  if (section !== 'collections' || index === undefined) return [undefined, 0];
  const owner = `collection ${label(path.slice(0, 2), data)}`;
  if (inner !== 'specimens' || specimen === undefined) return [owner, 2];
  return [`specimen ${label(path.slice(0, 4), data)} of ${owner}`, 4];
}

const PARTS: Readonly<Record<string, string>> = {
  answers: 'answer',
  dropped: 'dropped answer',
};

function determinationInWords(path: readonly string[]): [string | undefined, number] {
  const [section, index, inner, part] = path;
  if (section !== 'determinations' || index === undefined) return [undefined, 0];
  const owner = `determination ${Number(index) + 1}`;
  const noun = inner !== undefined && Object.hasOwn(PARTS, inner) ? PARTS[inner] : undefined;
  return noun === undefined || part === undefined
    ? [owner, 2]
    : [`${noun} ${Number(part) + 1} of ${owner}`, 4];
}

// Collections are known by their number; one without is counted.
function label(path: readonly string[], data: unknown): string {
  const id = valueAt(data, [...path, 'id']);
  const written = (typeof id === 'string' && id.trim() !== '') || typeof id === 'number';
  return written ? word(String(id)) : `no. ${Number(path.at(-1)) + 1}`;
}

function word(id: string): string {
  return /^[\w.-]{1,60}$/.test(id) ? id : quoted(id);
}

// Leads past z are so rare that a number serves.
function letter(index: number): string {
  return index < 26 ? String.fromCharCode(97 + index) : String(index + 1);
}
