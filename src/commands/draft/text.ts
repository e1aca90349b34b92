import type { Measures } from '../../analysis/key-measures.js';
import { harmless } from '../../text/harmless.js';
import { count, figure, listed } from '../../text/words.js';
import type { Account, SharedEnd } from './account.js';
import type { WhyTogether } from './together.js';

/** A report names so many taxa, gaps and characters; the key itself holds the rest. */
const MOST_NAMED = 8;

/** What is said of taxa that end together, by the reason. */
const TOGETHER: readonly (readonly [why: WhyTogether, said: string])[] = [
  ['alike', 'end together, since nothing described separates them there'],
  ['gap', 'end together, since what could tell them apart is not described of all of them'],
  [
    'harm',
    'left together because one misread weak character would hide a harmful taxon if they were separated',
  ],
  ['size', 'left together to keep the key short (see --prefer short and --couplets)'],
  ['few', 'left together in some places, where what still tells them apart would settle hardly any find'],
];

/** The measures of a draft in sentences, with the bounds that no key can beat. It is never called the best possible. */
export function draftText(account: Account, measures: Measures, remarks: readonly string[]): string[] {
  const { depth, bounds, weighted } = measures;
  const lines = [
    `${count(account.taxa, 'taxon', 'taxa')}: ${count(account.couplets, 'couplet')}, ${count(account.ends, 'end')}`,
    `couplets to an end: ${depth.least} to ${depth.greatest}, mean ${figure(depth.mean)}; the least that ${count(bounds.answers, 'answer')} ${bounds.answers === 1 ? 'needs' : 'need'}: mean ${figure(bounds.mean)}, deepest ${bounds.greatest}`,
  ];
  if (weighted !== undefined)
    lines.push(
      `by frequency: mean ${figure(weighted.mean)}; no key takes less than ${figure(weighted.entropy)} (entropy), and with any split there could be ${figure(weighted.huffman)} (Huffman)`,
    );
  lines.push(
    `expected effort: ${figure(account.effort)}; no key over these characters takes less than ${figure(account.leastEffort)}`,
  );
  for (const [why, said] of TOGETHER) {
    const ends = account.together.filter((t) => t.why === why);
    if (ends.length > 0) lines.push(`${said}: ${few(ends.map(sharedEnd), '; ')}`);
  }
  if (account.repeated.length > 0)
    lines.push(
      `at more than one end, since they vary or are not described there: ${few(account.repeated.map((r) => `${r.taxon.name} (${r.ends})`))}`,
    );
  if (account.gaps.length > 0)
    lines.push(
      `gaps that cost; describe these first: ${few(
        account.gaps.map(
          (g) => `${g.character.name} of ${g.taxon.name} (couplet ${few(g.couplets.map(String))})`,
        ),
        '; ',
      )}`,
    );
  if (account.unused.length > 0)
    lines.push(`described and never asked: ${few(account.unused.map((c) => c.name))}`);
  for (const { harmful, misread, taken, noSecond } of account.exposed.slice(0, MOST_NAMED))
    lines.push(
      `BEWARE: ${misread.name}, misread once, turns ${harmful.name} (${harmful.concern.level}) into ${names(taken)}; ${
        noSecond.length === 0
          ? 'each of these differs from it in a second character, but none that is asked on the way there keeps it off'
          : `find a second character that separates it from ${names(noSecond)}`
      }`,
    );
  if (account.exposed.length > MOST_NAMED)
    lines.push(`BEWARE: so do ${account.exposed.length - MOST_NAMED} other single misreadings`);
  return [...lines, ...remarks].map(harmless);
}

function sharedEnd({ taxa, open }: SharedEnd): string {
  return open.length === 0 ? names(taxa) : `${names(taxa)} (${few(open.map((c) => c.name))})`;
}

function names(taxa: readonly { readonly name: string }[]): string {
  const all = taxa.map((t) => t.name);
  return all.length <= MOST_NAMED
    ? listed(all)
    : `${all.slice(0, MOST_NAMED - 1).join(', ')} and ${all.length - MOST_NAMED + 1} more`;
}

function few(items: readonly string[], by = ', '): string {
  const more = items.length - MOST_NAMED;
  return more <= 1 ? items.join(by) : `${items.slice(0, MOST_NAMED).join(by)}${by}and ${more} more`;
}
