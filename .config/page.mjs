/**
 * Builds the parts of the page that `keywright page` puts together: its program, packed, with what starts it, and its style.
 * They become a module beside the command, so that the command needs no file when it runs.
 */
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { zlib } from '@gfx/zopfli';
import { build } from 'esbuild';
import { minify } from 'terser';

const root = fileURLToPath(new URL('..', import.meta.url));
const out = `${root}src/commands/page/parts.generated.js`;

const common = {
  absWorkingDir: root,
  bundle: true,
  minify: true,
  platform: 'browser',
  // What the program asks of a browser. Its patterns look back, which Safari can since March 2023; src/page/tsconfig.json holds it to
  // the library of 2022.
  target: ['chrome94', 'firefox93', 'safari16.4'],
  format: 'iife',
  charset: 'utf8',
  jsx: 'automatic',
  jsxImportSource: 'preact',
  legalComments: 'none',
  logLevel: 'warning',
  write: false,
  metafile: true,
};

/** No module here does anything when it is loaded, so that what is not called is left out; what only Node has is replaced. */
const forBrowsers = {
  name: 'for-browsers',
  setup({ onResolve, resolve }) {
    onResolve({ filter: /^node:crypto$/ }, () => ({ path: `${root}src/page/sha256.ts` }));
    onResolve({ filter: /.*/ }, async ({ path, pluginData, importer, resolveDir, kind }) => {
      if (pluginData === 'asked' || kind === 'entry-point') return undefined;
      const found = await resolve(path, { importer, resolveDir, kind, pluginData: 'asked' });
      return { ...found, sideEffects: false };
    });
  },
};

/** One script for browsers, of a file of this project. */
export function browserScript(entry) {
  return build({ ...common, entryPoints: [entry], plugins: [forBrowsers], outfile: 'page.js' });
}

const HEAD = '// Made by .config/page.mjs. Do not edit.\nexport const parts = ';

/** Deflated in the shortest way that is found, which takes a second: a twentieth shorter than Node makes it. */
function packed(code) {
  return new Promise((done, failed) =>
    zlib(Buffer.from(code), { numiterations: 5 }, (error, bytes) =>
      error ? failed(error) : done(Buffer.from(bytes).toString('base64')),
    ),
  );
}

/** The program as a page takes it, and its hash. What esbuild makes becomes a twenty-fifth shorter once packed by a second pass. */
async function finished(code) {
  const { code: short } = await minify(code, { ecma: 2020, compress: { passes: 2 } });
  const programHash = hashOf(short);
  return { program: await packed(short), programHash };
}

/** The program as it was finished before, where it is the same: that takes some seconds. */
function finishedBefore(module, source) {
  if (!module.startsWith(HEAD)) return undefined;
  try {
    const parts = JSON.parse(module.slice(HEAD.length).trim().replace(/;$/, ''));
    return parts.source === source ? { program: parts.program, programHash: parts.programHash } : undefined;
  } catch {
    return undefined;
  }
}

function hashOf(code) {
  return createHash('sha256').update(code).digest('base64');
}

/** Builds the parts; gives what the build took in, for the notices. */
export async function buildPage() {
  const [program, boot, style] = await Promise.all([
    browserScript('src/page/main.tsx'),
    browserScript('src/page/boot.ts'),
    build({ ...common, entryPoints: ['src/page/style.css'], outfile: 'page.css' }),
  ]);
  const text = ({ outputFiles }) => outputFiles[0].text.trim();
  const code = text(program);
  const source = hashOf(code);
  const before = existsSync(out) ? readFileSync(out, 'utf8') : '';
  const parts = {
    boot: text(boot),
    ...(finishedBefore(before, source) ?? (await finished(code))),
    source,
    style: text(style),
  };
  const module = `${HEAD}${JSON.stringify(parts)};\n`;
  if (before !== module) writeFileSync(out, module);
  return [program.metafile, boot.metafile];
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [meta] = await buildPage();
  if (process.argv.includes('--sizes')) {
    const [{ inputs, bytes }] = Object.values(meta.outputs);
    const sizes = Object.entries(inputs).map(([file, { bytesInOutput }]) => [bytesInOutput, file]);
    for (const [size, file] of sizes.sort((a, b) => b[0] - a[0])) console.log(`${size}`.padStart(7), file);
    console.log(`${bytes}`.padStart(7), 'in all');
  }
}
