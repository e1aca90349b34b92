import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { COMMANDS } from '../../src/cli/table.js';
import { main } from '../../src/main.js';
import { givenFormats, type TableFormat, tableFormats } from '../../src/tables/format.js';
import { fakeWorld } from '../support/fake-world.js';

const root = fileURLToPath(new URL('../..', import.meta.url));
const KEY = 'tests/fixtures/test-command/tufts.key.yaml';

/** The same find in every form in which tables are written. */
const TABLES: Readonly<Record<TableFormat, string>> = {
  csv: 'id,print,expect\nTH-1,dark,atra\n',
  tsv: 'id\tprint\texpect\nTH-1\tdark\tatra\n',
  ndjson: '{"id":"TH-1","traits":{"print":"dark"},"expect":"atra"}\n',
  yaml: 'keywright-collections: 1\ncollections:\n  - {id: TH-1, traits: {print: dark}, expect: atra}\n',
};

/** What each command that reads tables of finds is given before --from; the table is the standard input. */
const GIVEN: Readonly<Record<string, readonly string[]>> = {
  identify: [KEY, '-'],
  compare: [KEY, 'tests/fixtures/identify/caps.key.yaml', '--with', '-'],
  test: [KEY, '-'],
  diff: [KEY, KEY, '--with', '-'],
};

const reading = COMMANDS.filter((c) => c.options.some((o) => o.flags.startsWith('--from ')));

describe('commands that read tables of finds', () => {
  it('are known to this test', () => {
    expect(reading.map((c) => c.name).sort()).toEqual(Object.keys(GIVEN).sort());
  });

  describe.each(reading)('$name', ({ name, options }) => {
    it('takes every form by --from', () => {
      expect(options.find((o) => o.flags.startsWith('--from '))?.choices).toEqual(givenFormats);
    });

    it.each(tableFormats)('reads %s', async (format) => {
      const world = fakeWorld({ cwd: root, stdin: TABLES[format] });
      const code = await main([name, ...(GIVEN[name] ?? []), '--from', format], world, COMMANDS);
      expect(code, world.said.err()).toBeLessThan(2);
      expect(`${world.said.out()}${world.said.err()}`).toMatch(/TH-1|1 (known specimen|find)/);
    });
  });
});

describe('the table of commands in README.md', () => {
  it('names every command once, and no other', () => {
    const [, table = ''] =
      /\n\| command \| what it does \|\n\| --- \| --- \|\n((?:\|.*\n)+)/.exec(
        readFileSync(`${root}README.md`, 'utf8'),
      ) ?? [];
    const named = [...table.matchAll(/^\| `([a-z-]+)[^`]*` \|/gm)].map(([, name]) => name);
    expect(named).toHaveLength(table.trimEnd().split('\n').length);
    expect(named.sort()).toEqual(COMMANDS.map((c) => c.name).sort());
  });
});
