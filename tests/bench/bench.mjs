/**
 * Measures what the program promises of its speed and memory and prints it beside the targets:
 *
 *   npm run bench                      everything (some minutes)
 *   npm run bench -- start identify    some of: start, load, identify, analyse, memory, lint,
 *                                      print, draft, import, page (needs a Chromium)
 *
 * Every figure is the median of paired runs, one of each kind after the other, so that other work on the machine weighs
 * on both. The keys and tables are generated, the same ones each time.
 */
import { spawnSync } from 'node:child_process';
import { closeSync, mkdtempSync, openSync, rmSync, statSync, writeFileSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildSync } from 'esbuild';
import { generateKey, tableHeader, tableRows } from './generate.mjs';
import { printedLayouts, printedText } from './printed.mjs';
import { missed, sowFaults } from './seeds.mjs';
import { taxaTable } from './taxa.mjs';

const here = (name) => fileURLToPath(new URL(name, import.meta.url));
const program = here('../../bin/keywright.js');
const folder = mkdtempSync(join(tmpdir(), 'keywright-bench-'));
const wanted = process.argv.slice(2);
const env = { ...process.env };
// Reading certificates would be most of the start of every node.
delete env.NODE_EXTRA_CA_CERTS;

const sections = { start, load, identify, analyse, memory, lint, print, draft, import: importing, page };
for (const name of wanted)
  if (!Object.hasOwn(sections, name)) {
    console.error(`there is no measurement ${name}; there are ${Object.keys(sections).join(', ')}`);
    process.exit(2);
  }
try {
  for (const [name, measure] of Object.entries(sections))
    if (wanted.length === 0 || wanted.includes(name)) measure();
} finally {
  rmSync(folder, { recursive: true, force: true });
}

/** How soon the page of a key answers on a slow device; it needs a browser, and so a process that can wait. */
function page() {
  spawnSync(process.execPath, [here('page.mjs')], { stdio: 'inherit' });
}

/** How long it takes to say the version and the help, beyond an empty node. */
function start() {
  const bare = () => timed(['-e', '0']);
  for (const [flag, most] of [
    ['--version', 12],
    ['--help', 20],
  ]) {
    const pairs = paired(21, bare, () => timed([program, flag]));
    const more = median(pairs.map(([a, b]) => b - a));
    report(`${flag} beyond node -e 0`, `+${more.toFixed(1)} ms`, `+${most} ms`, more <= most);
  }
}

/** How much longer loading a key takes than parsing its YAML alone. */
function load() {
  const key = generateKey({ couplets: sizeOfThousandLines(), seed: 3 });
  const file = join(folder, 'thousand.key.yaml');
  writeFileSync(file, key.text);
  const lines = key.text.split('\n').length - 1;
  for (const [state, repeat] of [
    ['the first key of a process', '1'],
    ['when warm', '30'],
  ]) {
    const pairs = paired(
      9,
      () => inside('parse', file, repeat),
      () => inside('load', file, repeat),
    );
    ratio(`loading a key of ${lines} lines over parsing its YAML, ${state}`, pairs, 1.6);
  }
}

function inside(what, file, repeat) {
  const { stdout } = run([here('loading.mjs'), what, file, repeat]);
  return Number(stdout);
}

/** Identifying a hundred thousand rows beside just parsing them. */
function identify() {
  const { key, file } = keyFile();
  const table = tableFile(key, 100_000);
  const size = `${Math.round(statSync(table).size / 1e6)} MB`;
  for (const format of ['csv', 'ndjson']) {
    const runs = format === 'csv' ? 7 : 3;
    const pairs = paired(
      runs,
      () => timed([here('parsing.mjs'), table]),
      () => timed([program, 'identify', file, table, '--format', format]),
    );
    if (format === 'csv')
      ratio(`identifying 100,000 rows (${size}) over parsing them with csv-parse`, pairs, 1.3);
    else ratio('  the same, with every path as JSON', pairs);
  }
}

