import { harmless, quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { listed } from '../text/words.js';
import {
  formInWords,
  inside,
  nameShape,
  type SchemaName,
  type SchemaPlace,
  schemaAt,
} from './schemaplace.js';
import { asWritten, example, expectation, kindOf, nounOf, placeInWords, shown } from './shapewords.js';

export type { SchemaName } from './schemaplace.js';

/** The rules of shape, each named for what should be true. */
export type ShapeRule =
  | 'property-known' // a name that may stand there
  | 'property-needed' // what must stand there does
  | 'property-fits' // a property goes with its neighbours
  | 'name-form' // the name of a character, couplet, taxon ... is written as such names are
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

/** What a validator made by ajv reports of one failed keyword. */
export interface ShapeError {
  readonly keyword: string;
  readonly instancePath: string;
  readonly schemaPath: string;
  readonly params: Readonly<Record<string, unknown>>;
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

/**
 * Says in plain words what is wrong with the shape of a file, one problem for each mistake: the several errors that
 * one mistake causes in a validator are drawn together.
 */
export function explainShape(errors: readonly ShapeError[], data: unknown, name: SchemaName): ShapeProblem[] {
  const problems = new Map<string, ShapeProblem>();
  for (const error of errors) {
    const explain = EXPLAIN[error.keyword];
    // Errors of the parts of a condition say nothing that the condition's own error does not.
    if (explain === undefined || /\/(if|oneOf|anyOf)\//.test(error.schemaPath)) continue;
    const path = steps(error.instancePath);
    const place = schemaAt(name, path);
    if (place === undefined) continue;
    const problem = explain({ name, data, path, value: valueAt(data, path), place, params: error.params });
    if (problem === undefined) continue;
    const id = JSON.stringify([problem.path, problem.at, TOGETHER[problem.rule] ?? problem.message]);
    if (!problems.has(id)) problems.set(id, problem);
  }
  return withoutEchoes([...problems.values()], data, name);
}

/** Problems that are one when they are of the same place: all that can be said of one value, or of one lead's end. */
const TOGETHER: Partial<Record<ShapeRule, string>> = {
  'property-known': 'name',
  'name-form': 'name',
  'value-needed': 'value',
  'value-kind': 'value',
  'value-allowed': 'value',
  'value-form': 'value',
  'value-range': 'value',
  'one-target': 'target',
};

const TARGETS = ['to', 'taxon', 'key'];

/**
 * A mistyped property is missed under its right name as well, and a lead with `at` alone has no end either: only the
 * more exact of the two is kept.
 */
function withoutEchoes(problems: readonly ShapeProblem[], data: unknown, name: SchemaName): ShapeProblem[] {
  const mistyped = problems.filter((p) => p.rule === 'property-known');
  return problems.filter((problem) => {
    if (problem.rule !== 'property-needed' && problem.rule !== 'one-target') return true;
    const siblings = mistyped.filter(
      (m) => m.path.length === problem.path.length + 1 && starts(m.path, problem.path),
    );
    if (problem.rule === 'one-target') {
      const value = valueAt(data, problem.path);
      if (TARGETS.some((t) => has(value, t))) return true;
      return !has(value, 'at') && !siblings.some((m) => TARGETS.includes(m.nearest ?? ''));
    }
    const only = Object.keys(schemaAt(name, problem.path)?.shape.properties ?? {}).length === 1;
    return !siblings.some((m) => only || m.nearest === problem.expected);
  });
}

const EXPLAIN: Readonly<Record<string, (scene: Scene) => ShapeProblem | undefined>> = {
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
    ...(near === undefined ? {} : { nearest: near }),
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
    at: atName(path),
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
  const form = lower(names?.shape.description ?? 'another name');
  const near = joins ? undefined : likely(word, names?.shape.pattern);
  return {
    path: [...path, word],
    at: 'key',
    rule: 'name-form',
    message: joins
      ? `"${word}" joins conditions and cannot name a character`
      : `${word.trim() === '' ? 'An empty name' : quoted(word)} cannot name ${noun}; it is written as ${form}${meant(near)}`,
    found: word,
    expected: joins ? 'another name' : form,
    ...(near === undefined ? {} : { nearest: near }),
  };
}

function wrongKind(scene: Scene): ShapeProblem | undefined {
  const { name, data, path, value, place } = scene;
  if (isBlank(value)) return empty(scene);
  // A name that is checked by `propertyNames` is text by nature.
  const expected = expectation(place);
  return {
    path,
    at: 'value',
    rule: 'value-kind',
    message: `${capital(placeInWords(name, path, data))} is ${shown(value)}; expected ${expected}`,
    found: kindOf(value),
    expected,
  };
}

function empty({ name, data, path, place }: Scene): ShapeProblem {
  const last = path.at(-1);
  const parent = schemaAt(name, path.slice(0, -1));
  const optional =
    last !== undefined && parent?.shape.properties !== undefined && !parent.shape.required?.includes(last);
  const expected = expectation(place);
  return {
    path,
    at: 'value',
    rule: 'value-needed',
    message: `${capital(placeInWords(name, path, data))} is empty; expected ${expected}${optional ? ', or no such line' : ''}`,
    found: 'nothing',
    expected,
  };
}

function wrongWord(scene: Scene): ShapeProblem {
  const { name, data, path, value, place } = scene;
  if (isBlank(value)) return empty(scene);
  const allowed = (place.shape.enum ?? [place.shape.const]).map(String);
  const near = typeof value === 'string' ? near1(value, allowed) : undefined;
  const where = capital(placeInWords(name, path, data));
  const version = path.length === 1 && path[0]?.startsWith('keywright') === true;
  const hint =
    near !== undefined && allowed.length > 1
      ? `did you mean ${quoted(near)}?`
      : `expected ${listed([...new Set(allowed)], 'or')}`;
  return {
    path,
    at: 'value',
    rule: 'value-allowed',
    message: version
      ? `${where} is ${shown(value)}; this program reads version 1 of the file format`
      : `${where} is ${shown(value)}; ${hint}`,
    found: asWritten(value),
    expected: near ?? allowed.join(', '),
    ...(near === undefined ? {} : { nearest: near }),
  };
}

function wrongForm(scene: Scene): ShapeProblem | undefined {
  const { name, data, path, value, place } = scene;
  // Patterns of names are reported by `propertyNames`; here the value itself is meant.
  if (typeof value !== 'string') return undefined;
  if (isBlank(value)) return empty(scene);
  const pattern = place.shape.pattern;
  const form = lower((pattern && formInWords(pattern)) ?? place.shape.description ?? 'another form');
  const near = likely(value, pattern);
  const such = near === undefined ? example(place) : undefined;
  return {
    path,
    at: 'value',
    rule: 'value-form',
    message: `${capital(placeInWords(name, path, data))} is ${shown(value)}; expected ${form}${such === undefined ? '' : `, such as ${such}`}${meant(near)}`,
    found: value,
    expected: form,
    ...(near === undefined ? {} : { nearest: near }),
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

function wrongTarget({ name, data, path, value }: Scene): ShapeProblem {
  const where = capital(placeInWords(name, path, data));
  const both = TARGETS.filter((t) => has(value, t));
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

function twoConditions({ name, data, path }: Scene): ShapeProblem {
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

/** A name of the right form that was likely meant by one of the wrong form: `Spore Print` by `spore-print`. */
function likely(word: string, pattern: string | undefined): string | undefined {
  if (pattern === undefined || word.length > 60) return undefined;
  const plain = word.normalize('NFD').replace(/\p{M}/gu, '').trim();
  const id = plain
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return [plain, plain.replace(/[^A-Za-z0-9.]+/g, ''), id].find(
    (w) => w !== word && isId(pattern) && new RegExp(pattern, 'u').test(w),
  );
}

// Only ids can be guessed at: a made-up date or licence would be worse than none.
function isId(pattern: string): boolean {
  return (
    !new RegExp(pattern, 'u').test('a b') &&
    new RegExp(pattern, 'u').test('a1') &&
    new RegExp(pattern, 'u').test('1')
  );
}

function meant(near: string | undefined): string {
  return near === undefined ? '' : `; did you mean "${near}"?`;
}

function isBlank(value: unknown): boolean {
  return value === null || (typeof value === 'string' && value.trim() === '');
}

function has(value: unknown, property: string): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && Object.hasOwn(value, property);
}

/** A thing with a name is pointed at by its name; an item of a list, and the file, by itself. */
function atName(path: readonly string[]): 'key' | 'value' {
  const last = path.at(-1);
  return last === undefined || /^\d+$/.test(last) ? 'value' : 'key';
}

function steps(pointer: string): string[] {
  return pointer
    .split('/')
    .slice(1)
    .map((s) => s.replaceAll('~1', '/').replaceAll('~0', '~'));
}

function valueAt(data: unknown, path: readonly string[]): unknown {
  let value = data;
  for (const step of path) value = has(value, step) ? value[step] : undefined;
  return value;
}

function starts(path: readonly string[], head: readonly string[]): boolean {
  return head.every((step, i) => path[i] === step);
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function lower(sentence: string): string {
  return harmless(sentence.charAt(0).toLowerCase() + sentence.slice(1).replace(/\.$/, ''));
}
