import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, posix } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** The floors of src: imports go down only, and folders of one floor do not import each other. */
const FLOORS: readonly (readonly string[])[] = [
  ['text'],
  ['diagnostic'],
  ['archive', 'traits'],
  ['key'],
  ['correspondences'],
  ['engine'],
  ['analysis'],
  ['tables'],
  ['record'],
  ['words'],
  ['printed'],
  ['drawn'],
  ['page'],
  ['lint', 'versions'],
  ['files', 'terminal'],
  ['inputs'],
  ['commands'],
  ['cli', 'library'],
];

/** What only some folders may import. */
const RESERVED: readonly { readonly what: RegExp; readonly folders: readonly string[] }[] = [
  { what: /^(node:)?fs(\/|$)/, folders: ['files'] },
  { what: /^fflate$/, folders: ['archive', 'files', 'page'] },
  { what: /^preact(\/|$)/, folders: ['page'] },
  { what: /^(inquirer|@inquirer\/.*|chalk)$/, folders: ['terminal'] },
  { what: /^(node:)?(tty|readline)(\/|$)/, folders: ['terminal'] },
  { what: /^commander$/, folders: ['cli'] },
];

interface Import {
  readonly specifier: string;
  readonly line: number;
  readonly whenAsked: boolean;
}

interface Source {
  readonly path: string;
  readonly code: string;
  readonly imports: readonly Import[];
}

/** Comments out, lines kept: examples in doc comments are no imports. */
function withoutComments(text: string): string {
  return text
    .replace(/\/\*[\s\S]*?\*\//g, (comment) => comment.replace(/[^\n]/g, ' '))
    .replace(/(^|\s)\/\/[^\n]*/g, '$1');
}

function importsOf(code: string): Import[] {
  const found: Import[] = [];
  const pattern =
    /(?:^|[;}\n])\s*(?:import|export)\b[^;'"()]*?\bfrom\s*['"]([^'"]+)['"]|(?:^|[;}\n])\s*import\s*['"]([^'"]+)['"]|\bimport\(\s*['"]([^'"]+)['"]/g;
  for (const match of code.matchAll(pattern)) {
    const specifier = match[1] ?? match[2] ?? match[3] ?? '';
    const line = code.slice(0, match.index + match[0].length).split('\n').length;
    found.push({ specifier, line, whenAsked: match[3] !== undefined });
  }
  return found;
}

function read(path: string): Source {
  const code = withoutComments(readFileSync(join(root, path), 'utf8'));
  return { path, code, imports: importsOf(code) };
}

const sources = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' })
  .map((name) => posix.join('src', name.replaceAll('\\', '/')))
  .filter((path) => /\.tsx?$/.test(path) && !path.endsWith('.d.ts'))
  .sort()
  .map(read);

/** `src/key/build.ts` -> `key`; a file of src itself has none. */
function folderOf(path: string): string | undefined {
  const parts = path.split('/');
  return parts.length > 2 ? parts[1] : undefined;
}

/** `src/commands/draw/svg.ts` -> `draw`; what several commands share stands in `src/commands` itself and has none. */
function featureOf(path: string): string | undefined {
  const parts = path.split('/');
  return parts[1] === 'commands' && parts.length > 3 ? parts[2] : undefined;
}

/** Where a relative import leads, as the path of the TypeScript file. */
function target(source: Pick<Source, 'path'>, specifier: string): string {
  const path = posix.join(posix.dirname(source.path), specifier).replace(/\.js$/, '');
  return existsSync(join(root, `${path}.tsx`)) ? `${path}.tsx` : `${path}.ts`;
}

function floorOf(folder: string): number {
  return FLOORS.findIndex((floor) => floor.includes(folder));
}

/** What is wrong with the imports of a file, one line each. */
function faults(source: Source): string[] {
  const found: string[] = [];
  const own = folderOf(source.path);
  if (own !== undefined && floorOf(own) < 0) found.push(`${source.path}: folder ${own} has no floor`);
  for (const { specifier, line } of source.imports) {
    const place = `${source.path}:${line}`;
    if (!specifier.startsWith('.')) {
      for (const { what, folders } of RESERVED) {
        if (what.test(specifier) && !folders.includes(own ?? '')) {
          found.push(`${place}: only src/${folders.join(', src/')} may import ${specifier}`);
        }
      }
      continue;
    }
    const other = target(source, specifier);
    if (!other.startsWith('src/')) {
      found.push(`${place}: ${specifier} leads out of src`);
      continue;
    }
    const theirs = folderOf(other);
    const [mine, another] = [featureOf(source.path), featureOf(other)];
    if (mine !== undefined && another !== undefined && mine !== another)
      found.push(`${place}: the command ${mine} may not import the command ${another}`);
    if (own === undefined || theirs === own) continue;
    if (theirs === undefined) found.push(`${place}: ${other} stands above every folder`);
    else if (floorOf(theirs) >= floorOf(own)) found.push(`${place}: src/${own} may not import src/${theirs}`);
  }
  return found;
}

