import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { bundleIn } from '../../src/files/bundle.js';
import { bundled, folder, keywright, manifestFor, program, root, SMALL, zipped } from './run.js';

const FILES = { 'small.key.yaml': SMALL };

/** What `identify` says of a bundle. */
async function opened(bytes: Uint8Array): Promise<{ code: number; out: string; err: string }> {
  const cwd = folder({ 'b.zip': bytes });
  return keywright(cwd, ['identify', 'b.zip', '-', '--format', 'csv'], 'id,ring\nA,present\n');
}

describe('a bundle as a key', () => {
  const cwd = folder();
  const bundle = join(cwd, 'tufts.keywright.zip');
  const made = program(root, ['bundle', 'tarn-wood-tufts', '-o', bundle]);

  it.each([
    ['identify', 'KEY', 'examples/season-2026.csv', '--format', 'ndjson'],
    ['test', 'KEY', 'examples/season-2026.csv'],
    [
      'compare',
      'KEY',
      'keys/plantation-conifers.key.yaml',
      '--with',
      'examples/season-2026.csv',
      '--format',
      'ndjson',
    ],
    ['sheet', 'KEY'],
    ['show', 'KEY'],
    ['print', 'KEY', '--chain'],
  ])('is taken by %s as the key in its folder is', async (...args) => {
    expect([made.status, made.stdout]).toEqual([0, '']);
    const as = async (key: string) => {
      const { code, out } = await keywright(
        root,
        args.map((a) => (a === 'KEY' ? key : a)),
      );
      return [code, out];
    };
    expect(await as(bundle)).toEqual(await as('tarn-wood-tufts'));
  });

  it('is run, and continues in the other key that it holds', async () => {
    const { code, err } = await keywright(cwd, ['run', 'tufts.keywright.zip'], 'b\nb\n?\n?\n?\n?\n?\n');
    expect(code).toBe(0);
    expect(err).toContain('Now in tarn-rust-spored: ');
  });

  it('is linted, with places as a path through it', async () => {
    const { code, err } = await keywright(cwd, ['lint', 'tufts.keywright.zip']);
    expect([code, err]).toEqual([0, 'keywright: nothing found in 1 file; 1 allowed by comments\n']);
    const broken = folder({
      'b.zip': bundled({
        'small.key.yaml': SMALL.replace('taxon: bb', 'key: next'),
        'sub/next.key.yaml': SMALL.replace('id: small', 'id: next').replace('taxon: bb', 'taxon: cc'),
      }),
    });
    const linted = await keywright(broken, ['lint', 'b.zip']);
    expect(linted.code).toBe(1);
    expect(linted.out).toContain(
      'b.zip/sub/next.key.yaml:15:56 error: lead 1b ends at taxon "cc", which is not in this key',
    );
    // The line is shown, too.
    expect(linted.out).toMatch(/15 \|.*taxon: cc/);
    const run = await keywright(broken, ['identify', 'b.zip', '-'], 'id\nA\n');
    expect([run.code, run.err]).toEqual([
      2,
      expect.stringContaining('keywright: b.zip/small.key.yaml cannot be run'),
    ]);
    // Such a path may be named as well.
    expect((await keywright(broken, ['lint', 'b.zip/sub/next.key.yaml'])).out).toContain(
      'sub/next.key.yaml:15:56',
    );
    expect((await keywright(broken, ['lint', 'b.zip/no.key.yaml'])).code).toBe(2);
  });

  it('is never changed', async () => {
    const bytes = bundled({
      'small.key.yaml': SMALL.replace('  1:\n', '  4:\n').replace('id: small\n', 'id: small\nstart: 4\n'),
    });
    const away = folder({ 'b.zip': bytes });
    for (const args of [
      ['lint', 'b.zip', '--fix'],
      ['print', 'b.zip', '--write'],
    ]) {
      const { code, err } = await keywright(away, args);
      expect([args, code, readFileSync(join(away, 'b.zip')).equals(bytes)]).toEqual([
        args,
        expect.any(Number),
        true,
      ]);
      if (code === 2) expect(err).toContain('a bundle is never changed');
    }
    const order = bundled({
      'small.key.yaml': SMALL.replace('taxon: bb', 'to: 3').replace(
        'taxa:',
        '  3:\n    - {lead: Cap flat, taxon: aa}\n    - {lead: Cap domed, taxon: bb}\ntaxa:',
      ),
    });
    writeFileSync(join(away, 'b.zip'), order);
    expect(await keywright(away, ['print', 'b.zip', '--write'])).toMatchObject({
      code: 2,
      err: expect.stringContaining('b.zip/small.key.yaml lies in a bundle, and a bundle is never changed'),
    });
  });

  it('continues in nothing outside it, not even in what lies beside it', async () => {
    const first = SMALL.replace('taxon: bb', 'key: second');
    const away = folder({
      'b.zip': bundled({ 'small.key.yaml': first }),
      'second.key.yaml': SMALL.replace('id: small', 'id: second'),
      'keys/second.key.yaml': SMALL.replace('id: small', 'id: second'),
    });
    const { code, err } = await keywright(away, ['show', 'b.zip']);
    expect(err).toContain(
      'lead 1b continues in key "second": there is none in the bundle b.zip, and a bundle continues in nothing outside it',
    );
    expect(code).toBe(1);
    const up = bundled({ 'a/small.key.yaml': SMALL.replace('taxon: bb', 'key: ../../second.key.yaml') });
    writeFileSync(join(away, 'b.zip'), up);
    expect((await keywright(away, ['show', 'b.zip'])).err).toContain('there is none in the bundle');
  });
});

