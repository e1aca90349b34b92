/** What known specimens make of a key, row by row and together. */

import type { CompiledKey } from '../../engine/compile.js';
import { type ConcernLevel, concernLevels, type Taxon } from '../../key/key.js';
import { isHarmful, severity } from '../../key/severity.js';
import type { Entry } from '../../tables/entry.js';
import { visibleJson } from '../../text/harmless.js';
import { count, listed } from '../../text/words.js';
import { mistakesOf } from '../../words/results.js';
import type { Coverage, KnownResult, KnownWord } from './known.js';

/** The result of a row of a table of known specimens. */
export type RowWord = KnownWord | 'unreadable' | 'no expectation';

/** A taxon as it is written for programs. */
export interface RowTaxon {
  /** Its id. */
  readonly taxon: string;
  /** Without authority. */
  readonly name: string;
  /** The worst recorded effect. */
  readonly concern: ConcernLevel;
}

/** Where a specimen left the way to what it is known to be. */
export interface WayLeft {
  /** The name of the couplet. */
  readonly couplet: string;
  /** The label of the lead that should have been taken. */
  readonly lead: string;
  /** The labels of the leads that were followed instead; empty when all fail. */
  readonly taken: readonly string[];
  /** The id of the expected taxon that is the fewest slips away. */
  readonly taxon: string;
  /** Its name, without authority. */
  readonly name: string;
  /** The ids of the characters that speak against the lead; empty where a person chose another. */
  readonly characters: readonly string[];
  /** What the specimen shows of them, or which lead a person chose, in words. */
  readonly because: string;
  /** How many wrong observations and answers it would take to get there. */
  readonly slips: number;
  /** The ids of the characters that these concern. */
  readonly recheck: readonly string[];
  /** The labels of the leads taken by a person that they concern. */
  readonly reconsider: readonly string[];
}

/** One known specimen as it is written for programs: the order of the properties is part of the format. */
export interface KnownRow {
  /** Tells it from other lines of the output. */
  readonly kind: 'specimen';
  /** The id of the find. */
  readonly collection: string;
  /** Of the table. */
  readonly file: string;
  /** Where it begins, from 1. */
  readonly line: number;
  /** The result. */
  readonly result: RowWord;
  /** Whether that is as it should be. */
  readonly passed: boolean;
  /** What it is known to be, any one of them; empty where nothing of it is in the key. */
  readonly expected: readonly RowTaxon[];
  /** What it may be by the key; empty where it fits nothing. */
  readonly candidates: readonly RowTaxon[];
  /** `missed`: known to do harm, and not named so; `raised`: the other way round; null: neither. */
  readonly harm: 'missed' | 'raised' | null;
  /** Where the way to the expected taxon was left; null where it was not, or the key holds no way to it. */
  readonly left: WayLeft | null;
  /** What would separate the candidates, where the expected one is among several. */
  readonly undecided: readonly string[];
  /** What is wrong with the row, or with what it expects. */
  readonly problems: readonly string[];
}

const asRow = ({ id, name, concern }: Taxon): RowTaxon => ({ taxon: id, name, concern: concern.level });

/** Where a row stands. */
export interface RowPlace {
  readonly file: string;
  readonly entry: Entry;
}

/** The row of a specimen that was tested. `strict` = to be among several is a failure. */
export function testedRow(
  { file, entry }: RowPlace,
  result: KnownResult,
  unknown: readonly string[],
  strict: boolean,
): KnownRow {
  const { word, found, expected, endless, left } = result;
  const problems = [
    ...unknown,
    ...endless.map(
      (t) =>
        `${t.name} (${t.id}) is listed in the key, but no lead ends at it, nor at anything that holds it`,
    ),
  ];
  const { characters, couplets } = found.undecided;
  return {
    kind: 'specimen',
    collection: entry.collection.id,
    file,
    line: entry.line,
    result: word,
    passed: problems.length === 0 && (word === 'right' || (word === 'among' && !strict)),
    expected: expected.map(asRow),
    candidates: found.possible.map(asRow),
    harm: result.harm ?? null,
    left:
      left === undefined
        ? null
        : {
            couplet: left.couplet.name,
            lead: left.lead.label,
            taken: left.taken.map((l) => l.label),
            taxon: left.taxon.id,
            name: left.taxon.name,
            characters: left.characters,
            because: left.because,
            slips: left.slips,
            recheck: left.recheck,
            reconsider: left.reconsider,
          },
    undecided: word === 'among' ? [...characters, ...couplets.map((c) => `couplet ${c}`)] : [],
    problems,
  };
}

