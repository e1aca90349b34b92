/**
 * What lint says of published keys as `import` brings them in: prints of 1892-1922 and articles of journals, which are no part
 * of the project. KEYWRIGHT_PUBLISHED names the folder that holds prints/raw and journals. Authors must be able to read it all,
 * so the numbers are ceilings; each finding was held against its print, and all but one in twenty told of something there.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { importDocument } from '../../src/commands/import/document.js';
import type { Finding } from '../../src/diagnostic/finding.js';
import { lintAll } from '../../src/lint/lint.js';

const published = process.env.KEYWRIGHT_PUBLISHED;
const filesIn = (folder: string, ending: string) =>
  published === undefined || !existsSync(join(published, folder))
    ? []
    : readdirSync(join(published, folder))
        .filter((name) => name.endsWith(ending))
        .map((name) => join(published, folder, name));
const prints = filesIn(join('prints', 'raw'), '.txt');
const articles = filesIn('journals', '.xml');
if (prints.length === 0)
  process.stdout.write(
    'keys of published prints are not linted: KEYWRIGHT_PUBLISHED names no folder that has them\n',
  );

/** What lint says of each text, its keys judged together. */
async function linted(files: readonly string[]) {
  const said: { readonly name: string; readonly findings: readonly Finding[]; readonly keys: number }[] = [];
  for (const name of files) {
    const { keys } = await importDocument(readFileSync(name, 'utf8'), { file: name, when: true });
    const inputs = keys.map(({ id, text }) => ({ file: `${id}.key.yaml`, text }));
    const { findings, notRun } = lintAll(inputs);
    // Whatever an end, a couplet or a key that was not read leaves open, every rule is run.
    expect(notRun, name).toEqual([]);
    said.push({ name, findings, keys: keys.length });
  }
  return said;
}

const of = (said: readonly { findings: readonly Finding[] }[], ...rules: string[]) =>
  said.flatMap((s) => s.findings.filter((f) => rules.includes(f.rule)));
/** Claims about all finds, which unreviewed conditions cannot bear. */
const CLAIMS = ['leads-exhaustive', 'leads-exclusive', 'lead-possible', 'taxon-keyed-out', 'couplet-decides'];

describe.skipIf(prints.length === 0)('published keys as they are imported', () => {
  it('prints', async () => {
    const said = await linted(prints);
    expect(of(said, ...CLAIMS).map((f) => f.message)).toEqual([]);
    expect(of(said, 'leads-differ').length).toBe(0);
    expect(of(said, 'leads-parallel').length).toBeLessThanOrEqual(3);
    expect(of(said, 'ranges-meet').length).toBeLessThanOrEqual(36);
    expect(of(said, 'separator-alike').length).toBeLessThanOrEqual(50);
    for (const { findings, keys, name } of said)
      expect(findings.filter((f) => f.rule === 'import-reviewed').length, name).toBeLessThanOrEqual(keys);
  }, 300_000);

  it('articles', async () => {
    const said = await linted(articles);
    expect(of(said, ...CLAIMS, 'leads-differ').map((f) => f.message)).toEqual([]);
    expect(of(said, 'leads-parallel').length).toBeLessThanOrEqual(3);
    expect(of(said, 'ranges-meet').length).toBeLessThanOrEqual(20);
    expect(of(said, 'name-form').length).toBeLessThanOrEqual(8);
  }, 300_000);
});