/** What an analysis of each find adds to determining it, with a large key of described taxa; and the memory it takes. */
function analyse() {
  const key = generateKey({ couplets: 1000, id: 'generated-thousand' });
  const file = join(folder, 'thousand-couplets.key.yaml');
  writeFileSync(file, key.text);
  const rest = [file, tableFile(key, 10), '--format', 'ndjson'];
  const table = tableFile(key, 3000);
  const args = [program, 'identify', file, table, '--format', 'ndjson'];
  // What reading the key takes is in both, and is taken out.
  const base = median(
    paired(
      3,
      () => timed([program, 'identify', ...rest]),
      () => 0,
    ).map(([a]) => a),
  );
  const pairs = paired(
    5,
    () => timed(args) - base,
    () => timed([...args, '--full']) - base,
  );
  const added = pairs.map(([plain, full]) => [plain, full - plain]);
  ratio(
    `analysing 3,000 finds with 1,000 couplets and ${key.taxa.size} described taxa, over determining them`,
    added,
    10,
  );
  const peak = (rows) => {
    const { stderr } = run([
      '--import',
      here('peak.mjs'),
      program,
      'identify',
      file,
      tableFile(key, rows),
      '--format',
      'ndjson',
      '--full',
    ]);
    return Number(/peak (\d+)/.exec(stderr)?.[1]) / 1024;
  };
  const [small, large] = [peak(2000), peak(10_000)];
  const apart = large / small - 1;
  report(
    'peak memory of analysing 2,000 and 10,000 finds',
    `${small.toFixed(0)} MB and ${large.toFixed(0)} MB (${apart < 0 ? '' : '+'}${(100 * apart).toFixed(0)} %)`,
    'within 20 %',
    Math.abs(apart) <= 0.2,
  );
}

/** The most memory that identifying a small and a large table takes. */
function memory() {
  const { key, file } = keyFile();
  const most = (rows) => {
    const table = tableFile(key, rows);
    const peaks = Array.from({ length: 3 }, () => {
      const { stderr } = run([
        '--import',
        here('peak.mjs'),
        program,
        'identify',
        file,
        table,
        '--format',
        'csv',
      ]);
      return Number(/peak (\d+)/.exec(stderr)?.[1]) / 1024;
    });
    rmSync(table);
    return median(peaks);
  };
  const small = most(10_000);
  const large = most(1_000_000);
  const apart = large / small - 1;
  report(
    'peak memory at 10,000 and at 1,000,000 rows',
    `${small.toFixed(0)} MB and ${large.toFixed(0)} MB (${apart < 0 ? '' : '+'}${(100 * apart).toFixed(0)} %)`,
    'within 20 %',
    Math.abs(apart) <= 0.2,
  );
}

/** What lint takes beside parsing and checking the key alone, in small and in large. */
function lint() {
  for (const couplets of [100, 1000, 10_000]) {
    const file = join(folder, `lint-${couplets}.key.yaml`);
    writeFileSync(file, generateKey({ couplets }).text);
    const size = `${(statSync(file).size / 1024).toFixed(0)} KB`;
    const pairs = paired(
      couplets > 1000 ? 1 : 3,
      () => timed([here('load-key.mjs'), file]),
      () => timed([program, 'lint', file], [0, 1]),
    );
    ratio(`lint of ${couplets} couplets (${size}) over parsing and checking`, pairs, 2);
  }
  sown();
  knot();
}

/** A sound key with faults in one couplet of a hundred: how many lint names. */
function sown() {
  const { text } = generateKey({ couplets: 10_000 });
  const faulty = sowFaults(text);
  const file = join(folder, 'faulty.key.yaml');
  writeFileSync(file, faulty.text);
  const { findings } = JSON.parse(output([program, 'lint', file, '--format', 'json']));
  const left = missed(faulty.sown, findings);
  console.log(
    `faults sown in 10,000 couplets: ${faulty.sown.length - left.length} of ${faulty.sown.length} found`,
  );
}

/** A key whose conditions multiply: it must end, and say that it is not decided. */
function knot() {
  const { bad } = JSON.parse(output([program, 'explain', 'logic-decided', '--format', 'json']));
  const file = join(folder, 'knot.key.yaml');
  writeFileSync(file, bad);
  const ms = timed([program, 'lint', file], [0, 1]);
  const said = output([program, 'lint', file]).includes('[logic-decided]');
  console.log(
    `a knot of conditions: ${said ? 'said to be not decided' : 'NOT REPORTED'} after ${ms.toFixed(0)} ms`,
  );
}

