import { describe, expect, it } from 'vitest';
import { COMMANDS } from '../../src/cli/table.js';
import type { CommandEntry } from '../../src/commands/command.js';
import { Failure } from '../../src/diagnostic/failure.js';
import { UsageError } from '../../src/diagnostic/usage-error.js';
import { main } from '../../src/main.js';
import { fakeWorld } from '../support/fake-world.js';

interface Call {
  args: readonly string[];
  options: unknown;
}

/** Two commands that only note how they were called; `weigh` ends as the test wants. */
function commands(calls: Call[], end: () => number = () => 0): CommandEntry[] {
  const load: CommandEntry['load'] = async () => ({
    action: async (args, options) => {
      calls.push({ args, options });
      return end();
    },
  });
  return [
    {
      name: 'weigh',
      purpose: 'identify',
      summary: 'Weigh finds on a scale.',
      arguments: [
        { name: 'SCALE', help: 'the scale to use' },
        { name: 'FIND...', help: 'what to weigh' },
      ],
      options: [
        { flags: '--format <FORMAT>', help: 'how to show it', choices: ['table', 'csv'], standard: 'table' },
        { flags: '--times <N>', help: 'how often', least: 1 },
        { flags: '--keys <DIR>', help: 'a folder', repeats: true },
        { flags: '--keep-going', help: 'weigh the rest as well' },
      ],
      examples: [{ line: 'keywright weigh old stone', does: 'Weighs one stone.' }],
      load,
    },
    {
      name: 'rules',
      purpose: 'check',
      summary: 'List rules.',
      arguments: [{ name: '[RULE]', help: 'one of them' }],
      options: [],
      load,
    },
  ];
}

async function run(
  argv: string[],
  end?: () => number,
): Promise<{ code: number; out: string; err: string; calls: Call[] }> {
  const calls: Call[] = [];
  const world = fakeWorld();
  const code = await main(argv, world, commands(calls, end));
  return { code, out: world.said.out(), err: world.said.err(), calls };
}

describe('what a command gets', () => {
  it('operands in order, options by name, and its code is the answer', async () => {
    const argv = ['weigh', 'old', 'a', 'b', '--keys', 'x', '--keep-going', '--keys=y', '--times', '3'];
    const { code, calls, err } = await run(argv, () => 1);
    expect(err).toBe('');
    expect(code).toBe(1);
    expect(calls).toEqual([
      { args: ['old', 'a', 'b'], options: { format: 'table', keys: ['x', 'y'], keepGoing: true, times: 3 } },
    ]);
  });

  it('takes --debug anywhere without handing it on', async () => {
    expect((await run(['rules', '--debug'])).calls).toEqual([{ args: [], options: {} }]);
    expect((await run(['--debug', 'rules', 'x'])).calls).toEqual([{ args: ['x'], options: {} }]);
  });
});

