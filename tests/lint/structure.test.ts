import { describe, expect, test } from 'vitest';
import { Logic } from '../../src/engine/logic.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import { wholeText } from '../../src/lint/example.js';
import { aboutComplete } from '../../src/lint/rules/about-complete.js';
import { balance } from '../../src/lint/rules/balance.js';
import { chainScope } from '../../src/lint/rules/chain-scope.js';
import { concernSourced } from '../../src/lint/rules/concern-sourced.js';
import { concernStated } from '../../src/lint/rules/concern-stated.js';
import { coupletHasLeads } from '../../src/lint/rules/couplet-has-leads.js';
import { coupletReachable } from '../../src/lint/rules/couplet-reachable.js';
import { leadsDiffer } from '../../src/lint/rules/leads-differ.js';
import { leadsParallel } from '../../src/lint/rules/leads-parallel.js';
import { orderForward } from '../../src/lint/rules/order-forward.js';
import { pathAcyclic } from '../../src/lint/rules/path-acyclic.js';
import { pointerForward } from '../../src/lint/rules/pointer-forward.js';
import { rankStated } from '../../src/lint/rules/rank-stated.js';
import { reliableCharacterFirst } from '../../src/lint/rules/reliable-character-first.js';
import { scopeStated } from '../../src/lint/rules/scope-stated.js';
import { shortLeadFirst } from '../../src/lint/rules/short-lead-first.js';
import { slowCharacterLate } from '../../src/lint/rules/slow-character-late.js';
import { stageInScope } from '../../src/lint/rules/stage-in-scope.js';
import { taxonKeyedOnce } from '../../src/lint/rules/taxon-keyed-once.js';
import { taxonKeyedOut } from '../../src/lint/rules/taxon-keyed-out.js';
import { keyOf, messages } from './apply.js';

/** A key from its graph: `1: 2 aa` is couplet 1 with leads to couplet 2 and to taxon aa; `aa+bb` ends at both. */
function graph(
  couplets: Readonly<Record<string, string>>,
  more: Readonly<Record<string, object>> = {},
  head = '',
): string {
  const taxa = new Set<string>();
  const lines = Object.entries(couplets).flatMap(([id, leads]) => [
    `  ${id}:`,
    ...leads.split(' ').map((end, i) => {
      const lead = `lead: Words ${id} ${i}`;
      if (/^[a-z]{2}(\+|$)/.test(end)) {
        for (const t of end.split('+')) taxa.add(t);
        return `    - {${lead}, taxon: [${end.split('+').join(', ')}]}`;
      }
      return `    - {${lead}, to: ${end}}`;
    }),
  ]);
  for (const id of Object.keys(more)) taxa.add(id);
  return [
    'keywright: 1\nid: k\ntitle: K\nversion: 1.0.0',
    head,
    'couplets:',
    ...lines,
    'taxa:',
    ...[...taxa].map((id) => `  ${id}: ${JSON.stringify({ name: `Aa ${id}`, ...more[id] })}`),
    '',
  ].join('\n');
}

