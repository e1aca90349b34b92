/**
 * Packs the project as npm would publish it, installs that package globally under a folder of its own, and
 * uses it from elsewhere. Needs a build and the npm registry; run by .ci/run: `node tests/project/pack-check.mjs`.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
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

/** The file of somebody who uses the library: every export of both entries, and the main ways through them. */
function userFile(names, nodeNames) {
  const uses = (from, all) =>
    all.map((n) => `export const ${from}_${n}: typeof ${from}.${n} = ${from}.${n};`);
  return [
    `import * as core from 'keywright';`,
    `import { type Determination, type Key, analyse, identify, loadKey } from 'keywright';`,
    ...uses('core', names),
    `const { key } = loadKey('', { file: 'a.key.yaml' });`,
    `export const found: (Determination | undefined)[] =`,
    `  key === undefined ? [] : [...identify(key, [{ id: 'P1', traits: { shine: 'dull' } }])].map((r) => r.found);`,
    `export const look: string | undefined = found[0] && analyse(found[0]).next.looks[0]?.character;`,
    `// @ts-expect-error A key is no text: were the types lost, this would be accepted.`,
    `identify('pebbles', [{ id: 'P1' }]);`,
    `// @ts-expect-error A key only comes from the library.`,
    `identify({ id: 'a', title: '', version: '1', taxa: [], characters: [], couplets: [] }, []);`,
    ...(nodeNames === undefined
      ? []
      : [
          `import * as node from 'keywright/node';`,
          ...uses('node', nodeNames),
          `// A key of the one entry is a key of the other.`,
          `export const opened: Promise<Key | undefined> = node.openKey('pebbles').then((o) => o.key);`,
        ]),
    '',
  ].join('\n');
}

/**
 * Compiles that file in the strictest way, with the declarations of the package checked as well: the core without the types
 * of Node, which nobody needs for texts and plain data, and both entries with them.
 */
function compileUser(installed, names, nodeNames) {
  const user = join(folder, 'user');
  mkdirSync(join(user, 'node_modules/@types'), { recursive: true });
  symlinkSync(installed, join(user, 'node_modules/keywright'), 'dir');
  for (const types of ['@types/node', 'undici-types'])
    symlinkSync(join(root, 'node_modules', types), join(user, 'node_modules', types), 'dir');
  writeFileSync(join(user, 'package.json'), JSON.stringify({ type: 'module' }));
  writeFileSync(join(user, 'core.ts'), userFile(names));
  writeFileSync(join(user, 'both.ts'), userFile(names, nodeNames));
  const tsc = createRequire(import.meta.url)
    .resolve('typescript/package.json')
    .replace(/package\.json$/, 'bin/tsc');
  for (const [file, types] of [
    ['core.ts', []],
    ['core.ts', ['node']],
    ['both.ts', ['node']],
  ]) {
    const compilerOptions = {
      strict: true,
      skipLibCheck: false,
      exactOptionalPropertyTypes: true,
      noEmit: true,
      target: 'es2022',
      lib: ['es2023'],
      module: 'nodenext',
      types,
    };
    writeFileSync(join(user, 'tsconfig.json'), JSON.stringify({ compilerOptions, files: [file] }));
    const compiled = spawnSync(process.execPath, [tsc, '-p', user], { cwd: user, encoding: 'utf8' });
    must(
      compiled.status === 0,
      `a file that uses the library (${file}, types ${types}) does not compile:\n${compiled.stdout}${compiled.stderr}`,
    );
  }
}

/** The properties of exported declarations that no comment tells about. */
function undocumented(declarations) {
  const lines = declarations.split('\n');
  return lines.flatMap((line, i) =>
    /^ {4}readonly \w+\??:/.test(line) && !/(\*\/|\/\*\*.*)$/.test(lines[i - 1] ?? '') ? [line.trim()] : [],
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
  for (const part of ['index.js', 'index.d.ts', 'node.js', 'node.d.ts'])
    must(files.has(`dist/${part}`), `the package lacks dist/${part} of the library`);
  const declared = [...files].filter((path) => path.endsWith('.d.ts'));
  must(declared.length === 2, `the package has other declarations than two: ${declared.join(', ')}`);

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
  const [core, node] = await Promise.all(
    ['index', 'node'].map((name) => import(pathToFileURL(join(installed, `dist/${name}.js`)).href)),
  );
  const opened = await node.openKey('pebbles.key.yaml', { cwd: elsewhere });
  const [answer] = [...core.identify(opened.key, [{ id: 'P1', traits: { shine: 'dull' } }])];
  must(answer.found.name === 'Lapis griseus', `the library determined a pebble as ${answer.found.name}`);
  compileUser(installed, Object.keys(core), Object.keys(node));
  for (const name of ['index', 'node']) {
    const bare = undocumented(readFileSync(join(installed, `dist/${name}.d.ts`), 'utf8'));
    must(
      bare.length === 0,
      `${name}.d.ts says nothing of ${bare.length} properties: ${bare.slice(0, 5).join(' ')}`,
    );
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
