import { type SpawnSyncReturns, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, openSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string };

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-bin-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A copy of the program's front with a `main` of the test's own behind it. */
function front(name: string, main: string | undefined): string {
  const home = join(folder, name);
  mkdirSync(home);
  cpSync(join(root, 'bin'), join(home, 'bin'), { recursive: true });
  writeFileSync(join(home, 'package.json'), JSON.stringify({ type: 'module', version }));
  if (main !== undefined) {
    mkdirSync(join(home, 'dist'));
    writeFileSync(
      join(home, 'dist/main.js'),
      `export const processWorld = () => ({});\nexport async function main() { ${main} }\n`,
    );
  }
  return join(home, 'bin/keywright.js');
}

function run(file: string, args: string[] = ['work']): SpawnSyncReturns<string> {
  return spawnSync(process.execPath, [file, ...args], { encoding: 'utf8', input: '', timeout: 15_000 });
}

describe('bin/keywright.js', () => {
  it.each(['--version', '-V'])('answers %s without the program', (flag) => {
    const { status, stdout, stderr } = run(front(`unbuilt${flag}`, undefined), [flag]);
    expect([status, stdout, stderr]).toEqual([0, `${version}\n`, '']);
  });

  it('says so when the program was never built', () => {
    const { status, stdout, stderr } = run(front('unbuilt', undefined));
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toBe(
      'keywright: not built yet (dist/main.js is missing); run `npm install && npm run build` in its folder first\n',
    );
  });

  it.each([0, 1, 2, 130])("hands on the program's code %i", (code) => {
    expect(run(front(`code${code}`, `return ${code};`)).status).toBe(code);
  });

  it('reports a bug in one line, and where it happened only when asked', () => {
    const file = front('bug', "throw new TypeError('nothing is not a key\\nsecond line');");
    const plain = run(file);
    expect(plain.status).toBe(2);
    expect(plain.stderr).toBe(
      `keywright: unexpected error in version ${version}: nothing is not a key (please report it with the command you gave; --debug shows where it happened)\n`,
    );
    const debug = run(file, ['work', '--debug']);
    expect(debug.status).toBe(2);
    expect(debug.stderr).toMatch(
      /please report it with the command you gave\)\nTypeError: [\s\S]*dist\/main\.js:\d+/,
    );
  });

  it('a bug outside the command is told as well, and a success after it does not hide it', () => {
    const main =
      "setTimeout(() => { throw new Error('late'); }, 5); await new Promise((r) => setTimeout(r, 60)); return 0;";
    const { status, stderr } = run(front('late', main));
    expect(status).toBe(2);
    expect(stderr).toMatch(/^keywright: unexpected error in version \S+: late \(please report[^\n]*\n$/);
  });

  it('a run whose input ends at a question is no success', () => {
    const { status, stderr } = run(front('unanswered', 'await new Promise(() => {});'));
    expect([status, stderr]).toEqual([2, 'keywright: the input ended before the work was done\n']);
  });

  it('writes all of a large output into a pipe', () => {
    const main = "process.stdout.write('x'.repeat(300_000) + '\\n'); return 1;";
    const { status, stdout } = run(front('large', main));
    expect([status, stdout.length]).toEqual([1, 300_001]);
  });

  it('a reader that has had enough is a success without a word', () => {
    const main =
      "for (let i = 0; i < 3000; i++) { process.stdout.write('x'.repeat(200) + '\\n'); await null; } return 1;";
    const file = front('closed', main);
    const script = `"${process.execPath}" "${file}" work | head -n 1 > /dev/null; echo "\${PIPESTATUS[0]}"`;
    const { stdout, stderr } = spawnSync('bash', ['-c', script], { encoding: 'utf8', timeout: 15_000 });
    expect([stdout, stderr]).toEqual(['0\n', '']);
  });

  it('output that cannot be written is told', () => {
    const file = front('full', "process.stdout.write('x\\n'); return 0;");
    const full = openSync('/dev/full', 'w');
    const { status, stderr } = spawnSync(process.execPath, [file, 'work'], {
      encoding: 'utf8',
      stdio: ['ignore', full, 'pipe'],
    });
    expect(status).toBe(2);
    expect(stderr).toMatch(/^keywright: the output cannot be written: no space left on device\n/);
  });

  it('the built program shows its help', () => {
    const { status, stdout, stderr } = run(join(root, 'bin/keywright.js'), ['--help']);
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^keywright COMMAND/);
  });
});
