/**
 * Writes the topics of `explain` and the table of lint rules into the papers beside what they describe, between
 * comments such as `<!-- topic key -->` and `<!-- / -->`, or `<!-- rules -->` and `<!-- / -->`. With `--check` it writes
 * nothing, names the papers that are not up to date, and ends with 1 when there are any.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const PAPERS = ['schemas/README.md', 'keys/README.md', 'examples/README.md', 'src/lint/rules/README.md'];

const root = fileURLToPath(new URL('..', import.meta.url));
const contents = `
  export { topics } from './src/commands/explain/topics/index.js';
  import { rulesTable } from './src/commands/explain/rule-page.js';
  import { rules } from './src/lint/rules/index.js';
  export const table = rulesTable(rules);
`;
const { outputFiles } = await build({
  stdin: { contents, resolveDir: root, loader: 'ts' },
  loader: { '.md': 'text' },
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  write: false,
  banner: {
    js: "const require = process.getBuiltinModule('node:module').createRequire('/');",
  },
});
const { topics, table } = await import(
  `data:text/javascript;base64,${Buffer.from(outputFiles[0].text).toString('base64')}`
);

/** A text with its headings one level lower; what stands in examples is no heading. */
function lowered(markdown) {
  return markdown
    .split(/^(```[\s\S]*?^```)$/m)
    .map((part, i) => (i % 2 === 0 ? part.replace(/^#/gm, '##') : part))
    .join('');
}

/** What belongs between the comments that name it. */
function part(what) {
  if (what === 'rules') return table;
  const name = what.replace(/^topic /, '');
  const topic = topics.find((t) => t.name === name);
  if (topic === undefined) throw new Error(`there is no topic ${name}`);
  return lowered(topic.markdown);
}

const check = process.argv.includes('--check');
for (const name of PAPERS) {
  const before = readFileSync(root + name, 'utf8');
  const after = before.replace(
    /<!-- (rules|topic [a-z-]+) -->\n[\s\S]*?<!-- \/ -->/g,
    (_, what) => `<!-- ${what} -->\n${part(what).trim()}\n<!-- / -->`,
  );
  if (after === before) continue;
  if (check) process.exitCode = 1;
  else writeFileSync(root + name, after);
  console.log(`${name} ${check ? 'is not up to date' : 'written'}`);
}
