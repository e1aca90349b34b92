import { KnownSpecimens } from '../commands/test/known.js';
import {
  type Confusion,
  type CoverageData,
  coverageData,
  type KnownRow,
  KnownTally,
  type RowWord,
  testedRow,
  untestedRow,
} from '../commands/test/rows.js';
import type { Finding } from '../diagnostic/finding.js';
import { TaxonNames } from '../key/taxon-names.js';
import { EXPECT_KNOWN } from '../tables/vocabulary.js';
import { entriesOf, type TableOptions, tableReader } from './finds.js';
import { compiledOf, type Key } from './key.js';

/** How a key is tested. */
export interface TestOptions extends Pick<TableOptions, 'file' | 'format'> {
  /** Whether it is a failure to be right only as one of several that are left. Default false. */
  readonly strict?: boolean;
}

/** What known specimens make of a key. */
export interface Tested {
  /** One for each collection, in the order of the table. */
  readonly rows: readonly KnownRow[];
  /** How many collections came to what. */
  readonly counts: Readonly<Record<RowWord, number>>;
  /** Specimens that left the way at one place and came out alike, in the order of the key. */
  readonly confusions: readonly Confusion[];
  /** What of the key the specimens exercised. */
  readonly coverage: CoverageData;
  /** What is wrong with the table as a whole; empty where nothing is. */
  readonly findings: readonly Finding[];
}

/** Tests a key with a table of known specimens: collections with what they are known to be in `expect`. */
export function testKey(key: Key, text: string, options: TestOptions = {}): Tested {
  const compiled = compiledOf(key);
  const names = new TaxonNames(compiled.chain.taxa.values());
  const known = new KnownSpecimens(compiled, names);
  const tally = new KnownTally(compiled);
  const { file, reader, notes } = tableReader(key, text, options, names);
  const rows: KnownRow[] = [];
  for (const entries of entriesOf(reader, text))
    for (const entry of entries) {
      const place = { file, entry };
      const mistakes = entry.findings.filter((f) => f.rule !== EXPECT_KNOWN);
      const lacking = entry.findings.filter((f) => f.rule === EXPECT_KNOWN).map((f) => f.message);
      const row =
        mistakes.length > 0
          ? untestedRow({ file, entry: { ...entry, findings: mistakes } }, 'unreadable')
          : entry.collection.expect.length === 0
            ? untestedRow(place, 'no expectation')
            : testedRow(place, known.test(entry.collection), lacking, options.strict === true);
      tally.add(row);
      rows.push(row);
    }
  return {
    rows,
    counts: tally.counts,
    confusions: tally.confusions,
    coverage: coverageData(known.coverage()),
    findings: [...reader.findings, ...notes.findings()],
  };
}