describe('couplets', () => {
  test('of one lead', () => {
    expect(messages(coupletHasLeads, graph({ 1: 'aa bb' }))).toEqual([]);
    expect(messages(coupletHasLeads, graph({ 1: 'aa bb cc' }))).toEqual([]);
    expect(messages(coupletHasLeads, graph({ 1: 'aa 2', 2: 'bb' }))).toEqual([
      'couplet 2 has 1 lead; a choice needs two',
    ]);
  });

  test('that cannot be reached: the head of what is cut off is named, with the rest', () => {
    const r = (c: Record<string, string>) => messages(coupletReachable, graph(c));
    expect(r({ 1: '2 3', 2: 'aa 3', 3: 'bb cc' })).toEqual([]);
    expect(r({ 1: 'aa bb', 2: 'cc dd' })).toEqual([
      'couplet 2 cannot be reached from couplet 1: no lead goes to it',
    ]);
    expect(r({ 1: 'aa bb', 2: '3 cc', 3: '4 dd', 4: 'ee ff' })).toEqual([
      'couplet 2 cannot be reached from couplet 1: no lead goes to it; it cuts off 2 more couplets (3, 4)',
    ]);
    expect(r({ 1: 'aa bb', 2: '4 cc', 3: '4 dd', 4: 'ee ff' })).toHaveLength(2);
    // A lead that goes nowhere may be meant for one couplet, but not for two.
    expect(r({ 1: 'aa 9', 2: 'bb cc' })).toEqual([]);
    expect(r({ 1: 'aa 9', 2: 'bb 3', 3: 'cc dd' })).toEqual([]);
    expect(r({ 1: 'aa 9', 2: 'bb cc', 3: 'dd ee' })).toEqual([
      'no lead goes to couplets 2, 3; at least 1 of them cannot be reached, for only 1 lead (1b) may still go to one',
    ]);
    expect(r({ 1: '8 9', 2: 'bb cc', 3: 'dd ee' })).toEqual([]);
    // Any lead of a circle may be the one that was to go there.
    expect(r({ 1: 'aa 1', 2: 'bb cc' })).toEqual([]);
    expect(r({ 1: 'aa bb', 2: '3 cc', 3: '2 dd' })).toEqual([]);
    expect(messages(coupletReachable, graph({ 1: 'aa bb', 2: '1 cc' }, {}, 'start: 2'))).toEqual([]);
  });

  test('that run in a circle', () => {
    expect(messages(pathAcyclic, graph({ 1: 'aa 1' }))).toEqual(['lead 1b leads back to its own couplet']);
    expect(messages(pathAcyclic, graph({ 1: '3 2', 2: 'aa 3', 3: 'bb cc' }))).toEqual([]);
  });

  test('whose leads read alike or end in one place', () => {
    expect(messages(leadsDiffer, keyOf(['Cap red', 'Cap brown']))).toEqual([]);
    expect(messages(leadsDiffer, keyOf(['Cap red', 'cap  red.']))).toEqual(['1b reads like 1a']);
    expect(messages(leadsDiffer, graph({ 1: '2 2', 2: 'aa bb' }))).toEqual([
      'every lead of couplet 1 ends at couplet 2: the couplet separates nothing',
    ]);
    expect(messages(leadsDiffer, graph({ 1: 'aa+bb bb+aa' }))).toHaveLength(1);
    expect(messages(leadsDiffer, graph({ 1: 'aa aa bb' }))).toEqual([]);
    expect(messages(leadsDiffer, graph({ 1: 'aa+bb aa' }))).toEqual([]);
    // The notes may say where the reader goes on.
    const noted = (a: string, b: string) =>
      keyOf([
        ['Cap red', a],
        ['Cap brown', b],
      ]).replaceAll('taxon: t1', 'taxon: t0');
    expect(messages(leadsDiffer, noted('note: p. 21', 'note: p. 22; go on at 4b'))).toEqual([]);
    expect(messages(leadsDiffer, noted('note: p. 21', 'note: p. 21'))).toHaveLength(1);
    expect(messages(leadsDiffer, noted('note: p. 21', 'figures: []'))).toHaveLength(1);
    expect(
      messages(leadsDiffer, noted('note: A', 'note: B').replaceAll('taxon: t0', 'key: other')),
    ).toHaveLength(1);
  });

  test('out of order', () => {
    const o = (...ids: string[]) => {
      const couplets = Object.fromEntries(ids.map((id) => [id, 'aa bb']));
      // Numbers as names of properties would be sorted; a key file keeps its order.
      const text = graph(couplets);
      const blocks = ids.map((id) => `  ${id}:\n    - {lead: A, taxon: aa}\n    - {lead: B, taxon: bb}`);
      return messages(
        orderForward,
        text.replace(/couplets:[\s\S]*?taxa:/, `couplets:\n${blocks.join('\n')}\ntaxa:`),
      );
    };
    expect(o('1', '2', '3', '10', '11')).toEqual([]);
    expect(o('1', '3', '7')).toEqual([]);
    expect(o('0', '1')).toEqual([]);
    expect(o('1', '1a', '1b', '2')).toEqual([]);
    expect(o('A1', 'A2', 'B1', 'A3')).toEqual([]);
    expect(o('1.2', '1.10', '2.1')).toEqual([]);
    expect(o('B', 'A')).toEqual([]);
    expect(o('1', '3', '2', '4')).toEqual(['couplet 2 comes after couplet 3']);
    expect(o('1', '4', '2', '3', '5')).toEqual([
      'couplet 2 comes after couplet 4',
      'couplet 3 comes after couplet 4',
    ]);
  });

  test('a lead that points back is a note only where that is asked for', () => {
    const text = graph({ 1: '3 2', 2: 'aa bb', 3: 'cc 2' });
    expect(messages(orderForward, text)).toEqual([]);
    expect(pointerForward.optional).toBe(true);
    expect(messages(pointerForward, text)).toEqual(['3b points back to couplet 2']);
  });

  test('in a ladder', () => {
    const ladder = (n: number) =>
      Object.fromEntries(
        Array.from({ length: n }, (_, i) => [
          i + 1,
          i + 1 < n ? `t${'abcdefghijklm'[i]} ${i + 2}` : `t${'abcdefghijklm'[i]} zz`,
        ]),
      );
    expect(messages(balance, graph(ladder(7)))).toEqual([]);
    // Mean depth of a ladder of n ends (n+2)(n-1)/2n and at best n k + 2 (n - 2^k) in all: derivable.
    expect(messages(balance, graph(ladder(9)))).toEqual([
      'couplets 1 to 9 are a ladder: 9 couplets that each split off one end; 10 ends take 5.4 couplets on average here and could take 3.4',
    ]);
    expect(messages(balance, graph({ ...ladder(9), 5: 'te tx+ty 6' }))).toEqual([]);
  });

  test('the short lead first, where asked for', () => {
    expect(messages(shortLeadFirst, graph({ 1: '2 aa', 2: 'bb cc' }))).toEqual([
      '1a has 2 ends beyond it and 1b 1; the shorter one comes first',
    ]);
    expect(messages(shortLeadFirst, graph({ 1: 'aa 2', 2: 'bb cc' }))).toEqual([]);
    expect(messages(shortLeadFirst, graph({ 1: '2 3', 2: 'aa bb', 3: 'cc dd' }))).toEqual([]);
  });
});

