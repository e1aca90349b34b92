import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import AjvDraft04 from 'ajv-draft-04';
import { describe, expect, it } from 'vitest';
import type { Finding } from '../../src/diagnostic/finding.js';
import { wholeText } from '../../src/lint/example.js';
import { lintGithub } from '../../src/lint/report/github.js';
import { lintJson } from '../../src/lint/report/json.js';
import { lintSarif } from '../../src/lint/report/sarif.js';
import { lintScreen } from '../../src/lint/report/screen.js';
import { summaryLines } from '../../src/lint/report/summary.js';
import { lintText } from '../../src/lint/report/text.js';
import { rules } from '../../src/lint/rules/index.js';
import { leadPossible } from '../../src/lint/rules/lead-possible.js';
import { harmless } from '../../src/text/harmless.js';
import { PLAIN } from '../../src/text/paint.js';
import { displayWidth } from '../../src/text/wrap.js';
import { FAULTY, resultOf } from './result.js';

const input = { file: 'keys/faulty.key.yaml', text: FAULTY };
const faulty = () => resultOf([input]);
const clean = () =>
  resultOf([{ file: 'good.key.yaml', text: wholeText(leadPossible.good) }], {
    rules: [leadPossible],
  });
const accepted = (): ReturnType<typeof resultOf> => {
  const result = faulty();
  const [first, ...rest] = result.findings as [Finding, ...Finding[]];
  return {
    ...result,
    findings: rest,
    accepted: [{ finding: first, reason: 'accepted on 2026-11-25' }],
    unreadable: [{ file: 'gone.key.yaml', problem: 'gone.key.yaml cannot be read: there is no such file' }],
  };
};
/** A key whose every text tries to steer the terminal. */
const hostile = () =>
  resultOf([
    {
      file: 'a\u001b[31m.key.yaml',
      text: FAULTY.replaceAll('Cap ', 'Cap \u001b]0;x\u0007\u202e\u009b31m ').replace(
        'taxon: lactarus',
        'taxon: "lac\\e[2Jtarus"',
      ),
    },
  ]);

describe('text', () => {
  it('shows the line, a pointer under the place, other places and an example', () => {
    const text = lintText(faulty(), { width: undefined, paint: PLAIN });
    expect(
      text,
    ).toContain(`keys/faulty.key.yaml:18:58 error: lead 2b ends at taxon "lactarus", which is not in this key; did you mean lactarius? [target-exists]
    18 |     - {lead: Cap over 5 cm, when: {width: "> 5"}, taxon: lactarus}
       |                                                          ^^^^^^^^
  --fix can write lactarius
`);
    const overlap = text.split('\n\n').find((block) => block.includes('[leads-exclusive]'));
    expect(overlap).toMatch(
      /^keys\/faulty\.key\.yaml:13:13 warning: .*\n {4}13 \|.*\n {7}\| {13}\^+\n {2}keys\/faulty\.key\.yaml:11:\d+ 1a.*\n {4}11 \|.*\n {7}\| +\^+\n {2}for example: .*brown.*$/s,
    );
  });

  it.each([30, 40, 60, 80, 110])('fits into a window of %i cells', (width) => {
    for (const line of lintText(faulty(), { width, paint: PLAIN }).split('\n')) {
      expect(displayWidth(line)).toBeLessThanOrEqual(Math.max(width, 20));
    }
    for (const line of lintScreen(faulty(), { width, paint: PLAIN }).split('\n')) {
      expect(displayWidth(line)).toBeLessThanOrEqual(width);
    }
  });

  it('a place far to the right is cut out of its line, with the pointer under it', () => {
    const long = FAULTY.replace('Cap over 5 cm', `Cap ${'very '.repeat(200)}over 5 cm`);
    const text = lintText(resultOf([{ ...input, text: long }]), { width: 60, paint: PLAIN });
    const lines = text.split('\n');
    const at = lines.findIndex((l) => /^ {4}18 \| ….*lactarus/.test(l));
    expect(at).toBeGreaterThan(0);
    const [source = '', pointer = ''] = lines.slice(at);
    expect(source.slice(pointer.indexOf('^'), pointer.lastIndexOf('^') + 1)).toBe('lactarus');
  });

  it('wide signs before the place do not move the pointer away from it', () => {
    const wide = FAULTY.replace('Cap over 5 cm', '菌傘 5 cm 以上 é́');
    const lines = lintText(resultOf([{ ...input, text: wide }]), { width: 100, paint: PLAIN }).split('\n');
    const at = lines.findIndex((l) => l.includes('[target-exists]')) + 1;
    const [source = '', pointer = ''] = lines.slice(at);
    expect(displayWidth(source.slice(0, source.indexOf('lactarus')))).toBe(pointer.indexOf('^'));
  });

  it('nothing found is nothing written', () => {
    expect(lintText(clean(), { width: 80, paint: PLAIN })).toBe('');
    expect(lintScreen(clean(), { width: 80, paint: PLAIN })).toBe('');
    expect(lintGithub(clean())).toBe('');
    expect(summaryLines(clean())).toEqual(['keywright: nothing found in 1 file']);
  });
});

