/**
 * Compiles the JSON Schemas of this folder into `src/key/validate.generated.js`, so that no command pays
 * for building a validator at run time (about 60 ms) and ajv stays a development dependency.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import standaloneCode from 'ajv/dist/standalone/index.js';

const here = new URL('./', import.meta.url);
const out = new URL('../src/key/validate.generated.js', here);

/** Exported name -> schema file. A schema that does not exist yet becomes a validator that accepts anything. */
const schemas = {
  validateKey: 'key.schema.json',
  validateTerms: 'terms.schema.json',
  validateCollections: 'collections.schema.json',
};

const ajv = new Ajv2020({
  allErrors: true,
  strict: true,
  // The schemas say `type: [string, number]` for ids and values: editors see numbers, we see text.
  allowUnionTypes: true,
  verbose: false,
  code: { source: true, esm: true, lines: true },
});
const names = {};
const missing = [];
for (const [name, file] of Object.entries(schemas)) {
  const path = new URL(file, here);
  if (!existsSync(path)) {
    missing.push(name);
    continue;
  }
  const schema = JSON.parse(readFileSync(path, 'utf8'));
  ajv.addSchema(schema, name);
  names[name] = name;
}

const parts = ['// Made by schemas/compile.mjs. Do not edit.'];
if (Object.keys(names).length > 0) parts.push(standaloneCode.default(ajv, names));
for (const name of missing) {
  parts.push(`export function ${name}() { return true; }`, `${name}.errors = null;`);
}
const text = `${parts.join('\n')}\n`;
// Left alone when unchanged: a watcher or a test run in progress is not disturbed.
if (!existsSync(out) || readFileSync(out, 'utf8') !== text) writeFileSync(out, text);
