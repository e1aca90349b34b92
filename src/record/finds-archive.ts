/**
 * An archive of finds: a folder a find, with its record and, below that, its photographs under the names that the record
 * has. Pure bytes, so that a page in a browser writes and reads the very archives that the program reads.
 */
import type { Archive } from '../archive/archive.js';
import { inMegabytes } from '../archive/directory.js';
import { storedArchive } from '../archive/stored.js';
import { Failure } from '../diagnostic/failure.js';
import { LARGEST_TEXT } from '../key/document.js';
import { harmless, quoted } from '../text/harmless.js';

/** How the file of a record ends in an archive; files of other names are no records. */
export const RECORD_ENDING = '.record.yaml';

/** A find that is to be packed. */
export interface FindToPack {
  /** What it is called; its folder is named after it. */
  readonly id: string;
  /** The text of its record. */
  readonly record: string;
  /** Its photographs by their names in the record; those that are not at hand are left out. */
  readonly photographs: ReadonlyMap<string, Uint8Array>;
}

const LONGEST_FOLDER = 60;

/**
 * The bytes of an archive of finds; the same finds in the same order always give the same bytes. Throws a Failure for a
 * photograph whose name leads out of the folder of its find.
 */
export function packFinds(finds: Iterable<FindToPack>): Uint8Array {
  const taken = new Set<string>();
  const files: (readonly [string, string | Uint8Array])[] = [];
  for (const { id, record, photographs } of finds) {
    const folder = folderName(id, taken);
    files.push([`${folder}/${folder}${RECORD_ENDING}`, record]);
    for (const [name, bytes] of photographs) {
      if (!staysBelow(name))
        throw new Failure(
          `the photograph ${quoted(name)} of ${harmless(id)} lies outside the folder of its record`,
        );
      files.push([`${folder}/${name}`, bytes]);
    }
  }
  return storedArchive(files);
}

/** A name for the folder of a find that every system takes, and no other find has, in small letters or large ones. */
function folderName(id: string, taken: Set<string>): string {
  const plain = id
    .normalize('NFC')
    .replace(/[^\p{L}\p{M}\p{N}._-]+/gu, '-')
    .replace(/^[.-]+|[.-]+$/g, '');
  const short =
    [...plain]
      .slice(0, LONGEST_FOLDER)
      .join('')
      .replace(/[.-]+$/, '') || 'find';
  // Names of devices, which no file of some systems may have.
  const base = /^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i.test(short) ? `find-${short}` : short;
  let name = base;
  for (let n = 2; taken.has(name.toLowerCase()); n++) name = `${base}-${n}`;
  taken.add(name.toLowerCase());
  return name;
}

/** Whether a file name of a record stays in the folder of the record, or below it. */
export function staysBelow(name: string): boolean {
  return (
    !/^[a-z]:|\\/i.test(name) &&
    harmless(name) === name &&
    name.split('/').every((part) => part !== '' && part !== '.' && part !== '..')
  );
}

/** A find as it stands in an archive. */
export interface ArchivedFind {
  /** The path of its record within the archive. */
  readonly name: string;
  /** The bytes of its record. Throws a Failure where they are damaged or more than a record has. */
  record(): Uint8Array;
  /** The bytes of a photograph by its name in the record; undefined where it is not in the archive. */
  photograph(file: string): Uint8Array | undefined;
}

/** Whether the names of the files of an archive are those of an archive of finds. */
export function holdsFinds(names: readonly string[]): boolean {
  return names.some(isRecordName);
}

/** Some systems add files of their own, whose names begin with a dot, beside those that were packed. */
function isRecordName(name: string): boolean {
  return (
    name.endsWith(RECORD_ENDING) &&
    !name.split('/').some((part) => part.startsWith('.')) &&
    !/^__MACOSX\//.test(name)
  );
}

/** The finds of an archive, in its order; whatever else it holds is passed over. */
export function findsIn(archive: Archive): readonly ArchivedFind[] {
  return archive.names.filter(isRecordName).map((name) => {
    const folder = name.slice(0, name.lastIndexOf('/') + 1);
    return {
      name,
      record: () => {
        if (archive.size(name) > LARGEST_TEXT)
          throw new Failure(
            `${harmless(`${archive.shown}/${name}`)} is larger than the ${inMegabytes(LARGEST_TEXT)} that a record may have`,
          );
        return archive.read(name);
      },
      photograph: (file) =>
        staysBelow(file) && !isRecordName(file) && archive.has(folder + file)
          ? archive.read(folder + file)
          : undefined,
    };
  });
}
