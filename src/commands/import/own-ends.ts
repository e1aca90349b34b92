/** The ends of leads as `print` sets them. */
import type { ConcernLevel } from '../../key/key.js';
import { plainName, type ReadName, readScientific } from './names.js';
import type { ImportedEnd } from './targets.js';

/** What `print` puts in brackets after a name for the harm that is recorded. */
const HARM: Record<string, ConcernLevel> = {
  deadly: 'deadly',
  'severe poisoning': 'severe',
  'upsets stomach or gut': 'upset',
  'effects unknown': 'unknown',
  'no harm recorded': 'none-recorded',
};
const NAMED = new RegExp(String.raw`^(.+?)\s\((${Object.keys(HARM).join('|')})\)(?:, | or |$)`);
const NOTHING = { names: [], outside: false, inPart: false, remarks: [], form: 2 } as const;

/** Reads an end; `ids` are the couplets of its key. */
export function ownEnd(text: string, ids: ReadonlySet<string>): ImportedEnd | undefined {
  const pointer = /^([A-Za-z0-9][A-Za-z0-9.]*)(?:, (?:below|above))?$/.exec(text)?.[1];
  if (pointer !== undefined && ids.has(pointer)) return { ...NOTHING, pointer };
  const missing = /^(couplet|taxon|key) (\S+), which is missing$/.exec(text);
  if (missing !== null) {
    const [, kind, what = ''] = missing;
    if (kind === 'couplet') return { ...NOTHING, pointer: what };
    if (kind === 'key') return { ...NOTHING, key: what };
    return undefined;
  }
  const key = /^(?:(.+?): )?see the key “(.+)”(?:, couplet (\S+?))?(?:, below)?$/.exec(text);
  if (key !== null) {
    const group = key[1] === undefined ? undefined : nameOf(key[1]);
    return {
      ...NOTHING,
      key: key[2] as string,
      ...(key[3] === undefined ? {} : { at: key[3] }),
      ...(group === undefined ? {} : { reaches: group }),
    };
  }
  const names = namesIn(text);
  return names.length === 0 ? undefined : { ...NOTHING, names };
}

/** The names at an end, each with the harm after it where the print states any. */
function namesIn(text: string): ReadName[] {
  const names: ReadName[] = [];
  let rest = text;
  for (let m = NAMED.exec(rest); m !== null; m = NAMED.exec(rest)) {
    const name = nameOf(m[1] as string);
    if (name !== undefined) names.push({ ...name, concern: HARM[m[2] as string] as ConcernLevel });
    rest = rest.slice(m[0].length);
  }
  if (rest === '') return names;
  return [...names, ...rest.split(/, | or /).flatMap((part) => nameOf(part) ?? [])];
}

/** A name from the list of taxa is printed whole, whatever its form. */
function nameOf(text: string): ReadName | undefined {
  const read = readScientific(text);
  if (read !== undefined && read.name === text && read.form > 0) return read;
  const plain = plainName(text);
  return { ...(plain ?? { remarks: [], form: 1 }), name: text.trim(), form: 1 };
}
