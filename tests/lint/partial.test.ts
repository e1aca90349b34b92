/** Keys with a mistake: one finding for it, everything else judged, and nothing said that the fix would take back. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import type { Finding } from '../../src/diagnostic/finding.js';
import { loadChain } from '../../src/key/chain.js';
import { type Found, loadKey, type Shelf } from '../../src/key/load.js';
import { lintAll } from '../../src/lint/lint.js';
import { rules } from '../../src/lint/rules/index.js';
import { keys } from '../logic/draw.js';
import type { KeyData, LeadData } from '../support/random-keys.js';
import { faultsIn } from './faults.js';
import { notLasting } from './lasting.js';
import { lintText } from './marks.js';

const folder = fileURLToPath(new URL('../../keys/', import.meta.url));
const found = (file: string): Found =>
  existsSync(file)
    ? { ok: true, file, text: readFileSync(file, 'utf8') }
    : { ok: false, problem: `${file} is not there` };
const shelf: Shelf = {
  key: (id) => found(join(folder, `${id}.key.yaml`)),
  terms: (name) => found(join(folder, name)),
};

/** What a finding is about, whatever its place in the file. */
const markOf = ({ rule, message, place }: Finding) => `${rule} ${place.path.join('/')} ${message}`;

/** Everything that is found in a key with those it continues in, allowed or not, and the rules that were not run. */
function judged(file: string, text: string) {
  const report = lintAll([{ file, text }], { shelf });
  return {
    all: [...report.findings, ...report.allowed.map((a) => a.finding)],
    off: report.notRun.flatMap((n) => n.rules),
  };
}

describe.each(['plantation-conifers', 'tarn-rust-spored', 'gill-genera-brown'])('%s with a mistake', (id) => {
  const file = join(folder, `${id}.key.yaml`);
  const text = readFileSync(file, 'utf8');
  const before = new Set(judged(file, text).all.map(markOf));
  const sown = faultsIn(text, 2);

  it.each(sown.map((s) => [s.fault, s.line, s.text] as const))('%s (line %i)', (_, __, wrong) => {
    const { all, off } = judged(file, wrong);
    expect(off).toEqual([]);
    const told = all.filter((f) => !before.has(markOf(f)));
    expect(told.map(markOf)).toEqual([expect.any(String)]);
    expect(told[0]?.level).toBe('error');
    // Commands other than lint go on refusing it.
    expect(loadChain(wrong, file, shelf).chain === undefined).toBe(true);
  });

  it('is tried with nearly every kind', () => {
    expect(new Set(sown.map((s) => s.fault)).size).toBeGreaterThan(25);
  });
});

describe('of what a mistake leaves unknown nothing is said that a fix would take back', () => {
  const SIZE = { units: ['', 'cm'], most: 8, states: 3 };
  const LOGIC = rules.filter(
    (r) => r.group === 'logic' || r.group === 'descriptions' || r.group === 'structure',
  );
  const DAMAGE: Record<string, (lead: LeadData) => void> = {
    'an end that is not there': (lead) => {
      if (lead.taxon === undefined) lead.to = '99';
      else lead.taxon = 'nosuch';
    },
    'no end': (lead) => {
      delete lead.taxon;
      delete lead.to;
    },
    'a circle': (lead) => {
      delete lead.taxon;
      lead.to = '1';
    },
    'an unreadable condition': (lead) => {
      if (lead.when !== undefined) lead.when = { ...lead.when, ring: 'nosuch' };
    },
  };

  test.each(Object.keys(DAMAGE))('%s', (kind) => {
    let compared = 0;
    for (const [i, key] of fc.sample(keys(3, 7, SIZE), { numRuns: 150, seed: 7 }).entries()) {
      const sound = lintText(JSON.stringify(key), { rules: LOGIC });
      const wrong = structuredClone(key) as KeyData;
      const leads = Object.values(wrong.couplets).flat();
      // One in three has two mistakes.
      for (const at of i % 3 === 0 ? [i, i * 7 + 3] : [i])
        DAMAGE[kind]?.(leads[at % leads.length] as LeadData);
      const { findings, binding, notRun } = lintText(JSON.stringify(wrong), { rules: LOGIC });
      expect(notRun).toEqual([]);
      const told = notLasting(
        findings.filter((f) => !binding.has(f)),
        JSON.stringify(key),
        sound.findings,
      );
      expect(told.map(markOf), JSON.stringify({ key, wrong })).toEqual([]);
      compared += findings.length - binding.size;
    }
    expect(compared).toBeGreaterThan(100);
  });

  test('a missing end, whatever it may be: what every rule says stands for each', () => {
    let tried = 0;
    let kept = 0;
    for (const [i, key] of fc.sample(keys(3, 5, SIZE), { numRuns: 20, seed: 3 }).entries()) {
      const wrong = structuredClone(key) as KeyData;
      const leads = Object.values(wrong.couplets).flat();
      const lead = leads[(i * 5 + 2) % leads.length] as LeadData;
      delete lead.taxon;
      delete lead.to;
      const { findings, binding, notRun } = lintText(JSON.stringify(wrong));
      expect(notRun).toEqual([]);
      const said = findings.filter((f) => !binding.has(f));
      kept += said.length;
      for (const end of [...Object.keys(key.couplets), ...Object.keys(key.taxa)]) {
        delete lead.taxon;
        delete lead.to;
        if (end in key.couplets) lead.to = end;
        else lead.taxon = end;
        const whole = JSON.stringify(wrong);
        const filled = lintText(whole);
        // It cannot have been meant to lead back.
        if (filled.binding.size > 0) continue;
        tried++;
        expect(notLasting(said, whole, filled.findings).map(markOf), whole).toEqual([]);
      }
    }
    expect(tried).toBeGreaterThan(70);
    expect(kept / 20).toBeGreaterThan(10);
  });
});