describe('the screen of an author', () => {
  it('counts by rule, then goes couplet by couplet', () => {
    const text = lintScreen(faulty(), { width: 100, paint: PLAIN });
    expect(text).toMatch(/^Faulty caps \(keys\/faulty\.key\.yaml\): \d+ errors?, \d+ warnings?/);
    expect(text).toMatch(/\n +\d+ {2}error +target-exists\n/);
    const order = [...text.matchAll(/^(Couplet \d+|Taxon \w+|Elsewhere.*)$/gm)].map((m) => m[1]);
    expect(order.slice(0, 2)).toEqual(['Couplet 1', 'Couplet 2']);
    expect(order).toContain('Taxon xerocomus');
    // That no lead ends at it follows from the misspelt end, which is told.
    expect(order).not.toContain('Taxon lactarius');
    const counted = [...text.matchAll(/^ +(\d+) {2}(?:error|warning|note)/gm)].reduce(
      (n, m) => n + Number(m[1]),
      0,
    );
    expect(counted).toBe(faulty().findings.length);
    expect([...text.matchAll(/^ {2}\d+:\d+ /gm)]).toHaveLength(counted);
  });
});

describe('GitHub annotations', () => {
  it('are escaped commands, worst first, with the total at the end', () => {
    const lines = lintGithub({
      ...faulty(),
      unreadable: [{ file: 'a,b:c%.yaml', problem: '50% gone\nfor good' }],
    })
      .trimEnd()
      .split('\n');
    expect(lines[0]).toBe('::error file=a%2Cb%3Ac%25.yaml,title=unreadable::50%25 gone%0Afor good');
    const levels = lines.slice(1, -1).map((l) => /^::(error|warning|notice) /.exec(l)?.[1] ?? 'none');
    expect(levels).toEqual(
      [...levels].sort(
        (a, b) => ['error', 'warning', 'notice'].indexOf(a) - ['error', 'warning', 'notice'].indexOf(b),
      ),
    );
    expect(lines.find((l) => l.includes('target-exists'))).toMatch(
      /^::error file=keys\/faulty\.key\.yaml,line=18,endLine=18,col=58,endColumn=66,title=target-exists::lead 2b ends at taxon "lactarus"/,
    );
    expect(lines.at(-1)).toMatch(/^keywright lint: \d+ errors?, \d+ warnings?/);
  });

  it('ten of a level are shown, and how many there are', () => {
    const [first] = faulty().findings.filter((f) => f.level === 'error') as [Finding];
    const many = Array.from({ length: 14 }, (_, i): Finding => ({ ...first, message: `${i}` }));
    const lines = lintGithub({ ...faulty(), findings: many })
      .trimEnd()
      .split('\n');
    expect(lines).toHaveLength(11);
    expect(lines.at(-1)).toBe('keywright lint: 14 errors (10 shown)');
  });
});

describe('JSON', () => {
  const schema = JSON.parse(readFileSync('schemas/lint-report.schema.json', 'utf8')) as object;
  const validate = new Ajv2020({
    allErrors: true,
    strict: true,
    strictRequired: false,
    allowUnionTypes: true,
  }).compile(schema);

  it.each([
    ['faulty', faulty],
    ['clean', clean],
    ['accepted and unreadable', accepted],
    ['hostile', hostile],
  ])('has the shape that is described: %s', (_, result) => {
    const text = lintJson(result());
    expect(validate(JSON.parse(text)) || validate.errors).toBe(true);
    expect(text.endsWith('}\n')).toBe(true);
  });

  it('says everything of a finding', () => {
    const { findings, allowed, counts } = JSON.parse(lintJson(faulty())) as {
      findings: Record<string, unknown>[];
      allowed: Record<string, unknown>[];
      counts: Record<string, number>;
    };
    expect(findings.find((f) => f.rule === 'target-exists')).toMatchObject({
      level: 'error',
      file: 'keys/faulty.key.yaml',
      start: { line: 18, column: 58 },
      end: { line: 18, column: 66 },
      path: ['couplets', '2', 1, 'taxon'],
      in: { kind: 'lead', name: 'faulty/2b' },
      found: 'lactarus',
      nearest: 'lactarius',
      fix: { title: 'write lactarius', edits: [{ text: 'lactarius' }] },
    });
    expect(allowed.map((a) => [a.rule, a.reason])).toContainEqual([
      'ranges-meet',
      "printed so, 4 to 5 cm is nobody's",
    ]);
    expect((counts.error ?? 0) + (counts.warning ?? 0) + (counts.note ?? 0)).toBe(findings.length);
  });
});

