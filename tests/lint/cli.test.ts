import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { topicText } from '../../src/commands/explain/topic-page.js';
import { topics } from '../../src/commands/explain/topics/index.js';
import { rules } from '../../src/lint/rules/index.js';
import { harmless } from '../../src/text/harmless.js';
import type { Paint } from '../../src/text/paint.js';

const program = fileURLToPath(new URL('../../bin/keywright.js', import.meta.url));
const base = mkdtempSync(join(tmpdir(), 'keywright-lint-'));
afterAll(() => rmSync(base, { recursive: true, force: true }));

let folder = base;
let count = 0;
beforeEach(() => {
  folder = join(base, String(count++));
  mkdirSync(folder);
});

/** Writes a file into the folder of the test. */
function put(name: string, text: string): void {
  mkdirSync(dirname(join(folder, name)), { recursive: true });
  writeFileSync(join(folder, name), text);
}

const read = (name: string) => readFileSync(join(folder, name), 'utf8');

function run(args: string[], input = '') {
  const env = { ...process.env, NO_COLOR: '', FORCE_COLOR: '0' };
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...args], {
    cwd: folder,
    encoding: 'utf8',
    input,
    env,
    maxBuffer: 64 * 1024 * 1024,
  });
  return { code: status, out: stdout, err: stderr };
}

const GOOD = `keywright: 1
id: good
title: Good caps
version: 1.0.0
date: 2026-11-25
licence: CC-BY-4.0
authors: [Tarn Hollow recorders]
sources: {memory: {cite: written for a test}}
scope: {group: caps, regions: [GB-CMA], months: [9, 10], stages: [mature], complete: true}
characters:
  ring: {name: ring, states: [present, absent]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
taxa:
  aa: {name: Aa aa, rank: species, concern: {level: unknown}, sources: [memory]}
  bb: {name: Bb bb, rank: species, concern: {level: unknown}, sources: [memory]}
`;
/** One error: line 14 names a taxon that is not there; the taxon meant is then never keyed out. */
const ERROR = GOOD.replace('id: good', 'id: wrong')
  .replace('taxon: aa', 'taxon: amanitta')
  .replace('  aa: {name: Aa aa', '  amanita: {name: Aa aa');
/** No errors, one warning: a broken ring fits neither lead. */
const WARNING = GOOD.replace('id: good', 'id: gap').replace('[present, absent]', '[present, absent, broken]');

