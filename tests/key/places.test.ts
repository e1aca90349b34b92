import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, dirname, join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { keyPlaces } from '../../src/files/key-places.js';
import { program, root } from '../support/program.js';

let home = '';
const put = (name: string, text: string) => {
  mkdirSync(dirname(join(home, name)), { recursive: true });
  writeFileSync(join(home, name), text);
};
const shipped = readFileSync(join(root, 'keys/plantation-conifers.key.yaml'), 'utf8');
const version = (number: string) => shipped.replace(/^version: .*$/m, `version: ${number}`);
const show = (args: readonly string[], env: Record<string, string> = {}) => {
  const { status, stdout, stderr } = program(['show', ...args, '--format', 'json'], {
    cwd: home,
    env: { HOME: home, ...env },
  });
  return {
    status,
    stderr,
    version:
      stdout === ''
        ? undefined
        : /"version": "([^"]*)"/.exec(stdout.slice(stdout.indexOf('plantation-conifers')))?.[1],
  };
};

beforeEach(() => {
  home = mkdtempSync(join(tmpdir(), 'keywright-places-'));
});

describe('where keys are looked for', () => {
  it('is told by the surroundings, the nearest first', () => {
    const env = { KEYWRIGHT_KEYS: ['/a', '', 'b'].join(delimiter), HOME: '/home/em' };
    expect(keyPlaces({ cwd: '/w', env, keysThatShip: '/ship' })).toEqual([
      '/w/keys',
      '/a',
      '/w/b',
      '/home/em/.config/keywright/keys',
      '/ship',
    ]);
    expect(keyPlaces({ cwd: '/w', env: { HOME: '/h', XDG_CONFIG_HOME: '/x' } })).toEqual([
      '/w/keys',
      '/x/keywright/keys',
    ]);
    // By the specification, a relative path is to be ignored.
    expect(keyPlaces({ cwd: '/w', env: { HOME: '/h', XDG_CONFIG_HOME: 'x' } })[1]).toBe(
      '/h/.config/keywright/keys',
    );
  });

  it('a key that ships is found from anywhere; nearer ones win, and the other one is named', () => {
    expect(show(['plantation-conifers'])).toMatchObject({ status: 0, stderr: '' });
    const steps: [string, Record<string, string>, string[]][] = [
      ['.config/keywright/keys', {}, []],
      ['env', { KEYWRIGHT_KEYS: 'env' }, []],
      ['keys', { KEYWRIGHT_KEYS: 'env' }, []],
      ['given', { KEYWRIGHT_KEYS: 'env' }, ['--keys', 'given']],
    ];
    steps.forEach(([folder, env, args], i) => {
      put(`${folder}/mine.key.yaml`, version(`9.0.${i}`));
      const shown = show(['plantation-conifers', ...args], env);
      expect(shown.version).toBe(`9.0.${i}`);
      expect(shown.stderr).toContain(
        `plantation-conifers is read from ${folder}/mine.key.yaml; another key of that id stands in `,
      );
    });
  });

  it('a copy of a key is no other key', () => {
    put('keys/copy.key.yaml', shipped);
    expect(show(['plantation-conifers']).stderr).toBe('');
  });

  it('a key may continue in a key of any of these places', () => {
    put(
      'mine.key.yaml',
      'keywright: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\nscope: {group: trees}\ncouplets:\n  1:\n    - {lead: A tree, key: plantation-conifers}\n    - {lead: Another, taxon: aa}\ntaxa:\n  aa: {name: Aa aa, rank: species, concern: {level: unknown}}\n',
    );
    expect(program(['show', 'mine.key.yaml'], { cwd: home, env: { HOME: home } }).status).toBe(0);
  });

  it('an id that is nowhere is answered with the nearest of all places', () => {
    put(
      '.config/keywright/keys/x.key.yaml',
      version('1.0.0').replace(/^id: .*$/m, 'id: plantation-conifer-s'),
    );
    const { status, stderr } = show(['plantation-coniferz']);
    expect(status).toBe(2);
    expect(stderr).toMatch(
      /hint: did you mean (plantation-conifers or plantation-conifer-s|plantation-conifer-s or plantation-conifers)\?/,
    );
  });

  it('ids are completed from all of them', () => {
    put('env/x.key.yaml', version('1.0.0').replace(/^id: .*$/m, 'id: beetles'));
    const fits = program(['what-fits', 'zsh', 'run', ''], {
      cwd: home,
      env: { HOME: home, KEYWRIGHT_KEYS: 'env' },
    });
    expect(fits.stdout.split('\n')).toEqual(
      expect.arrayContaining(['beetles', 'plantation-conifers', 'tarn-wood-tufts']),
    );
  });
});
