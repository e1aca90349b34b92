import type { Verdict } from '../engine/outcome.js';
import type { Taxon } from '../key/key.js';
import { severity } from '../key/severity.js';
import { harmless } from '../text/harmless.js';
import { listed } from '../text/words.js';
import { wrapLines } from '../text/wrap.js';
import { cautionsInShort, concernInShort, taxonWithCommonName } from './cautions.js';
import type { LineStyle } from './couplet.js';

/** A taxon as a summary names it. */
export interface SummaryTaxon {
  readonly taxon: Pick<Taxon, 'name' | 'concern'> & { readonly common?: readonly string[] };
}

/** Something that is near, and what is to be looked at again before it can be left aside. */
export interface SummaryNear extends SummaryTaxon {
  /** In words. */
  readonly again: readonly string[];
}

/** What a determination comes to, as far as one screen holds it. No text in it has been made fit for a terminal yet. */
export interface Summary {
  /** The find, and with what it was keyed. */
  readonly heading: string;
  readonly verdict: Pick<Verdict, 'word' | 'settled'>;
  /** The verdict with its reason, in a line. */
  readonly says: string;
  /** The name of the find, with its qualifier; undefined when it has none. */
  readonly name: string | undefined;
  readonly candidates: readonly SummaryTaxon[];
  /** What doubts and single specimens leave possible besides, a sentence each. */
  readonly further: readonly string[];
  /** The deadly and severe taxa that one wrong look hides; where nothing fits, the nearest ends. */
  readonly near: readonly SummaryNear[];
  /** What to look at, the best first. */
  readonly looks: readonly string[];
  /** What else is to be known, a sentence each. */
  readonly remarks: readonly string[];
}

/** The lines of a screen that a summary may fill; a deadly taxon that settles it may have one more. */
const MOST_LINES = 20;
/** How many of each list are shown where there is room, and how few at least. */
const ROOM = { candidates: [6, 2], further: [3, 1], near: [2, 1], looks: [4, 1], remarks: [3, 1] } as const;
type Part = keyof typeof ROOM;
/** Of lists that are equally far from their least, the one that is shortened first. */
const PARTS: readonly Part[] = ['candidates', 'looks', 'remarks', 'near', 'further'];

/**
 * A determination on one screen: the verdict and why, what is possible (the worst first), what to look at now, and the
 * cautions in two lines. `more` says how to get the rest; `most` is how many lines a smaller window holds, as far as the
 * lists can be shortened to that.
 */
export function summaryLines(
  summary: Summary,
  setting: LineStyle,
  centre: string | undefined,
  more?: string,
  most = Infinity,
): string[] {
  const { verdict, candidates } = summary;
  const settledByDeath = verdict.settled && candidates.some((c) => c.taxon.concern.level === 'deadly');
  const room = Math.min(most, MOST_LINES + (settledByDeath ? 1 : 0));
  const end = ['', ...cautionsInShort(centre).flatMap((text) => wrapLines(text, setting.width, '', '  '))];
  const shown = Object.fromEntries(Object.entries(ROOM).map(([part, [n]]) => [part, n])) as Record<
    Part,
    number
  >;
  for (;;) {
    const lines = [...summaryBody(summary, setting, shown, more), ...end];
    if (lines.length <= room) return lines;
    const spare = (p: Part) => Math.min(shown[p], summary[p].length) - ROOM[p][1];
    const most = Math.max(...PARTS.map(spare));
    const part = most > 0 ? PARTS.find((p) => spare(p) === most) : undefined;
    if (part === undefined) return lines;
    shown[part] = Math.min(shown[part], summary[part].length) - 1;
  }
}

const ALL: Readonly<Record<Part, number>> = {
  candidates: Infinity,
  further: Infinity,
  near: Infinity,
  looks: Infinity,
  remarks: Infinity,
};

/** The same without limit and cautions, to stand above a full report. */
export function summaryOfAll(summary: Summary, setting: LineStyle): string[] {
  return summaryBody(summary, setting, ALL);
}

/** A list of a summary, with its title. */
interface SummaryList {
  readonly title: string;
  readonly items: readonly string[];
}

/** The line below the verdict, and the lists of a summary that hold anything, as far as they are shown. */
export function summaryLists(
  { candidates, further, near, looks, remarks }: Summary,
  shown: Readonly<Record<Part, number>> = ALL,
): SummaryList[] {
  // How many are left out stands in the title, so that saying it takes no line.
  const list = (title: string, items: readonly string[], part: Part): SummaryList[] => {
    if (items.length === 0) return [];
    if (items.length <= shown[part]) return [{ title, items }];
    return [{ title: `${title} (${shown[part]} of ${items.length})`, items: items.slice(0, shown[part]) }];
  };
  const worstFirst = [...candidates].sort((a, b) => severity(a.taxon) - severity(b.taxon));
  return [
    ...candidateList(worstFirst, shown.candidates),
    ...list('Possible as well', further, 'further'),
    ...list(candidates.length === 0 ? 'Nearest' : 'One wrong look away', near.map(nearText), 'near'),
    ...list('Look at now', looks, 'looks'),
    ...list('Bear in mind', remarks, 'remarks'),
  ];
}

/** What is possible; that the rest does no more harm is said in words. */
function candidateList(worstFirst: readonly SummaryTaxon[], most: number): SummaryList[] {
  if (worstFirst.length === 0) return [];
  const rest = worstFirst.length - most;
  return [
    {
      title: worstFirst.length === 1 ? 'Possible' : `Possible, the worst of ${worstFirst.length} first`,
      items: [
        ...worstFirst
          .slice(0, most)
          .map((c) => `${taxonWithCommonName(c.taxon)}: ${concernInShort(c.taxon.concern)}`),
        ...(rest > 0 ? [`and ${rest} more, none of them worse`] : []),
      ],
    },
  ];
}

/** The find and its name: `TH-1, keyed with hollow-caps 1.2.0: Cappa parva`. */
export function summaryHeading({ heading, name }: Summary): string {
  return name === undefined ? heading : `${heading}: ${name}`;
}

/** How to get what a summary leaves out, where no key can be pressed. */
export const MORE = 'More with --full.';

/** Said below a verdict that nothing can change. */
export const SETTLED = 'Whatever more you look at, the verdict stands.';

function summaryBody(
  summary: Summary,
  { width, paint }: LineStyle,
  shown: Readonly<Record<Part, number>>,
  more?: string,
): string[] {
  const { verdict, says } = summary;
  const shout = verdict.word === 'leave it' ? paint.alarm : paint.strong;
  const [word = '', ...reason] = harmless(says).split(/(?<=^[^.]*\.)/);
  return [
    ...wrapLines(`Verdict: ${shout(word)}${reason.join('')}`, width, '', '  '),
    ...(verdict.settled ? wrapLines(SETTLED, width) : []),
    ...wrapLines(harmless(summaryHeading(summary)), width, '', '  '),
    ...summaryLists(summary, shown).flatMap(({ title, items }) => [
      ...wrapLines(paint.strong(title), width),
      ...items.flatMap((text) => wrapLines(harmless(text), width, '  ', '    ')),
    ]),
    ...(more === undefined ? [] : wrapLines(paint.faint(more), width)),
  ];
}

function nearText({ taxon, again }: SummaryNear): string {
  const look = again.length === 0 ? '' : `: look again at ${listed(again)}`;
  return `${taxon.name} (${taxon.concern.level})${look}`;
}
