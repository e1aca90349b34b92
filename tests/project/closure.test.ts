import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

/** esbuild's account of the build, as far as it is read here. */
interface Metafile {
  readonly outputs: Readonly<
    Record<
      string,
      {
        readonly inputs: Readonly<Record<string, unknown>>;
        readonly imports: readonly {
          readonly path: string;
          readonly kind: string;
          readonly external?: boolean;
        }[];
      }
    >
  >;
}

const meta = JSON.parse(
  readFileSync(fileURLToPath(new URL('../../dist/meta.json', import.meta.url)), 'utf8'),
) as Metafile;

/** Everything that is loaded at once with a built file: its sources, and the modules of node it asks for. */
function loadedWith(entry: string): { sources: string[]; builtins: string[] } {
  const sources = new Set<string>();
  const builtins = new Set<string>();
  const seen = new Set<string>();
  const visit = (path: string): void => {
    const output = meta.outputs[path];
    if (seen.has(path) || output === undefined) return;
    seen.add(path);
    for (const input of Object.keys(output.inputs)) sources.add(input);
    for (const { path: target, kind, external } of output.imports) {
      if (kind !== 'import-statement') continue;
      if (external === true) builtins.add(target);
      else visit(target);
    }
  };
  visit(entry);
  return { sources: [...sources].sort(), builtins: [...builtins].sort() };
}

describe('what is loaded at the start', () => {
  const { sources, builtins } = loadedWith('dist/main.js');

  it('is read from a build that has main.js', () => {
    expect(sources).toContain('src/main.ts');
  });

  it('contains no parser, validator, prompt, colour or command', () => {
    const heavy = sources.filter((path) => {
      const name = /^node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(path)?.[1];
      // The nearest word is looked for in error messages; it is one small file.
      if (name !== undefined) return name !== 'fastest-levenshtein';
      return !/^src\/(main\.ts|cli\/(table|help)\.ts|commands\/(command|shared-options|\w+\/entry)\.ts|tables\/format\.ts|terminal\/world\.ts|text\/|diagnostic\/(failure|usage-error)\.ts)/.test(
        path,
      );
    });
    expect(heavy).toEqual([]);
  });

  it('asks node for nothing slow', () => {
    expect(builtins.filter((name) => name !== 'node:module')).toEqual([]);
  });
});
