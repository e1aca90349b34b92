import type { FindDetails } from '../../record/keying.js';
import { readDate } from '../../tables/fields.js';
import { askLine } from '../../terminal/key-prompt.js';
import { harmless, quoted } from '../../text/harmless.js';
import type { Talk } from './talk.js';

/** What is asked of a find that is keyed by hand, in that order, with the word for it. */
const ASKED = [
  ['place', 'Found at'],
  ['date', 'Found on'],
  ['by', 'Found by'],
  ['habitat', 'Growing or living on'],
] as const;
type Asked = (typeof ASKED)[number][0];

/**
 * Asks where, when and by whom a find was found and on what it grew, as far as that is not known. `finder` is suggested
 * as the one who found it.
 */
export async function askDetails(talk: Talk, finder: string | undefined): Promise<FindDetails> {
  const { world, keying } = talk;
  const open = ASKED.filter(([name]) => keying.collection[name] === undefined);
  if (open.length === 0) return {};
  talk.say('Of the find, for its record: Enter takes what stands there or skips it, Esc skips the rest.');
  const suggested: FindDetails = {
    date: localDay(world.now()),
    ...(finder === undefined ? {} : { by: finder }),
  };
  const details: Record<string, string> = {};
  for (const [name, word] of open) {
    const said = await askDetail(name, word, suggested[name], talk);
    if (said === undefined) break;
    if (said !== '') details[name] = said;
  }
  const known = Object.values(details);
  if (known.length > 0) talk.say(harmless(`Noted: ${known.join('; ')}.`), '', '  ');
  return details;
}

async function askDetail(
  name: Asked,
  word: string,
  suggested: string | undefined,
  talk: Talk,
): Promise<string | undefined> {
  for (;;) {
    const line = await askLine(`${word}:`, suggested, talk.world);
    const said = line === undefined ? undefined : plainLine(line);
    if (said === undefined || said === '') return said;
    const problem = problemOf(name, said);
    if (problem === undefined) return said;
    talk.say(`${problem}.`);
  }
}

/** What `place: Alder Carr` says of a find; a text = what is wrong with it. */
export function readDetail(written: string): FindDetails | string {
  const [, name = '', said = ''] = /^(\S+?)\s*:\s*(.*)$/.exec(written.trim()) ?? [];
  const [known] = ASKED.find(([detail]) => detail === name.toLowerCase()) ?? [];
  const text = plainLine(said);
  if (known === undefined || text === '')
    return `${quoted(written)} says nothing of the find; write place: TEXT, date: TEXT, by: TEXT or habitat: TEXT`;
  return problemOf(known, text) ?? { [known]: text };
}

/** What is wrong with a detail; undefined = nothing. */
export function problemOf(name: string, said: string): string | undefined {
  if (name !== 'date' || readDate(said) !== undefined) return undefined;
  return `${quoted(said)} is not a date; write year-month-day, such as 2026-10-18`;
}

/** A text on one line. */
export function plainLine(text: string): string {
  return text.replace(/\s+/g, ' ').trim();
}

/** The day where the person is. */
function localDay(now: Date): string {
  const two = (n: number) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