describe('taxa', () => {
  const CONDITIONS = `keywright: 1
id: k
title: K
version: 1.0.0
characters:
  ring: {name: ring, states: [present, absent]}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, to: 2}
    - {lead: Ring absent, when: {ring: absent}, taxon: aa}
  2:
    - {lead: Ring absent, when: {ring: absent}, taxon: bb}
    - {lead: Ring present, when: {ring: present}, taxon: cc}
taxa: {aa: {name: Aa aa}, bb: {name: Bb bb}, cc: {name: Cc cc}}
`;
  test('that no lead names, but not those that hold others', () => {
    const t = (more: Record<string, object>, head = '') =>
      messages(taxonKeyedOut, graph({ 1: 'aa bb' }, more, head));
    expect(t({})).toEqual([]);
    expect(t({ cc: {} })).toEqual(['no lead ends at Aa cc']);
    expect(t({ cc: {}, aa: { within: 'cc' } })).toEqual([]);
    expect(t({ cc: {} }, 'scope: {within: cc}')).toEqual([]);
    expect(t({ cc: {}, aa: { alike: ['cc'] } })).toEqual([
      'no lead ends at Aa cc; it is only named as a look-alike',
    ]);
  });

  test('that stand only where no find arrives', () => {
    expect(messages(taxonKeyedOut, CONDITIONS)).toEqual([
      'no find can reach Bb bb: it is only at 2a, where no find arrives',
    ]);
    const cut = graph({ 1: 'aa bb', 2: 'cc aa' }, { aa: { repeats: 'meant' } });
    expect(messages(taxonKeyedOut, cut)).toEqual([
      'no find can reach Aa cc: it is only at 2a, where no find arrives',
    ]);
    const circle = graph({ 1: '1 aa', 2: 'bb cc' });
    expect(messages(taxonKeyedOut, circle)).toEqual([]);
    const { chain } = loadChain(CONDITIONS, 'k', emptyShelf);
    expect(new Logic(chain as NonNullable<typeof chain>).key.taxa).toHaveLength(3);
  });

  test('that stand twice', () => {
    expect(messages(taxonKeyedOnce, graph({ 1: 'aa 2', 2: 'aa bb' }))).toEqual([
      'Aa aa is keyed out at 1a and 2a',
    ]);
    expect(messages(taxonKeyedOnce, graph({ 1: 'aa 2', 2: 'aa bb' }, { aa: { repeats: 'meant' } }))).toEqual(
      [],
    );
    expect(messages(taxonKeyedOnce, graph({ 1: 'aa+bb cc' }))).toEqual([]);
    expect(messages(taxonKeyedOnce, graph({ 1: 'aa+bb aa' }))).toHaveLength(1);
  });

  test('without rank, concern or source', () => {
    expect(messages(rankStated, graph({ 1: 'aa bb' }))).toEqual(['no taxon of the key says its rank']);
    expect(messages(rankStated, graph({ 1: 'aa bb' }, { aa: { rank: 'species' } }))).toEqual([
      'Aa bb does not say its rank',
    ]);
    expect(
      messages(rankStated, graph({ 1: 'aa bb' }, { aa: { rank: 'species' }, bb: { rank: 'genus' }, cc: {} })),
    ).toEqual([]);
    const unknown = { concern: { level: 'unknown' } };
    expect(messages(concernStated, graph({ 1: 'aa bb' }))).toEqual([
      'no taxon of the key says what harm is recorded of it',
    ]);
    expect(messages(concernStated, graph({ 1: 'aa bb' }, { aa: unknown }))).toEqual([
      'Aa bb does not say what harm is recorded of it',
    ]);
    expect(messages(concernStated, graph({ 1: 'aa bb' }, { aa: unknown, bb: unknown, cc: {} }))).toEqual([]);
    expect(messages(concernSourced, graph({ 1: 'aa bb' }, { aa: unknown }))).toEqual([]);
    const claim = (level: string, source?: string) => ({
      concern: { level, ...(source === undefined ? {} : { source }) },
    });
    for (const level of ['deadly', 'severe', 'upset', 'none-recorded']) {
      expect(messages(concernSourced, graph({ 1: 'aa bb' }, { aa: claim(level) }))).toHaveLength(1);
      expect(messages(concernSourced, graph({ 1: 'aa bb' }, { aa: claim(level, 'from memory') }))).toEqual(
        [],
      );
    }
  });
});

