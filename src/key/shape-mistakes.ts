import { quoted } from '../text/harmless.js';
import { hyphened } from '../text/hyphened.js';
import { nearest } from '../text/nearest.js';
import { defined } from '../text/optional.js';
import { capital, listed } from '../text/words.js';
import { has, valueAt } from './data-path.js';
import { formOf, inside, nameShape, type SchemaName, type SchemaPlace, schemaAt } from './schema-place.js';
import {
  allowedWords,
  asWritten,
  example,
  expectation,
  isItem,
  kindOf,
  nounOf,
  placeInWords,
  shown,
} from './shape-words.js';

/** The rules of shape, each named after what should be true. */
export type ShapeRule =
  | 'property-known' // a name that may stand there
  | 'property-needed' // what must stand there does
  | 'property-fits' // a property goes with its neighbours
  | 'id-form' // the name of a character, couplet, taxon ... is written as such names are
  | 'value-needed' // something stands after the name
  | 'value-kind' // text, number, list or map as wanted
  | 'value-allowed' // one of the words that are allowed
  | 'value-form' // a date, an id ... is written as such
  | 'value-range' // a number within its limits
  | 'value-unique' // nothing twice in a list
  | 'one-target' // a lead leads to exactly one place
  | 'one-condition'; // a lead has a `when` or is the `otherwise`

/** One mistake in the shape of a file: where, and in plain words what. */
export interface ShapeProblem {
  /** Names and item numbers from the top of the file. */
  readonly path: readonly string[];
  /** Whether the name before the colon is meant, or what stands after it. */
  readonly at: 'key' | 'value';
  readonly rule: ShapeRule;
  /** One sentence without its full stop. */
  readonly message: string;
  readonly found?: string;
  readonly expected?: string;
  readonly nearest?: string;
}

/** What the explanation of one error needs to know. */
interface Scene {
  readonly name: SchemaName;
  readonly data: unknown;
  readonly path: readonly string[];
  /** The value at the path, and what the schema says of it. */
  readonly value: unknown;
  readonly place: SchemaPlace;
  readonly params: Readonly<Record<string, unknown>>;
}

/** The properties of which a lead has exactly one. */
export const targets: readonly string[] = ['to', 'taxon', 'key'];

/** The explanation of each keyword that our schemas use. */
export const explanations: Readonly<Record<string, (scene: Scene) => ShapeProblem | undefined>> = {
  additionalProperties: unknownProperty,
  required: missingProperty,
  propertyNames: misformedName,
  type: wrongKind,
  enum: wrongWord,
  const: wrongWord,
  pattern: wrongForm,
  minItems: empty,
  minProperties: empty,
  minimum: outOfRange,
  maximum: outOfRange,
  exclusiveMinimum: outOfRange,
  uniqueItems: twice,
  oneOf: wrongTarget,
  not: twoConditions,
  dependentRequired: missingNeighbour,
  'false schema': unfitProperty,
};

function unknownProperty({ name, data, path, place, params }: Scene): ShapeProblem {
  const word = String(params.additionalProperty);
  const known = Object.keys(place.shape.properties ?? {});
  const home = known.find((k) => {
    const properties = inside(place, k)?.shape.properties;
    return properties !== undefined && Object.hasOwn(properties, word);
  });
  const near = home === undefined ? near1(word, known) : undefined;
  const hint =
    home !== undefined
      ? `it belongs under "${home}"`
      : near !== undefined
        ? `did you mean "${near}"?`
        : `what may stand there: ${known.join(', ')}`;
  return {
    path: [...path, word],
    at: 'key',
    rule: 'property-known',
    message: `${capital(placeInWords(name, path, data))} cannot have ${quoted(word)}; ${hint}`,
    found: word,
    expected: home !== undefined ? `${home}: ${word}` : (near ?? known.join(', ')),
    ...defined({ nearest: near }),
  };
}

function missingProperty({ name, data, path, value, place, params }: Scene): ShapeProblem {
  const wanted = String(params.missingProperty);
  const where = capital(placeInWords(name, path, data));
  const such = example(inside(place, wanted));
  const hint = such === undefined ? '' : `, such as ${wanted}: ${such}`;
  const unsaid = place.def === 'character' && wanted === 'states' && !has(value, 'kind');
  return {
    path,
    at: atName(path, data),
    rule: 'property-needed',
    message: unsaid
      ? `${where} needs "states"${hint}; or, when it is measured or counted, "kind: measure" or "kind: count"`
      : `${where} needs ${quoted(wanted)}${hint}`,
    expected: wanted,
  };
}

