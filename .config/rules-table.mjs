/** Writes the table of lint rules into README.md, between the comments `<!-- rules -->` and `<!-- /rules -->`. */
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const root = fileURLToPath(new URL('..', import.meta.url));
const contents = `
  import { rules } from './src/lint/rules/index.js';
  import { rulesTable } from './src/report/rulepage.js';
  export const table = rulesTable(rules);
`;
const { outputFiles } = await build({
  stdin: { contents, resolveDir: root, loader: 'ts' },
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  write: false,
  banner: {
    js: "const require = process.getBuiltinModule('node:module').createRequire('/');",
  },
});
const { table } = await import(
  `data:text/javascript;base64,${Buffer.from(outputFiles[0].text).toString('base64')}`
);
const path = `${root}README.md`;
const before = readFileSync(path, 'utf8');
const after = before.replace(
  /<!-- rules -->[\s\S]*?<!-- \/rules -->/,
  () => `<!-- rules -->\n${table}<!-- /rules -->`,
);
if (after === before) console.log('README.md has the table already, or no comments to put it between');
else {
  writeFileSync(path, after);
  console.log('README.md has a new table of rules');
}
