/** Prints the milliseconds that parsing a key's YAML, or loading the key, takes in this process: the last of so many. */
import { readFileSync } from 'node:fs';
import { parseDocument } from 'yaml';
import { loadKey } from '../../dist/index.js';

const [, , what, file, repeat] = process.argv;
const text = readFileSync(file, 'utf8');
const work =
  what === 'parse'
    ? () => parseDocument(text, { uniqueKeys: false, prettyErrors: false, logLevel: 'silent' })
    : () => loadKey(text, { file });
let took = 0;
for (let i = 0; i < Number(repeat); i++) {
  const started = performance.now();
  work();
  took = performance.now() - started;
}
console.log(took);
