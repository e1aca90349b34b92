/**
 * Prints the milliseconds that parsing a key's YAML, or loading the key, takes in this process: the median of the last
 * half of so many.
 */
import { readFileSync } from 'node:fs';
import { parseDocument } from 'yaml';
import { loadKey } from '../../dist/index.js';

const [, , what, file, repeat] = process.argv;
const text = readFileSync(file, 'utf8');
const work =
  what === 'parse'
    ? () => parseDocument(text, { uniqueKeys: false, prettyErrors: false, logLevel: 'silent' })
    : () => loadKey(text, { file });
const took = [];
for (let i = 0; i < Number(repeat); i++) {
  const started = performance.now();
  work();
  took.push(performance.now() - started);
}
const last = took.slice(Math.floor(took.length / 2)).sort((a, b) => a - b);
console.log(last[Math.floor(last.length / 2)]);