describe('leads-parallel', () => {
  const C = `
characters:
  ring: {name: ring, states: [present, absent]}
  texture: {name: texture of the ring, states: [membranous, fibrous], applies-when: {ring: present}}
  cap: {name: cap, states: [dry, viscid]}
  smell: {name: smell, states: [mealy, none]}`;
  const p = (...leads: Parameters<typeof keyOf>[0]) => messages(leadsParallel, keyOf(leads, C));
  const on = (text: string) =>
    text
      .replace(/taxon: t0\}/, 'to: 2}')
      .replace('taxa:', '  2:\n    - {lead: A, taxon: t0}\n    - {lead: B, taxon: t1}\ntaxa:');

  test('is silent where every character is answered', () => {
    expect(p(['A', 'when: {ring: present}'], ['B', 'when: {ring: absent}'])).toEqual([]);
    expect(p(['A', 'when: {ring: present, cap: dry}'], ['B', 'when: {ring: absent, cap: viscid}'])).toEqual(
      [],
    );
    expect(
      p(['A', 'when: {ring: present, cap: dry}'], ['B', 'when: {any: [{ring: absent}, {cap: viscid}]}']),
    ).toEqual([]);
    expect(p(['A', 'when: {ring: present, cap: dry}'], ['B', 'otherwise: true'])).toEqual([]);
    expect(p(['A', 'when: {ring: present, cap: dry}'], 'B')).toEqual([]);
    expect(
      p(['A', 'when: {any: [{texture: fibrous}, {ring: absent}]}'], ['B', 'when: {texture: membranous}']),
    ).toEqual([]);
    expect(p(['A', 'when: {ring: present}, usually: {smell: mealy}'], ['B', 'when: {ring: absent}'])).toEqual(
      [],
    );
    expect(p('Cap red; gills white', 'Cap brown; gills pink')).toEqual([]);
    expect(p('Cap red; gills white', 'Cap brown; lamellae pink')).toEqual([]);
    expect(p('Cap red', 'Cap brown; gills pink')).toEqual([]);
    expect(p('Cap red; gills white', 'Not so')).toEqual([]);
    expect(
      messages(
        leadsParallel,
        on(keyOf(['Fungus soft; dried pieces not reviving', 'Fungus tough, reviving again'], C)),
      ),
    ).toEqual([]);
  });

  test('finds what is not answered, and another order', () => {
    expect(p(['A', 'when: {ring: present, cap: dry}'], ['B', 'when: {ring: absent}'])).toEqual([
      'the leads are not parallel: 1a mentions cap, 1b does not',
    ]);
    expect(p(['A', 'when: {ring: present, texture: fibrous}'], ['B', 'when: {ring: absent}'])).toHaveLength(
      1,
    );
    expect(p(['A', 'when: {ring: present, cap: dry}'], ['B', 'when: {cap: viscid, ring: absent}'])).toEqual([
      'the leads are not parallel: 1b asks cap, ring, 1a asks ring, cap',
    ]);
    expect(
      p(['A', 'when: {ring: present, cap: dry}'], ['B', 'when: {ring: absent}, usually: {cap: viscid}']),
    ).toHaveLength(1);
    const going = on(
      keyOf(
        [
          ['A', 'when: {ring: present}, usually: {smell: mealy}'],
          ['B', 'when: {ring: absent}'],
        ],
        C,
      ),
    );
    expect(messages(leadsParallel, going)).toEqual([
      'the leads are not parallel: 1a mentions smell, 1b does not',
    ]);
    expect(messages(leadsParallel, on(keyOf(['Cap red; gills white', 'Cap brown'], C)))).toEqual([
      'the leads are not parallel: 1a mentions "gills", 1b does not',
    ]);
  });

  describe('of leads without conditions', () => {
    const English = (a: string, b: string) => messages(leadsParallel, on(keyOf([a, b])));
    const German = (a: string, b: string, more = '') =>
      messages(
        leadsParallel,
        on(keyOf([a, b], 'language: de')).replace('lead: A,', `lead: ${JSON.stringify(`A${more}`)},`),
      );

    test.each([
      // What opens a statement need be no part: a hedge, the habit, how often it is met, where it grows.
      ['Bark smooth; usually in wet places', 'Bark rough'],
      ['Leaves narrow; shrub of the hills', 'Leaves broad'],
      ['Leaves narrow; a common tree', 'Leaves broad'],
      ['Elytra black; hardly at all shining', 'Elytra red'],
      ['Tergites smooth. Norland, Westmark', 'Tergites rough'],
      // In brackets stand remarks.
      ['Lobes of the corolla three (tall; flowers white; leaves narrow)', 'Lobes of the corolla four'],
      // Thorny answers thorns.
      ['Plants tall; branches ending in thorns', 'Plants not thorny'],
    ])('"%s" and "%s" are parallel', (a, b) => {
      expect(English(a, b)).toEqual([]);
    });

    test.each([
      ['Leaves narrow; young twigs with a pith of five angles', 'Leaves broad', 'twigs'],
      ['Pronotum smooth; head and antennae red', 'Pronotum rough', 'head'],
      ['Leaves hard; spray quite slender', 'Leaves soft', 'spray'],
      ['Leaves narrow; the fruit a nut', 'Leaves with a broad base', 'fruit'],
    ])('"%s" and "%s" are not', (a, b, part) => {
      expect(English(a, b)).toEqual([
        `the leads are not parallel: 1a mentions ${JSON.stringify(part)}, 1b does not`,
      ]);
    });

    test('a second check of a name is none of the choice, but what a lead opens with is', () => {
      const atEnds = (a: string, b: string) => messages(leadsParallel, keyOf([a, b]));
      expect(atEnds('Leaves narrow; fruit a nut', 'Leaves broad')).toEqual([]);
      expect(atEnds('Fruit a nut; leaves narrow', 'Leaves broad')).toHaveLength(1);
      expect(atEnds('Leaves broad', 'Fruit a nut; leaves narrow')).toHaveLength(1);
    });

    test('abbreviations of a flora are words, and end no sentence', () => {
      expect(German('Blätt. schmal; Kelch behaart', 'Blätt. breit')).toHaveLength(1);
      expect(German('Bltn weiß; in lockeren Blütenständen', 'Blüten rot')).toEqual([]);
      expect(German('Jede Bltn gestielt; Stiele rauh', 'Die Blüten sitzend, ihre Stiele glatt')).toEqual([]);
      // `sichelf.` is short for a longer word by its ending, `doppelschn.` because a sentence goes on behind it elsewhere.
      expect(German('Hüllen aus kleinen, sichelf. Blättchen', 'Hüllen fehlend')).toEqual([]);
      expect(German('Hüllen mit doppelschn. Fiedern', 'Hüllen fehlend', ' doppelschn., kahl')).toEqual([]);
      expect(German('Hüllen aus kleinen Stücken. Fiedern schmal', 'Hüllen fehlend')).toHaveLength(1);
    });

    test('conditions that nobody has reviewed are left aside', () => {
      const proposed = (when: string) => `\n      # review: proposed\n      when: ${when}\n      to: 2\n`;
      const text = on(keyOf(['Ring present; gills white', 'Ring absent'], C))
        .replace(/- \{lead: ("Ring present.*?"), to: 2\}\n/, `- lead: $1${proposed('{ring: present}')}`)
        .replace(/- \{lead: ("Ring absent"), taxon: t1\}\n/, `- lead: $1${proposed('{ring: absent}')}`);
      expect(messages(leadsParallel, text)).toEqual([
        'the leads are not parallel: 1a mentions "gills", 1b does not',
      ]);
      expect(messages(leadsParallel, text.replaceAll('# review: proposed', '#'))).toEqual([]);
    });
  });
});

