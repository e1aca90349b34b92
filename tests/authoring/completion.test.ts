import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { bashCompletion } from '../../src/commands/completionbash.js';
import { fishCompletion } from '../../src/commands/completionfish.js';
import { commandWords, programOptions } from '../../src/commands/completionwords.js';
import { zshCompletion } from '../../src/commands/completionzsh.js';
import { COMMANDS } from '../../src/commands/table.js';
import { rules } from '../../src/lint/rules/index.js';
import { main } from '../../src/main.js';
import { fakeWorld } from '../project/fake-world.js';

const words = commandWords(COMMANDS, { rules: rules.map((r) => r.id) });
let folder = '';

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'keywright-complete-'));
  mkdirSync(join(folder, 'keys'));
  mkdirSync(join(folder, 'more'));
  writeFileSync(join(folder, 'keys/first.key.yaml'), 'keywright: 1\nid: tarn-tufts # a comment\n');
  writeFileSync(join(folder, 'more/second.key.yaml'), '# yaml\nid: "beetles"\n');
  writeFileSync(join(folder, 'finds.csv'), '');
  writeFileSync(join(folder, 'c.bash'), bashCompletion(words, programOptions()));
  writeFileSync(join(folder, 'c.zsh'), zshCompletion(words, programOptions()));
  writeFileSync(join(folder, 'c.fish'), fishCompletion(words, programOptions()));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function there(shell: string): boolean {
  return spawnSync(shell, ['-c', 'exit 0']).status === 0;
}

/** What bash offers for the last of some words, asked as bash itself asks. */
function bash(...line: string[]): string[] {
  const script = `source "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _keywright; printf '%s\\n' "\${COMPREPLY[@]}"`;
  const { stdout, stderr, status } = spawnSync(
    'bash',
    ['-uc', script, '-', join(folder, 'c.bash'), ...line],
    {
      cwd: folder,
      encoding: 'utf8',
    },
  );
  expect([status, stderr]).toEqual([0, '']);
  return stdout.split('\n').filter((l) => l !== '');
}

/** What fish offers for a line. */
function fish(line: string): string[] {
  const { stdout, stderr } = spawnSync(
    'fish',
    ['--no-config', '-c', 'source c.fish; complete -C $argv[1]', line],
    {
      cwd: folder,
      encoding: 'utf8',
      env: { ...process.env, HOME: folder },
    },
  );
  expect(stderr).toBe('');
  return stdout
    .split('\n')
    .map((l) => l.split('\t')[0] ?? '')
    .filter((l) => l !== '');
}

const choicesOf = (command: string, flag: string) =>
  COMMANDS.find((c) => c.name === command)?.options.find((o) => o.flags.startsWith(flag))?.choices ?? [];

describe('completion in bash', () => {
  it('offers every command, and help', () => {
    expect(bash('keywright', '').sort()).toEqual([...COMMANDS.map((c) => c.name), 'help'].sort());
    expect(bash('keywright', 'ru')).toEqual(['run']);
    expect(bash('keywright', 'help', 'pr')).toEqual(['print']);
  });

  it('offers every option of every command, and the values that an option takes', () => {
    for (const { name, options } of COMMANDS) {
      const offered = bash('keywright', name, '--');
      for (const { flags } of options)
        for (const [long] of flags.matchAll(/--[a-z-]+/g)) expect(offered).toContain(long);
      expect(offered).toContain('--help');
    }
    for (const { name, options } of COMMANDS)
      for (const { flags, choices } of options) {
        const long = /--[a-z-]+/.exec(flags)?.[0] ?? '';
        if (choices === undefined) continue;
        expect(bash('keywright', name, long, '')).toEqual(choices);
        // bash makes three words of --format=text.
        expect(bash('keywright', name, long, '=', '')).toEqual(choices);
        expect(bash('keywright', name, long, '=')).toEqual(choices);
      }
  });

  it('offers keys by id, from ./keys and from --keys, and files', () => {
    expect(bash('keywright', 'run', 'ta')).toEqual(['tarn-tufts']);
    expect(bash('keywright', 'run', '').sort()).toEqual(
      ['c.bash', 'c.fish', 'c.zsh', 'finds.csv', 'keys', 'more', 'tarn-tufts'].sort(),
    );
    expect(bash('keywright', 'run', '--keys', 'more', 'be')).toEqual(['beetles']);
    expect(bash('keywright', 'run', '--keys', '').sort()).toEqual(['keys', 'more']);
    expect(bash('keywright', 'identify', 'tarn-tufts', 'fi')).toEqual(['finds.csv']);
    expect(bash('keywright', 'identify', '--strict', 'tarn-tufts', 'finds.csv', 'fi')).toEqual(['finds.csv']);
    expect(bash('keywright', 'run', '--record', 'fi')).toEqual(['finds.csv']);
  });

  it('offers rules and shells, and nothing where a person writes freely', () => {
    expect(bash('keywright', 'explain', '')).toEqual(rules.map((r) => r.id));
    expect(bash('keywright', 'completion', '')).toEqual(['bash', 'zsh', 'fish']);
    expect(bash('keywright', 'new', '--title', '')).toEqual([]);
  });
});