describe('keywright lint', () => {
  it('is silent on stdout when nothing is wrong', () => {
    put('good.key.yaml', GOOD);
    const { code, out, err } = run(['lint', 'good.key.yaml']);
    expect([out, err]).toEqual(['', 'keywright: nothing found in 1 file\n']);
    expect(code).toBe(0);
    expect(run(['lint', 'good.key.yaml', '--quiet'])).toEqual({ code: 0, out: '', err: '' });
  });

  it('ends with 1 for errors, with 0 for warnings, unless there are more than allowed', () => {
    put('wrong.key.yaml', ERROR);
    put('gap.key.yaml', WARNING);
    const wrong = run(['lint', 'wrong.key.yaml']);
    expect(wrong.code).toBe(1);
    expect(wrong.out).toMatch(
      /^wrong\.key\.yaml:14:\d+ error: lead 1a ends at taxon "amanitta".*did you mean amanita\?/,
    );
    expect(wrong.err).toMatch(/^keywright: \d errors? in 1 file\n$/);
    const gap = run(['lint', 'gap.key.yaml']);
    expect([gap.code, gap.err]).toEqual([0, 'keywright: 1 warning in 1 file\n']);
    expect(gap.out).toMatch(/for example: .*broken/);
    expect(run(['lint', 'gap.key.yaml', '--max-warnings', '1']).code).toBe(0);
    const many = run(['lint', 'gap.key.yaml', '--max-warnings', '0']);
    expect([many.code, many.err]).toEqual([
      1,
      expect.stringMatching(/1 warning, and --max-warnings allows 0/),
    ]);
  });

  it('quiet shows errors only and does not change the code', () => {
    put('gap.key.yaml', WARNING);
    expect(run(['lint', 'gap.key.yaml', '-q', '--max-warnings', '0'])).toMatchObject({ code: 1, out: '' });
    put('wrong.key.yaml', ERROR);
    expect(run(['lint', 'wrong.key.yaml', '-q']).out).not.toMatch(/warning|note:/);
  });

  it('ends with 2 for what cannot be read, after the rest was checked', () => {
    put('wrong.key.yaml', ERROR);
    const { code, out, err } = run(['lint', 'gone.key.yaml', 'wrong.key.yaml', 'nowhere']);
    expect(code).toBe(2);
    expect(out).toContain('[target-exists]');
    expect(err).toContain('keywright: gone.key.yaml cannot be read: there is no such file\n');
    expect(err).toMatch(/keywright: there is no key nowhere: /);
  });

  it('takes files, ids and folders; folders are searched whole, but not what is hidden or installed', () => {
    put('keys/good.key.yaml', GOOD);
    put('keys/deep/er/wrong.key.yaml', ERROR);
    put('keys/.hidden/x.key.yaml', 'no key');
    put('keys/node_modules/p/x.key.yaml', 'no key');
    put('keys/notes.yaml', 'no key');
    const names = (args: string[]) =>
      (JSON.parse(run(['lint', ...args, '--format', 'json']).out) as { files: string[] }).files;
    expect(names(['keys'])).toEqual(['keys/deep/er/wrong.key.yaml', 'keys/good.key.yaml']);
    expect(names(['./keys/', 'good', 'keys/good.key.yaml'])).toEqual([
      'keys/deep/er/wrong.key.yaml',
      'keys/good.key.yaml',
    ]);
    expect(names(['.'])).toEqual(['keys/deep/er/wrong.key.yaml', 'keys/good.key.yaml']);
    mkdirSync(join(folder, 'empty'));
    expect(run(['lint', 'empty'])).toMatchObject({
      code: 2,
      err: expect.stringContaining('empty holds no key'),
    });
  });

  it('checks terms, and a key with the terms it uses', () => {
    put('shared.terms.yaml', 'keywright-terms: 1\ncharacters:\n  ring: {name: ring, states: []}\n');
    expect(run(['lint', 'shared.terms.yaml'])).toMatchObject({
      code: 1,
      out: expect.stringMatching(/^shared\.terms\.yaml:3:\d+ error/),
    });
  });

  it.each([
    [['lint'], /KEY is missing/],
    [
      ['lint', 'x', '--format', 'jsn'],
      /--format takes text, json, sarif or github, not 'jsn' \(did you mean json\?\)/,
    ],
    [
      ['lint', 'x', '--rule', 'leads-paralel=off'],
      /there is no rule leads-paralel; did you mean leads-parallel\?/,
    ],
    [['lint', 'x', '--rule', 'yaml-syntax=off'], /cannot be set aside/],
    [['lint', 'x', '--update-baseline'], /needs --baseline FILE/],
    [['lint', 'x', '--stdin-name', 'y'], /add - to read it/],
    [['lint', '-', '--fix'], /--fix cannot write to stdin/],
    [['lint', '-', '--watch'], /cannot watch stdin/],
    [['lint', 'x', '--diff', '--format', 'json'], /--diff has its own format/],
    [['lint', 'x', '--by', 'couplet', '--format', 'json'], /for --format text/],
    [['lint', 'x', '--max-warnings', 'few'], /--max-warnings takes a whole number/],
  ])('%j is not understood', (args, message) => {
    const { code, out, err } = run(args);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(message);
    expect(err).toMatch(/see `keywright lint --help`\n$/);
  });
});