/** Files that need each other, by way of others or when asked; each circle once, from its first file by name. */
function circles(all: readonly Source[]): string[] {
  const byPath = new Map(all.map((s) => [s.path, s]));
  const needs = (path: string): string[] =>
    (byPath.get(path)?.imports ?? [])
      .filter(({ specifier }) => specifier.startsWith('.'))
      .map(({ specifier }) => target({ path }, specifier));
  const found: string[] = [];
  const done = new Set<string>();
  const visit = (path: string, way: readonly string[]): void => {
    const at = way.indexOf(path);
    if (at >= 0) found.push([...way.slice(at), path].join(' -> '));
    if (at >= 0 || done.has(path)) return;
    for (const next of needs(path)) visit(next, [...way, path]);
    done.add(path);
  };
  for (const { path } of all) visit(path, []);
  return found;
}

/** Every source that a file needs, directly or by way of others. */
function reach(path: string): Source[] {
  const seen = new Map<string, Source>();
  const visit = (at: string): void => {
    const source = sources.find((s) => s.path === at);
    if (source === undefined || seen.has(at)) return;
    seen.set(at, source);
    for (const { specifier } of source.imports)
      if (specifier.startsWith('.')) visit(target(source, specifier));
  };
  visit(path);
  return [...seen.values()];
}

/** Every source that is loaded with a file: what it imports when asked, not counted. */
function reachAtStart(path: string, seen = new Set<string>()): ReadonlySet<string> {
  const source = sources.find((s) => s.path === path);
  if (source === undefined || seen.has(path)) return seen;
  seen.add(path);
  for (const { specifier, whenAsked } of source.imports)
    if (!whenAsked && specifier.startsWith('.')) reachAtStart(target(source, specifier), seen);
  return seen;
}

describe('the floors of src', () => {
  it('finds the imports at all', () => {
    const main = sources.find((s) => s.path === 'src/main.ts');
    expect(main?.imports.map((i) => i.specifier)).toContain('./cli/table.js');
    expect(main?.imports.filter((i) => i.whenAsked).map((i) => i.specifier)).toEqual([
      './cli/what-fits.js',
      './cli/command-line.js',
      './terminal/messages.js',
    ]);
  });

  it('knows a fault when it sees one', () => {
    const code =
      "import type { X } from '../engine/x.js';\nimport {\n  y,\n} from 'node:fs';\nexport * from '../traits/z.js';\n";
    expect(faults({ path: 'src/key/a.ts', code, imports: importsOf(code) })).toEqual([
      'src/key/a.ts:1: src/key may not import src/engine',
      'src/key/a.ts:4: only src/files may import node:fs',
    ]);
    const sibling = "import { a } from '../terminal/x.js'; const b = await import('chalk');";
    expect(faults({ path: 'src/files/a.ts', code: sibling, imports: importsOf(sibling) })).toEqual([
      'src/files/a.ts:1: src/files may not import src/terminal',
      'src/files/a.ts:1: only src/terminal may import chalk',
    ]);
  });

  it('knows a command that imports another, and a circle', () => {
    const beside = "import { a } from '../show/text.js';\nimport { b } from '../shared-options.js';\n";
    expect(faults({ path: 'src/commands/draw/a.ts', code: beside, imports: importsOf(beside) })).toEqual([
      'src/commands/draw/a.ts:1: the command draw may not import the command show',
    ]);
    const round = [
      ['src/a.ts', "import './b.js';"],
      ['src/b.ts', "const c = await import('./c.js');"],
      ['src/c.ts', "import type { A } from './a.js';"],
    ].map(([path = '', code = '']) => ({ path, code, imports: importsOf(code) }));
    expect(circles(round)).toEqual(['src/a.ts -> src/b.ts -> src/c.ts -> src/a.ts']);
    expect(circles(round.slice(0, 2))).toEqual([]);
  });

  it('imports go down only, and no command imports another', () => {
    expect(sources.flatMap(faults)).toEqual([]);
  });

  it('no files need each other in a circle', () => {
    expect(circles(sources)).toEqual([]);
  });

  it('the process is touched in src/terminal only', () => {
    const touching = sources
      .filter((s) => folderOf(s.path) !== 'terminal')
      .flatMap((s) =>
        [...s.code.matchAll(/\bprocess\.(std\w+|exit\w*|env|argv|cwd|on)\b/g)].map(
          (m) => `${s.path}: ${m[0]}`,
        ),
      );
    expect(touching).toEqual([]);
  });

  it('the library reaches no terminal and no file', () => {
    const reached = reach('src/index.ts').map((s) => s.path);
    expect(
      reached.filter((path) =>
        /^src\/(files|terminal|inputs|cli|main|node)|^src\/commands\/\w+\/command/.test(path),
      ),
    ).toEqual([]);
  });

  it('what is loaded at the start is small: commands are imported when they are asked for', () => {
    const other = [...reachAtStart('src/cli/table.ts')].filter(
      (path) =>
        !/^src\/(cli\/table|tables\/format|commands\/(command|shared-options|\w+\/entry)|terminal\/world)\.ts$/.test(
          path,
        ),
    );
    expect(other).toEqual([]);
  });

  it('no drawer for everything', () => {
    const drawers = sources.filter((s) => /(^|\/)(utils?|helpers?|misc|common)(\.ts|\/)/.test(s.path));
    expect(drawers.map((s) => s.path)).toEqual([]);
  });
});
