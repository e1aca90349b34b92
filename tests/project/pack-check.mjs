/**
 * Packs the project as npm would publish it, installs that package globally under a folder of its own, and
 * uses it from elsewhere. Needs a build and the npm registry; run by .ci/run: `node tests/project/pack-check.mjs`.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const root = fileURLToPath(new URL('../..', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'keywright-pack-'));
let checks = 0;

/** Ends the check with a sentence when something is not as it should be. */
function must(condition, sentence) {
  checks += 1;
  if (!condition) throw new Error(sentence);
}

function npm(args, cwd) {
  const result = spawnSync('npm', args, { cwd, encoding: 'utf8' });
  if (result.status !== 0) throw new Error(`npm ${args[0]} failed:\n${result.stdout}\n${result.stderr}`);
  return result;
}

/**
 * Compiles a file of somebody who uses every export of the library, in the strictest way: with the declarations of the
 * package checked as well, and without the types of Node, which nobody needs for texts and plain data.
 */
function compileUser(installed, names) {
  const user = join(folder, 'user');
  mkdirSync(join(user, 'node_modules'), { recursive: true });
  symlinkSync(installed, join(user, 'node_modules/keywright'), 'dir');
  const uses = names.map((name, i) => `export const used${i}: typeof library.${name} = library.${name};`);
  writeFileSync(
    join(user, 'user.ts'),
    [
      `import * as library from 'keywright';`,
      `import { type Determination, identify, loadKey } from 'keywright';`,
      ...uses,
      `const { key } = loadKey('', { file: 'a.key.yaml' });`,
      `export const found: Determination[] =`,
      `  key === undefined ? [] : [...identify(key, [{ id: 'P1', traits: { shine: 'dull' } }])];`,
      `// @ts-expect-error A key is no text: were the types lost, this would be accepted.`,
      `identify('pebbles', [{ id: 'P1' }]);`,
      '',
    ].join('\n'),
  );
  const options = {
    strict: true,
    skipLibCheck: false,
    exactOptionalPropertyTypes: true,
    noEmit: true,
    target: 'es2022',
    lib: ['es2023'],
    module: 'nodenext',
    types: [],
  };
  writeFileSync(
    join(user, 'tsconfig.json'),
    JSON.stringify({ compilerOptions: options, files: ['user.ts'] }),
  );
  writeFileSync(join(user, 'package.json'), JSON.stringify({ type: 'module' }));
  const tsc = createRequire(import.meta.url)
    .resolve('typescript/package.json')
    .replace(/package\.json$/, 'bin/tsc');
  const compiled = spawnSync(process.execPath, [tsc, '-p', user], { cwd: user, encoding: 'utf8' });
  must(
    compiled.status === 0,
    `a file that uses the library does not compile:\n${compiled.stdout}${compiled.stderr}`,
  );
}

const KEY = `keywright: 1
id: pebbles
title: Pebbles of Tarn Hollow
version: 1.0.0
characters:
  shine: {name: shine when wet, states: [dull, bright]}
couplets:
  1:
    - lead: Dull when wet
      when: {shine: dull}
      taxon: grey
    - lead: Bright when wet
      when: {shine: bright}
      taxon: glass
taxa:
  grey: {name: Lapis griseus, rank: species}
  glass: {name: Lapis vitreus, rank: species}
`;

try {
  // The build is the one that was tested; `prepare` would make another.
  const [packed] = JSON.parse(
    npm(['pack', '--json', '--ignore-scripts', '--pack-destination', folder], root).stdout,
  );
  const files = new Set(packed.files.map((file) => file.path));
  for (const needed of ['bin/keywright.js', 'dist/main.js', 'dist/NOTICES.txt', 'LICENSE', 'package.json']) {
    must(files.has(needed), `the package lacks ${needed}`);
  }
  must(!files.has('dist/meta.json'), 'the package carries dist/meta.json, which only tests read');
  const notices = readFileSync(join(root, 'dist/NOTICES.txt'), 'utf8');
  const meta = JSON.parse(readFileSync(join(root, 'dist/meta.json'), 'utf8'));
  const bundled = new Set(
    Object.values(meta.outputs).flatMap((output) =>
      Object.entries(output.inputs).flatMap(([input, { bytesInOutput }]) =>
        bytesInOutput === 0 ? [] : (/.*node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(input)?.[1] ?? []),
      ),
    ),
  );
  must(bundled.size > 10, 'dist/meta.json names hardly any package');
  for (const name of bundled) {
    const { version } = JSON.parse(readFileSync(join(root, 'node_modules', name, 'package.json'), 'utf8'));
    must(notices.includes(`\n${name} ${version} (`), `dist/NOTICES.txt lacks ${name} ${version}`);
  }
  const tracked = execFileSync(
    'git',
    ['ls-files', '-z', 'keys', 'schemas', 'examples', 'README.md', 'DEVELOPERS.md'],
    {
      cwd: root,
      encoding: 'utf8',
    },
  );
  for (const path of tracked.split('\0').filter((name) => name !== '' && !name.endsWith('compile.mjs'))) {
    must(files.has(path), `the package lacks ${path}`);
  }
  const strays = [...files].filter((path) => /^(src|tests|node_modules|\.c)/.test(path));
  must(strays.length === 0, `the package carries ${strays.slice(0, 3).join(', ')}`);
  if (existsSync(join(root, 'src/index.ts'))) {
    must(files.has('dist/index.js') && files.has('dist/types/index.d.ts'), 'the package lacks the library');
  }

  const prefix = join(folder, 'prefix');
  const install = npm(
    ['install', '--global', '--prefix', prefix, '--no-audit', '--no-fund', join(folder, packed.filename)],
    folder,
  );
  must(!/EBADENGINE/.test(install.stderr), `npm warns of the version of node:\n${install.stderr}`);

  const elsewhere = join(folder, 'elsewhere');
  mkdirSync(elsewhere);
  const keywright = (...args) =>
    spawnSync(join(prefix, 'bin/keywright'), args, { cwd: elsewhere, encoding: 'utf8', input: '' });
  const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  const told = keywright('--version');
  must(told.status === 0 && told.stdout === `${version}\n`, `--version said ${told.stdout}${told.stderr}`);
  const help = keywright('--help');
  must(help.status === 0 && help.stderr === '', `--help said ${help.stderr}`);

  if (/^ {2}identify /m.test(help.stdout)) {
    writeFileSync(join(elsewhere, 'pebbles.key.yaml'), KEY);
    writeFileSync(join(elsewhere, 'finds.csv'), 'id,shine\nP1,dull\nP2,bright\n');
    const answer = keywright('identify', 'pebbles.key.yaml', 'finds.csv', '--format', 'csv');
    const shown = `${answer.stdout}${answer.stderr}`;
    must(answer.status === 0, `identify ended with ${answer.status}:\n${shown}`);
    for (const expected of ['P1', 'Lapis griseus', 'P2', 'Lapis vitreus']) {
      must(answer.stdout.includes(expected), `identify did not say ${expected}:\n${shown}`);
    }
  }
  const installed = join(prefix, 'lib/node_modules/keywright');
  if (files.has('dist/index.js')) {
    const library = await import(pathToFileURL(join(installed, 'dist/index.js')).href);
    must(Object.keys(library).length > 0, 'the library exports nothing');
    compileUser(installed, Object.keys(library));
  }
  console.log(
    `pack-check: ${checks} things as they should be, ${files.size} files, ${packed.size} bytes packed`,
  );
} catch (error) {
  console.error(`pack-check: ${error.message}`);
  process.exitCode = 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}
