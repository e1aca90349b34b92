/**
 * Compiles the JSON Schemas of this folder into `src/key/validate.generated.js`, so that no command pays
 * for building a validator at run time (about 60 ms) and ajv stays a development dependency.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { Ajv2020 } from 'ajv/dist/2020.js';
import standaloneCode from 'ajv/dist/standalone/index.js';
import { build } from 'esbuild';

const here = new URL('./', import.meta.url);
const out = new URL('../src/key/validate.generated.js', here);

/** Exported name -> schema file. A schema that does not exist yet becomes a validator that accepts anything. */
const schemas = {
  validateKey: 'key.schema.json',
  validateTerms: 'terms.schema.json',
  validateCollections: 'collections.schema.json',
  validateTaxa: 'taxa.schema.json',
  validateRecord: 'record.schema.json',
  validateCorrespondences: 'correspondences.schema.json',
  validateLintConfig: 'lint-config.schema.json',
  validateLintBaseline: 'lint-baseline.schema.json',
};

const ajv = new Ajv2020({
  allErrors: true,
  strict: true,
  // `if`/`not` ask for properties that are declared outside them.
  strictRequired: false,
  // The schemas say `type: [string, number]` for ids and values: editors see numbers, we see text.
  allowUnionTypes: true,
  verbose: false,
  code: { source: true, esm: true, lines: true },
});
/** What the generated module exports: its name and the schema's. */
const names = {};
const missing = [];
/** The schemas themselves, by file name: messages take their words and examples from them. */
const texts = {};
for (const [name, file] of Object.entries(schemas)) {
  const path = new URL(file, here);
  if (!existsSync(path)) {
    missing.push(name);
    continue;
  }
  const schema = JSON.parse(readFileSync(path, 'utf8'));
  ajv.addSchema(schema, name);
  names[name] = name;
  texts[schema.$id] = schema;
}

const parts = [];
if (Object.keys(names).length > 0) parts.push(standaloneCode.default(ajv, names));
parts.push(`export const schemas = ${JSON.stringify(texts)};`);
for (const name of missing) {
  parts.push(`export function ${name}() { return true; }`, `${name}.errors = null;`);
}

/**
 * The comparison that `uniqueItems` and `const` ask for. ajv's own calls `valueOf` of what it compares; our
 * documents have no prototype, so that `constructor` and `__proto__` are words like any other.
 */
const equal = `
exports.default = function equal(a, b) {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false;
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const keys = Object.keys(a);
  return keys.length === Object.keys(b).length && keys.every((k) => Object.hasOwn(b, k) && equal(a[k], b[k]));
};`;

// ajv's output asks for its helpers with `require`, which a module does not have: they are put inside.
const bundled = await build({
  stdin: { contents: parts.join('\n'), resolveDir: fileURLToPath(here), loader: 'js' },
  bundle: true,
  format: 'esm',
  target: 'node20',
  // Half as much text to read at every start.
  minify: true,
  write: false,
  logLevel: 'warning',
  plugins: [
    {
      name: 'equality without prototypes',
      setup(on) {
        on.onResolve({ filter: /^ajv\/dist\/runtime\/equal$/ }, () => ({ path: 'equal', namespace: 'own' }));
        on.onLoad({ filter: /.*/, namespace: 'own' }, () => ({ contents: equal, loader: 'js' }));
      },
    },
  ],
});
const text = `// Made by schemas/compile.mjs. Do not edit.\n${bundled.outputFiles[0].text}`;
// Left alone when unchanged: a watcher or a test run in progress is not disturbed.
if (!existsSync(out) || readFileSync(out, 'utf8') !== text) writeFileSync(out, text);
