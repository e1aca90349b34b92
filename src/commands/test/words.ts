/** The result of a failed specimen, in sentences that every format of the report uses. */

import { concernLevels } from '../../key/key.js';
import { isHarmful } from '../../key/severity.js';
import { count, inShort, listed } from '../../text/words.js';
import { withHarm } from '../../words/cautions.js';
import { coupletName } from '../../words/couplet.js';
import { splitLabel } from '../../words/paths.js';
import type { Coverage } from './known.js';
import { type Confusion, coverageData, type KnownRow, type RowTaxon } from './rows.js';

const LABELS: Readonly<Record<KnownRow['result'], string>> = {
  right: 'right',
  among: 'right among several',
  wrong: 'wrong',
  nothing: 'fits nothing in the key',
  lacking: 'what it is known to be is not in the key',
  unreadable: 'could not be read',
  'no expectation': 'nothing is expected of it',
};

/** The result of a row, and the harm in it, in one line. */
export function resultWords({ result, harm, expected, candidates }: KnownRow): string {
  const level = (taxa: readonly RowTaxon[], words: readonly string[]) =>
    words.find((w) => taxa.some((t) => t.concern === w)) ?? '';
  const harmful = concernLevels.filter(isHarmful);
  if (harm === 'missed')
    return `${LABELS[result]}; recorded as ${level(expected, harmful)}, and ${
      candidates.length === 0 ? 'not recognised' : 'taken for something with less harm recorded'
    }`;
  if (harm === 'raised')
    return `${LABELS[result]}; taken for something recorded as ${level(candidates, harmful)}`;
  return LABELS[result];
}

const named = ({ name, concern }: RowTaxon) => withHarm({ name, concern: { level: concern } });

/** All that is to be said of a row, sentence by sentence. */
export function rowSentences(row: KnownRow): string[] {
  const { expected, candidates, left, undecided, problems, result } = row;
  const wants = listed(expected.map(named), 'or');
  const others =
    result === 'among' ? candidates.filter((c) => !expected.some((e) => e.taxon === c.taxon)) : candidates;
  const got = listed(inShort(others.map(named), 8), result === 'among' ? 'and' : 'or');
  const steps = left === null ? '' : listed(againWords(left));
  return [
    ...problems,
    ...(wants === '' ? [] : [`known to be: ${wants}`]),
    ...(got === '' ? [] : [`${result === 'among' ? 'also left' : 'came out as'}: ${got}`]),
    ...(left === null ? [] : [leftWords(left)]),
    ...(left === null ? [] : [`${left.name} is ${count(left.slips, 'wrong observation')} away: ${steps}`]),
    ...(undecided.length === 0 ? [] : [`would separate them: ${listed(inShort(undecided, 8))}`]),
  ];
}

function againWords({ recheck, reconsider }: NonNullable<KnownRow['left']>): string[] {
  return [...recheck, ...reconsider.map((a) => `answer ${coupletName(a)}`)];
}

function leftWords({ couplet, lead, taken, name, because }: NonNullable<KnownRow['left']>): string {
  const instead =
    taken.length === 0 ? 'no lead fits' : `${listed(taken.map(coupletName), 'or')} was taken instead`;
  return `left the way to ${name} at couplet ${coupletName(couplet)}: ${coupletName(lead)} is ruled out and ${instead}${because === '' ? '' : `; ${because}`}`;
}

/** One kind of confusion and how often it came: `5 x Iris virginica for Iris versicolor (2a instead of 2b)`. */
export function confusionWords({ lead, taken, expected, got, collections }: Confusion): string {
  const what = `${listed(expected, 'or')} ${
    got.length === 0 ? 'fits nothing' : `came out as ${listed(inShort(got, 6), 'or')}`
  }`;
  const leads =
    lead === undefined
      ? ''
      : ` (${taken.length === 0 ? 'no lead' : listed(taken.map(coupletName), 'or')} instead of ${coupletName(lead)})`;
  return `${what}${leads}: ${listed(inShort(collections, 6))}`;
}

/** What of the key the specimens exercised, sentence by sentence. */
export function coverageSentences(coverage: Coverage): string[] {
  const { leads, taken, openOnly, taxa, taxaWithout } = coverageData(coverage);
  const never = coverage.never.filter((n) => n.arrived).flatMap((n) => n.leads.map((l) => l.label));
  const unreached = coverage.never.filter((n) => !n.arrived).map((n) => n.couplet.name);
  return [
    `known specimens took ${taken} of ${count(leads, 'lead')}, and there is one for ${taxa - taxaWithout.length} of ${count(taxa, 'taxon', 'taxa')} at the ends`,
    ...(unreached.length === 0 ? [] : [`couplets where none arrived: ${listed(inShort(unreached, MOST))}`]),
    ...(never.length === 0 ? [] : [`leads that none took at the other couplets: ${byKey(never)}`]),
    ...(openOnly.length === 0 ? [] : [`leads taken only because nothing ruled them out: ${byKey(openOnly)}`]),
    ...(taxaWithout.length === 0
      ? []
      : [
          `taxa without a known specimen: ${listed(
            inShort(
              taxaWithout.map((t) => t.name),
              MOST,
            ),
          )}`,
        ]),
  ];
}

/** Couplets or leads, the key of others than the main one named once: `2, 3a; gill-genera-white 9 and 10`. */
function byKey(labels: readonly string[]): string {
  const keys = new Map<string, string[]>();
  for (const label of labels) {
    const [key = '', own] = splitLabel(label);
    keys.set(key, [...(keys.get(key) ?? []), own]);
  }
  return [...keys]
    .map(([key, own]) => `${key === '' ? '' : `${key} `}${listed(inShort(own, MOST))}`)
    .join('; ');
}

// A key of thousands of couplets is not listed whole for people; the forms for programs have everything.
const MOST = 100;

/** What a good test proves, and what it does not. */
export const PROVES =
  'That known specimens come out right clears no find: the next one may be something that the key does not hold, or be read differently.';
