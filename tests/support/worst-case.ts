/**
 * What a find may be at worst, worked out the slow way from what was written of each specimen. Shares no code with the
 * engine: it walks every path of the key, for every specimen.
 */
import { closed, judgeWhen, type Written } from './oracle.js';
import type { KeyData, LeadData } from './random-keys.js';

/** A specimen as it was written down: its age, if it was told, what it shows, and which of that was doubted. */
export interface WrittenSpecimen {
  readonly name: string;
  readonly age: string | undefined;
  readonly written: Written;
  readonly doubted: readonly string[];
}

/** A lead that a person took, of the whole find or read from one specimen. */
export interface WrittenChoice {
  readonly couplet: string;
  readonly lead: number;
  readonly doubted: boolean;
}

/** By character, the ages that show it; a character that is not named shows at every age. */
export type Ages = Readonly<Record<string, readonly string[]>>;

const NAMES = ['gills', 'ring', 'texture', 'width', 'spots'];
const unknown = (text: string | undefined) => text === undefined || text === '' || text === '?';
const shows = (ages: Ages, name: string, age: string | undefined) =>
  age === undefined || ages[name] === undefined || ages[name].includes(age);

/**
 * The taxa that a find leaves possible at worst: with and without its doubts, what each specimen may be by itself.
 */
export function possibleAtWorst(
  key: KeyData,
  specimens: readonly WrittenSpecimen[],
  choices: readonly WrittenChoice[],
  ages: Ages,
): Set<string> {
  const taxa = new Set<string>();
  for (const doubts of [true, false]) {
    const seen = specimens.map((s) => seenOn(s, ages, doubts));
    // Of two answers at one couplet the later counts, also when it is in doubt and left out.
    const last = [...new Map(choices.map((c) => [c.couplet, c])).values()];
    const taken = new Map(last.filter((c) => doubts || !c.doubted).map((c) => [c.couplet, c.lead]));
    const all = specimens.map((s, i) => alone(s, i, specimens, seen, ages));
    for (const written of all) for (const taxon of ends(key, written, taken)) taxa.add(taxon);
  }
  return taxa;
}

/** What counts of one specimen, with the ring that its texture shows, and `-` for the texture of a ring that is not there. */
function seenOn({ age, written, doubted }: WrittenSpecimen, ages: Ages, doubts: boolean): Written {
  const own: Written = {};
  for (const name of NAMES) {
    const text = written[name];
    if (!unknown(text) && shows(ages, name, age) && (doubts || !doubted.includes(name)))
      own[name] = text as string;
  }
  const full = closed(own);
  return full.ring === 'absent' ? { ...full, texture: '-' } : full;
}

function joinedTexts(name: string, texts: readonly string[]): string {
  const between = ['width', 'spots'].includes(name) ? ' or ' : ' | ';
  const all = new Set(texts.flatMap((t) => t.split(between)));
  // What is wanting on some is said last.
  return [...[...all].filter((t) => t !== '-'), ...(all.has('-') ? ['-'] : [])].join(between);
}

/** One specimen with what it cannot show at its age, as far as every specimen that can show it was looked at. */
function alone(
  one: WrittenSpecimen,
  index: number,
  all: readonly WrittenSpecimen[],
  seen: readonly Written[],
  ages: Ages,
): Written {
  const own = { ...(seen[index] as Written) };
  for (const name of NAMES) {
    if (own[name] !== undefined || shows(ages, name, one.age)) continue;
    if (seen.some((s, i) => s[name] === undefined && shows(ages, name, all[i]?.age))) continue;
    const texts = seen.flatMap((s) => (s[name] === undefined ? [] : [s[name]]));
    if (texts.length > 0) own[name] = joinedTexts(name, texts);
  }
  return own;
}

/** The ends of every path on which no lead fails. */
function ends(key: KeyData, written: Written, taken: ReadonlyMap<string, number>): Set<string> {
  const found = new Set<string>();
  const walk = (couplet: string) => {
    const leads = key.couplets[couplet] as LeadData[];
    leads.forEach((lead, i) => {
      const choice = taken.get(couplet);
      const fails = choice === undefined ? judged(leads, lead, written) === 'fails' : choice !== i;
      if (fails) return;
      if (lead.to !== undefined) walk(lead.to);
      else for (const taxon of [lead.taxon ?? []].flat()) found.add(taxon);
    });
  };
  walk('1');
  return found;
}

function judged(leads: readonly LeadData[], lead: LeadData, written: Written): string {
  const own = (l: LeadData) => (l.when === undefined ? 'open' : judgeWhen(l.when, written));
  if (lead.otherwise !== true) return own(lead);
  const others = leads.filter((l) => l !== lead).map(own);
  return others.includes('fits') ? 'fails' : others.every((t) => t === 'fails') ? 'fits' : 'open';
}
