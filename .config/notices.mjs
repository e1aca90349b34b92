/**
 * The notices of the packages whose code is in the build: name, version, licence and its text, as each package has it.
 * Most licences ask that their text goes along with every copy of the code.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';

const require = createRequire(import.meta.url);
const LICENCE_FILE = /^(?:licen[cs]e|copying|notice)(?:[-.].*)?$/i;
const RULE = '-'.repeat(78);
/**
 * Packages that name their licence in package.json and hold no text of it, each looked at by a person: the text of the
 * SPDX list stands for theirs, with the author that package.json names. Under another licence they are missing again.
 */
const NAMED_ONLY = { saxes: 'ISC', 'spdx-exceptions': 'CC-BY-3.0', 'spdx-license-ids': 'CC0-1.0' };

/** The folders of the packages that a build took files from, by what esbuild lists as its inputs. */
export function packagesOf(metafile) {
  const folders = new Set();
  for (const [output, { inputs }] of Object.entries(metafile.outputs)) {
    if (!output.endsWith('.js')) continue;
    for (const [input, { bytesInOutput }] of Object.entries(inputs)) {
      const [, folder] = /^(.*node_modules\/(?:@[^/]+\/)?[^/]+)\//.exec(input) ?? [];
      if (folder !== undefined && bytesInOutput > 0) folders.add(folder);
    }
  }
  return [...folders].sort();
}

/** The text of the notices. Throws, naming them, when packages come without the text of their licence. */
export function noticesText(folders) {
  const packages = folders.map((folder) => {
    const { name, version, license, author } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
    const files = readdirSync(folder)
      .filter((file) => LICENCE_FILE.test(file))
      .sort();
    const texts = files
      .map((file) => readFileSync(join(folder, file), 'utf8').trim())
      .filter((text) => text !== '');
    if (texts.length === 0 && NAMED_ONLY[name] === license)
      texts.push(listedText(license, author?.name ?? author));
    return { name, version, license: typeof license === 'string' ? license : '', texts };
  });
  const without = packages.filter((p) => p.texts.length === 0 || p.license === '');
  if (without.length > 0)
    throw new Error(
      `no licence text in ${without.map((p) => `${p.name} ${p.version} (${p.license})`).join(', ')}: what is built of it must not be passed on`,
    );
  const head = `The programs of this folder hold code of these ${packages.length} packages, each under the licence below its name.`;
  const sections = packages
    .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : a.version < b.version ? -1 : 1))
    .map((p) => [RULE, `${p.name} ${p.version} (${p.license})`, RULE, '', p.texts.join('\n\n')].join('\n'));
  return `${[head, ...sections].join('\n\n')}\n`;
}

function listedText(id, author) {
  const { licenseText } = require(`spdx-license-list/licenses/${id}.json`);
  // The holders that the list gives as an example are not those of the package.
  const bare = licenseText.replace(/^Copyright \(c\) [^\n]*\n/gm, '').trim();
  return `Copyright (c) ${author} and contributors\n\n${bare}`;
}
