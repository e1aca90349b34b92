import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import fc from 'fast-check';
import { zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { Archive, bytesSource, readArchive, SMALL_ARCHIVE, writeArchive } from '../../src/archive/archive.js';
import { crc32 as sum } from '../../src/archive/crc32.js';
import { isArchive } from '../../src/archive/directory.js';
import { Failure } from '../../src/diagnostic/failure.js';
import { fileSource } from '../../src/files/file-source.js';

const text = (bytes: Uint8Array | undefined) => Buffer.from(bytes ?? []).toString('utf8');
const zip = (...files: [string, string | Uint8Array][]) => writeArchive(files);

/** What is said when an archive is refused; undefined when it is read. Anything but a Failure is a bug. */
function refusal(bytes: Uint8Array, limits = SMALL_ARCHIVE): string | undefined {
  try {
    readArchive(bytes, 'finds.zip', limits);
    return undefined;
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    return error.message;
  }
}

/** The bytes with some of them replaced, found by what stands before them. */
function patched(bytes: Uint8Array, at: (all: Buffer) => number, ...to: number[]): Uint8Array {
  const copy = Buffer.from(bytes);
  copy.set(to, at(copy));
  return copy;
}
const central = (offset: number) => (all: Buffer) => all.indexOf('PK\x01\x02', 0, 'latin1') + offset;
const end = (offset: number) => (all: Buffer) => all.lastIndexOf('PK\x05\x06', -1, 'latin1') + offset;

describe('the checksum', () => {
  it('is that of zlib, whole or in pieces', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), fc.nat(300), (bytes, at) => {
        const [first, rest] = [bytes.subarray(0, at), bytes.subarray(at)];
        expect(sum(bytes)).toBe(crc32(bytes));
        expect(sum(rest, sum(first))).toBe(crc32(bytes));
      }),
    );
  });
});

