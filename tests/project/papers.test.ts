import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parseDocument } from 'yaml';
import { topics } from '../../src/commands/explain/topics/index.js';
import { FolderShelf } from '../../src/files/shelf.js';
import { loadKey } from '../../src/index.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
const program = join(root, 'bin/keywright.js');
const TOPICS = 'src/commands/explain/topics';
const papers = [
  'README.md',
  'DEVELOPERS.md',
  'schemas/README.md',
  'keys/README.md',
  'examples/README.md',
  'src/lint/rules/README.md',
  ...topics.map((t) => `${TOPICS}/${t.name}.md`),
].map((path) => ({ path, text: readFileSync(join(root, path), 'utf8') }));

/** The fenced examples of a paper, in order. */
function examples(text: string): { readonly of: string; readonly body: string; readonly end: number }[] {
  return [...text.matchAll(/^```(\w*)\n([\s\S]*?)^```$/gm)].map((m) => ({
    of: m[1] ?? '',
    body: m[2] ?? '',
    end: m.index + m[0].length,
  }));
}

/** The keys that a reader of the papers has: those that ship, and those that the papers show, called by their ids. */
const folder = mkdtempSync(join(tmpdir(), 'keywright-papers-'));
const ANOTHER = `keywright: 1
id: another-key
title: Another
version: 1.0.0
couplets: {1: [{lead: Cap dry, taxon: aa}, {lead: Cap slimy, taxon: bb}]}
taxa: {aa: {name: Aa aa}, bb: {name: Bb bb}}
`;
const idOf = (key: string) => /^id: (.*)$/m.exec(key)?.[1];
beforeAll(() => {
  for (const name of ['keys', 'examples']) cpSync(join(root, name), join(folder, name), { recursive: true });
  for (const body of [...whole.map((e) => e.body), ANOTHER])
    writeFileSync(join(folder, `${idOf(body)}.key.yaml`), body);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const written = papers.flatMap(({ path, text }) =>
  examples(text)
    .filter((e) => e.of === 'yaml')
    .map((e, i) => ({ path, i, body: e.body })),
);
const whole = written.filter(({ body }) => /^keywright: 1\b/m.test(body));

describe('the papers', () => {
  it('have their topics and rules from the one place where these stand', () => {
    const { status, stdout } = spawnSync(process.execPath, [join(root, '.config/papers.mjs'), '--check'], {
      encoding: 'utf8',
    });
    expect(stdout, 'run `node .config/papers.mjs`').toBe('');
    expect(status).toBe(0);
  });

  it('hold every topic, but for those about the program as a whole', () => {
    const held = papers.flatMap(({ text }) =>
      [...text.matchAll(/<!-- topic ([a-z-]+) -->/g)].map((m) => m[1]),
    );
    const names = topics.map((t) => t.name).filter((name) => name !== 'files' && name !== 'exit-codes');
    expect(held.sort()).toEqual(names.sort());
  });

  it.each(papers)('$path leads nowhere that is not there', ({ path, text }) => {
    const prose = text.replace(/^```[\s\S]*?^```$/gm, '');
    const links = [...prose.matchAll(/\]\(([^)\s]+)\)/g)].map((m) => m[1] ?? '');
    const lost = links.filter((link) => {
      if (/^https:/.test(link)) return false;
      const [file = '', heading] = link.split('#');
      const target = file === '' ? join(root, path) : join(root, dirname(path), file);
      if (!existsSync(target)) return true;
      if (heading === undefined) return false;
      const headings = [...readFileSync(target, 'utf8').matchAll(/^#+ (.*)$/gm)].map((m) =>
        (m[1] ?? '')
          .toLowerCase()
          .replace(/[^\w\s-]/g, '')
          .replaceAll(' ', '-'),
      );
      return !headings.includes(heading);
    });
    expect(lost).toEqual([]);
  });
});

it('DEVELOPERS.md names no file that is not there', () => {
  const { text } = papers.find(({ path }) => path === 'DEVELOPERS.md') as { text: string };
  const files = spawnSync('git', ['ls-files', '-co', '--exclude-standard'], { cwd: root, encoding: 'utf8' });
  const all = `\n${files.stdout}`;
  const named = [...text.matchAll(/`([\w./-]+\.(?:ts|mjs|js|md))`/g)].map((m) => m[1] ?? '');
  expect(named.length).toBeGreaterThan(50);
  expect(named.filter((name) => !name.includes('XX') && !new RegExp(`[\\n/]${name}\\n`).test(all))).toEqual(
    [],
  );
});

describe('YAML in the papers', () => {
  it.each(written)('$path, example $i, can be read as YAML', ({ body }) => {
    const { errors, warnings } = parseDocument(body, { uniqueKeys: true });
    expect([...errors, ...warnings].map((e) => e.message)).toEqual([]);
  });

  it('has a whole key', () => expect(whole.length).toBeGreaterThan(0));

  it.each(whole)('$path, example $i, is a sound key', ({ body }) => {
    const file = join(folder, `${idOf(body)}.key.yaml`);
    const { key, findings } = loadKey(body, { file, shelf: new FolderShelf(folder) });
    expect(findings).toEqual([]);
    expect(key).toBeDefined();
  });
});

it('the table of finds in the topic is read without a mistake', () => {
  const table = papers.flatMap(({ text }) => examples(text)).find((e) => e.of === 'csv')?.body ?? '';
  const { stderr, status } = spawnSync(process.execPath, [program, 'identify', 'tarn-wood-tufts', '-'], {
    cwd: folder,
    input: table,
    encoding: 'utf8',
  });
  expect(stderr).toContain('2 collections with tarn-wood-tufts');
  expect(status).toBe(0);
});

describe('sessions in the papers', () => {
  /** Commands with the output that stands below them. */
  const sessions = papers
    .filter(({ path }) => path === 'README.md' || path.startsWith(TOPICS))
    .flatMap(({ path, text }) => {
      const all = examples(text);
      return all.flatMap((e, i) => {
        const next = all[i + 1];
        const own = next !== undefined && text.slice(e.end, e.end + 6).startsWith('\n\n```');
        return e.of === 'sh' && own ? [{ path, command: e.body, shown: next.body }] : [];
      });
    });

  it('are found', () => expect(sessions.length).toBeGreaterThan(6));

  it.each(sessions)('$path: $command', ({ command, shown }) => {
    const { stdout: said } = spawnSync(
      'bash',
      ['-c', `exec 2>&1; keywright() { "${process.execPath}" "${program}" "$@"; }\n${command}`],
      {
        cwd: folder,
        encoding: 'utf8',
        env: { ...process.env, NO_COLOR: '1', TZ: 'UTC' },
      },
    );
    // A line `...` stands for lines that are left out.
    let at = 0;
    for (const piece of shown.split(/^ *\.\.\.\n/m)) {
      const found = said.indexOf(piece.trimEnd(), at);
      expect(found < 0 ? said : '', `lacks:\n${piece}`).toBe('');
      at = found + piece.trimEnd().length;
    }
  });
});
