import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { folder, keywright, program, root, SMALL, text, unzipped } from './run.js';

const PNG = Buffer.from(
  'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
  'base64',
);

interface Manifest {
  readonly key: { readonly file: string };
  readonly files: readonly { name: string; kind: string; size: number; sha256: string }[];
}
const manifestOf = (files: Record<string, string>) => JSON.parse(files['manifest.json'] ?? '') as Manifest;

describe('a bundle', () => {
  it('holds the key, the keys it continues in, terms, licence texts, authors and a manifest with checksums', () => {
    const cwd = folder();
    const { status, stderr } = program(root, [
      'bundle',
      'tarn-wood-tufts',
      '-o',
      join(cwd, 'tufts.keywright.zip'),
    ]);
    expect([status, stderr]).toEqual([
      0,
      `keywright: ${join(cwd, 'tufts.keywright.zip')} written: 2 keys, 1 file of terms, 8 figures, 1 licence text\n`,
    ]);
    const files = unzipped(readFileSync(join(cwd, 'tufts.keywright.zip')));
    const figures = readdirSync(join(root, 'keys/figures')).map((name) => `figures/${name}`);
    expect(Object.keys(files)).toEqual([
      'manifest.json',
      'AUTHORS.txt',
      'LICENSES/CC-BY-4.0.txt',
      'README.txt',
      ...figures,
      'tarn-fungi.terms.yaml',
      'tarn-rust-spored.key.yaml',
      'tarn-wood-tufts.key.yaml',
    ]);
    for (const name of ['tarn-fungi.terms.yaml', 'tarn-rust-spored.key.yaml', 'tarn-wood-tufts.key.yaml'])
      expect(files[name]).toBe(readFileSync(join(root, 'keys', name), 'utf8'));
    const manifest = manifestOf(files);
    expect(manifest.key).toMatchObject({ id: 'tarn-wood-tufts', file: 'tarn-wood-tufts.key.yaml' });
    expect(manifest.files.map((f) => f.name)).toEqual(Object.keys(files).slice(1));
    for (const { name, size, sha256 } of manifest.files) {
      const bytes = Buffer.from(files[name] ?? '');
      expect([name, size, sha256]).toEqual([
        name,
        bytes.length,
        createHash('sha256').update(bytes).digest('hex'),
      ]);
    }
    const schema = JSON.parse(readFileSync(join(root, 'schemas/bundle-manifest.schema.json'), 'utf8'));
    const validate = new Ajv2020({ strict: true }).compile(schema);
    expect([validate(manifest), validate.errors]).toEqual([true, null]);
    expect(files['LICENSES/CC-BY-4.0.txt']).toContain('Creative Commons Attribution 4.0 International');
    expect(files['AUTHORS.txt']).toContain('By Tarn Hollow recorders');
    const readMe = (files['README.txt'] ?? '').replace(/\s+/g, ' ');
    expect(readMe).toContain('Any doubt means: leave it.');
    expect(readMe).not.toMatch(/\b(safe|edible|eatable)\b/i);
  });

  it('is the same byte for byte, wherever and whenever it is made', () => {
    const cwd = folder();
    const made = (name: string, env: Record<string, string>) => {
      program(root, ['bundle', 'gill-genera', '-o', join(cwd, name)], env);
      return readFileSync(join(cwd, name));
    };
    const first = made('a.zip', { TZ: 'Pacific/Auckland', LANG: 'de_DE.UTF-8' });
    expect(made('b.zip', { TZ: 'America/Los_Angeles' }).equals(first)).toBe(true);
  });

  it('is called by id and version, and replaces a file only when it is told to', async () => {
    const cwd = folder({ 'small.key.yaml': SMALL, 'other.zip': 'something else' });
    const first = await keywright(cwd, ['bundle', 'small.key.yaml']);
    expect([first.code, first.err]).toEqual([
      0,
      'keywright: small-1.0.0.keywright.zip written: 1 key, 1 licence text\n',
    ]);
    expect((await keywright(cwd, ['bundle', 'small.key.yaml'])).code).toBe(2);
    await expect(keywright(cwd, ['bundle', 'small.key.yaml', '-o', 'other.zip'])).resolves.toMatchObject({
      code: 2,
      err: expect.stringContaining('other.zip is there already; it is left as it is'),
    });
    expect((await keywright(cwd, ['bundle', 'small.key.yaml', '-o', 'other.zip', '--overwrite'])).code).toBe(
      0,
    );
    const self = await keywright(cwd, ['bundle', 'small.key.yaml', '-o', 'small.key.yaml', '--overwrite']);
    expect([self.code, readFileSync(join(cwd, 'small.key.yaml'), 'utf8')]).toEqual([2, SMALL]);
    const again = await keywright(cwd, ['bundle', 'other.zip']);
    expect([again.code, again.err]).toEqual([2, expect.stringContaining('lies in a bundle already')]);
  });

  it('does not replace one of the same version with other content, unless told', async () => {
    const cwd = folder({ 'small.key.yaml': SMALL });
    const file = join(cwd, 'small-1.0.0.keywright.zip');
    await keywright(cwd, ['bundle', 'small.key.yaml']);
    const first = readFileSync(file);
    const other = SMALL.replace('Ring present', 'Ring there');
    writeFileSync(join(cwd, 'small.key.yaml'), other);
    for (const more of [[], ['-o', 'small-1.0.0.keywright.zip']]) {
      const refused = await keywright(cwd, ['bundle', 'small.key.yaml', ...more]);
      expect([refused.code, refused.err.replace(/\s+/g, ' ')]).toEqual([
        2,
        expect.stringMatching(/holds small 1\.0\.0 already, with other content.*raise the version/),
      ]);
      expect(readFileSync(file).equals(first)).toBe(true);
    }
    writeFileSync(join(cwd, 'small.key.yaml'), other.replace('version: 1.0.0', 'version: 1.0.1'));
    expect(
      (await keywright(cwd, ['bundle', 'small.key.yaml', '-o', 'small-1.0.0.keywright.zip'])).err,
    ).toContain('is there already; it is left as it is');
    expect((await keywright(cwd, ['bundle', 'small.key.yaml'])).code).toBe(0);
    writeFileSync(join(cwd, 'small.key.yaml'), other);
    expect(
      (await keywright(cwd, ['bundle', 'small.key.yaml', '-o', 'small-1.0.0.keywright.zip', '--overwrite']))
        .code,
    ).toBe(0);
  });

  it('is not made while stand-ins of a new key are left', async () => {
    const cwd = folder();
    await keywright(cwd, ['new', 'fresh', '--title', 'Fresh', '--licence', 'CC0-1.0']);
    const { code, err } = await keywright(cwd, ['bundle', 'fresh.key.yaml']);
    expect(code).toBe(1);
    expect(err.match(/error: .*\[stand-ins-replaced\]/g)?.length).toBeGreaterThan(4);
    expect((await keywright(cwd, ['lint', 'fresh.key.yaml'])).code).toBe(0);
  });

  it('is not made while couplets that were imported with doubt are not reviewed', async () => {
    const doubtful = SMALL.replace(/^( {2})1:$/m, '$1# lines 3-4: doubtful\n$&');
    const cwd = folder({ 'small.key.yaml': doubtful });
    const bundle = () => keywright(cwd, ['bundle', 'small.key.yaml']);
    const refused = await bundle();
    expect(refused.code).toBe(1);
    expect(
      refused.err,
    ).toBe(`small.key.yaml:12:1 error: 1 of 1 couplet is still to be reviewed: 1 doubtful couplet [import-reviewed]
    small.key.yaml:13:3 couplet 1 is doubtful
keywright: small.key.yaml is not bundled: 1 error must be fixed first; keywright lint shows each with an example
keywright: keywright import small.key.yaml --review walks through what is to be reviewed
`);
    expect(existsSync(join(cwd, 'small-1.0.0.keywright.zip'))).toBe(false);
    expect((await keywright(cwd, ['lint', 'small.key.yaml'])).code).toBe(0);
    // What was likely read right, or looked at, or is allowed by the author with a reason, goes out.
    for (const [i, text] of [
      doubtful.replace('doubtful', 'likely'),
      doubtful.replace('doubtful', 'reviewed'),
      doubtful.replace(
        'couplets:',
        '# allow import-reviewed: read against the print by two of us\ncouplets:',
      ),
    ].entries()) {
      writeFileSync(join(cwd, 'small.key.yaml'), text.replace('1.0.0', `1.0.${i + 1}`));
      expect(await bundle()).toMatchObject({ code: 0 });
    }
  });

  it('is not made while a proposal of import is not reviewed, or a key that it continues in is doubtful', async () => {
    const proposed = SMALL.replace(
      /^( {4}- )\{lead: Ring absent.*$/m,
      '$1lead: Ring absent\n      # review: taken from the last words of the lead\n      taxon: bb',
    );
    const cwd = folder({ 'small.key.yaml': proposed });
    const refused = await keywright(cwd, ['bundle', 'small.key.yaml']);
    expect([refused.code, refused.err]).toEqual([1, expect.stringContaining('1 proposed end')]);
    const next = SMALL.replace('id: small', 'id: next').replace(/^( {2})1:$/m, '$1# lines 3-4: doubtful\n$&');
    writeFileSync(join(cwd, 'next.key.yaml'), next);
    writeFileSync(join(cwd, 'small.key.yaml'), SMALL.replace('taxon: bb', 'key: next.key.yaml'));
    const chained = await keywright(cwd, ['bundle', 'small.key.yaml']);
    expect([chained.code, chained.err]).toEqual([1, expect.stringMatching(/^next\.key\.yaml:12:1 error: /m)]);
    expect(chained.err).toContain('keywright import next.key.yaml --review');
  });

  it('is not made while lint finds errors, which are shown', async () => {
    const cwd = folder({ 'small.key.yaml': SMALL.replace('taxon: bb', 'to: 7') });
    const { code, err } = await keywright(cwd, ['bundle', 'small.key.yaml']);
    expect(code).toBe(1);
    expect(err).toContain(
      'small.key.yaml:15:53 error: lead 1b goes to couplet "7", which is not in this key',
    );
    expect(err).toMatch(/small\.key\.yaml is not bundled: \d errors? must be fixed first/);
    expect(existsSync(join(cwd, 'small-1.0.0.keywright.zip'))).toBe(false);
    // An error of logic, which does not keep a key from running.
    const dead = SMALL.replace('{ring: absent}', '{ring: absent, width: < 1}').replace(
      'characters:',
      'characters:\n  width: {name: width, kind: measure, unit: cm, limits: 2-4}',
    );
    writeFileSync(join(cwd, 'small.key.yaml'), dead);
    expect(await keywright(cwd, ['bundle', 'small.key.yaml'])).toMatchObject({
      code: 1,
      err: expect.stringContaining('[lead-possible]'),
    });
    expect(await keywright(cwd, ['bundle', 'nothing.key.yaml'])).toMatchObject({ code: 2 });
    writeFileSync(join(cwd, 'empty.key.yaml'), '');
    expect(await keywright(cwd, ['bundle', 'empty.key.yaml'])).toMatchObject({ code: 1 });
  });

  it('unpacked is a folder whose key works as before', async () => {
    const cwd = folder();
    program(root, ['bundle', 'gill-genera', '-o', join(cwd, 'g.zip')]);
    const away = folder(unzipped(readFileSync(join(cwd, 'g.zip'))));
    const args = (key: string) => ['test', key, 'examples/gill-genera-specimens.yaml', '--format', 'ndjson'];
    const before = await keywright(root, args('gill-genera'));
    const unpacked = await keywright(root, args(join(away, 'gill-genera.key.yaml')));
    const inside = await keywright(root, args(join(cwd, 'g.zip')));
    expect(unpacked).toEqual(before);
    expect(inside).toEqual(before);
    expect(before.code).toBe(1);
    expect(program(away, ['bundle', 'gill-genera.key.yaml', '-o', 'again.zip']).status).toBe(0);
    expect(readFileSync(join(away, 'again.zip')).equals(readFileSync(join(cwd, 'g.zip')))).toBe(true);
  });
});

describe('licences', () => {
  const withLicence = (line: string) => ({ 'small.key.yaml': SMALL.replace('licence: MIT\n', line) });

  it('are wanted, and known', async () => {
    const none = folder(withLicence(''));
    const { code, err } = await keywright(none, ['bundle', 'small.key.yaml']);
    expect([code, err]).toEqual([
      1,
      expect.stringContaining(
        'small.key.yaml:2:5 error: small names no licence, so nobody may pass it on: add a line such as "licence: CC-BY-4.0", or bundle it with --without-licence [about-complete]',
      ),
    ]);
    expect(
      (await keywright(none, ['bundle', 'small.key.yaml', '--without-licence', '-o', 's.zip'])).code,
    ).toBe(0);
    expect(unzipped(readFileSync(join(none, 's.zip')))['README.txt']).toContain('No licence is given');
    const wrong = folder(withLicence('licence: CC-BY-40\n'));
    expect((await keywright(wrong, ['bundle', 'small.key.yaml'])).err).toContain(
      'small.key.yaml:6:10 error: "CC-BY-40" is not on the SPDX licence list; did you mean CC-BY-4.0? [value-form]',
    );
    const odd = folder(withLicence('licence: MIT AND CC0-1.0 OR\n'));
    expect((await keywright(odd, ['bundle', 'small.key.yaml'])).code).toBe(1);
  });

  it('are put in with the holders named, each once', async () => {
    const cwd = folder(withLicence('licence: (MIT OR CC0-1.0) AND MIT\n'));
    expect((await keywright(cwd, ['bundle', 'small.key.yaml', '-o', 's.zip'])).code).toBe(0);
    const files = unzipped(readFileSync(join(cwd, 's.zip')));
    expect(Object.keys(files).filter((n) => n.startsWith('LICENSES/'))).toEqual([
      'LICENSES/CC0-1.0.txt',
      'LICENSES/MIT.txt',
    ]);
    expect(files['LICENSES/MIT.txt']).toContain('Copyright (c) 2026 Tarn Hollow recorders');
    expect(files['LICENSES/CC0-1.0.txt']).toContain('CC0 1.0 Universal');
  });

  it('of other terms come from beside the key, or are pointed to', async () => {
    const line = 'licence: LicenseRef-hollow OR Zlib\n';
    const cwd = folder({ ...withLicence(line), 'LICENSES/LicenseRef-hollow.txt': 'Ask us.\n' });
    const { code, err } = await keywright(cwd, ['bundle', 'small.key.yaml', '-o', 's.zip']);
    expect([code, err]).toEqual([
      0,
      expect.stringContaining(
        'the text of Zlib is not included, it stands at https://spdx.org/licenses/Zlib.html; put it into LICENSES/Zlib.txt beside the key',
      ),
    ]);
    const files = unzipped(readFileSync(join(cwd, 's.zip')));
    expect(files['LICENSES/LicenseRef-hollow.txt']).toBe('Ask us.\n');
    expect(files['README.txt']).toContain('Zlib: the text stands at https://spdx.org/licenses/Zlib.html');
  });
});

describe('figures', () => {
  const withFigures = SMALL.replace(
    '{lead: Ring present, when: {ring: present}, taxon: aa}',
    '{lead: Ring present, when: {ring: present}, taxon: aa, figures: [{file: figures/ring.png, caption: Ring from below, by: E. Marlow}]}',
  )
    .replace(
      'states: [present, absent]}',
      'states: [present, absent], figures: [{file: figures/ring.png, caption: Ring}]}',
    )
    .replace('{name: Bb bb,', '{name: Bb bb, figures: [{file: bb.svg, caption: "Bb bb, a tuft"}],');

  it('are included under the paths that the key names', async () => {
    const cwd = folder({ 'k/small.key.yaml': withFigures, 'k/figures/ring.png': PNG, 'k/bb.svg': '<svg/>' });
    const { code, err } = await keywright(cwd, ['bundle', 'k/small.key.yaml', '-o', 's.zip']);
    expect([code, err]).toEqual([0, 'keywright: s.zip written: 1 key, 2 figures, 1 licence text\n']);
    const files = unzipped(readFileSync(join(cwd, 's.zip')));
    expect(files['figures/ring.png']).toBe(text(PNG));
    expect(files['bb.svg']).toBe('<svg/>');
    expect(files['README.txt']).toContain('figures/ring.png: Ring from below (by E. Marlow)');
    expect(files['AUTHORS.txt']).toContain('figures/ring.png: by E. Marlow');
    expect((await keywright(cwd, ['show', 's.zip'])).code).toBe(0);
  });

  it('that are not there, or lead out of the folder, are findings at their places', async () => {
    const away = folder({ 'secret.png': PNG });
    const cwd = folder({ 'small.key.yaml': withFigures, 'bb.svg': '<svg/>' });
    const { code, err } = await keywright(cwd, ['bundle', 'small.key.yaml']);
    expect([code, err]).toEqual([
      1,
      expect.stringContaining(
        'small.key.yaml:11:66 error: figure "figures/ring.png" cannot be shown: there is no such file [figure-exists]',
      ),
    ]);
    expect(err.match(/\[figure-exists\]/g)).toHaveLength(2);
    const linted = await keywright(cwd, ['lint', 'small.key.yaml']);
    expect([linted.code, linted.out.match(/\[figure-exists\]/g)?.length]).toEqual([1, 2]);
    expect((await keywright(cwd, ['explain', 'figure-exists'])).code).toBe(0);
    writeFileSync(join(cwd, 'small.key.yaml'), withFigures.replaceAll('figures/ring.png', 'link.png'));
    symlinkSync(join(away, 'secret.png'), join(cwd, 'link.png'));
    expect((await keywright(cwd, ['bundle', 'small.key.yaml'])).err).toContain(
      'figure "link.png" cannot be shown: it lies outside the folder of the file that names it',
    );
  });

  it.each([
    '../ring.png',
    '/etc/ring.png',
    'a/../../ring.png',
    'C:\\\\ring.png',
    'ring.exe',
    '.hidden.png',
    'a//b.png',
  ])('called %j are no figures', async (name) => {
    const cwd = folder({ 'small.key.yaml': withFigures.replaceAll('figures/ring.png', `"${name}"`) });
    const { code, out } = await keywright(cwd, ['lint', 'small.key.yaml']);
    expect([code, out]).toEqual([
      1,
      expect.stringContaining('expected a picture file beside this file or below it'),
    ]);
  });

  it('are printed by their captions, and told where one asks how to look', async () => {
    const cwd = folder({ 'small.key.yaml': withFigures });
    const printed = async (format: string) =>
      (await keywright(cwd, ['print', 'small.key.yaml', '--format', format])).out;
    expect(await printed('text')).toContain('[Fig.: Ring from below (figures/ring.png, by E. Marlow)]');
    expect(await printed('html')).toContain(
      '<p class="lead-note">Fig.: Ring from below (figures/ring.png, by E. Marlow)</p>',
    );
    expect(await printed('markdown')).toContain('Fig.: Ring from below');
    expect(await printed('text')).toContain('Fig.: Bb bb, a tuft (bb.svg).');
    const brief = await keywright(cwd, ['print', 'small.key.yaml', '--brief']);
    expect(brief.out).not.toContain('Fig.');
    const { out, err } = await keywright(cwd, ['run', 'small.key.yaml'], 'look\na\n');
    expect(out + err).toContain('Fig.: Ring (figures/ring.png)');
  });
});

describe('keys from several folders', () => {
  const chained = (end: string, id = 'first') =>
    SMALL.replaceAll('ring', `ring-${id}`)
      .replace('id: small', `id: ${id}`)
      .replace('taxon: bb', end)
      .replace(/ {2}bb: .*\n/, '');

  it('keep the names by which they call each other', async () => {
    const cwd = folder({
      'mine/first.key.yaml': chained('key: sub/second.key.yaml'),
      'mine/sub/second.key.yaml': chained('key: third', 'second'),
      'keys/third-of-all.key.yaml': chained('key: deep/fourth.key.yaml', 'third'),
      'more/deep/fourth.key.yaml': SMALL.replace('id: small', 'id: fourth')
        .replace('characters:', 'uses: [ring.terms.yaml]\ncharacters:')
        .replace(/ {2}ring: \{.*\n/, '  width: {name: width, kind: measure, unit: cm}\n'),
      'more/deep/ring.terms.yaml':
        'keywright-terms: 1\ncharacters:\n  ring: {name: ring, states: [present, absent]}\n',
    });
    const args = ['bundle', 'mine/first.key.yaml', '-o', 'all.zip', '--keys', 'more'];
    const { code, err } = await keywright(cwd, args);
    expect([code, err]).toEqual([0, expect.stringContaining('written: 4 keys, 1 file of terms')]);
    expect(Object.keys(unzipped(readFileSync(join(cwd, 'all.zip'))))).toEqual(
      expect.arrayContaining([
        'first.key.yaml',
        'sub/second.key.yaml',
        'third-of-all.key.yaml',
        'deep/fourth.key.yaml',
        'deep/ring.terms.yaml',
      ]),
    );
    const away = folder({ 'all.zip': readFileSync(join(cwd, 'all.zip')) });
    const found = await keywright(
      away,
      ['identify', 'all.zip', '-', '--format', 'csv'],
      'id,ring-first\nA,present\n',
    );
    expect([found.code, found.out]).toEqual([0, expect.stringContaining('A,Aa aa,')]);
  });

  it('that would stand in one place are not mixed up', async () => {
    const cwd = folder({
      'mine/first.key.yaml': chained('key: second'),
      'keys/First.key.yaml': chained('taxon: aa', 'second'),
    });
    const { code, err } = await keywright(cwd, ['bundle', 'mine/first.key.yaml']);
    expect([code, err]).toEqual([
      2,
      expect.stringContaining(
        'mine/first.key.yaml and keys/First.key.yaml would both stand in the bundle as "First.key.yaml"',
      ),
    ]);
  });
});