describe('an archive', () => {
  it('gives back what was put in, in its order', () => {
    const name = fc.stringMatching(/^[a-zé][a-z0-9 é._-]{0,10}[a-z](\/[a-z]{1,8}\.txt)?$/);
    fc.assert(
      fc.property(fc.dictionary(name, fc.oneof(fc.string(), fc.uint8Array({ maxLength: 5000 }))), (files) => {
        const all = Object.entries(files);
        const read = readArchive(writeArchive(all), 'a.zip');
        expect([...read.keys()]).toEqual(all.map(([n]) => n));
        for (const [n, content] of all)
          expect(Buffer.from(read.get(n) ?? [])).toEqual(
            Buffer.from(typeof content === 'string' ? new TextEncoder().encode(content) : content),
          );
      }),
      { numRuns: 30 },
    );
  });

  it('is the same each time', () => {
    expect(zip(['a', 'one'], ['b', 'two'])).toEqual(zip(['a', 'one'], ['b', 'two']));
  });

  it('is known by its first bytes', () => {
    expect(isArchive(zip(['a', 'one']))).toBe(true);
    expect(isArchive(writeArchive([]))).toBe(true);
    expect(isArchive(Buffer.from('PK is no archive'))).toBe(false);
    expect(isArchive(Buffer.from(''))).toBe(false);
  });

  it('is read from a file piece by piece', () => {
    const folder = mkdtempSync(join(tmpdir(), 'kw-'));
    try {
      const path = join(folder, 'a.zip');
      const long = 'Tarn Hollow, 12 October\n'.repeat(50_000);
      writeFileSync(path, zip(['stored', ''], ['long', long]));
      const archive = new Archive(fileSource(path, 'a.zip'), 'a.zip', { ...SMALL_ARCHIVE, ratio: 2000 });
      const pieces = [...archive.pieces('long')];
      expect(pieces.length).toBeGreaterThan(0);
      expect(Buffer.concat(pieces).toString()).toBe(long);
      expect(archive.size('long')).toBe(long.length);
      archive.close();
    } finally {
      rmSync(folder, { recursive: true });
    }
    expect(() => fileSource(join(folder, 'none.zip'), 'none.zip')).toThrow(
      'none.zip cannot be read: there is no such file',
    );
  });

  it('reads files that are not packed, and passes folders over', () => {
    const bytes = zipSync({ 'd/': new Uint8Array(0), 'd/a.txt': [Buffer.from('as it is'), { level: 0 }] });
    const read = readArchive(bytes, 'a.zip');
    expect([...read.keys()]).toEqual(['d/a.txt']);
    expect(text(read.get('d/a.txt'))).toBe('as it is');
  });

  it('is read in the form for very large ones', () => {
    // As APPNOTE.TXT 6.3 (PKWARE, from memory) has it: numbers that do not fit stand in an extra field, and in a second
    // end of the directory, to which a locator points.
    const [name, content] = [Buffer.from('a.txt'), Buffer.from('very large')];
    const parts: Buffer[] = [];
    const put = (size: number, ...values: (number | bigint)[]) => {
      for (const value of values) {
        const part = Buffer.alloc(8);
        part.writeBigUInt64LE(BigInt(value));
        parts.push(part.subarray(0, size));
      }
    };
    const at = () => BigInt(Buffer.concat(parts).length);
    put(4, 0x04034b50, 45, 0, 0);
    parts.splice(1, 3, Buffer.alloc(10));
    put(4, crc32(content), 0xffffffff, 0xffffffff);
    put(2, name.length, 20);
    parts.push(name);
    put(2, 1, 16);
    put(8, content.length, content.length);
    parts.push(content);
    const directory = at();
    put(4, 0x02014b50);
    parts.push(Buffer.alloc(12));
    put(4, crc32(content), 0xffffffff, 0xffffffff);
    put(2, name.length, 28, 0, 0, 0);
    put(4, 0, 0xffffffff);
    parts.push(name);
    put(2, 1, 24);
    put(8, content.length, content.length, 0);
    const end = at();
    put(4, 0x06064b50);
    put(8, 44);
    put(2, 45, 45);
    put(4, 0, 0);
    put(8, 1, 1, end - directory, directory);
    put(4, 0x07064b50, 0);
    put(8, end);
    put(4, 1);
    put(4, 0x06054b50);
    put(2, 0, 0, 0xffff, 0xffff);
    put(4, 0xffffffff, 0xffffffff);
    put(2, 0);
    const bytes = Buffer.concat(parts);
    expect(text(readArchive(bytes, 'a.zip').get('a.txt'))).toBe('very large');
    bytes.writeUInt32LE(0, bytes.length - 42);
    expect(refusal(bytes)).toMatch(/its end is missing or damaged/);
  });

  it('says which file is not in it', () => {
    const archive = new Archive(bytesSource(zip(['a', ''])), 'a.zip', SMALL_ARCHIVE);
    expect(() => archive.read('b')).toThrow('a.zip cannot be read: there is no "b" in it');
  });
});

