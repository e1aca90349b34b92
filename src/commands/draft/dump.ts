/** Writes plain data as an author would write it in YAML: short maps and lists on one line, long ones below. */
import { type Data, type DataMap, namesOf } from '../../key/document.js';
import { flowScalar, property, scalar } from '../../key/write.js';

const WIDTH = 110;
/** Text that begins with a digit is mostly a number or a range, and needs no quotes as long as no sign of YAML is in it. */
const NUMERIC = /^(?:<=? ?)?\(?\d[\d().\-– ]*(?: ?[A-Za-z%µ]+)?$/;

/** A text or number on one line, for use within `[...]` and `{...}` where `flow`. */
function plain(value: string | number | boolean, flow: boolean): string {
  if (typeof value !== 'string') return String(value);
  if (NUMERIC.test(value)) return value;
  return value === '-' ? '"-"' : flow ? flowScalar(value) : scalar(value);
}

/** `name: data` in as many lines as it takes. */
export function entry(name: string, data: Data, indent: string): string[] {
  const label = plain(name, true);
  if (data === null) return [`${indent}${label}:`];
  if (typeof data !== 'object') {
    return typeof data === 'string' && !NUMERIC.test(data) && data !== '-'
      ? property(label, data, indent)
      : [`${indent}${label}: ${plain(data, false)}`];
  }
  const short = inline(data);
  if (short !== undefined && indent.length + label.length + 2 + short.length <= WIDTH)
    return [`${indent}${label}: ${short}`];
  if (Array.isArray(data)) {
    const lines = [`${indent}${label}:`];
    for (const item of data as readonly Data[]) {
      const [first = '', ...rest] =
        item !== null && typeof item === 'object' && !Array.isArray(item)
          ? entries(item as DataMap, `${indent}    `)
          : [`${indent}    ${inline(item) ?? ''}`];
      lines.push(`${indent}  - ${first.trimStart()}`, ...rest);
    }
    return lines;
  }
  return [`${indent}${label}:`, ...entries(data as DataMap, `${indent}  `)];
}

/** Every entry of a map, one below the other. */
export function entries(map: DataMap, indent: string): string[] {
  return namesOf(map).flatMap((name) => entry(name, map[name] as Data, indent));
}

/** Data on one line; undefined where it is too deep for that. */
export function inline(data: Data, depth = 0): string | undefined {
  if (data === null) return 'null';
  if (typeof data !== 'object') return plain(data, true);
  if (depth > 4) return undefined;
  if (Array.isArray(data)) {
    const items = (data as readonly Data[]).map((d) => inline(d, depth + 1));
    return items.includes(undefined) ? undefined : `[${items.join(', ')}]`;
  }
  const map = data as DataMap;
  const items = namesOf(map).map((name) => {
    const value = inline(map[name] as Data, depth + 1);
    return value === undefined ? undefined : `${plain(name, true)}: ${value}`;
  });
  return items.includes(undefined) ? undefined : `{${items.join(', ')}}`;
}