describe('formats', () => {
  it('are one document on stdout, or in a file', () => {
    put('wrong.key.yaml', ERROR);
    const json = run(['lint', 'wrong.key.yaml', '--format', 'json']);
    expect(json.code).toBe(1);
    expect(JSON.parse(json.out)).toMatchObject({ version: 1, files: ['wrong.key.yaml'] });
    const sarif = run(['lint', 'wrong.key.yaml', '--format', 'sarif', '--out', 'out/lint.sarif']);
    expect([sarif.code, sarif.out]).toEqual([1, '']);
    expect(JSON.parse(read('out/lint.sarif'))).toMatchObject({ version: '2.1.0' });
    expect(run(['lint', 'wrong.key.yaml', '--format', 'github']).out).toMatch(
      /^::error file=wrong\.key\.yaml,line=14,/,
    );
    expect(run(['lint', 'wrong.key.yaml', '--by', 'couplet']).out).toMatch(
      /^Good caps \(wrong\.key\.yaml\): \d error[\s\S]*\nCouplet 1\n/,
    );
  });

  it('reach the reader whole, however long', () => {
    const taxa = Array.from({ length: 600 }, (_, i) => `  t${i}: {name: Taxon, colour: red}\n`);
    put('long.key.yaml', GOOD + taxa.join(''));
    const { out } = run(['lint', 'long.key.yaml', '--format', 'json']);
    expect(out.length).toBeGreaterThan(200_000);
    expect((JSON.parse(out) as { findings: unknown[] }).findings.length).toBeGreaterThanOrEqual(600);
  });
});

describe('stdin', () => {
  it('is a key of the name that is given', () => {
    const { code, out } = run(['lint', '-', '--stdin-name', 'drafts/wrong.key.yaml'], ERROR);
    expect(code).toBe(1);
    expect(out).toMatch(/^drafts\/wrong\.key\.yaml:14:/);
    expect(run(['lint', '-'], GOOD)).toMatchObject({ code: 0, out: '' });
    expect(run(['lint', '-'], '').out).toMatch(/^stdin:1:1 error/);
  });

  it('finds the keys it continues in beside its name', () => {
    put('drafts/good.key.yaml', GOOD);
    const entry = GOOD.replace('id: good', 'id: entry')
      .replace('taxon: aa', 'key: good')
      .replace(/ {2}aa:.*\n/, '');
    const there = run(['lint', '-', '--stdin-name', 'drafts/x.key.yaml'], entry);
    expect(there.out).not.toContain('[target-exists]');
    expect(run(['lint', '-'], entry).out).toContain('[target-exists]');
  });

  it('can be shown fixed', () => {
    const { code, out } = run(['lint', '-', '--diff', '--stdin-name', 'x.key.yaml'], ERROR);
    expect(code).toBe(1);
    expect(out).toMatch(/^--- a\/x\.key\.yaml\n\+\+\+ b\/x\.key\.yaml\n/);
    expect(out).toContain('+    - {lead: Ring present, when: {ring: present}, taxon: amanita}');
  });
});

describe('fixes', () => {
  it('are shown first, then made, and then there is nothing left to do', () => {
    put('wrong.key.yaml', ERROR);
    put('good.key.yaml', GOOD);
    const diff = run(['lint', 'wrong.key.yaml', 'good.key.yaml', '--diff']);
    expect([diff.code, diff.err]).toEqual([1, 'keywright: 1 file would change\n']);
    expect(read('wrong.key.yaml')).toBe(ERROR);
    const fix = run(['lint', 'wrong.key.yaml', 'good.key.yaml', '--fix']);
    expect(fix).toMatchObject({ code: 0, out: '' });
    expect(fix.err).toMatch(/^keywright: wrong\.key\.yaml fixed: write amanita\n/);
    expect(read('wrong.key.yaml')).toBe(ERROR.replace('amanitta', 'amanita'));
    expect(run(['lint', 'wrong.key.yaml', '--diff'])).toMatchObject({ code: 0, out: '' });
    expect(run(['lint', 'wrong.key.yaml', '--fix']).err).not.toContain('fixed');
  });

  it('are not made in what a comment allows, nor in files that were not named', () => {
    const entry = GOOD.replace('id: good', 'id: entry')
      .replace('taxon: aa', 'key: wrong')
      .replace(/ {2}aa:.*\n/, '');
    put('entry.key.yaml', entry);
    put('wrong.key.yaml', ERROR);
    run(['lint', 'entry.key.yaml', '--fix']);
    expect(read('wrong.key.yaml')).toBe(ERROR);
    const out = `${GOOD.replace('taxon: aa', 'to: 3').replace('taxon: bb}', 'to: 2}').replace('taxa:', '')}`;
    const text = out.replace(
      / {2}aa: /,
      `  3:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
  # allow order-forward: printed so
  2:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
taxa:
  aa: `,
    );
    put('order.key.yaml', text);
    run(['lint', 'order.key.yaml', '--fix']);
    expect(read('order.key.yaml')).toBe(text);
    put('order.key.yaml', text.replace(/.*allow order.*\n/, ''));
    expect(run(['lint', 'order.key.yaml', '--fix']).err).toContain('number the couplets in reading order');
    expect(read('order.key.yaml')).toContain(
      'to: 2}\n    - {lead: Ring absent, when: {ring: absent}, to: 3}\n',
    );
  });
});

