/** Reads the directory of a zip archive, and checks that what it says can be true. */
import { Failure } from '../diagnostic/failure.js';
import { harmless, quoted } from '../text/harmless.js';
import { count } from '../text/words.js';

/** One file of an archive. */
export interface ZipEntry {
  /** Its path within the archive, with `/` between the parts. */
  readonly name: string;
  /** 0 = as it is, 8 = deflated. */
  readonly method: number;
  readonly packed: number;
  readonly unpacked: number;
  readonly sum: number;
  /** Where its packed bytes begin; looked up, and checked, when they are read. */
  start(): number;
}

const LOCAL = 0x04034b50;
const CENTRAL = 0x02014b50;
const END = 0x06054b50;
const END_64 = 0x06064b50;
const LOCATOR_64 = 0x07064b50;
const END_SIZE = 22;
const LONGEST_COMMENT = 65_535;
/** Room for ten thousand files with long names. */
const LARGEST_DIRECTORY = 8 * 1024 * 1024;
const LONGEST_NAME = 500;
/** Marks a number that did not fit into four bytes. */
const IN_64 = 0xffffffff;

/** Whether bytes that begin like this are a zip archive. */
export function isArchive(start: Uint8Array): boolean {
  const [p, k, third, fourth] = start;
  return p === 0x50 && k === 0x4b && ((third === 3 && fourth === 4) || (third === 5 && fourth === 6));
}

/** A size for messages. */
export function inMegabytes(bytes: number): string {
  return `${Math.max(1, Math.round(bytes / 1024 / 1024))} MB`;
}

/**
 * The files of an archive (folders are left out), in the order of its directory. Throws a Failure when there are more
 * than `most`, when the directory is inconsistent, or when a name would lead out of the folder that it is unpacked in.
 */
export function zipEntries(source: ByteSource, shown: string, most: number): ZipEntry[] {
  const fail = (why: string) => new Failure(`${harmless(shown)} cannot be read as a zip archive: ${why}`);
  const { start, size, entries } = directoryOf(source, fail);
  if (entries > most) throw fail(`it holds ${count(entries, 'file')}, and ${most} are the most that is read`);
  const bytes = view(source.read(start, size));
  const found: { entry: ZipEntry; from: number; to: number }[] = [];
  let at = 0;
  for (let n = 0; n < entries; n++) {
    if (at + 46 > size || bytes.getUint32(at, true) !== CENTRAL) throw fail('its list of files is damaged');
    const [nameSize, extraSize, commentSize] = [28, 30, 32].map((o) => bytes.getUint16(at + o, true)) as [
      number,
      number,
      number,
    ];
    const next = at + 46 + nameSize + extraSize + commentSize;
    if (next > size) throw fail('its list of files is damaged');
    const raw = part(bytes, at + 46, nameSize);
    const flags = bytes.getUint16(at + 8, true);
    const name = nameOf(raw, fail);
    const wide = wideNumbers(bytes, at, nameSize, extraSize);
    if (wide === undefined) throw fail('its list of files is damaged');
    const { packed, unpacked, offset } = wide;
    const method = bytes.getUint16(at + 10, true);
    const mode = bytes.getUint32(at + 38, true) >>> 16;
    if (!name.endsWith('/')) {
      if ((flags & 1) !== 0) throw fail(`${quoted(name)} is locked with a password`);
      if (method !== 0 && method !== 8)
        throw fail(`${quoted(name)} is packed in a way that is not known here (method ${method})`);
      if (method === 0 && packed !== unpacked) throw fail(`the sizes of ${quoted(name)} do not agree`);
      if ((mode & 0xf000) === 0xa000) throw fail(`${quoted(name)} is a link, not a file`);
    }
    const to = offset + 30 + nameSize + packed;
    if (to > start) throw fail(`${quoted(name)} does not lie within the archive`);
    const sum = bytes.getUint32(at + 16, true);
    const data = () =>
      dataStart(source, offset, raw, () => fail(`${quoted(name)} is not where it should be`));
    found.push({ entry: { name, method, packed, unpacked, sum, start: data }, from: offset, to });
    at = next;
  }
  // Files that share their bytes are how a small archive becomes a very large one.
  const inOrder = [...found].sort((a, b) => a.from - b.from);
  inOrder.forEach(({ from, entry }, i) => {
    if (i > 0 && from < (inOrder[i - 1]?.to ?? 0)) throw fail(`${quoted(entry.name)} overlaps another file`);
  });
  return found.map((f) => f.entry).filter((e) => !e.name.endsWith('/'));
}

type Fail = (why: string) => Failure;

