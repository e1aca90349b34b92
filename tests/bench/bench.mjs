/**
 * `npm run bench`: start-up, loading, identifying, memory and lint, each beside what it is measured against, in one run.
 * Ratios are medians over rounds in which the two take turns; absolute times say little on a shared machine.
 * `npm run bench -- --quick` measures fewer rounds and rows.
 */
import { spawnSync } from 'node:child_process';
import { closeSync, mkdtempSync, openSync, rmSync, statSync, writeFileSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseDocument } from 'yaml';
import { generateKey, tableHeader, tableRows } from './generate.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const root = dirname(dirname(here));
const bin = join(root, 'bin', 'keywright.js');
const quick = process.argv.includes('--quick');
const folder = mkdtempSync(join(tmpdir(), 'keywright-bench-'));
const env = { ...process.env, NO_COLOR: '1' };
// An extra certificate file costs every start of Node some 40 ms, whatever the program.
delete env.NODE_EXTRA_CA_CERTS;

const median = (numbers) => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];
const say = (what, value, target) =>
  console.log(`${what.padEnd(58)} ${value.padStart(10)}   target ${target}`);

/** Seconds and peak memory (MB) of a whole process whose output is thrown away; it must end with one of `codes`. */
function timed(args, codes = [0]) {
  const start = performance.now();
  const child = spawnSync(process.execPath, args, {
    env,
    stdio: ['ignore', openSync('/dev/null', 'w'), 'pipe'],
  });
  const ms = performance.now() - start;
  if (!codes.includes(child.status))
    throw new Error(`${args.join(' ')} ended with ${child.status}: ${child.stderr}`);
  return { ms, mb: Number(/peak (\d+) KB/.exec(String(child.stderr))?.[1] ?? 0) / 1024 };
}

function write(name, lines) {
  const path = join(folder, name);
  const file = openSync(path, 'w');
  let block = '';
  for (const line of lines) {
    block += line;
    if (block.length < 1 << 20) continue;
    writeSync(file, block);
    block = '';
  }
  writeSync(file, block);
  closeSync(file);
  return path;
}

function startUp() {
  const rounds = quick ? 7 : 25;
  const over = { '--version': [], '--help': [] };
  for (let i = 0; i < rounds; i++) {
    const bare = timed(['-e', '0']).ms;
    for (const flag of Object.keys(over)) over[flag].push(timed([bin, flag]).ms - bare);
  }
  say('--version over bare node', `+${median(over['--version']).toFixed(1)} ms`, '+12 ms');
  say('--help over bare node', `+${median(over['--help']).toFixed(1)} ms`, '+20 ms');
}

async function loading() {
  const { loadKey } = await import(join(root, 'dist', 'index.js'));
  let text = '';
  for (let couplets = 40; text.split('\n').length < 1000; couplets += 10)
    text = generateKey({ couplets }).text;
  const ratios = [];
  for (let i = 0; i < (quick ? 15 : 41); i++) {
    const start = performance.now();
    parseDocument(text);
    const parsed = performance.now();
    const { findings } = loadKey(text);
    const loaded = performance.now();
    if (findings.some((f) => f.level === 'error')) throw new Error(findings[0].message);
    if (i > 4) ratios.push((loaded - parsed) / (parsed - start));
  }
  say(
    `loading a key of ${text.split('\n').length} lines over parsing its YAML`,
    median(ratios).toFixed(2),
    '<= 1.6',
  );
}

function identifying() {
  const key = generateKey({ couplets: 200, described: false });
  const keyFile = join(folder, 'big.key.yaml');
  writeFileSync(keyFile, key.text);
  const table = (rows) => {
    function* lines() {
      yield tableHeader(key);
      yield* tableRows(key, rows);
    }
    return write(`finds-${rows}.csv`, lines());
  };
  const rows = quick ? 20_000 : 100_000;
  const file = table(rows);
  const run = (path) => timed([join(here, 'peak.mjs'), bin, 'identify', keyFile, path, '--format', 'ndjson']);
  const ratios = [];
  for (let i = 0; i < (quick ? 2 : 3); i++)
    ratios.push(run(file).ms / timed([join(here, 'parsecsv.mjs'), file]).ms);
  say(`identifying ${rows} rows, 200 couplets, over csv-parse alone`, median(ratios).toFixed(2), '<= 1.5');
  const few = run(table(10_000)).mb;
  const many = quick ? 100_000 : 1_000_000;
  const most = run(table(many)).mb;
  say(`peak memory, ${many} rows over 10000 (${few.toFixed(0)} MB)`, (most / few).toFixed(2), '<= 1.20');
}

function linting() {
  for (const couplets of quick ? [100, 1000] : [100, 1000, 10_000]) {
    const file = join(folder, `lint-${couplets}.key.yaml`);
    writeFileSync(file, generateKey({ couplets }).text);
    const ratios = [];
    for (let i = 0; i < (couplets > 1000 ? 1 : 3); i++)
      ratios.push(timed([bin, 'lint', file], [0, 1]).ms / timed([join(here, 'loadkey.mjs'), file]).ms);
    const size = `${(statSync(file).size / 1024).toFixed(0)} KB`;
    say(
      `lint of ${couplets} couplets (${size}) over parsing and validating`,
      median(ratios).toFixed(2),
      '<= 2',
    );
  }
}

try {
  startUp();
  await loading();
  identifying();
  linting();
} finally {
  rmSync(folder, { recursive: true, force: true });
}