describe('settings', () => {
  it('hold for the folder and those below; the nearest file and then the flags have the last word', () => {
    put('gap.key.yaml', WARNING);
    put('sub/gap.key.yaml', WARNING);
    put('.keywright.yaml', 'rules: {leads-exhaustive: error}\n');
    expect(run(['lint', 'gap.key.yaml']).code).toBe(1);
    expect(run(['lint', 'sub/gap.key.yaml']).code).toBe(1);
    put('sub/.keywright.yaml', 'rules: {leads-exhaustive: note}\n');
    expect(run(['lint', 'sub']).err).toBe('keywright: 1 note in 1 file\n');
    expect(run(['lint', 'sub', '--rule', 'leads-exhaustive=off']).err).toBe(
      'keywright: nothing found in 1 file\n',
    );
  });

  it('that are wrong are said, with exit code 2, and the keys are checked all the same', () => {
    put('gap.key.yaml', WARNING);
    put('.keywright.yaml', 'rules:\n  leads-exhaustiv: off\n');
    const { code, out, err } = run(['lint', 'gap.key.yaml']);
    expect(code).toBe(2);
    expect(out).toContain('[leads-exhaustive]');
    expect(err).toMatch(
      /keywright: \.keywright\.yaml:2:3 there is no rule leads-exhaustiv; did you mean leads-exhaustive\?/,
    );
  });
});

describe('a list of accepted findings', () => {
  it('is written, lets new findings through, and says what is not needed any more', () => {
    put('gap.key.yaml', WARNING);
    expect(run(['lint', 'gap.key.yaml', '--baseline', 'old.yaml'])).toMatchObject({
      code: 2,
      err: expect.stringContaining('old.yaml cannot be read'),
    });
    const first = run(['lint', 'gap.key.yaml', '--baseline', 'old.yaml', '--update-baseline']);
    expect(first).toMatchObject({ code: 0, out: '' });
    expect(read('old.yaml')).toMatch(/reason: accepted on \d{4}-\d\d-\d\d/);
    const again = run(['lint', 'gap.key.yaml', '--baseline', 'old.yaml', '--max-warnings', '0']);
    expect(again).toEqual({
      code: 0,
      out: '',
      err: 'keywright: nothing found in 1 file; 1 accepted before\n',
    });
    put('old.yaml', read('old.yaml').replace(/accepted on .*/, 'printed so'));
    put('gap.key.yaml', `# moved\n${WARNING}`);
    expect(run(['lint', 'gap.key.yaml', '--baseline', 'old.yaml']).out).toBe('');
    put('gap.key.yaml', GOOD.replace('id: good', 'id: gap'));
    const stale = run(['lint', 'gap.key.yaml', '--baseline', 'old.yaml', '--max-warnings', '0']);
    expect(stale.code).toBe(1);
    expect(stale.out).toMatch(
      /^old\.yaml:5:5 warning: what this entry accepts is no longer found in gap: leads-exhaustive/,
    );
    run(['lint', 'gap.key.yaml', '--baseline', 'old.yaml', '--update-baseline']);
    expect(run(['lint', 'gap.key.yaml', '--baseline', 'old.yaml']).out).toBe('');
  });
});

