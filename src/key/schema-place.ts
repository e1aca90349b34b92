import { defined } from '../text/optional.js';
import { valueAt } from './data-path.js';
import { schemas } from './validate.generated.js';

/** The files whose shape is described by a schema. */
export type SchemaName =
  | 'key'
  | 'terms'
  | 'taxa'
  | 'collections'
  | 'record'
  | 'correspondences'
  | 'lint-config'
  | 'lint-baseline';

/** What our schemas say of one value; only the keywords that explanations need. */
export interface Shape {
  readonly $ref?: string;
  readonly description?: string;
  readonly examples?: readonly unknown[];
  readonly type?: string | readonly string[];
  readonly enum?: readonly unknown[];
  readonly const?: unknown;
  readonly pattern?: string;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly required?: readonly string[];
  readonly properties?: Readonly<Record<string, Shape>>;
  readonly propertyNames?: Shape;
  readonly additionalProperties?: Shape | false;
  readonly items?: Shape;
  readonly $defs?: Readonly<Record<string, Shape>>;
}

/** The part of a schema that describes one place: its own words first, then those of the definition it refers to. */
export interface SchemaPlace {
  readonly shape: Shape;
  /** Name under `$defs` of the definition, where there is one. */
  readonly def?: string;
  readonly file: string;
}

/**
 * The part of a schema that describes the place at a path of the data, or undefined where nothing is described. Works
 * because our schemas decide by property names alone what may stand where, never by alternatives.
 */
export function schemaAt(name: SchemaName, path: readonly string[], data: unknown): SchemaPlace | undefined {
  const file = `${name}.schema.json`;
  let place: SchemaPlace | undefined = resolve({ shape: schemas[file] as Shape, file });
  let value = data;
  for (const step of path) {
    if (place === undefined) return undefined;
    place = Array.isArray(value) ? itemOf(place) : inside(place, step);
    value = valueAt(value, [step]);
  }
  return place;
}

/** What describes the value under a name at a place. */
export function inside({ shape, file }: SchemaPlace, name: string): SchemaPlace | undefined {
  const own = shape.properties;
  if (own !== undefined && Object.hasOwn(own, name)) return resolve({ shape: own[name] as Shape, file });
  return shape.additionalProperties ? resolve({ shape: shape.additionalProperties, file }) : undefined;
}

function itemOf({ shape, file }: SchemaPlace): SchemaPlace | undefined {
  return shape.items && resolve({ shape: shape.items, file });
}

/** What describes the names that may stand in a map. */
export function nameShape({ shape, file }: SchemaPlace): SchemaPlace | undefined {
  return shape.propertyNames && resolve({ shape: shape.propertyNames, file });
}

/** The definition that has the same pattern: its name, and the form in words. */
export function formOf(
  pattern: string | undefined,
): { readonly def: string; readonly words: string } | undefined {
  if (pattern === undefined) return undefined;
  for (const schema of Object.values(schemas) as Shape[]) {
    for (const [def, shape] of Object.entries(schema.$defs ?? {})) {
      if (shape.pattern === pattern) return { def, words: shape.description ?? '' };
    }
  }
  return undefined;
}

function resolve({ shape, file, def }: SchemaPlace): SchemaPlace {
  if (shape.$ref === undefined) return { shape, file, ...defined({ def }) };
  const [target = '', pointer = ''] = shape.$ref.split('#');
  const home = target === '' ? file : target;
  const name = pointer.replace('/$defs/', '');
  const { $ref: _followed, ...own } = shape;
  const definition = (schemas[home] as Shape).$defs?.[name];
  return resolve({ shape: { ...definition, ...own }, file: home, def: name });
}