describe('completion in zsh', () => {
  it.runIf(there('zsh'))('is a script that zsh reads', () => {
    const { status, stderr } = spawnSync('zsh', ['-fn', join(folder, 'c.zsh')], { encoding: 'utf8' });
    expect([status, stderr]).toEqual([0, '']);
  });

  it.runIf(there('zsh'))(
    'completes a line in a zsh under a terminal',
    () => {
      const script = `
zmodload zsh/zpty; zpty -b z zsh -f -i
zpty -w z 'PS1=; autoload -Uz compinit; compinit -u -D; source c.zsh; print ready'
zpty -w z 'showb () { print -r -- "$BUFFER" >> out.txt }; zle -N showb; bindkey "^T" showb; bindkey "^I" complete-word; print set'
wait_for () { local out seen; for i in {1..100}; do zpty -r -t z out && seen+=$out; [[ $seen == *$1* ]] && return; sleep 0.1; done }
wait_for set
sleep 0.5
for l in "$@"; do
  n=$(cat out.txt 2>/dev/null | wc -l)
  zpty -n -w z "$l"$'\\t'; sleep 0.5; zpty -n -w z $'\\C-t'
  for i in {1..80}; do (( $(cat out.txt 2>/dev/null | wc -l) > n )) && break; while zpty -r -t z out; do :; done; sleep 0.1; done
  zpty -n -w z $'\\C-u'; sleep 0.1; while zpty -r -t z out; do :; done
done
zpty -d z
cat out.txt`;
      const lines = {
        'keywright ru': 'keywright run',
        'keywright run ta': 'keywright run tarn-tufts',
        'keywright run --keys more be': 'keywright run --keys more beetles',
        'keywright identify --format nd': 'keywright identify --format ndjson',
        'keywright identify tarn-tufts fi': 'keywright identify tarn-tufts finds.csv',
        'keywright explain leads-exc': 'keywright explain leads-exclusive',
      };
      const { stdout } = spawnSync('zsh', ['-fc', script, '-', ...Object.keys(lines)], {
        cwd: folder,
        encoding: 'utf8',
        timeout: 60_000,
      });
      expect(
        stdout
          .split('\n')
          .map((l) => l.trimEnd())
          .filter((l) => l !== ''),
      ).toEqual(Object.values(lines));
    },
    70_000,
  );
});

describe('completion in fish', () => {
  it.runIf(there('fish'))(
    'offers commands, options, values, keys and files',
    () => {
      expect(fish('keywright ').sort()).toEqual([...COMMANDS.map((c) => c.name), 'help'].sort());
      expect(fish('keywright run ta')).toEqual(['tarn-tufts']);
      expect(fish('keywright run --keys more be')).toEqual(['beetles']);
      expect(fish('keywright run --keys m')).toEqual(['more/']);
      expect(fish('keywright identify --format ').sort()).toEqual(
        [...choicesOf('identify', '--format')].sort(),
      );
      expect(fish('keywright identify --format=nd')).toEqual(['--format=ndjson']);
      expect(fish('keywright identify tarn-tufts fi')).toEqual(['finds.csv']);
      expect(fish('keywright explain leads-exc')).toEqual(['leads-exclusive']);
      expect(fish('keywright completion ').sort()).toEqual(['bash', 'fish', 'zsh']);
      const offered = fish('keywright print x --');
      for (const { flags } of COMMANDS.find((c) => c.name === 'print')?.options ?? [])
        expect(offered).toContain(/--[a-z-]+/.exec(flags)?.[0]);
    },
    60_000,
  );
});

describe('the command', () => {
  it('writes the script of the shell named, and nothing else', async () => {
    for (const shell of ['bash', 'zsh', 'fish']) {
      const world = fakeWorld();
      expect(await main(['completion', shell], world)).toBe(0);
      expect(world.said.err()).toBe('');
      expect(world.said.out()).toContain('keywright');
    }
  });

  it('names the shells when it knows none of that name', async () => {
    const world = fakeWorld();
    expect(await main(['completion', 'fsh'], world)).toBe(2);
    expect(world.said.out()).toBe('');
    expect(world.said.err()).toContain('SHELL is bash, zsh or fish, not "fsh" (did you mean zsh?)');
  });

  it('keeps texts of the table from meaning anything to a shell', () => {
    const evil = [
      {
        ...COMMANDS[0],
        name: 'weigh',
        summary: `It's "so" $(touch x) \`y\` [a]: \\ end`,
        options: [{ flags: '--up <FILE>', help: `It's "so" $(touch x) \`y\` [a]: \\ end` }],
      },
    ] as never;
    const made = commandWords(evil, { rules: [] });
    for (const [shell, args, text] of [
      ['bash', ['-n'], bashCompletion(made, [])],
      ['zsh', ['-fn'], zshCompletion(made, [])],
      ['fish', ['-n'], fishCompletion(made, [])],
    ] as const) {
      if (!there(shell)) continue;
      writeFileSync(join(folder, `evil.${shell}`), text);
      const { stderr } = spawnSync(shell, [...args, join(folder, `evil.${shell}`)], { encoding: 'utf8' });
      expect(stderr).toBe('');
    }
  });
});