describe('a bundle that is not as it was made', () => {
  it('opens when nothing is wrong with it', async () => {
    expect(await opened(bundled(FILES))).toMatchObject({ code: 0, out: expect.stringContaining('A,Aa aa') });
  });

  const changed = SMALL.replace('concern: {level: unknown}', 'concern: {level: deadly }');
  const one = (change: (file: Record<string, unknown>) => object) => (m: Record<string, unknown>) => ({
    ...m,
    files: (m.files as Record<string, unknown>[]).map(change),
  });

  it.each<[string, Uint8Array, string]>([
    [
      'a changed key',
      zipped({ 'manifest.json': JSON.stringify(manifestFor(FILES)), 'small.key.yaml': changed }),
      'b.zip cannot be opened: "small.key.yaml" was changed after the bundle was made',
    ],
    [
      'a longer key',
      zipped({ 'manifest.json': JSON.stringify(manifestFor(FILES)), 'small.key.yaml': `${SMALL}#` }),
      '"small.key.yaml" was changed after the bundle was made',
    ],
    [
      'a changed figure',
      bundled({ ...FILES, 'a.png': 'x' }, (m) => ({
        ...m,
        files: [(m.files as object[])[0], { name: 'a.png', kind: 'figure', size: 1, sha256: '0'.repeat(64) }],
      })),
      '"a.png" was changed after the bundle was made',
    ],
    [
      'a file more',
      zipped({
        'manifest.json': JSON.stringify(manifestFor(FILES)),
        ...FILES,
        'other.key.yaml': SMALL,
      }),
      'it holds "other.key.yaml", which its manifest.json does not list',
    ],
    [
      'a file less',
      bundled(FILES, (m) => ({
        ...m,
        files: [...(m.files as object[]), { name: 'a.png', kind: 'figure', size: 1, sha256: '0'.repeat(64) }],
      })),
      '"a.png" is missing from it',
    ],
    [
      'no manifest',
      zipped(FILES),
      'b.zip is a zip archive, but not a bundle of keys: there is no manifest.json in it',
    ],
    [
      'a manifest that is no JSON',
      zipped({ 'manifest.json': '{', ...FILES }),
      'its manifest.json is not JSON',
    ],
    ['another manifest', zipped({ 'manifest.json': '[]', ...FILES }), 'is not that of a bundle of keys'],
    [
      'a format of the future',
      bundled(FILES, (m) => ({ ...m, 'keywright-bundle': 2 })),
      'it is a bundle of format 2, and only format 1 is known here',
    ],
    [
      'a manifest without files',
      bundled(FILES, (m) => ({ ...m, files: undefined })),
      'its manifest.json is damaged: the key or the list of files is missing',
    ],
    [
      'no size',
      bundled(
        FILES,
        one((f) => ({ ...f, size: -1 })),
      ),
      '"small.key.yaml" lacks its size or checksum',
    ],
    [
      'an unknown kind',
      bundled(
        FILES,
        one((f) => ({ ...f, kind: 'program' })),
      ),
      'it does not say what "small.key.yaml" is',
    ],
    [
      'a key that is no key',
      bundled(
        FILES,
        one((f) => ({ ...f, kind: 'figure' })),
      ),
      'its key "small.key.yaml" is not among its files',
    ],
    [
      'a file listed twice',
      bundled(FILES, (m) => ({ ...m, files: [...(m.files as object[]), ...(m.files as object[])] })),
      '"small.key.yaml" is listed twice',
    ],
    [
      'a manifest that speaks of itself',
      bundled(FILES, (m) => ({
        ...m,
        files: [
          ...(m.files as object[]),
          { name: 'constructor', kind: 'key', size: 0, sha256: '0'.repeat(64) },
        ],
      })),
      '"constructor" is missing from it',
    ],
  ])('with %s is refused', async (_, bytes, message) => {
    const { code, out, err } = await opened(bytes);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(message);
    expect(err.trim().split('\n')).toHaveLength(1);
  });

  it.each<[string, Uint8Array, string]>([
    ...[
      '../small.key.yaml',
      'a/../../small.key.yaml',
      '/small.key.yaml',
      '..\\small.key.yaml',
      'C:/small.key.yaml',
      'C:\\small.key.yaml',
    ].map((name): [string, Uint8Array, string] => [
      `the name ${name}`,
      bundled({ [name]: SMALL }),
      'leads out of the archive, or is none that a file can have',
    ]),
    [
      'a name twice',
      renamed(
        zipped({ 'manifest.json': JSON.stringify(manifestFor(FILES)), ...FILES, 'smal2.key.yaml': SMALL }),
        'smal2.key.yaml',
        'small.key.yaml',
      ),
      'twice',
    ],
    [
      'a link',
      zipSync({
        'manifest.json': Buffer.from(JSON.stringify(manifestFor(FILES))),
        'small.key.yaml': [Buffer.from(SMALL), { os: 3, attrs: (0o120777 << 16) >>> 0 }],
      }),
      'is a link, not a file',
    ],
    [
      'a file that swells',
      bundled({ ...FILES, 'a.png': '\0'.repeat(8_000_000) }),
      'becomes more than 200 times larger when it is unpacked',
    ],
    [
      'very many files',
      bundled({ ...FILES, ...Object.fromEntries(Array.from({ length: 2100 }, (_, i) => [`${i}.png`, ''])) }),
      '2000 are the most that is read',
    ],
    ['a key that is too large', tooLarge(), 'is larger than the 24 MB that a key may have'],
    ['its end cut off', bundled(FILES).slice(0, -30), 'its end is missing or damaged'],
    ['nothing but its first bytes', Buffer.from('PK\u0003\u0004'), 'cannot be read as a zip archive'],
  ])('with %s is refused', async (_, bytes, message) => {
    const { code, out, err } = await opened(bytes);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(message);
    expect(err).toContain('b.zip');
    expect(err.trim().split('\n')).toHaveLength(1);
  });

  it('is refused by lint and run as by identify', async () => {
    const cwd = folder({
      'b.zip': zipped({ 'manifest.json': JSON.stringify(manifestFor(FILES)), 'small.key.yaml': changed }),
    });
    for (const command of ['lint', 'run', 'show', 'sheet', 'print', 'draw', 'bundle']) {
      const { code, err } = await keywright(cwd, [command, 'b.zip'], '');
      expect([command, code, err]).toEqual([
        command,
        2,
        expect.stringContaining('was changed after the bundle was made'),
      ]);
    }
  });

  it('is refused, or is the same, whichever byte was changed', () => {
    const bytes = bundled(FILES);
    let refused = 0;
    for (let at = 0; at < bytes.length; at += 3) {
      const other = Uint8Array.from(bytes);
      other[at] = (other[at] as number) ^ (1 << (at % 8));
      try {
        const bundle = bundleIn(other, 'b.zip');
        // What is left are bytes that mean nothing, and the title in the manifest.
        expect(bundle.text(bundle.manifest.key.file)).toBe(SMALL);
      } catch (error) {
        expect((error as Error).name, String((error as Error).stack)).toBe('Failure');
        refused++;
      }
    }
    expect(refused).toBeGreaterThan(bytes.length / 4);
  });
});

/** An archive with a name in it exchanged for another of the same length, in the list of files and before the file. */
function renamed(bytes: Uint8Array, from: string, to: string): Uint8Array {
  const text = Buffer.from(bytes).toString('latin1');
  return Buffer.from(text.replaceAll(from, to), 'latin1');
}

/** A key past all bounds, not packed, so that it does not swell. */
function tooLarge(): Uint8Array {
  const key = Buffer.alloc(25 * 1024 * 1024, '#');
  const [file] = manifestFor({ 'small.key.yaml': '' }).files as object[];
  const manifest = { ...manifestFor(FILES), files: [{ ...file, size: key.length }] };
  return zipSync(
    { 'manifest.json': Buffer.from(JSON.stringify(manifest)), 'small.key.yaml': key },
    { level: 0 },
  );
}
