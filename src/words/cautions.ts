import type { Verdict } from '../engine/outcome.js';
import type { Concern, ConcernLevel, Taxon } from '../key/key.js';
import { isHarmful } from '../key/severity.js';
import { harmless } from '../text/harmless.js';
import { listed } from '../text/words.js';

const CONCERN_WORDS: Record<ConcernLevel, string> = {
  deadly: 'deadly',
  severe: 'severe poisoning',
  upset: 'upsets stomach or gut',
  unknown: 'effects unknown',
  'none-recorded': 'no harm recorded, which proves nothing',
};

/** A level of concern in the fewest words: behind a lead there is no room for more. */
export function concernBriefly(level: ConcernLevel): string {
  return level === 'none-recorded' ? 'no harm recorded' : CONCERN_WORDS[level];
}

/** A level of concern in a few words. */
export function concernWords(level: ConcernLevel): string {
  return CONCERN_WORDS[level];
}

/** The name of a taxon, followed by the harm recorded for it. */
export function withHarm({ name, concern }: { name: string; concern: Pick<Concern, 'level'> }): string {
  return isHarmful(concern.level) ? `${name} (${concern.level})` : name;
}

/** `Galerina marginata (funeral bell)`: a taxon with its first common name. */
export function taxonWithCommonName({
  name,
  common = [],
}: {
  readonly name: string;
  readonly common?: readonly string[];
}): string {
  return common[0] === undefined ? name : `${name} (${common[0]})`;
}

/** All that is recorded of the harm a taxon does, in one line. */
export function concernText(concern: Concern): string {
  const { level, effect, onset } = concern;
  const parts = [
    CONCERN_WORDS[level],
    effect === undefined ? '' : `effect: ${effect}`,
    onset === undefined ? '' : `first signs: ${onset}`,
  ];
  return harmless(parts.filter((p) => p !== '').join('; '));
}

/** The harm of a taxon on one line: the level, and the effect where there is one. */
export function concernInShort({ level, effect }: Concern): string {
  const words = concernBriefly(level);
  return harmless(effect === undefined ? words : `${words}, ${effect}`);
}

/** A taxon that is possible or near, as far as a verdict speaks of it. */
export interface NamedTaxon {
  readonly taxon: Pick<Taxon, 'name' | 'concern'>;
}

/** How many taxa a verdict names before it counts the rest. */
const MOST_NAMED = 2;

/** What is possible at worst besides the candidates, and why, a sentence each (`worst-case.ts`). */
export interface Further {
  readonly taxa: readonly NamedTaxon[];
  readonly why: readonly string[];
}

const NOTHING_FURTHER: Further = { taxa: [], why: [] };

/** The verdict and why, in a line. Its first words are the verdict itself. */
export function verdictText(
  verdict: Verdict,
  candidates: readonly NamedTaxon[],
  further: Further = NOTHING_FURTHER,
): string {
  const reason =
    decisiveReason(verdict, candidates, further) ?? reasonFor(verdict, [...candidates, ...further.taxa]);
  return harmless(`${capital(verdict.word)}. ${reason}`);
}

/** What is possible at worst, without the sentence that the verdict says already. */
export function whyBesides(
  verdict: Verdict,
  candidates: readonly NamedTaxon[],
  further: Further,
): readonly string[] {
  const said = decisiveReason(verdict, candidates, further);
  return further.why.filter((text) => text !== said);
}

/** Where only a doubt or a single specimen makes a find one to be left: the sentence that says so. */
function decisiveReason(
  { word, worst }: Verdict,
  candidates: readonly NamedTaxon[],
  { taxa, why }: Further,
): string | undefined {
  const isWorst = ({ taxon }: NamedTaxon) => taxon.concern.level === worst;
  if (word !== 'leave it' || candidates.some(isWorst)) return undefined;
  const names = taxa.filter(isWorst).map((t) => t.taxon.name);
  return why.find((text) => names.some((name) => text.includes(name))) ?? why[0];
}

function reasonFor(verdict: Verdict, candidates: readonly NamedTaxon[]): string {
  const n = candidates.length;
  if (verdict.word === 'leave it') {
    const worst = candidates.filter((c) => c.taxon.concern.level === verdict.worst).map((c) => c.taxon.name);
    const names =
      worst.length > MOST_NAMED + 1
        ? `${worst.slice(0, MOST_NAMED).join(', ')} or one of ${worst.length - MOST_NAMED} more`
        : listed(worst, 'or');
    if (n === 1) return `Recorded for ${names}: ${CONCERN_WORDS[verdict.worst]}.`;
    return verdict.settled
      ? `All ${n} taxa still possible do harm; the worst: ${names} (${verdict.worst}).`
      : `It may be ${names} (${verdict.worst}).`;
  }
  if (n === 0) return 'Nothing in this key fits the find, so it says nothing of what the find does.';
  return verdict.worst === 'unknown'
    ? `What ${n === 1 ? 'it' : 'these'} may do is not known to this key.`
    : `No harm is recorded here for ${n === 1 ? 'it' : 'these'}, which proves nothing.`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/**
 * What to keep in mind with every verdict, a sentence or two each. `centre` is the telephone number of a poison
 * centre.
 */
export function cautions(centre: string | undefined): readonly string[] {
  const number =
    centre === undefined || centre.trim() === ''
      ? 'Find out its number before you need it (put it into KEYWRIGHT_POISON_CENTRE to see it here).'
      : `Poison centre: ${harmless(centre.trim())}.`;
  return CAUTIONS.map((text, i) => (i === CAUTIONS.length - 1 ? `${text} ${number}` : text));
}

/** The same without a number, the last being whom to call. */
export const CAUTIONS: readonly string[] = [
  'No key, program, picture or single book can clear a find for eating. Any doubt means: leave it.',
  'No home test (silver, peeling, marks of slugs or insects, colour when cut) tells harmful from harmless.',
  'Show the whole find, base and all, every piece of it, to someone who knows the group well. Keep kinds apart.',
  'After eating, if anyone feels unwell or is in doubt: call the poison centre or the emergency number at once, without waiting for signs, and keep what is left of the meal and the find.',
];

/**
 * The same in two lines, for every time a result is shown: what no result can say, and whom to call. In full they stand
 * under `keywright explain verdict`.
 */
export function cautionsInShort(centre: string | undefined): readonly string[] {
  const number = harmless(centre?.trim() ?? '');
  return [
    'No key can clear a find for eating. Any doubt: leave it, and ask who knows.',
    number === ''
      ? 'Unwell or in doubt after eating: call the poison centre at once, do not wait.'
      : `Unwell or in doubt after eating: call the poison centre at once, ${number}`,
  ];
}
