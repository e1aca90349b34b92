/** One finding of a validator: where, which keyword, and the values in it. */
interface SchemaError {
  /** JSON Pointer into the document. */
  readonly instancePath: string;
  /** JSON Pointer into the schema. */
  readonly schemaPath: string;
  readonly keyword: string;
  readonly params: Readonly<Record<string, unknown>>;
  readonly message?: string;
  /** Set for findings about the name of a property (`propertyNames`). */
  readonly propertyName?: string;
}

/** True when the data have the shape; otherwise `errors` holds every finding until the next call. */
export interface Validator {
  (data: unknown): boolean;
  errors?: readonly SchemaError[] | null;
}
