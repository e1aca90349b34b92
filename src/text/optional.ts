type Defined<T> = { [K in keyof T]?: Exclude<T[K], undefined> };

/** The properties of an object that are defined, in their order. Spread into another object, the others are not in it. */
export function defined<T extends object>(properties: T): Defined<T> {
  const kept: Partial<T> = {};
  for (const name in properties) if (properties[name] !== undefined) kept[name] = properties[name];
  return kept as Defined<T>;
}

/** The lists of an object that are not empty, in their order. */
export function filled<T extends Readonly<Record<string, readonly unknown[]>>>(lists: T): Partial<T> {
  const kept: Partial<T> = {};
  for (const name in lists) if (lists[name]?.length !== 0) kept[name] = lists[name];
  return kept;
}
