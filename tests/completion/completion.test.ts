import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeArchive } from '../../src/archive/archive.js';
import { programHelp } from '../../src/cli/help.js';
import { COMMANDS } from '../../src/cli/table.js';
import { SCRIPTS, SHELLS } from '../../src/commands/completion/shells.js';
import { topics } from '../../src/commands/explain/topics/index.js';
import { rules } from '../../src/lint/rules/index.js';
import { main } from '../../src/main.js';
import { fakeWorld } from '../support/fake-world.js';
import { there, typed } from './typed.js';

let folder = '';
let held: string[] = [];

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-complete-'));
  for (const name of ['keys', 'more keys']) mkdirSync(join(folder, name));
  const write = (name: string, text: string | Uint8Array) => writeFileSync(join(folder, name), text);
  write('keys/first.key.yaml', 'keywright: 1\nid: tarn-tufts # a comment\n');
  write('more keys/second.key.yaml', '# yaml\nid: "beetles"\n');
  write('finds.csv', '');
  // What these say is code to a shell that is careless with it.
  write('keys/evil.key.yaml', Buffer.from('id: abc\xff $(touch\tRAN)`touch\tRAN`;touch RAN\n', 'latin1'));
  write('keys/x $(touch RAN)`touch RAN`.key.yaml', 'keywright: 1\n');
  write('keys/x\ntouch RAN\u001b]0;x\u0007.key.yaml', 'keywright: 1\n');
  write('keys/yes it is.key.yaml', 'keywright: 1\n');
  write('ev $(touch RAN)`touch RAN`.csv', '');
  write(
    'loans.keywright.zip',
    writeArchive([
      ['moths.key.yaml', 'id: moths'],
      ['manifest.json', '{}'],
    ]),
  );
  held = readdirSync(folder).sort();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** What fits at the end of some words: the first is what the shell adds itself. */
async function fits(...words: string[]): Promise<string[]> {
  return (await answer('zsh', ...words)).map((line) => line.split('\t')[0] ?? '');
}

async function answer(shell: string, ...words: string[]): Promise<string[]> {
  const world = fakeWorld({ cwd: folder, env: { HOME: folder } });
  expect(await main(['what-fits', shell, ...words], world)).toBe(0);
  expect(world.said.err()).toBe('');
  return world.said.out().trimEnd().split('\n');
}

describe('what fits at the end of a command line', () => {
  it('is every command, and help', async () => {
    expect(await fits('')).toEqual(['nothing', ...COMMANDS.map((c) => c.name), 'help']);
    expect(await fits('ru')).toEqual(['nothing', 'run']);
    expect(await answer('fish', 'ru')).toEqual(['nothing', `run\t${COMMANDS[0]?.summary}`]);
    expect(await fits('help', 'pr')).toEqual(['nothing', 'print']);
    expect(await fits('--ver')).toEqual(['nothing', '--version']);
    expect(await fits('nosuch', '')).toEqual(['nothing']);
  });

  it('is every option of every command, and the values that an option takes', async () => {
    for (const { name, options } of COMMANDS) {
      const offered = await fits(name, '--');
      for (const { flags, choices } of options) {
        const long = /--[a-z-]+/.exec(flags)?.[0] ?? '';
        expect(offered).toContain(long);
        if (choices === undefined) continue;
        expect(await fits(name, long, '')).toEqual(['nothing', ...choices]);
        expect(await fits(name, `${long}=`)).toEqual(['nothing', ...choices.map((c) => `${long}=${c}`)]);
      }
      expect(offered).toContain('--help');
    }
  });

  it('is keys by their ids, from ./keys and from --keys, and files or folders', async () => {
    expect(await fits('run', 'ta')).toEqual(['files', 'tarn-tufts']);
    expect(await fits('run', '--keys', 'more keys', 'be')).toEqual(['files', 'beetles']);
    expect(await fits('run', '--keys=more keys', 'be')).toEqual(['files', 'beetles']);
    expect(await fits('run', '--keys', '~/more keys', 'be')).toEqual(['files', 'beetles']);
    expect(await fits('run', '--keys', '')).toEqual(['folders']);
    expect(await fits('identify', '--strict', 'tarn-tufts', 'finds.csv', '')).toEqual(['files']);
    expect(await fits('run', '--record', '')).toEqual(['files']);
    expect(await fits('run', 'tarn-tufts', '')).toEqual(['nothing']);
    expect(await fits('run', '--', 'ta')).toEqual(['files', 'tarn-tufts']);
  });

  it('is the keys of a bundle once its name is written', async () => {
    expect(await fits('show', 'loans.keywright.zip/')).toEqual([
      'files',
      'loans.keywright.zip/moths.key.yaml',
    ]);
    expect(await fits('show', 'finds.zip/')).toEqual(['files']);
  });

  it('is topics, rules and shells, and nothing where a person writes freely', async () => {
    expect(await fits('explain', '')).toEqual([
      'nothing',
      ...topics.map((t) => t.name),
      ...rules.map((r) => r.id),
    ]);
    expect(await fits('completion', '')).toEqual(['nothing', 'bash', 'zsh', 'fish']);
    expect(await fits('new', '--title', '')).toEqual(['nothing']);
  });

  it('never is what a shell could take for more than a word', async () => {
    expect(await fits('show', '')).toEqual(['files', 'abc', 'tarn-tufts', 'yes it is']);
  });

  it('takes words as bash cuts and quotes them, and answers in what bash calls the last word', async () => {
    expect(await answer('bash', 'identify', '--format', '=', 'nd')).toEqual(['nothing', 'ndjson']);
    expect(await answer('bash', 'run', '--keys', '=', '"more keys"', 'be')).toEqual(['files', 'beetles']);
    expect(await answer('bash', 'run', '--keys', 'more\\ keys', 'be')).toEqual(['files', 'beetles']);
    expect(await answer('bash', 'lint', '--rule', 'a-b', '=', 'off', 'ta')).toEqual(['files', 'tarn-tufts']);
  });

  it('is no command for people', async () => {
    expect(programHelp(COMMANDS, 80)).not.toContain('what-fits');
  });
});

