import { DarwinCoreRows } from '../commands/identify/dwc-rows.js';
import {
  ARCHIVE_FILES,
  headerLine,
  IDENTIFICATION,
  MEASUREMENT,
  META,
  metaXml,
  OCCURRENCE,
} from '../tables/dwc/terms.js';
import { type Determination, determinedOf } from './determination.js';
import type { ArchiveFiles } from './finds.js';

/** What an archive says of how its finds were identified. */
export interface ArchiveOptions {
  /** The day of identification, as `2026-10-18`. */
  readonly date: string;
  /** The program that identified, with its version. Default `keywright`. */
  readonly program?: string;
}

/** Determinations as a Darwin Core archive: the texts of its files by their names, to be packed into a zip file. */
export function archiveOf(determinations: Iterable<Determination>, options: ArchiveOptions): ArchiveFiles {
  const { date, program = 'keywright' } = options;
  const texts = new Map(ARCHIVE_FILES.map((file) => [file.name as string, [headerLine(file)]]));
  const rows = new Map<object, DarwinCoreRows>();
  for (const determination of determinations) {
    const found = determinedOf(determination);
    const own = rows.get(found.key) ?? new DarwinCoreRows(found.key, { program, date });
    rows.set(found.key, own);
    const lines = own.lines({ kind: 'found', found });
    texts.get(OCCURRENCE.name)?.push(lines.occurrence);
    texts.get(IDENTIFICATION.name)?.push(lines.identification);
    texts.get(MEASUREMENT.name)?.push(lines.measurement);
  }
  const files = [...texts].map(([name, lines]) => [name, lines.join('')] as const);
  return Object.fromEntries([[META, metaXml(program)], ...files]);
}