function misformedName({ path, place, params }: Scene): ShapeProblem {
  const word = String(params.propertyName);
  const names = nameShape(place);
  const noun = nounOf(names?.def) ?? 'a character';
  const joins = names?.def === 'characterId' && ['any', 'all', 'not'].includes(word);
  const form = inPassing(names?.shape.description ?? 'another name');
  const near = joins ? undefined : likely(word, names?.shape.pattern);
  return {
    path: [...path, word],
    at: 'key',
    rule: 'id-form',
    message: joins
      ? `"${word}" joins conditions and cannot name a character`
      : `${word.trim() === '' ? 'An empty name' : quoted(word)} cannot name ${noun}; it is written as ${form}${meant(near)}`,
    found: word,
    expected: joins ? 'another name' : form,
    ...defined({ nearest: near }),
  };
}

function wrongKind(scene: Scene): ShapeProblem | undefined {
  const { name, data, path, value, place } = scene;
  if (isBlank(value)) return empty(scene);
  const expected = expectation(place);
  const [section, last = ''] = path;
  // A section indented one step too far is read as a couplet of that name.
  const misplaced =
    place.def === 'couplet' && Object.hasOwn(schemaAt(name, [], data)?.shape.properties ?? {}, last);
  return {
    path,
    at: 'value',
    rule: 'value-kind',
    message: `${capital(placeInWords(name, path, data))} is ${shown(value)}; expected ${expected}${misplaced ? `; if the section "${last}" is meant, it must not be indented under "${section}"` : ''}`,
    found: kindOf(value),
    expected,
  };
}

function empty({ name, data, path, place }: Scene): ShapeProblem {
  const last = path.at(-1);
  const owner = schemaAt(name, path.slice(0, -1), data)?.shape;
  const own = last !== undefined && owner?.properties !== undefined && Object.hasOwn(owner.properties, last);
  const optional = own && !owner.required?.includes(last) && !targets.includes(last);
  const expected = expectation(place);
  return {
    path,
    at: 'value',
    rule: 'value-needed',
    message: `${capital(placeInWords(name, path, data))} is empty; expected ${expected}${optional ? ', or leave the line out' : ''}`,
    found: 'nothing',
    expected,
  };
}

function wrongWord(scene: Scene): ShapeProblem {
  const { name, data, path, value, place } = scene;
  if (isBlank(value)) return empty(scene);
  const words = place.shape.enum ?? [place.shape.const];
  const allowed = allowedWords(words);
  const near = typeof value === 'string' && words.length > 1 ? near1(value, words.map(String)) : undefined;
  const hint = path.length === 1 && path[0]?.startsWith('keywright') ? versionHint(value) : undefined;
  const wanted = near !== undefined ? `did you mean ${quoted(near)}?` : `expected ${allowed}`;
  return {
    path,
    at: 'value',
    rule: 'value-allowed',
    message: `${capital(placeInWords(name, path, data))} is ${shown(value)}; ${hint ?? wanted}`,
    found: asWritten(value),
    expected: near ?? allowed,
    ...defined({ nearest: near }),
  };
}

function versionHint(value: unknown): string {
  return value === '1' ? 'it is written without quotes' : 'this program reads version 1 of the file format';
}

function wrongForm(scene: Scene): ShapeProblem | undefined {
  const { name, data, path, value, place } = scene;
  // Patterns of names are reported by `propertyNames`; here the value itself is meant.
  if (typeof value !== 'string') return undefined;
  if (isBlank(value)) return empty(scene);
  const pattern = place.shape.pattern;
  const form = inPassing(formOf(pattern)?.words ?? place.shape.description ?? 'another form');
  const near = likely(value, pattern);
  const such = near === undefined ? example(place) : undefined;
  return {
    path,
    at: 'value',
    rule: 'value-form',
    message: `${capital(placeInWords(name, path, data))} is ${shown(value)}; expected ${form}${such === undefined ? '' : `, such as ${such}`}${meant(near)}`,
    found: value,
    expected: form,
    ...defined({ nearest: near }),
  };
}

function outOfRange({ name, data, path, value, place }: Scene): ShapeProblem {
  const { minimum, maximum, exclusiveMinimum } = place.shape;
  const expected =
    exclusiveMinimum !== undefined
      ? `a number above ${exclusiveMinimum}`
      : maximum === undefined
        ? `${minimum} or more`
        : `a number from ${minimum} to ${maximum}`;
  return {
    path,
    at: 'value',
    rule: 'value-range',
    message: `${capital(placeInWords(name, path, data))} is ${shown(value)}; expected ${expected}`,
    found: asWritten(value),
    expected,
  };
}