/** The row of a collection that nothing is expected of, or that could not be read. */
export function untestedRow({ file, entry }: RowPlace, result: 'unreadable' | 'no expectation'): KnownRow {
  return {
    kind: 'specimen',
    collection: entry.collection.id,
    file,
    line: entry.line,
    result,
    passed: result === 'no expectation',
    expected: [],
    candidates: [],
    harm: null,
    left: null,
    undecided: [],
    problems: result === 'unreadable' ? mistakesOf(entry) : [],
  };
}

/** Specimens of one taxon that left the way to it at one couplet and came out alike. */
export interface Confusion {
  /** The couplet where the way was left; undefined where the key holds no way to it. */
  readonly couplet: string | undefined;
  /** The label of the lead that should have been taken; undefined as the couplet. */
  readonly lead: string | undefined;
  /** The labels of the leads that were followed instead; empty when all fail. */
  readonly taken: readonly string[];
  /** Names. */
  readonly expected: readonly string[];
  /** What was left instead; empty when nothing fits. */
  readonly got: readonly string[];
  /** The ids of the finds. */
  readonly collections: readonly string[];
}

/** For one expected taxon, how many specimens had which result. */
export type TaxonCounts = Readonly<Record<KnownWord, number>> & { readonly name: string };

/** Everything about a run. */
export class KnownTally {
  readonly counts: Record<RowWord, number> = {
    right: 0,
    among: 0,
    wrong: 0,
    nothing: 0,
    lacking: 0,
    unreadable: 0,
    'no expectation': 0,
  };
  readonly failures: KnownRow[] = [];
  readonly among: KnownRow[] = [];
  readonly #confusions = new Map<string, Confusion & { readonly collections: string[] }>();
  readonly #taxa = new Map<string, Record<KnownWord, number> & { name: string }>();

  constructor(readonly key: CompiledKey) {}

  add(row: KnownRow): void {
    this.counts[row.result]++;
    if (!row.passed) this.failures.push(row);
    else if (row.result === 'among') this.among.push(row);
    if (row.result === 'unreadable' || row.result === 'no expectation') return;
    const name =
      row.expected.length === 0 ? (row.problems.length === 0 ? '' : NOT_IN_KEY) : namesOf(row.expected);
    let own = this.#taxa.get(name);
    if (own === undefined) {
      own = { name, right: 0, among: 0, wrong: 0, nothing: 0, lacking: 0 };
      this.#taxa.set(name, own);
    }
    own[row.result]++;
    if (row.result === 'wrong' || row.result === 'nothing') this.#confuse(row);
  }

  #confuse({ collection, left, expected, candidates }: KnownRow): void {
    const mark = [left?.lead, left?.taken, expected.map((t) => t.taxon), candidates.map((t) => t.taxon)].join(
      '\0',
    );
    const before = this.#confusions.get(mark);
    if (before !== undefined) before.collections.push(collection);
    else
      this.#confusions.set(mark, {
        couplet: left?.couplet,
        lead: left?.lead,
        taken: left?.taken ?? [],
        expected: expected.map((t) => t.name),
        got: candidates.map((t) => t.name),
        collections: [collection],
      });
  }

  /** How many specimens something was expected of. */
  get tested(): number {
    const { right, among, wrong, nothing, lacking } = this.counts;
    return right + among + wrong + nothing + lacking;
  }

  get rows(): number {
    return this.tested + this.counts.unreadable + this.counts['no expectation'];
  }

  /**
   * The failures, those that matter most first: harm that was missed, then harm that was there, then harm that was
   * raised.
   */
  get worstFirst(): readonly KnownRow[] {
    return [...this.failures].sort((a, b) => harmOrder(a) - harmOrder(b));
  }

  /** By the couplet where the way was left, in the order of the key; the most frequent first. */
  get confusions(): readonly Confusion[] {
    const at = (c: Confusion) =>
      c.couplet === undefined ? this.key.couplets.length : (this.key.coupletIndex.get(c.couplet) ?? 0);
    return [...this.#confusions.values()].sort(
      (a, b) => at(a) - at(b) || b.collections.length - a.collections.length,
    );
  }

  /** By what was expected, in the order in which it first came. */
  get taxa(): readonly TaxonCounts[] {
    return [...this.#taxa.values()];
  }

  /** `14 known specimens with gill-genera 1.0.0: 12 right, 1 right among several, 1 wrong and 0 that fit nothing.` */
  text(): string {
    const { id, version } = this.key.chain.main;
    const { right, among, wrong, nothing, lacking, unreadable, 'no expectation': without } = this.counts;
    const parts = [
      `${right} right`,
      `${among} right among several`,
      `${wrong} wrong`,
      `${nothing} that ${nothing === 1 ? 'fits' : 'fit'} nothing`,
      ...(lacking > 0 ? [`${lacking} of taxa that the key does not hold`] : []),
    ];
    const rest = [
      ...(unreadable > 0 ? [`${count(unreadable, 'collection')} could not be read`] : []),
      ...(without > 0
        ? [`${count(without, 'collection')} without expect ${without === 1 ? 'was' : 'were'} skipped`]
        : []),
    ];
    const tested =
      this.tested === 0
        ? `No known specimens to test ${id} ${version} with`
        : `${count(this.tested, 'known specimen')} with ${id} ${version}: ${listed(parts)}`;
    return `${[tested, ...rest].join('; ')}.`;
  }
}