describe('a command line that is not understood', () => {
  it.each([
    [['wiegh'], "keywright: unknown command 'wiegh' (did you mean weigh?); see `keywright --help`"],
    [['help', 'wiegh'], "keywright: unknown command 'wiegh' (did you mean weigh?); see `keywright --help`"],
    [['weigh'], 'keywright weigh: SCALE is missing; see `keywright weigh --help`'],
    [
      ['weigh', 'a', 'b', '--fromat', 'csv'],
      "keywright weigh: unknown option '--fromat' (did you mean --format?); see `keywright weigh --help`",
    ],
    [
      ['weigh', 'a', 'b', '--format', 'cvs'],
      "keywright weigh: --format takes table or csv, not 'cvs' (did you mean csv?); see `keywright weigh --help`",
    ],
    [
      ['weigh', 'a', 'b', '--times', '0'],
      "keywright weigh: --times takes a whole number, 1 or more, not '0'; see `keywright weigh --help`",
    ],
    [
      ['weigh', 'a', 'b', '--times'],
      'keywright weigh: --times N lacks its value; see `keywright weigh --help`',
    ],
    [
      ['rules', 'a', 'b'],
      'keywright rules: too many names given: expected 1, got 2; see `keywright rules --help`',
    ],
    [
      ['rules', '--\u001b[31m'],
      "keywright rules: unknown option '--\\u{1b}[31m'; see `keywright rules --help`",
    ],
  ])('%j', async (argv, line) => {
    const { code, out, err, calls } = await run(argv);
    expect(err).toBe(`${line}\n`);
    expect(out).toBe('');
    expect(code).toBe(2);
    expect(calls).toEqual([]);
  });

  it('nothing at all shows the help on stderr', async () => {
    const { code, out, err } = await run([]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain('weigh SCALE FIND...');
  });
});

describe('how a command can end', () => {
  const throwing = (error: unknown) => () => {
    throw error;
  };

  it('a known failure is one sentence and its hint', async () => {
    const error = new Failure('no such key: \u001b[2J', { hint: 'look in ./keys' });
    const { code, err } = await run(['rules'], throwing(error));
    expect(code).toBe(2);
    expect(err).toBe('keywright: no such key: \\u{1b}[2J\nhint: look in ./keys\n');
  });

  it('a command may refuse its options itself', async () => {
    const { code, err } = await run(['rules'], throwing(new UsageError('not both', 'rules')));
    expect([code, err]).toEqual([2, 'keywright rules: not both; see `keywright rules --help`\n']);
  });

  it('^C at a prompt is 130', async () => {
    const error = Object.assign(new Error('closed'), { name: 'ExitPromptError' });
    expect((await run(['rules'], throwing(error))).code).toBe(130);
  });

  it('anything else is a bug and goes up', async () => {
    await expect(run(['rules'], throwing(new TypeError('x is not a function')))).rejects.toThrow(TypeError);
  });
});

describe('help', () => {
  it('goes to stdout, and says the same however it is asked for', async () => {
    const asked = await Promise.all(
      [['--help'], ['-h'], ['help'], ['--help', '--debug']].map((argv) => run(argv)),
    );
    for (const { code, out, err } of asked) {
      expect([code, err]).toEqual([0, '']);
      expect(out).toBe(asked[0]?.out);
    }
    expect(asked[0]?.out).toMatch(/Identify finds\n {2}weigh SCALE FIND\.\.\. {2}Weigh finds/);
    expect(asked[0]?.out).toMatch(/Check a key\n {2}rules \[RULE\]/);
    expect(asked[0]?.out).toMatch(/Examples\n {2}keywright weigh old stone\n/);
    expect(asked[0]?.out).toMatch(/Exit codes\n {2}0 /);
  });

  it('of one command', async () => {
    const asked = await Promise.all(
      [
        ['weigh', '--help'],
        ['help', 'weigh'],
      ].map((argv) => run(argv)),
    );
    expect(asked[0]?.out).toBe(asked[1]?.out);
    const collapsed = asked[0]?.out.replace(/\s+/g, ' ');
    expect(collapsed).toContain('keywright weigh SCALE FIND... [OPTION...]');
    expect(collapsed).toContain('--format FORMAT how to show it (one of table, csv; table when not given)');
    expect(collapsed).toContain('--keys DIR a folder (may be given several times)');
  });

  it.each([40, 60, 80, 200])('no line is wider than the terminal (%i)', async (columns) => {
    const world = fakeWorld({ columns });
    await main(['--help'], world);
    for (const entry of COMMANDS) await main([entry.name, '--help'], world);
    const examples = new Set(COMMANDS.flatMap((c) => (c.examples ?? []).map((e) => `  ${e.line}`)));
    for (const line of world.said.out().split('\n')) {
      // A line to copy is not broken.
      if (!examples.has(line)) expect(line.length, line).toBeLessThanOrEqual(Math.min(columns, 100));
    }
  });
});

describe('the table of commands', () => {
  it.each(COMMANDS.map((entry) => [entry.name, entry] as const))(
    '%s has a module with an action',
    async (_, entry) => {
      expect(typeof (await entry.load()).action).toBe('function');
      expect(entry.summary).toMatch(/\.$/);
    },
  );

  it('names no command twice', () => {
    expect(new Set(COMMANDS.map((c) => c.name)).size).toBe(COMMANDS.length);
  });
});