function view(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

function part(bytes: DataView, at: number, length: number): Uint8Array {
  return new Uint8Array(bytes.buffer, bytes.byteOffset + at, length);
}

interface Directory {
  readonly start: number;
  readonly size: number;
  readonly entries: number;
}

function directoryOf(source: ByteSource, fail: Fail): Directory {
  const length = Math.min(source.size, END_SIZE + LONGEST_COMMENT);
  const from = source.size - length;
  const tail = view(source.read(from, length));
  let at = length - END_SIZE;
  // The comment after the end record may hold anything, so the end record that fits its comment is searched backwards.
  while (
    at >= 0 &&
    !(tail.getUint32(at, true) === END && at + END_SIZE + tail.getUint16(at + 20, true) === length)
  )
    at--;
  if (at < 0) throw fail('its end is missing or damaged');
  let [entries, size, start] = [
    tail.getUint16(at + 10, true),
    tail.getUint32(at + 12, true),
    tail.getUint32(at + 16, true),
  ];
  if (tail.getUint16(at + 4, true) !== 0 && tail.getUint16(at + 4, true) !== 0xffff)
    throw fail('it is one part of an archive in several parts');
  if (start === IN_64 || size === IN_64 || entries === 0xffff) {
    const wide = wideDirectory(source, from + at);
    if (wide === undefined) throw fail('its end is missing or damaged');
    ({ entries, size, start } = wide);
  }
  if (size > LARGEST_DIRECTORY) throw fail('its list of files is longer than any that is read');
  if (start + size > from + at) throw fail('its list of files is not where it should be');
  return { start, size, entries };
}

/** The Zip64 end of the directory. */
function wideDirectory(source: ByteSource, end: number): Directory | undefined {
  if (end < 20) return undefined;
  const locator = view(source.read(end - 20, 20));
  if (locator.getUint32(0, true) !== LOCATOR_64) return undefined;
  const at = wideNumber(locator, 8);
  if (at === undefined || at + 56 > end) return undefined;
  const record = view(source.read(at, 56));
  if (record.getUint32(0, true) !== END_64) return undefined;
  const [entries, size, start] = [32, 40, 48].map((o) => wideNumber(record, o));
  return entries === undefined || size === undefined || start === undefined
    ? undefined
    : { entries, size, start };
}

function wideNumber(bytes: DataView, at: number): number | undefined {
  const value = bytes.getBigUint64(at, true);
  return value > BigInt(Number.MAX_SAFE_INTEGER) ? undefined : Number(value);
}

/** Sizes and place of a file; those that do not fit into four bytes are in the extra field. */
function wideNumbers(
  bytes: DataView,
  at: number,
  nameSize: number,
  extraSize: number,
): { packed: number; unpacked: number; offset: number } | undefined {
  const numbers = [24, 20, 42].map((o) => bytes.getUint32(at + o, true));
  if (numbers.includes(IN_64)) {
    const end = at + 46 + nameSize + extraSize;
    let extra = at + 46 + nameSize;
    while (extra + 4 <= end && bytes.getUint16(extra, true) !== 1)
      extra += 4 + bytes.getUint16(extra + 2, true);
    if (extra + 4 > end) return undefined;
    const last = Math.min(end, extra + 4 + bytes.getUint16(extra + 2, true));
    let wide = extra + 4;
    for (let i = 0; i < numbers.length; i++) {
      if (numbers[i] !== IN_64) continue;
      const value = wide + 8 <= last ? wideNumber(bytes, wide) : undefined;
      if (value === undefined) return undefined;
      numbers[i] = value;
      wide += 8;
    }
  }
  const [unpacked = 0, packed = 0, offset = 0] = numbers;
  return { packed, unpacked, offset };
}

/** A name in UTF-8; what is none is read a character a byte, as older programs write it. */
function textOf(raw: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(raw);
  } catch {
    return String.fromCharCode(...raw);
  }
}

function nameOf(raw: Uint8Array, fail: Fail): string {
  const name = textOf(raw).replaceAll('\\', '/');
  const parts = name.replace(/\/$/, '').split('/');
  if (name.length > LONGEST_NAME) throw fail(`a name in it is longer than ${LONGEST_NAME} characters`);
  if (parts.some((p) => p === '' || p === '.' || p === '..' || harmless(p) !== p) || /^[a-z]:/i.test(name))
    throw fail(`the name ${quoted(name)} leads out of the archive, or is none that a file can have`);
  return name;
}

/** Where the packed bytes of a file begin, after its own header, which must name the same file. */
function dataStart(source: ByteSource, offset: number, name: Uint8Array, astray: () => Failure): number {
  const header = source.read(offset, 30 + name.length);
  if (header.length < 30 + name.length) throw astray();
  const bytes = view(header);
  if (bytes.getUint32(0, true) !== LOCAL || bytes.getUint16(26, true) !== name.length) throw astray();
  if (name.some((byte, i) => header[30 + i] !== byte)) throw astray();
  return offset + 30 + name.length + bytes.getUint16(28, true);
}

/** Bytes that can be read at any place. */
export interface ByteSource {
  readonly size: number;
  /** The bytes from `at` on, fewer where they end. */
  read(at: number, length: number): Uint8Array;
  close(): void;
}