describe('watching', () => {
  it('checks again when a key or what it continues in changes, and ^C ends it with 130', async () => {
    put('good.key.yaml', GOOD);
    put(
      'entry.key.yaml',
      GOOD.replace('id: good', 'id: entry')
        .replace('taxon: aa', 'key: good')
        .replace(/ {2}aa:.*\n/, ''),
    );
    const child = spawn(process.execPath, [program, 'lint', 'entry.key.yaml', '--watch'], { cwd: folder });
    let out = '';
    let err = '';
    child.stdout.on('data', (chunk: Buffer) => {
      out += chunk.toString();
    });
    child.stderr.on('data', (chunk: Buffer) => {
      err += chunk.toString();
    });
    const until = async (done: () => boolean) => {
      for (const end = Date.now() + 15_000; !done(); await new Promise((r) => setTimeout(r, 50)))
        if (Date.now() > end) throw new Error(`nothing happened:\n${out}\n${err}`);
    };
    const rounds = () => [...err.matchAll(/ in 1 file/g)].length;
    try {
      await until(() => rounds() === 1);
      expect(err).toMatch(/^keywright: checked at \d\d:\d\d:\d\d\n/);
      await new Promise((r) => setTimeout(r, 300));
      const before = out.length;
      put('good.key.yaml', ERROR.replace('id: wrong', 'id: good'));
      await until(() => rounds() === 2);
      expect(out.slice(before)).toMatch(/good\.key\.yaml:14:\d+ error/);
      await new Promise((r) => setTimeout(r, 300));
      put('good.key.yaml', GOOD);
      await until(() => rounds() === 3);
      child.kill('SIGINT');
      const code = await new Promise((resolve) => child.on('exit', resolve));
      expect(code).toBe(130);
    } finally {
      child.kill('SIGKILL');
    }
  }, 60_000);
});

describe('bad input', () => {
  it('a file of 50 MB is refused before it is read', () => {
    put('big.key.yaml', `${GOOD}note: ${'x'.repeat(50 * 1024 * 1024)}\n`);
    put('gap.key.yaml', WARNING);
    const start = performance.now();
    const { code, out, err } = run(['lint', '.']);
    expect(code).toBe(2);
    expect(err).toContain('big.key.yaml is 50 MB; 24 MB is the most that a key may have');
    expect(out).toContain('[leads-exhaustive]');
    expect(performance.now() - start).toBeLessThan(15_000);
    expect(run(['lint', '-'], read('big.key.yaml'))).toMatchObject({ code: 2, out: '' });
  });

  it.each([
    ['deep brackets', `${GOOD}note: ${'['.repeat(100_000)}`, 'text-depth'],
    [
      'deep blocks',
      `${GOOD}note:\n${Array.from({ length: 3000 }, (_, i) => `${' '.repeat(i + 1)}a:`).join('\n')} x\n`,
      'text-depth',
    ],
    [
      'an alias bomb',
      `a: &a [x,x,x,x,x,x,x,x,x,x]\n${'bcdefghi'.replace(/./g, (c) => `${c}: &${c} [${`*${String.fromCharCode(c.charCodeAt(0) - 1)},`.repeat(10)}]\n`)}`,
      'text-depth',
    ],
    ['signs that no text has', '\u0001\ufffd\n', ''],
    [
      'an id __proto__',
      GOOD.replace('  aa: {', '  __proto__: {').replace('taxon: aa', 'taxon: __proto__'),
      'id-form',
    ],
    [
      'a couplet constructor',
      GOOD.replace('  1:', '  __proto__:\n    - {lead: x, to: constructor}\n  1:'),
      'target-exists',
    ],
  ])('%s: said, with exit code 1', (_, text, rule) => {
    put('bad.key.yaml', text);
    const { code, out, err } = run(['lint', 'bad.key.yaml']);
    expect(err).not.toMatch(/unexpected error|failed, which is/);
    expect(out).not.toMatch(/failed, which is/);
    expect(out).toContain(rule);
    expect(code).toBe(1);
  });

  it('control sequences are shown harmlessly by every format', () => {
    put(
      'bad.key.yaml',
      ERROR.replace('lead: Ring present', 'lead: "Ring \\e[2J present \\u202e"').replace(
        'amanitta',
        '"\u001b]0;x\u0007"',
      ),
    );
    for (const args of [
      [],
      ['--by', 'couplet'],
      ['--format', 'json'],
      ['--format', 'sarif'],
      ['--format', 'github'],
      ['--diff'],
    ]) {
      const { out, err } = run(['lint', 'bad.key.yaml', ...args]);
      for (const line of (out + err).split('\n')) expect(line).toBe(harmless(line));
    }
  });
});

