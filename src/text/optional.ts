/** What may be undefined may be absent, and is never undefined. */
export type Defined<T> = {
  [K in keyof T as undefined extends T[K] ? never : K]: T[K];
} & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>;
};

/** The object without its undefined properties, for types whose optional properties are absent, never undefined. */
export function defined<const T extends object>(properties: T): Defined<T> {
  const kept: Partial<T> = {};
  for (const name in properties) if (properties[name] !== undefined) kept[name] = properties[name];
  return kept as object as Defined<T>;
}

/** The lists of an object that are not empty, in their order. */
export function filled<T extends Readonly<Record<string, readonly unknown[]>>>(lists: T): Partial<T> {
  const kept: Partial<T> = {};
  for (const name in lists) if (lists[name]?.length !== 0) kept[name] = lists[name];
  return kept;
}
