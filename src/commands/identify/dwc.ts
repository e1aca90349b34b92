import { resolve } from 'node:path';
import type { CompiledKey } from '../../engine/compile.js';
import { ArchiveSpool } from '../../files/archive-spool.js';
import { OutFile } from '../../files/out.js';
import { programName } from '../../files/record-keeper.js';
import { noteRead } from '../../files/run-files.js';
import {
  ARCHIVE_FILES,
  headerLine,
  IDENTIFICATION,
  MEASUREMENT,
  META,
  metaXml,
  OCCURRENCE,
} from '../../tables/dwc/terms.js';
import type { Outlet } from '../../terminal/outlet.js';
import type { World } from '../../terminal/world.js';
import type { ResultWriter } from '../../words/result-writers.js';
import type { Identified } from '../../words/results.js';
import { DarwinCoreRows } from './dwc-rows.js';

/** Where an archive goes. */
interface ArchiveOptions {
  /** Its file; without it, stdout. */
  readonly out?: string;
  readonly overwrite?: boolean;
  /** The tables that are read for it. */
  readonly tables: readonly string[];
}

/** Writes results as a Darwin Core archive. */
export class ArchiveWriter implements ResultWriter, Saving {
  readonly #rows: DarwinCoreRows;
  readonly #spool: ArchiveSpool;
  readonly #meta: string;

  constructor(
    key: CompiledKey,
    readonly options: ArchiveOptions,
    world: World,
  ) {
    const program = programName(world);
    const out =
      options.out === undefined ? undefined : new OutFile(world.cwd, options.out, options.overwrite);
    // Said before the work begins.
    for (const table of options.tables) if (table !== '-') noteRead(resolve(world.cwd, table));
    out?.check();
    this.#rows = new DarwinCoreRows(key, { program, date: world.now().toISOString().slice(0, 10) });
    this.#meta = metaXml(program);
    this.#spool = new ArchiveSpool(
      ARCHIVE_FILES.map((f) => f.name),
      out,
    );
    for (const file of ARCHIVE_FILES) this.#spool.write(file.name, headerLine(file));
  }

  head(): string {
    return '';
  }

  /** Puts the results into the files of the archive; there is nothing to print before all are there. */
  results(batch: readonly Identified[]): string {
    for (const identified of batch) {
      const lines = this.#rows.lines(identified);
      this.#spool.write(OCCURRENCE.name, lines.occurrence);
      this.#spool.write(IDENTIFICATION.name, lines.identification);
      this.#spool.write(MEASUREMENT.name, lines.measurement);
    }
    return '';
  }

  foot(): string {
    return '';
  }

  async save(outlet: Outlet): Promise<void> {
    const first = [[META, this.#meta]] as const;
    if (this.options.out !== undefined) this.#spool.save(first);
    else for (const piece of this.#spool.bytes(first)) await outlet.bytes(piece);
  }

  close(): void {
    this.#spool.close();
  }
}

/** A writer whose results are written all at once, at the end. */
export interface Saving {
  save(outlet: Outlet): Promise<void>;
}
