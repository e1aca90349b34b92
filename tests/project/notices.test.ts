import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { noticesText, packagesOf } from '../../.config/notices.mjs';

const folder = mkdtempSync(join(tmpdir(), 'keywright-notices-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The folder of a package with some files. */
function made(name: string, about: object, files: Readonly<Record<string, string>> = {}): string {
  const path = join(folder, 'node_modules', name);
  mkdirSync(path, { recursive: true });
  writeFileSync(join(path, 'package.json'), JSON.stringify({ name, ...about }));
  for (const [file, text] of Object.entries(files)) writeFileSync(join(path, file), text);
  return path;
}

describe('the notices of what is in the build', () => {
  const two = made('two', { version: '2.0.0', license: 'ISC' }, { 'LICENSE.md': 'Text of two\n' });
  const one = made(
    '@some/one',
    { version: '1.0.0', license: 'MIT' },
    { licence: 'Text of one\n', NOTICE: 'And more' },
  );

  it('name every package with its version, its licence and the text of it', () => {
    const text = noticesText([two, one]);
    expect(text).toContain('these 2 packages');
    expect(text).toMatch(
      /\n@some\/one 1\.0\.0 \(MIT\)\n-+\n\nAnd more\n\nText of one\n[\s\S]*\ntwo 2\.0\.0 \(ISC\)\n-+\n\nText of two\n$/,
    );
  });

  it('are not made where a text is missing or empty, or no licence is named', () => {
    const bare = made('bare', { version: '3.0.0', license: 'MIT' }, { LICENSE: ' \n' });
    const unnamed = made('unnamed', { version: '4.0.0' }, { LICENSE: 'Text' });
    expect(() => noticesText([one, bare, unnamed])).toThrow(/bare 3\.0\.0 \(MIT\), unnamed 4\.0\.0/);
    const other = made('saxes', { version: '7.0.0', license: 'GPL-3.0' });
    expect(() => noticesText([other])).toThrow(/saxes 7\.0\.0 \(GPL-3\.0\)/);
  });

  it('are for the packages whose code is in some output, scoped and nested ones too', () => {
    const inputs = {
      'src/main.ts': { bytesInOutput: 5 },
      'node_modules/@some/one/a.js': { bytesInOutput: 5 },
      'node_modules/two/node_modules/three/b.js': { bytesInOutput: 5 },
      'node_modules/shaken/c.js': { bytesInOutput: 0 },
    };
    expect(packagesOf({ outputs: { 'dist/a.js': { inputs }, 'dist/a.css': { inputs: {} } } })).toEqual([
      'node_modules/@some/one',
      'node_modules/two/node_modules/three',
    ]);
  });
});
