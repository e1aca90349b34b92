import type { Path } from '../diagnostic/finding.js';

/** Whether a map, or a list, has its own entry of that name or number. */
export function has(value: unknown, step: string | number): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && Object.hasOwn(value, step);
}

/** The value at a path of names and item numbers in parsed data, or undefined. */
export function valueAt(data: unknown, path: Path): unknown {
  let value = data;
  for (const step of path) value = has(value, step) ? value[step] : undefined;
  return value;
}