function twice({ name, data, path, value, params }: Scene): ShapeProblem {
  const item = Math.max(Number(params.i), Number(params.j));
  const word = asWritten(Array.isArray(value) ? value[item] : value);
  return {
    path: [...path, String(item)],
    at: 'value',
    rule: 'value-unique',
    message: `${quoted(word)} stands twice in ${placeInWords(name, path, data)}`,
    found: word,
    expected: 'each only once',
  };
}

function wrongTarget({ name, data, path, value }: Scene): ShapeProblem | undefined {
  if (!isMap(value)) return undefined;
  const where = capital(placeInWords(name, path, data));
  const both = targets.filter((t) => has(value, t));
  const last = both.at(-1);
  if (last === undefined) {
    return {
      path,
      at: 'value',
      rule: 'one-target',
      message: `${where} leads nowhere; it needs one of "to" (a couplet), "taxon" or "key"`,
      found: 'nothing',
      expected: 'one of to, taxon, key',
    };
  }
  const names = both.map((t) => `"${t}"`);
  return {
    path: [...path, last],
    at: 'key',
    rule: 'one-target',
    message: `${where} has ${both.length === 2 ? 'both ' : ''}${listed(names)}; a lead ends in exactly one of "to", "taxon" and "key"`,
    found: both.join(', '),
    expected: 'one of to, taxon, key',
  };
}

function twoConditions({ name, data, path, value }: Scene): ShapeProblem | undefined {
  if (!isMap(value)) return undefined;
  return {
    path: [...path, 'otherwise'],
    at: 'key',
    rule: 'one-condition',
    message: `${capital(placeInWords(name, path, data))} has both "when" and "otherwise"; keep the one that is meant`,
    found: 'when, otherwise',
    expected: 'when or otherwise',
  };
}

function missingNeighbour({ name, data, path }: Scene): ShapeProblem {
  return {
    path: [...path, 'at'],
    at: 'key',
    rule: 'property-fits',
    message: `${capital(placeInWords(name, path, data))} has "at", the couplet of another key, but no "key" that names the key`,
    found: 'at',
    expected: 'key',
  };
}

function unfitProperty({ name, data, path }: Scene): ShapeProblem {
  const owner = path.slice(0, -1);
  const property = path.at(-1) ?? '';
  const fields = valueAt(data, owner);
  const kind = has(fields, 'kind') ? asWritten(fields.kind) : 'choice';
  const wants =
    property === 'states' ? 'kind: choice' : property === 'unit' ? 'kind: measure' : 'kind: measure or count';
  return {
    path,
    at: 'key',
    rule: 'property-fits',
    message: `${capital(placeInWords(name, owner, data))} is a ${kind} and cannot have "${property}"; that goes with ${wants}`,
    found: property,
    expected: wants,
  };
}

/** The nearest known word; for very short words only when a letter is shared, or any would be near. */
function near1(word: string, known: readonly string[]): string | undefined {
  const near = nearest(word, known);
  return near !== undefined && [...word.toLowerCase()].some((c) => near.toLowerCase().includes(c))
    ? near
    : undefined;
}

const IDS = ['keyId', 'characterId', 'stateId', 'taxonId', 'sourceId'];

/**
 * The id that was likely meant by something that is not one: `Spore Print` by `spore-print`. Other forms are not
 * guessed at: a made-up date or licence would be worse than none.
 */
function likely(word: string, pattern: string | undefined): string | undefined {
  const def = formOf(pattern)?.def;
  if (pattern === undefined || def === undefined || word.length > 60) return undefined;
  const plain = word.normalize('NFD').replace(/\p{M}/gu, '');
  const id = IDS.includes(def) ? hyphened(plain) : LIKELY[def]?.(plain);
  return id !== undefined && id !== word && new RegExp(pattern, 'u').test(id) ? id : undefined;
}

const LIKELY: Readonly<Record<string, (word: string) => string>> = {
  coupletId: (word) => word.replace(/[\s()]/g, ''),
  region: (word) => word.trim().toUpperCase(),
};

function meant(near: string | undefined): string {
  return near === undefined ? '' : `; did you mean "${near}"?`;
}

// What a lead must not be is true of text and lists as well; their kind is reported.
function isMap(value: unknown): boolean {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isBlank(value: unknown): boolean {
  return value === null || (typeof value === 'string' && value.trim() === '');
}

/** A thing with a name is pointed at by its name; an item of a list, and the file, by itself. */
function atName(path: readonly string[], data: unknown): 'key' | 'value' {
  return path.length === 0 || isItem(path, data) ? 'value' : 'key';
}

/** The first sentence of a description, to stand within another sentence. */
function inPassing(description: string): string {
  const first = description.split('. ')[0] ?? '';
  const words = first.replace(/\.$/, '');
  return /^[A-Z][a-z ]/.test(words) ? words.charAt(0).toLowerCase() + words.slice(1) : words;
}