function output(args) {
  return spawnSync(process.execPath, args, { env, encoding: 'utf8', maxBuffer: 1 << 28 }).stdout;
}

/** What printing takes beside parsing and checking the key alone; the same in small and in large when it is linear. */
function print() {
  for (const couplets of [1000, 10_000]) {
    const file = join(folder, `print-${couplets}.key.yaml`);
    writeFileSync(file, generateKey({ couplets }).text);
    for (const args of [
      ['--layout', 'bracketed'],
      ['--layout', 'indented'],
      ['--format', 'html'],
    ]) {
      const pairs = paired(
        couplets > 1000 ? 1 : 3,
        () => timed([here('load-key.mjs'), file]),
        () => timed([program, 'print', file, ...args]),
      );
      ratio(`printing ${couplets} couplets (${args[1]}) over parsing and checking`, pairs, 2);
    }
  }
}

/** How much of a processor a draft of 200 taxa by 30 characters takes, how that grows, and what comes of it. */
function draft() {
  const seconds = new Map();
  for (const taxa of [200, 500, 1000]) {
    const file = join(folder, `taxa-${taxa}.csv`);
    const out = join(folder, `drafted-${taxa}.key.yaml`);
    writeFileSync(file, taxaTable({ taxa }));
    const runs = Array.from({ length: taxa > 200 ? 1 : 3 }, () => {
      const { stderr } = run([
        '--import',
        here('cpu.mjs'),
        program,
        'draft',
        file,
        '--out',
        out,
        '--overwrite',
      ]);
      return { stderr, seconds: Number(/cpu (\d+)/.exec(stderr)?.[1]) / 1000 };
    });
    const middle = median(runs.map((r) => r.seconds));
    seconds.set(taxa, middle);
    report(
      `drafting ${taxa} taxa by 30 characters`,
      `${middle.toFixed(1)} s of a processor`,
      taxa === 200 ? '10 s' : '',
      taxa === 200 ? middle <= 10 : undefined,
    );
    for (const line of runs[0].stderr.split('\n'))
      if (/couplets|effort/.test(line)) console.log(`  ${line.replace('keywright: ', '')}`);
  }
  const growth = Math.log(seconds.get(1000) / seconds.get(200)) / Math.log(5);
  console.log(`drafting grows with the number of taxa to the power of ${growth.toFixed(2)}`);
  drafted();
}

/** What drafted keys make of individuals, beside the tables themselves: the published ones, and one that is drawn. */
function drafted() {
  const measured = join(folder, 'measured.cjs');
  buildSync({
    stdin: {
      contents: `import { measuredLines } from './measured.js';
        import { drawnTable, openTable, openTables } from './open-tables.js';
        for (const name of openTables) console.log(measuredLines(name, openTable(name)).join('\\n'));
        console.log(measuredLines('drawn', drawnTable(1, 173, 100)).join('\\n'));`,
      resolveDir: here('../draft'),
    },
    bundle: true,
    format: 'cjs',
    platform: 'node',
    outfile: measured,
    logLevel: 'error',
  });
  console.log(`
drafted keys beside their tables, individual by individual: "kept" still has the own taxon, "one" has come down to one taxon,
"wrong" to one that is not the own; on the front = no other draft is as good in couplets, effort, right and wrong and better in one`);
  const { status } = spawnSync(process.execPath, [measured], { stdio: 'inherit', env, cwd: here('../..') });
  if (status !== 0) throw new Error('the tables could not be measured');
}

/** How much of a processor reading a printed key takes for each couplet, in small and in large: nearly the same when it is linear. */
function importing() {
  const worked = (file) => {
    const { stderr } = run(['--import', here('cpu.mjs'), program, 'import', file], [0, 1]);
    return Number(/cpu (\d+)/.exec(stderr)?.[1]);
  };
  const empty = join(folder, 'two-leads.txt');
  writeFileSync(empty, printedText('numbered', 2));
  for (const layout of printedLayouts) {
    const files = [100, 1000, 10_000].map((couplets) => {
      const file = join(folder, `${layout}-${couplets}.txt`);
      writeFileSync(file, printedText(layout, couplets));
      return [couplets, file];
    });
    const each = files.map(([couplets, file]) => {
      const pairs = paired(
        couplets > 1000 ? 1 : 3,
        () => worked(empty),
        () => worked(file),
      );
      return [couplets, median(pairs.map(([a, b]) => b - a))];
    });
    const [, [, thousand], [, many]] = each;
    const times = many / thousand;
    report(
      `importing ${layout} prints of 100, 1,000 and 10,000 couplets`,
      `${each.map(([, ms]) => `${ms.toFixed(0)} ms`).join(', ')}; ten times the couplets take ${times.toFixed(1)} times as long`,
      'at most 14 times',
      times <= 14,
    );
  }
  published();
}

