/**
 * keywright as a library: determines the finds of a table with a key and says of each what to look at next.
 *
 *   node examples/library.mjs                        the season of Tarn Hollow
 *   node examples/library.mjs KEY.key.yaml TABLE.csv   your own
 *
 * The library opens no files itself: the keys that a key goes on in come from the shelf that is given to it.
 */
import { readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { analyse, asResult, FindError, identifyTable, loadKey } from 'keywright';

const beside = (path) => fileURLToPath(new URL(path, import.meta.url));
const [, , keyFile = beside('../keys/tarn-wood-tufts.key.yaml'), table = beside('season-2026.csv')] =
  process.argv;

/** Keys and terms that lie beside the file that names them. */
const shelf = {
  key: (reference, from) => beyond(reference.endsWith('.yaml') ? reference : `${reference}.key.yaml`, from),
  terms: (reference, from) => beyond(reference, from),
};
function beyond(name, from) {
  const folder = dirname(resolve(from));
  const file = join(folder, name);
  if (dirname(file) !== folder) return { ok: false, problem: 'it lies in another folder' };
  try {
    return { ok: true, file, text: readFileSync(file, 'utf8') };
  } catch (error) {
    return { ok: false, problem: error.message };
  }
}

const { key, findings } = loadKey(readFileSync(keyFile, 'utf8'), { file: keyFile, shelf });
for (const { level, message, place } of findings)
  console.error(`${place.file}:${place.start.line}:${place.start.column} ${level}: ${message}`);
if (key === undefined) process.exitCode = 2;
else {
  try {
    for (const found of identifyTable(key, readFileSync(table, 'utf8'), 'csv')) {
      const { collection, name, qualifier, candidates, verdict } = asResult(found);
      const called = [name, qualifier].filter(Boolean).join(' ') || 'no name';
      const [look] = analyse(found).next.looks;
      const next = look === undefined ? '' : `; look next at the ${look.character.name}`;
      console.log(`${collection}: ${called}, ${candidates.length} possible, ${verdict.word}${next}`);
    }
    console.error('No key, program or picture can clear a find for eating. Any doubt means: leave it.');
  } catch (error) {
    if (!(error instanceof FindError)) throw error;
    for (const { message, place } of error.findings)
      console.error(`${table}:${place.start.line}: ${message}`);
    process.exitCode = 2;
  }
}
