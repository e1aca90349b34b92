/**
 * Builds dist/: validators from the schemas, bundles of the program and of the library with the notices of the packages
 * in them, and the library's type declarations. `meta.json` says what is in the bundles; it is not published. Works from any folder; `--no-types` leaves the declarations out.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { noticesText, packagesOf } from './notices.mjs';
import { buildPage } from './page.mjs';

const root = fileURLToPath(new URL('..', import.meta.url));
process.chdir(root);

await import('../schemas/compile.mjs');
const ofThePage = await buildPage();

/** What every bundle has in common. */
const common = {
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  charset: 'utf8',
  // Topics of `explain`, and codecs of pictures.
  loader: { '.md': 'text', '.wasm': 'binary' },
  legalComments: 'eof',
  logLevel: 'warning',
};
/** Leaves modules that are imported when they are asked for out of a bundle: nothing in it asks for them. */
const withoutCommands = {
  name: 'without-commands',
  setup: ({ onResolve }) =>
    onResolve({ filter: /^\./ }, ({ kind, path }) =>
      kind === 'dynamic-import' ? { path, external: true } : undefined,
    ),
};

/**
 * Joins a tree of declarations to one file for each entry of the library. A key opened by the one is a key of the other, so
 * `node.d.ts` takes what both have from `index.d.ts`.
 */
async function bundleTypes(tree, outdir) {
  const [{ rollup }, { dts }] = await Promise.all([import('rollup'), import('rollup-plugin-dts')]);
  for (const name of ['index', 'node']) {
    const bundle = await rollup({
      input: `${tree}/${name}.d.ts`,
      plugins: [dts({ tsconfig: '.config/tsconfig.types.json' })],
      external: name === 'index' ? [] : [/[/\\]index\.(js|d\.ts)$/],
    });
    await bundle.write({ file: `${outdir}/${name}.d.ts`, format: 'es', paths: () => './index.js' });
    await bundle.close();
  }
}

const entryPoints = ['src/main.ts', 'src/index.ts', 'src/node.ts'].filter((path) => existsSync(path));
// Built beside dist and moved into place, so that a program started meanwhile never meets half a build.
const fresh = `dist.${process.pid}`;
rmSync(fresh, { recursive: true, force: true });
mkdirSync(fresh, { recursive: true });
try {
  if (entryPoints.length > 0) {
    const { metafile } = await build({
      entryPoints,
      outdir: fresh,
      ...common,
      splitting: true,
      entryNames: '[name]',
      metafile: true,
      chunkNames: 'chunks/[name]-[hash]',
      // Bundled CommonJS packages (commander, yaml) call `require` for node's own modules.
      banner: {
        js: "const require = process.getBuiltinModule('node:module').createRequire(import.meta.url);",
      },
    });
    const text = JSON.stringify(metafile, null, 1).replaceAll(`"${fresh}/`, '"dist/');
    writeFileSync(`${fresh}/meta.json`, `${text}\n`);
    const help = await build({
      ...common,
      entryPoints: { help: 'src/cli/program-help.ts' },
      outdir: fresh,
      metafile: true,
      plugins: [withoutCommands],
    });
    const packages = new Set([metafile, help.metafile, ...ofThePage].flatMap(packagesOf));
    writeFileSync(`${fresh}/NOTICES.txt`, noticesText([...packages]));
  }
  if (existsSync('src/index.ts') && !process.argv.includes('--no-types')) {
    const tsc = createRequire(import.meta.url)
      .resolve('typescript/package.json')
      .replace(/package\.json$/, 'bin/tsc');
    // The declarations as a tree first, which the bundler then joins; it reads no sources.
    const tree = `${fresh}/types`;
    execFileSync(process.execPath, [tsc, '-p', '.config/tsconfig.types.json', '--outDir', tree], {
      stdio: ['ignore', 'inherit', 'inherit'],
    });
    await bundleTypes(tree, fresh);
    rmSync(tree, { recursive: true, force: true });
  }
  const old = `${fresh}.old`;
  if (existsSync('dist')) renameSync('dist', old);
  renameSync(fresh, 'dist');
  rmSync(old, { recursive: true, force: true });
} finally {
  rmSync(fresh, { recursive: true, force: true });
}