describe('what is read in spite of a mistake', () => {
  const KEY = `keywright: 1
id: k
title: K
version: 1.0.0
characters:
  ring: {name: ring, states: [present, absent]}
  cap: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, to: 3}
  2:
    - {lead: Cap under 5 cm wide, when: {cap: < 5}, taxon: aa}
    - {lead: Cap over 6 cm wide, when: {cap: '> 6'}, taxon: bb}
  3:
    - {lead: Cap under 5 cm wide, when: {cap: < 5}, taxon: cc}
    - {lead: Cap 5 cm wide or more, when: {cap: '>= 5'}, taxon: dd}
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
  dd: {name: Dd dd}
`;
  const logic = (text: string) =>
    lintText(text)
      .findings.filter((f) => rules.some((r) => r.id === f.rule && r.group === 'logic'))
      .map((f) => `${f.rule} ${f.place.path.join('/')}`);

  it('is judged: the gap of another couplet is found', () => {
    expect(logic(KEY)).toEqual(['ranges-meet couplets/2']);
    for (const [from, to] of [
      ["'>= 5'", '>= 5'],
      ['taxon: cc', 'to: 77'],
      [', taxon: cc', ''],
      ['taxon: cc', 'to: 1'],
      ['when: {cap: < 5}, taxon: cc', 'when: {cpa: < 5}, taxon: cc'],
      ['name: Dd dd', 'nmae: Dd dd'],
    ] as const) {
      const wrong = KEY.replace(from, to);
      expect(wrong).not.toBe(KEY);
      expect(logic(wrong), to).toEqual(['ranges-meet couplets/2']);
    }
  });

  it('is not claimed of finds that an unread condition may keep away', () => {
    expect(logic(KEY.replace('when: {ring: present}', 'when: {ring: presnt}'))).toEqual([]);
  });

  it('a value with a sign that must be quoted is a mistake of that value alone', () => {
    const { key, findings } = loadKey(KEY.replace("'>= 5'", '>= 5'), 'k.key.yaml', shelf);
    expect(findings.map((f) => [f.rule, f.place.path.join('/')])).toEqual([
      ['yaml-syntax', 'couplets/3/1/when/cap'],
    ]);
    expect(key?.couplets.get('3')?.leads.map((l) => l.unread)).toEqual([undefined, true]);
  });

  it('a comment that allows is not called unused', () => {
    const allowing = KEY.replace('  3:', '  # allow leads-exclusive: tried\n  3:').replace(
      'taxon: cc',
      'to: 77',
    );
    expect(lintText(allowing).findings.map((f) => f.rule)).not.toContain('allow-used');
  });
});