describe('keywright explain', () => {
  it('shows the page of a rule', () => {
    const { code, out } = run(['explain', 'leads-exclusive']);
    expect(code).toBe(0);
    for (const part of [
      'leads-exclusive (warning)',
      'What ',
      'Why ',
      'Fix ',
      'Source ',
      'Not so',
      'But:',
      '# allow leads-exclusive: ',
    ])
      expect(out).toContain(part);
    expect(run(['explain', 'yaml-syntax']).out).toContain('cannot be set aside');
  });

  it('shows the page of a topic, plain and filled when piped', () => {
    for (const { name, title } of topics) {
      const { code, out } = run(['explain', name]);
      expect(code).toBe(0);
      expect(out.split('\n')[0]).toBe(title);
      // Examples keep their lines.
      expect(out.split('\n').filter((line) => line.length > 80 && !line.startsWith('    '))).toEqual([]);
      expect(out).not.toMatch(/\*\*|^#/m);
      expect(out).not.toContain('\u001b');
    }
    expect(run(['explain', 'verdict']).out.replace(/\s+/g, ' ')).toContain('no proof of safety');
  });

  it('sets a topic to the width, and lets headings and strong words stand out', () => {
    const marked: Paint = { strong: (...said) => `<${said.join('+')}>`, faint: (t) => t, alarm: (t) => t };
    const topic = { name: 'x', title: 'X', markdown: '# X\n\n- one **two** `three` [four](x.md) five\n' };
    expect(topicText(topic, { width: 18, paint: marked })).toBe(
      '<X>\n\n- one <two>\n  `three` four\n  five\n',
    );
  });

  it('lists all topics, and all rules by group', () => {
    const { code, out } = run(['explain']);
    expect(code).toBe(0);
    const flat = out.replace(/\s+/g, ' ');
    for (const { name, title } of topics) expect(flat).toContain(` ${name} ${title} `);
    for (const rule of rules) expect(out).toMatch(new RegExp(`^ {2}${rule.id} +${rule.level} `, 'm'));
  });

  it('writes JSON', () => {
    expect(JSON.parse(run(['explain', 'leads-exclusive', '--format', 'json']).out)).toMatchObject({
      id: 'leads-exclusive',
      level: 'warning',
      binding: false,
      good: expect.stringContaining('keywright: 1'),
    });
    const all = JSON.parse(run(['explain', '--format', 'json']).out) as {
      topics: { name: string }[];
      rules: { id: string }[];
    };
    expect(all.rules.map((r) => r.id)).toEqual(rules.map((r) => r.id));
    expect(all.topics.map((t) => t.name)).toEqual(topics.map((t) => t.name));
    expect(JSON.parse(run(['explain', 'key', '--format', 'json']).out)).toEqual(
      topics.find((t) => t.name === 'key'),
    );
  });

  it('names the nearest for a rule or a topic that there is not', () => {
    expect(run(['explain', 'lead-exclusive'])).toEqual({
      code: 2,
      out: '',
      err: 'keywright: there is no topic or rule lead-exclusive; did you mean leads-exclusive?\nhint: `keywright explain` lists all topics and rules\n',
    });
    expect(run(['explain', 'verdct']).err).toContain('did you mean verdict?');
  });
});

it('the program is built', () => {
  expect(existsSync(join(dirname(program), '../dist/main.js'))).toBe(true);
});