/** The word under which specimens are counted whose expected taxon the key does not have. */
const NOT_IN_KEY = 'not in the key';

/** Names of taxa, one of which it is. */
function namesOf(taxa: readonly RowTaxon[]): string {
  return listed(
    taxa.map((t) => t.name),
    'or',
  );
}

function harmOrder({ harm, expected, candidates }: KnownRow): number {
  const worst = Math.min(4, ...expected.map((t) => concernLevels.indexOf(t.concern)));
  const harmful = worst < concernLevels.indexOf('unknown');
  const left = candidates.some((t) => isHarmful(t.concern));
  if (harm === 'missed') return left ? 10 + worst : worst;
  if (harmful) return 20 + worst;
  return harm === 'raised' ? 30 : 40;
}

/** A taxon without a known specimen. */
export interface UntestedTaxon {
  /** Its id. */
  readonly taxon: string;
  /** Without authority. */
  readonly name: string;
}

/** What of a key known specimens exercise. */
export interface CoverageData {
  /** Tells it from other lines of the output. */
  readonly kind: 'coverage';
  /** How many the key has. */
  readonly leads: number;
  /** How many of them some specimen took. */
  readonly taken: number;
  /** The labels of the others. */
  readonly never: readonly string[];
  /** The names of couplets that none came to. */
  readonly couplets: readonly string[];
  /** The labels of leads that nothing ruled out and no specimen fitted. */
  readonly openOnly: readonly string[];
  /** How many taxa leads end at. */
  readonly taxa: number;
  /** Those without a known specimen, the worst first. */
  readonly taxaWithout: readonly UntestedTaxon[];
}

/** Coverage as it is written for programs. */
export function coverageData({ leads, never, openOnly, ends, unknown }: Coverage): CoverageData {
  const labels = never.flatMap((n) => n.leads.map((l) => l.label));
  return {
    kind: 'coverage',
    leads,
    taken: leads - labels.length,
    never: labels,
    couplets: never.filter((n) => !n.arrived).map((n) => n.couplet.name),
    openOnly: openOnly.map((l) => l.label),
    taxa: ends,
    taxaWithout: [...unknown]
      .sort((a, b) => severity(a) - severity(b))
      .map(({ id, name }) => ({ taxon: id, name })),
  };
}

/** Writes the results of known specimens; the pieces together are the whole. */
export interface KnownWriter {
  head(): string;
  row(row: KnownRow): string;
  /** What stands after the last row. `broken` = the tables could not be read to their end, and why. */
  foot(tally: KnownTally, coverage: Coverage, broken: string | undefined): string;
}

/** One JSON object a line: the specimens in the order of the tables, then confusions, coverage and counts. */
export function knownNdjson(): KnownWriter {
  const line = (data: object) => `${visibleJson(JSON.stringify(data))}\n`;
  return {
    head: () => '',
    row: line,
    foot: (tally, coverage, broken) =>
      broken !== undefined
        ? ''
        : [
            ...tally.confusions.map((c) => ({
              kind: 'confusion',
              couplet: c.couplet ?? null,
              lead: c.lead ?? null,
              taken: c.taken,
              expected: c.expected,
              got: c.got,
              times: c.collections.length,
              collections: c.collections,
            })),
            coverageData(coverage),
            {
              kind: 'counts',
              key: tally.key.chain.main.id,
              version: tally.key.chain.main.version,
              tested: tally.tested,
              ...tally.counts,
              failed: tally.failures.length,
            },
          ]
            .map(line)
            .join(''),
  };
}
