/** The texts for people in a bundle: what it is, and whose. */
import type { ManifestFile } from '../../files/manifest.js';
import type { Key } from '../../key/key.js';
import { imprint, scopeEntries, sourceText } from '../../printed/words.js';
import { harmless } from '../../text/harmless.js';
import { plainLines } from '../../text/words.js';
import type { Figure } from '../../traits/character.js';

const WIDTH = 78;

/** What a bundle holds, for its texts. */
export interface BundleContents {
  readonly main: Key;
  readonly keys: readonly { readonly key: Key; readonly name: string }[];
  readonly terms: readonly string[];
  readonly figures: readonly { readonly figure: Figure; readonly name: string }[];
  /** Licences by their SPDX names, with the file of their text where it is carried along. */
  readonly licences: readonly { readonly id: string; readonly name: string | undefined }[];
  readonly cautions: readonly string[];
}

const filled = (text: string, first = '', rest = first.replace(/./g, ' ')): string[] =>
  plainLines(harmless(text), WIDTH, first, rest);

/** The README of a bundle. */
export function readMeText({ main, keys, terms, figures, licences, cautions }: BundleContents): string {
  const lines: string[] = [];
  const section = (heading: string, own: readonly string[]): void => {
    if (own.length > 0) lines.push('', heading, ...own);
  };
  lines.push(...filled(main.title), ...filled(imprint(main)));
  section(
    'What it is for',
    scopeEntries(main).flatMap(([heading, text]) => filled(`${heading}: ${text}`, '  ', '    ')),
  );
  if (main.note !== undefined) lines.push('', ...filled(main.note));
  lines.push(
    '',
    ...filled(
      'This is a bundle of keys for keywright. Leave it as it is: "keywright run FILE", "keywright identify FILE TABLE" and the other commands open it by its name. They refuse it when anything in it was changed. Unpacked into a folder, its keys can be read and edited.',
    ),
  );
  section(
    'Keys',
    keys.flatMap(({ key, name }) => filled(`${name}: ${key.title}. ${imprint(key)}`, '  ', '    ')),
  );
  section(
    'Shared characters and terms',
    terms.flatMap((name) => filled(name, '  ', '    ')),
  );
  section(
    'Figures',
    figures.flatMap(({ figure, name }) =>
      filled(
        `${name}: ${figure.caption}${figure.by === undefined ? '' : ` (by ${figure.by})`}`,
        '  ',
        '    ',
      ),
    ),
  );
  section(
    'Licences',
    licences.length === 0
      ? filled('No licence is given: ask the authors before you pass this on.', '  ')
      : licences.flatMap(({ id, name }) =>
          filled(
            name !== undefined
              ? `${id}: the text stands in ${name}`
              : id.startsWith('LicenseRef-')
                ? `${id}: terms of the authors' own; ask them`
                : `${id}: the text stands at https://spdx.org/licenses/${id}.html`,
            '  ',
            '    ',
          ),
        ),
  );
  section(
    'Cautions',
    cautions.flatMap((text) => filled(text, '- ', '  ')),
  );
  return `${lines.join('\n')}\n`;
}

/** Who made the keys of a bundle, and what they rest on. */
export function authorsText({ keys, figures }: BundleContents): string {
  const lines: string[] = [];
  for (const { key, name } of keys) {
    if (lines.length > 0) lines.push('');
    lines.push(...filled(`${key.title}, version ${key.version} (${name})`));
    lines.push(
      ...filled(
        key.authors.length === 0 ? 'Its authors are not named.' : `By ${key.authors.join('; ')}`,
        '  ',
        '    ',
      ),
    );
    if (key.sources.length > 0) lines.push('  It rests on:');
    for (const source of key.sources)
      lines.push(
        ...filled(
          `${sourceText(source)}${source.url === undefined ? '' : `, ${source.url}`}`,
          '  - ',
          '    ',
        ),
      );
  }
  const drawn = figures.filter(({ figure }) => figure.by !== undefined);
  if (drawn.length > 0) lines.push('', 'Figures');
  for (const { figure, name } of drawn) lines.push(...filled(`${name}: by ${figure.by}`, '  ', '    '));
  return `${lines.join('\n')}\n`;
}

/** A few words on what was bundled: `2 keys, a file of terms, 3 figures`. */
export function contentsWords(files: readonly Pick<ManifestFile, 'kind'>[]): string {
  const of = (kind: ManifestFile['kind']) => files.filter((f) => f.kind === kind).length;
  const parts: readonly (readonly [number, string, string])[] = [
    [of('key'), 'key', 'keys'],
    [of('terms'), 'file of terms', 'files of terms'],
    [of('figure'), 'figure', 'figures'],
    [of('licence'), 'licence text', 'licence texts'],
  ];
  return parts.flatMap(([n, one, many]) => (n === 0 ? [] : [`${n} ${n === 1 ? one : many}`])).join(', ');
}
