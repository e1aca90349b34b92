import type { Verdict } from '../engine/outcome.js';
import type { Concern, ConcernLevel, Taxon } from '../key/key.js';
import { isHarmful } from '../key/severity.js';
import { harmless } from '../text/harmless.js';
import { count, listed } from '../text/words.js';

const CONCERN_WORDS: Record<ConcernLevel, string> = {
  deadly: 'deadly',
  severe: 'severe poisoning',
  upset: 'upsets stomach or gut',
  unknown: 'effects unknown',
  'none-recorded': 'no harm recorded, which proves nothing',
};

/** A level of concern in a few words. */
export function concernWords(level: ConcernLevel): string {
  return CONCERN_WORDS[level];
}

/** The name of a taxon, followed by the harm recorded for it. */
export function withHarm({ name, concern }: { name: string; concern: Pick<Concern, 'level'> }): string {
  return isHarmful(concern.level) ? `${name} (${concern.level})` : name;
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

/** A taxon that is possible or near, as far as a verdict speaks of it. */
export interface NamedTaxon {
  readonly taxon: Pick<Taxon, 'name' | 'concern'>;
}

/**
 * The verdict and why, in a few sentences. Its first words are the verdict itself. `near` are the deadly or severe
 * ones one slip away, which are named apart; `further` is what else is possible at worst.
 */
export function verdictText(
  verdict: Verdict,
  candidates: readonly NamedTaxon[],
  near: readonly NamedTaxon[] = [],
  further: Further = NOTHING_FURTHER,
): string {
  const slip =
    near.length === 0
      ? ''
      : ` One wrong answer away: ${listed(near.map((n) => `${n.taxon.name} (${n.taxon.concern.level})`))}.`;
  const why = further.why.map((text) => ` ${text}`).join('');
  return harmless(verdictAlone(verdict, candidates, further.taxa) + why + slip);
}

/** What is possible at worst besides the candidates, and why, a sentence each (`worst-case.ts`). */
export interface Further {
  readonly taxa: readonly NamedTaxon[];
  readonly why: readonly string[];
}

const NOTHING_FURTHER: Further = { taxa: [], why: [] };

function verdictAlone(
  verdict: Verdict,
  foundTaxa: readonly NamedTaxon[],
  further: readonly NamedTaxon[],
): string {
  const candidates = [...foundTaxa, ...further];
  const n = candidates.length;
  if (verdict.word === 'leave it') {
    const worst = candidates.filter((c) => c.taxon.concern.level === verdict.worst).map((c) => c.taxon.name);
    const names = worst.length > 3 ? count(worst.length, 'taxon', 'taxa') : listed(worst);
    const of = `${CONCERN_WORDS[verdict.worst]} (${names})`;
    if (n === 1) return `Leave it. Recorded for it: ${of}. More keying cannot change this.`;
    return verdict.settled
      ? `Leave it. Each of the ${n} taxa still possible is recorded as harmful, the worst of them: ${of}. Whichever of them it is, more keying cannot change this.`
      : `Leave it. The worst recorded among the ${n} taxa still possible: ${of}.`;
  }
  if (n === 0)
    return 'Not cleared. Nothing in this key fits the find, so the key says nothing about what it does.';
  const what = n === 1 ? 'the taxon still possible' : `the ${n} taxa still possible`;
  return verdict.worst === 'unknown'
    ? `Not cleared. What ${what} may do is not known to this key, and the find may be something that the key does not hold.`
    : `Not cleared. This key records no harm for ${what}, which proves nothing: the find may be something that the key does not hold.`;
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
  return [
    'No key, program, picture or single book can clear a find for eating. Any doubt means: leave it.',
    'No home test (silver, peeling, marks of slugs or insects, colour when cut) tells harmful from harmless.',
    'Show the whole find, base and all, every piece of it, to someone who knows the group well. Keep kinds apart.',
    `After eating, if anyone feels unwell or is in doubt: call the poison centre or the emergency number at once, without waiting for signs, and keep what is left of the meal and the find. ${number}`,
  ];
}