/** How the published prints are read, where KEYWRIGHT_PUBLISHED names a folder that has them. */
function published() {
  const prints = process.env.KEYWRIGHT_PUBLISHED;
  if (prints === undefined) {
    console.log('published prints: not scored, since KEYWRIGHT_PUBLISHED names no folder');
    return;
  }
  const scorer = join(folder, 'scorer.cjs');
  buildSync({
    stdin: {
      contents: `import { conditionLines, conditionScores } from './conditions.js';
        import { scoresIn, tableOf } from './table.js';
        const [, , prints, judged] = process.argv;
        const scores = scoresIn(prints);
        console.log(scores === undefined ? 'published prints: the folder has none' : tableOf(scores));
        if (scores !== undefined) console.log(conditionLines(conditionScores(prints, judged)));`,
      resolveDir: here('../import/published'),
    },
    bundle: true,
    format: 'cjs',
    platform: 'node',
    outfile: scorer,
    logLevel: 'error',
  });
  process.stdout.write(run([scorer, prints, here('../import/published/conditions.yaml')]).stdout);
}

function keyFile() {
  // Identifying needs no descriptions of the taxa.
  const key = generateKey({ couplets: 200, described: false });
  const file = join(folder, 'generated.key.yaml');
  writeFileSync(file, key.text);
  return { key, file };
}

function tableFile(key, rows) {
  const file = join(folder, `${rows}.csv`);
  const out = openSync(file, 'w');
  writeSync(out, tableHeader(key));
  for (const piece of tableRows(key, rows)) writeSync(out, piece);
  closeSync(out);
  return file;
}

/** The number of couplets with which a generated key comes nearest to a thousand lines. */
function sizeOfThousandLines() {
  let best = 1;
  let least = Infinity;
  for (let couplets = 20; couplets <= 200; couplets++) {
    const off = Math.abs(generateKey({ couplets, seed: 3 }).text.split('\n').length - 1001);
    if (off < least) [best, least] = [couplets, off];
  }
  return best;
}

function run(args, codes = [0]) {
  const result = spawnSync(process.execPath, args, {
    env,
    encoding: 'utf8',
    maxBuffer: 2 ** 30,
    stdio: stdio(args),
  });
  if (!codes.includes(result.status))
    throw new Error(`${args.join(' ')} ended with ${result.status}: ${result.stderr}`);
  return result;
}

/** Results of the program are thrown away, as in a run that writes to a file. */
function stdio(args) {
  return ['ignore', args.includes(program) ? 'ignore' : 'pipe', 'pipe'];
}

/** Milliseconds of a whole process. */
function timed(args, codes) {
  const started = process.hrtime.bigint();
  run(args, codes);
  return Number(process.hrtime.bigint() - started) / 1e6;
}

/** Runs two things alternately, once more than counted: the first pair warms up the disk. */
function paired(times, a, b) {
  const pairs = [];
  for (let i = 0; i <= times; i++) pairs.push([a(), b()]);
  return pairs.slice(1);
}

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

function ratio(what, pairs, most) {
  const times = median(pairs.map(([a, b]) => b / a));
  const [one, other] = [0, 1].map((i) => median(pairs.map((p) => p[i])).toFixed(0));
  report(
    what,
    `${times.toFixed(2)} times (${other} ms over ${one} ms)`,
    most === undefined ? '' : `${most} times`,
    most === undefined ? undefined : times <= most,
  );
}

function report(what, value, target, met) {
  const judged = met === undefined ? '' : `  target ${target}: ${met ? 'met' : 'MISSED'}`;
  console.log(`${what}: ${value}${judged}`);
}
