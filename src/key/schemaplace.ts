import { schemas } from './validate.generated.js';

/** The files whose shape is described by a schema. */
export type SchemaName = 'key' | 'terms' | 'collections';

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
 * The part of a schema that describes the place at a path, or undefined where nothing is described. Works because
 * our schemas decide by property names alone what may stand where, never by alternatives.
 */
export function schemaAt(name: SchemaName, path: readonly string[]): SchemaPlace | undefined {
  const file = `${name}.schema.json`;
  let place: SchemaPlace | undefined = resolve({ shape: schemas[file] as Shape, file });
  for (const step of path) place = place && inside(place, step);
  return place;
}

/** What describes the value under a name, or the item of a list, at a place. */
export function inside({ shape, file }: SchemaPlace, step: string): SchemaPlace | undefined {
  if (shape.properties !== undefined && Object.hasOwn(shape.properties, step)) {
    return resolve({ shape: shape.properties[step] as Shape, file });
  }
  // A place that takes both lists and maps (`states`, a test) is told apart by the step: list items are numbered.
  if (shape.items !== undefined && /^\d+$/.test(step)) return resolve({ shape: shape.items, file });
  if (shape.additionalProperties) return resolve({ shape: shape.additionalProperties, file });
  return undefined;
}

/** What describes the names that may stand in a map. */
export function nameShape({ shape, file }: SchemaPlace): SchemaPlace | undefined {
  return shape.propertyNames && resolve({ shape: shape.propertyNames, file });
}

/** The description in words of a form, from the definition that has the same pattern. */
export function formInWords(pattern: string): string | undefined {
  for (const schema of Object.values(schemas) as Shape[]) {
    for (const def of Object.values(schema.$defs ?? {})) if (def.pattern === pattern) return def.description;
  }
  return undefined;
}

function resolve({ shape, file, def }: SchemaPlace): SchemaPlace {
  if (shape.$ref === undefined) return { shape, file, ...(def === undefined ? {} : { def }) };
  const [target = '', pointer = ''] = shape.$ref.split('#');
  const home = target === '' ? file : target;
  const name = pointer.replace('/$defs/', '');
  const { $ref: _followed, ...own } = shape;
  const definition = (schemas[home] as Shape).$defs?.[name];
  return resolve({ shape: { ...definition, ...own }, file: home, def: name });
}
