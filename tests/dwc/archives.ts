import { readArchive, writeArchive } from '../../src/archive/archive.js';
import { DarwinCoreRows } from '../../src/commands/identify/dwc-rows.js';
import { TaxonNames } from '../../src/key/taxon-names.js';
import type { ArchiveTexts } from '../../src/tables/dwc/data-rows.js';
import { ArchiveTable } from '../../src/tables/dwc/table.js';
import { ARCHIVE_FILES, headerLine, META, metaXml } from '../../src/tables/dwc/terms.js';
import type { Entry } from '../../src/tables/entry.js';
import { SeenIds } from '../../src/tables/ids.js';
import { vocabularyOf } from '../../src/tables/vocabulary.js';
import type { Identified } from '../../src/words/results.js';
import { capsKey } from '../tables/reading.js';

/** Everything that came of an archive. */
export interface ReadArchive {
  readonly entries: readonly Entry[];
  readonly stopped: boolean;
  /** `file:line:column message` of every mistake. */
  readonly mistakes: readonly string[];
}

/** The texts of an archive in memory, in pieces of so many characters. */
export function textsOf(bytes: Uint8Array, piece = 1 << 16): ArchiveTexts {
  const files = readArchive(bytes, 'finds.zip');
  return {
    shown: 'finds.zip',
    names: [...files.keys()],
    async *text(name, encoding) {
      const text = new TextDecoder(encoding).decode(files.get(name));
      for (let at = 0; at < text.length; at += piece) yield text.slice(at, at + piece);
    },
  };
}

/** Reads an archive for a key. */
export async function readFinds(
  bytes: Uint8Array,
  options: { readonly key?: typeof capsKey; readonly piece?: number; readonly taxa?: boolean } = {},
): Promise<ReadArchive> {
  const { key = capsKey, piece } = options;
  const taxa = options.taxa === true ? { taxa: new TaxonNames(key.chain.taxa.values()) } : {};
  const table = new ArchiveTable(textsOf(bytes, piece), [
    { file: 'finds.zip', vocabulary: { ...vocabularyOf(key.chain), ...taxa }, seen: new SeenIds() },
  ]);
  const entries: Entry[] = [];
  for await (const [batch = []] of table.entries()) entries.push(...batch);
  const [state] = table.states;
  const findings = [...(state?.findings ?? []), ...entries.flatMap((e) => e.findings)];
  return {
    entries,
    stopped: state?.stopped === true,
    mistakes: findings.map(
      (f) => `${f.place.file}:${f.place.start.line}:${f.place.start.column} ${f.message}`,
    ),
  };
}

/** The archive that is written of some results. */
export function archiveOf(results: readonly Identified[], key = capsKey): Uint8Array {
  const rows = new DarwinCoreRows(key, { program: 'keywright 0.0.0-test', date: '2026-11-25' });
  const lines = results.map((r) => rows.lines(r));
  const [occurrence, identification, measurement] = ARCHIVE_FILES.map(headerLine);
  return writeArchive([
    [META, metaXml('keywright 0.0.0-test')],
    ['occurrence.txt', occurrence + lines.map((l) => l.occurrence).join('')],
    ['identification.txt', identification + lines.map((l) => l.identification).join('')],
    ['measurementorfact.txt', measurement + lines.map((l) => l.measurement).join('')],
  ]);
}