describe('an archive is refused', () => {
  it('when a name leads out of it', () => {
    for (const name of ['../a', 'a/../../b', '/etc/x', 'c:/x', '..\\a', 'a//b', './a', 'a\nb', 'a\u001b[2Jb'])
      expect(refusal(zipSync({ [name]: new Uint8Array(1) })), name).toMatch(
        /^finds\.zip cannot be read as a zip archive: the name ".+" leads out of the archive/,
      );
    expect(refusal(zip(['..a', ''], ['a..b/c', '']))).toBeUndefined();
  });

  it('when it holds more files than allowed', () => {
    const many = zip(...Array.from({ length: 30 }, (_, i): [string, string] => [`f${i}`, '']));
    expect(refusal(many, { ...SMALL_ARCHIVE, entries: 29 })).toMatch(
      /it holds 30 files, and 29 are the most/,
    );
    expect(refusal(many, { ...SMALL_ARCHIVE, entries: 30 })).toBeUndefined();
  });

  it('when it becomes too large', () => {
    const bomb = zip(['bomb', new Uint8Array(4_000_000)]);
    expect(bomb.length).toBeLessThan(8_000);
    expect(refusal(bomb)).toMatch(/"bomb" becomes more than 200 times larger when it is unpacked/);
    expect(refusal(bomb, { ...SMALL_ARCHIVE, ratio: 2000, size: 1e6 })).toMatch(
      /unpacked it has more than the 1 MB that are read/,
    );
  });

  it('when it becomes larger than it says, before that fills the memory', () => {
    // The size that the directory claims: 100 bytes.
    const liar = patched(zip(['bomb', new Uint8Array(4_000_000)]), central(24), 100, 0, 0, 0);
    expect(refusal(liar)).toBe('finds.zip is damaged at "bomb": it holds more than the archive says');
    const short = patched(zip(['a', 'abc']), central(24), 4, 0, 0, 0);
    expect(refusal(short)).toMatch(/holds less than the archive says/);
  });

  it('when its files share their bytes', () => {
    const twice = Buffer.from(zip(['a', 'one'], ['a2', 'two']));
    const second = twice.indexOf('PK\x01\x02', twice.indexOf('PK\x01\x02', 0, 'latin1') + 1, 'latin1');
    twice.writeUInt32LE(0, second + 42);
    expect(refusal(twice)).toMatch(/"a2?" overlaps another file/);
  });

  it('when a file stands in it twice', () => {
    const twice = Buffer.from(zip(['a1', 'one'], ['a2', 'two']));
    for (let at = twice.indexOf('a2'); at >= 0; at = twice.indexOf('a2')) twice.write('a1', at);
    expect(refusal(twice)).toBe('finds.zip cannot be read: it holds "a1" twice');
  });

  it('when a file is locked, a link, or packed in another way', () => {
    const one = zip(['a', 'one']);
    expect(refusal(patched(one, central(8), 1))).toMatch(/"a" is locked with a password/);
    expect(refusal(patched(one, central(10), 12))).toMatch(/not known here \(method 12\)/);
    expect(refusal(patched(one, central(40), 0xff, 0xa1))).toMatch(/"a" is a link, not a file/);
  });

  it('when its checksum does not agree', () => {
    const bytes = zipSync({ a: [Buffer.from('Tarn Hollow'), { level: 0 }] });
    const changed = patched(bytes, (all) => all.indexOf('Hollow'), 0x48, 0x4f);
    expect(refusal(changed)).toBe('finds.zip is damaged at "a": its checksum does not agree');
  });

  it('when it has no end, or one that cannot be true', () => {
    expect(refusal(Buffer.from('PK\x03\x04 and nothing more'))).toMatch(/its end is missing or damaged/);
    const one = zip(['a', 'one']);
    expect(refusal(patched(one, end(16), 0xff, 0xff, 0xff, 0x0f))).toMatch(/is not where it should be/);
    expect(refusal(patched(one, end(4), 3))).toMatch(/one part of an archive in several parts/);
    expect(refusal(patched(one, central(42), 7))).toMatch(/does not lie|not where it should be/);
  });

  it('and never with anything but a sentence, wherever it is cut or changed', () => {
    const whole = zip(['meta.xml', '<archive/>'], ['d/rows.txt', 'id,a\n'.repeat(200)]);
    for (let length = 0; length < whole.length; length++)
      expect(refusal(whole.subarray(0, length))).toBeDefined();
    fc.assert(
      fc.property(fc.nat(whole.length - 1), fc.nat(255), (at, byte) => {
        const said = refusal(patched(whole, () => at, byte));
        if (said !== undefined) expect(said).toMatch(/^finds\.zip (cannot be read|is damaged)/);
      }),
      { numRuns: 600 },
    );
  });
});