describe('SARIF', () => {
  // The schema of SARIF 2.1.0 as OASIS published it, in a package made for checking SARIF output.
  const schema = JSON.parse(
    readFileSync('node_modules/@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json', 'utf8'),
  ) as { $schema: string; title: string };
  const Ajv04 = AjvDraft04 as unknown as typeof AjvDraft04.default;
  const validate = new Ajv04({
    allErrors: true,
    strict: false,
    validateFormats: false,
    unicodeRegExp: false,
  }).compile(schema);

  it('the schema is the one meant, and refuses what is wrong', () => {
    expect(schema.$schema).toBe('http://json-schema.org/draft-04/schema#');
    expect(schema.title).toMatch(/Version 2\.1\.0/);
    const log = JSON.parse(lintSarif(faulty()));
    log.runs[0].results[0].level = 'fatal';
    log.runs[0].results[1].locations[0].physicalLocation.region.startLine = 0;
    expect(validate(log)).toBe(false);
    expect(validate.errors?.map((e) => e.instancePath)).toEqual(
      expect.arrayContaining([
        '/runs/0/results/0/level',
        '/runs/0/results/1/locations/0/physicalLocation/region/startLine',
      ]),
    );
  });

  it.each([
    ['faulty', faulty],
    ['clean', clean],
    ['accepted and unreadable', accepted],
    ['hostile', hostile],
    [
      'every bad example',
      () => resultOf(rules.map((r, i) => ({ file: `bad ${i}/ä#.key.yaml`, text: wholeText(r.bad) }))),
    ],
  ])('is valid: %s', (_, result) => {
    expect(validate(JSON.parse(lintSarif(result()))) || validate.errors).toBe(true);
  });

  it('has what viewers look for', () => {
    const { runs } = JSON.parse(lintSarif(accepted()));
    const [run] = runs;
    const { driver } = run.tool;
    expect(run.columnKind).toBe('utf16CodeUnits');
    expect(driver.rules.map((r: { id: string }) => r.id)).toEqual(rules.map((r) => r.id));
    for (const rule of driver.rules) expect(rule.help.text.length).toBeGreaterThan(80);
    for (const result of run.results) {
      expect(driver.rules[result.ruleIndex].id).toBe(result.ruleId);
      expect(result.partialFingerprints['keywrightPlace/v1']).toMatch(/^[0-9a-f]{16}(:\d+)?$/);
    }
    const target = run.results.find((r: { ruleId: string }) => r.ruleId === 'target-exists');
    expect(target.locations[0]).toMatchObject({
      physicalLocation: {
        artifactLocation: { uri: 'keys/faulty.key.yaml' },
        region: { startLine: 18, startColumn: 58, endLine: 18, endColumn: 66 },
      },
      logicalLocations: [{ name: '2b', fullyQualifiedName: 'faulty/2b', kind: 'lead' }],
    });
    expect(target.fixes[0].artifactChanges[0].replacements[0]).toEqual({
      deletedRegion: { startLine: 18, startColumn: 58, endLine: 18, endColumn: 66 },
      insertedContent: { text: 'lactarius' },
    });
    const overlap = run.results.find((r: { ruleId: string }) => r.ruleId === 'leads-exclusive');
    expect(overlap.relatedLocations[0].physicalLocation.region.startLine).toBe(11);
    const kinds = run.results.flatMap(
      (r: { suppressions?: { kind: string }[] }) => r.suppressions?.map((s) => s.kind) ?? [],
    );
    expect(new Set(kinds)).toEqual(new Set(['inSource', 'external']));
    expect(run.invocations[0].executionSuccessful).toBe(false);
  });

  it('writes paths as addresses', () => {
    const uri = (file: string) =>
      JSON.parse(lintSarif(resultOf([{ ...input, file }]))).runs[0].results[0].locations[0].physicalLocation
        .artifactLocation.uri;
    expect(uri('keys\\my keys\\a#1.key.yaml')).toBe('keys/my%20keys/a%231.key.yaml');
    expect(uri('/home/x/ä.key.yaml')).toBe('file:///home/x/%C3%A4.key.yaml');
    expect(uri('C:\\keys\\a.key.yaml')).toBe('file:///C:/keys/a.key.yaml');
  });
});

describe('a key that tries to steer the terminal', () => {
  const setting = { width: 80, paint: PLAIN };
  it.each([
    ['text', () => lintText(hostile(), setting)],
    ['screen', () => lintScreen(hostile(), setting)],
    ['summary', () => summaryLines(hostile()).join('\n')],
    ['github', () => lintGithub(hostile())],
    ['json', () => lintJson(hostile())],
    ['sarif', () => lintSarif(hostile())],
  ])('%s shows it harmlessly', (_, show) => {
    expect(show().split('\n').map(harmless).join('\n')).toBe(show());
  });
});
