#!/usr/bin/env node
/**
 * `npm start`: identifies the example season with a shipped key and prints the table, says how to key out one find by
 * hand, and in a terminal offers to do it.
 */
import { spawnSync } from 'node:child_process';
import { dirname, join } from 'node:path';
import { createInterface } from 'node:readline/promises';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const keywright = (...args) =>
  spawnSync(process.execPath, [join(root, 'bin', 'keywright.js'), ...args], { cwd: root, stdio: 'inherit' })
    .status ?? 2;

const code = keywright(
  'identify',
  'keys/tarn-wood-tufts.key.yaml',
  'examples/season-2026.yaml',
  '--format',
  'table',
);
if (code !== 0) process.exitCode = code;
else {
  console.error(`
To key out one find by hand:

  node bin/keywright.js run keys/tarn-wood-tufts.key.yaml

To make one file that asks the same on a phone, without a network:

  node bin/keywright.js page keys/tarn-wood-tufts.key.yaml --out tufts.html

To identify a table of your own, to check a key of your own, and for everything else:

  node bin/keywright.js --help
`);
  if (process.stdin.isTTY && process.stderr.isTTY) {
    const asker = createInterface({ input: process.stdin, output: process.stderr });
    asker.on('SIGINT', () => asker.close());
    const answer = await asker.question('Key one out now? [y/N] ').catch(() => '');
    asker.close();
    if (/^y(es)?$/i.test(answer.trim())) process.exitCode = keywright('run', 'keys/tarn-wood-tufts.key.yaml');
  }
}