test('reliable-character-first compares stated figures that differ clearly', () => {
  const r = (a: string, b: string) =>
    messages(
      reliableCharacterFirst,
      keyOf(
        [
          ['A', 'when: {x: s, y: s}'],
          ['B', 'when: {x: t, y: t}'],
        ],
        `characters:\n  x: {name: x, states: [s, t]${a}}\n  y: {name: y, states: [s, t]${b}}`,
      ),
    );
  expect(r('', '')).toEqual([]);
  expect(r(', reliability: 0.9', '')).toEqual([]);
  expect(r('', ', reliability: 0.9')).toEqual([]);
  expect(r(', reliability: 0.7', ', reliability: 0.8')).toEqual([]);
  expect(r(', reliability: 0.9', ', reliability: 0.6')).toEqual([]);
  expect(r(', reliability: 0.75', ', reliability: 0.9')).toEqual([
    'couplet 1 asks x first, read right in 75 % of cases, and after it y, 90 %',
  ]);
});

test('slow-character-late speaks only where the descriptions show that a quick character would do', () => {
  const text = wholeText(slowCharacterLate.bad);
  expect(messages(slowCharacterLate, text)).toHaveLength(1);
  expect(messages(slowCharacterLate, text.replace(', wait: 6 h, effort: 6', ''))).toEqual([]);
  expect(messages(slowCharacterLate, text.replace('print: brown, ring: absent', 'print: brown'))).toEqual([]);
  expect(
    messages(
      slowCharacterLate,
      text.replace('{print: white, ring: present}', '{print: white, ring: [present, absent]}'),
    ),
  ).toEqual([]);
  expect(messages(slowCharacterLate, text.replace(', traits: {print: white, ring: present}', ''))).toEqual(
    [],
  );
  expect(
    messages(slowCharacterLate, text.replace('ring: {name: ring,', 'ring: {name: ring, effort: 4,')),
  ).toEqual([]);
});

