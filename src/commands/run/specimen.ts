import { agesOf } from '../../engine/ages.js';
import type { CompiledKey } from '../../engine/compile.js';
import type { Keying, ReadFrom } from '../../record/keying.js';
import { askAnyOf, askLine } from '../../terminal/key-prompt.js';
import type { World } from '../../terminal/world.js';
import { harmless, quoted } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { listed } from '../../text/words.js';
import { textWidth, wrapLines } from '../../text/wrap.js';

/** Asks which specimen is looked at from now on, and its age. undefined = as before. */
export async function askSpecimen({ key }: Keying, world: World): Promise<ReadFrom | undefined> {
  // Which one it is now stands above; a name that stood in the line would have to be rubbed out first.
  const name = await askLine('Which specimen (nothing = the whole find):', undefined, world);
  if (name === undefined) return undefined;
  const specimen = name.trim();
  const ages = agesOf(key);
  if (ages.length === 0) return specimen === '' ? {} : { specimen };
  const choices = ages.map((age, i) => `${i + 1} ${harmless(age)}`);
  const signs = ages.map((_, i) => `${i + 1}`);
  const width = textWidth(world.columns('stderr'));
  const asked = [...wrapLines(choices.join('   '), width), 'Its age (Enter: not told):'];
  const sign = await askAnyOf(signs, asked.join('\n'), world);
  const stage = sign === undefined ? undefined : ages[signs.indexOf(sign)];
  return { ...(specimen === '' ? {} : { specimen }), ...(stage === undefined ? {} : { stage }) };
}

/** What `b young`, `b` or nothing says of what answers are read from; a text = what is wrong with it. */
export function readSpecimen(written: string, key: CompiledKey): ReadFrom | string {
  const words = written.split(/\s+/).filter((w) => w !== '');
  const ages = agesOf(key);
  const last = words.at(-1) ?? '';
  const stage = ages.find((age) => age.toLowerCase() === last.toLowerCase());
  const name = (stage === undefined ? words : words.slice(0, -1)).join(' ');
  if (stage === undefined && words.length > 1) {
    const near = nearest(last, ages);
    const known = ages.length === 0 ? 'this key knows no ages' : `expected ${listed(ages, 'or')}`;
    return `${quoted(last)} is no age of a specimen; ${known}${near === undefined ? '' : `; did you mean ${near}?`}`;
  }
  return { ...(name === '' ? {} : { specimen: name }), ...(stage === undefined ? {} : { stage }) };
}
