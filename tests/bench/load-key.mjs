/** Parses and validates a key and does nothing with it: what lint is measured against. */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const { loadKey } = await import(join(root, 'dist', 'index.js'));
const { key } = loadKey(readFileSync(process.argv[2], 'utf8'));
process.exitCode = key === undefined ? 1 : 0;
