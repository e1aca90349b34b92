/**
 * keywright as a library: determines the finds of a table with a key and says of each what to look at next.
 *
 *   node examples/library.mjs                        the season of Tarn Hollow
 *   node examples/library.mjs KEY.key.yaml TABLE.csv   your own
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { analyse, identifyTable } from 'keywright';
import { openKey } from 'keywright/node';

const beside = (path) => fileURLToPath(new URL(path, import.meta.url));
const [, , keyFile = beside('../keys/tarn-wood-tufts.key.yaml'), table = beside('season-2026.csv')] =
  process.argv;
const say = ({ level, message, place: { file, start } }) => {
  console.error(`${file}:${start.line}:${start.column} ${level}: ${message}`);
  if (level === 'error') process.exitCode = 2;
};

const { key, findings } = await openKey(keyFile);
findings.forEach(say);
for (const result of key ? identifyTable(key, readFileSync(table, 'utf8'), { file: table }) : []) {
  const { id, found } = result;
  result.findings.forEach(say);
  if (!found) continue;
  const [look] = analyse(found).next.looks;
  const name = [found.name, found.qualifier].filter(Boolean).join(' ') || 'no name';
  const next = look ? `; look next at the ${key.characters.find((c) => c.id === look.character).name}` : '';
  console.log(`${id}: ${name}, ${found.possible.length} possible, ${found.verdict.word}${next}`);
}
console.error('No key, program or picture can clear a find for eating. Any doubt means: leave it.');