const CASES: Record<string, string> = {
  ru: 'run ',
  'run tarn-t': 'run tarn-tufts ',
  'run "tarn-t': 'run "tarn-tufts" ',
  'show -- tarn-t': 'show -- tarn-tufts ',
  'show fin': 'show finds.csv ',
  'show ye': 'show yes\\ it\\ is ',
  'show loans.keywright.zip/': 'show loans.keywright.zip/moths.key.yaml ',
  'run --keys mo': 'run --keys more\\ keys/',
  'run --keys=mo': 'run --keys=more\\ keys/',
  'run --keys more\\ keys be': 'run --keys more\\ keys beetles ',
  'run --keys="more keys" be': 'run --keys="more keys" beetles ',
  'run --record=fin': 'run --record=finds.csv ',
  'identify --format nd': 'identify --format ndjson ',
  'identify --format=nd': 'identify --format=ndjson ',
  'explain leads-exc': 'explain leads-exclusive ',
  'print x --wid': 'print x --width ',
  "identify tarn-tufts 'ev ": "identify tarn-tufts 'ev $(touch RAN)`touch RAN`.csv' ",
  // Nothing is put in, for several things fit; and nothing of it is carried out.
  'show ': 'show ',
  // Nothing fits.
  'show x': 'show x',
};
const LEFT = '\u0002';

describe.each(SHELLS)('completion in %s', (shell) => {
  it.runIf(there(shell))('completes what is typed, and carries out nothing that a file says', async () => {
    const lines = await typed(
      shell,
      folder,
      Object.keys(CASES).map((line) => `keywright ${line}\t`),
    );
    expect(lines).toEqual(Object.values(CASES).map((line) => `keywright ${line}`));
    expect(readdirSync(folder).sort()).toEqual(held);
  });

  it.runIf(there(shell))('completes where the cursor stands', async () => {
    const [line = ''] = await typed(shell, folder, [`keywright ide tarn-tufts${LEFT.repeat(11)}\t`]);
    expect(line.replace('  ', ' ')).toBe('keywright identify tarn-tufts');
  });
});

describe('completion in bash', () => {
  it('offers the ids of keys and files side by side, and runs under set -u', () => {
    const words = ['keywright', 'show', ''];
    const script = `set -u; source <(printf %s "$1"); shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _keywright keywright "\${!#}"; printf '%s\\n' "\${COMPREPLY[@]}"`;
    const bin = mkdtempSync(join(tmpdir(), 'keywright-bin-'));
    try {
      const answers = "#!/bin/sh\nprintf 'files\\ntarn-tufts\\n'\n";
      writeFileSync(join(bin, 'keywright'), answers, { mode: 0o755 });
      const { stdout, stderr } = spawnSync('bash', ['--norc', '-c', script, '-', SCRIPTS.bash, ...words], {
        cwd: folder,
        encoding: 'utf8',
        env: { PATH: `${bin}:${process.env.PATH}` },
      });
      expect(stderr).toBe('');
      expect(stdout.trimEnd().split('\n').sort()).toEqual([...held, 'tarn-tufts'].sort());
    } finally {
      rmSync(bin, { recursive: true, force: true });
    }
  });
});

describe('the command', () => {
  it('writes the script of the shell named, and nothing else', async () => {
    for (const shell of SHELLS) {
      const world = fakeWorld();
      expect(await main(['completion', shell], world)).toBe(0);
      expect(world.said.err()).toBe('');
      expect(world.said.out()).toBe(SCRIPTS[shell]);
    }
  });

  it('names the shells when it knows none of that name', async () => {
    const world = fakeWorld();
    expect(await main(['completion', 'fsh'], world)).toBe(2);
    expect(world.said.out()).toBe('');
    expect(world.said.err()).toContain('SHELL is bash, zsh or fish, not "fsh" (did you mean zsh?)');
  });
});