describe('scope', () => {
  const base = (scope: string, more = '') =>
    `keywright: 1\nid: k\ntitle: K\nversion: 1.0.0\n${scope}\n${more}couplets:\n  1:\n    - {lead: A, taxon: aa}\n    - {lead: B, taxon: bb}\ntaxa: {aa: {name: Aa aa}, bb: {name: Bb bb}}\n`;

  test('group and regions', () => {
    expect(messages(scopeStated, base('scope: {group: g, regions: [GB]}'))).toEqual([]);
    expect(messages(scopeStated, base(''))).toEqual([
      'the key does not say the group it is for and the regions it is for',
    ]);
    expect(messages(scopeStated, base('scope: {regions: [GB]}'))).toEqual([
      'the key does not say the group it is for',
    ]);
  });

  test('who, when, licence, sources', () => {
    const all = 'authors: [X]\ndate: 2026-01-01\nlicence: CC0-1.0\nsources: {s: {cite: c}}\n';
    expect(messages(aboutComplete, base('', all))).toEqual([]);
    expect(messages(aboutComplete, base('', all.replace('licence: CC0-1.0\n', '')))).toEqual([
      'the key does not say its licence',
    ]);
    expect(messages(aboutComplete, base(''))).toEqual([
      'the key does not say its authors, its date, its licence and its sources',
    ]);
  });

  test('ages', () => {
    const s = (stages: string, when = '{veil: present}') =>
      messages(
        stageInScope,
        keyOf(
          [
            ['A', `when: ${when}`],
            ['B', 'otherwise: true'],
          ],
          `scope: {stages: [${stages}]}\ncharacters:\n  veil: {name: veil, states: [present, absent], stages: [young]}\n  cap: {name: cap, states: [dry, wet]}`,
        ),
      );
    expect(s('young, mature')).toEqual([]);
    expect(s('mature', '{veil: present, cap: dry}')).toEqual([]);
    expect(s('mature', '{cap: dry}')).toEqual([]);
    expect(s('mature')).toEqual(['couplet 1 asks veil (young); the key is made for mature finds']);
  });

  const second = (scope: string, taxa = '') =>
    `keywright: 1\nid: second\ntitle: S\nversion: 1.0.0\n${scope}\ncouplets:\n  1:\n    - {lead: A, taxon: cc}\n    - {lead: B, taxon: dd}\ntaxa: {cc: {name: Cc cc}, dd: {name: Dd dd}${taxa}}\n`;
  const first = (scope: string, lead = '', taxa = '') =>
    `keywright: 1\nid: first\ntitle: F\nversion: 1.0.0\n${scope}\ncouplets:\n  1:\n    - {lead: A, key: second${lead}}\n    - {lead: B, taxon: aa}\ntaxa: {aa: {name: Aa aa}${taxa}}\n`;
  const chained = (a: string, b: string) =>
    messages(chainScope, a, { ...emptyShelf, key: () => ({ ok: true, file: 'second.key.yaml', text: b }) });
  const G = ', g: {name: Gg, rank: genus}, h: {name: Hh, rank: genus, within: g}';

  test('of chained keys', () => {
    const reaches = ', reaches: g';
    expect(chained(first('', reaches, G), second('scope: {within: g}', G))).toEqual([]);
    expect(chained(first('', reaches, G), second(''))).toEqual([]);
    expect(chained(first('', ''), second('scope: {within: g}', G))).toEqual([]);
    expect(chained(first('', ', reaches: h', G), second('scope: {within: g}', G))).toEqual([]);
    expect(
      chained(
        first('scope: {regions: [GB-CMA]}', reaches, G),
        second('scope: {regions: [GB], within: g}', G),
      ),
    ).toEqual([]);
    expect(
      chained(first('scope: {months: [9]}', reaches, G), second('scope: {months: [9, 10], within: g}', G)),
    ).toEqual([]);
    expect(chained(first('', ''), second(''))).toEqual([
      '1a continues in second without saying what it reaches, and the scope of second names no taxon either',
    ]);
    expect(chained(first('', reaches, G), second('scope: {within: h}', G))).toEqual([
      '1a hands over Gg, but second is made for Hh, only a part of that',
    ]);
    expect(chained(first('', ', reaches: aa', G), second('scope: {within: h}', G))).toEqual([
      '1a hands over Aa aa, but second is made for Hh, something else',
    ]);
    expect(
      chained(first('scope: {regions: [GB, IE]}', reaches, G), second('scope: {regions: [GB-CMA, IE]}')),
    ).toEqual(['first is also made for GB, but second only for GB-CMA and IE']);
    expect(chained(first('scope: {months: [8, 9, 10]}', reaches, G), second('scope: {months: [9]}'))).toEqual(
      ['first can be used in months 8 and 10, but second cannot'],
    );
    expect(
      chained(first('scope: {stages: [young, mature]}', reaches, G), second('scope: {stages: [mature]}')),
    ).toEqual(['first is also made for young finds, but second only for mature']);
  });
});
