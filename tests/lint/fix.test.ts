import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compile } from '../../src/engine/compile.js';
import { loadChain } from '../../src/key/chain.js';
import { emptyShelf } from '../../src/key/load.js';
import { wholeText } from '../../src/lint/example.js';
import { fixAll } from '../../src/lint/fix.js';
import { lintAll } from '../../src/lint/lint.js';
import { rules } from '../../src/lint/rules/index.js';
import type { Setting } from '../../src/lint/settings.js';

const FILE = 'x.key.yaml';
const everything: ReadonlyMap<string, Setting> = new Map([
  ['property-order', 'note'],
  ['pointer-forward', 'note'],
]);

/** The text after all fixes, and what was done. */
function fixed(text: string, settings = everything): [string, readonly string[]] {
  const { files } = fixAll([{ file: FILE, text }], { settings: () => settings });
  return [files[0]?.after ?? text, files[0]?.titles ?? []];
}

const HEAD = `keywright: 1
id: caps
title: Caps
version: 1.0.0
`;

describe('each rule that offers a fix', () => {
  const offering = rules.filter((rule) => {
    if (rule.bad.key === undefined) return false;
    const { findings } = lintAll([{ file: FILE, text: rule.bad.key }], { settings: () => everything });
    return findings.some((f) => f.rule === rule.id && f.fix !== undefined);
  });

  it('there are some', () => {
    expect(offering.map((r) => r.id)).toEqual(
      expect.arrayContaining(['order-forward', 'otherwise-stated', 'pointer-forward', 'property-order']),
    );
  });

  it.each(offering.map((r) => [r.id, r] as const))(
    '%s: what it offers is made, once and for all',
    (id, rule) => {
      const [once, titles] = fixed(wholeText(rule.bad));
      expect(once).not.toBe(rule.bad.key);
      expect(titles.length).toBeGreaterThan(0);
      const { findings } = lintAll([{ file: FILE, text: once }], { settings: () => everything });
      expect(findings.filter((f) => f.rule === id && f.fix !== undefined)).toEqual([]);
      expect(fixed(once)).toEqual([once, []]);
    },
  );
});

describe('a misspelt target', () => {
  const key = (target: string, taxa = 'amanita, bolbitius') =>
    `${HEAD}couplets:
  1:
    - {lead: Ring present, taxon: ${target}} # as printed
    - {lead: Ring absent, taxon: bolbitius}
taxa:
${taxa
  .split(', ')
  .map((id) => `  ${id}: {name: ${id}}`)
  .join('\n')}
`;

  it('is fixed where one id is near, quotes and comments kept', () => {
    expect(fixed(key('amannita'))).toEqual([key('amanita'), ['write amanita']]);
    expect(fixed(key('"amannita"'))).toEqual([key('"amanita"'), ['write amanita']]);
  });

  it('is left where two are near, or none is', () => {
    for (const text of [key('amanit', 'amanita, amanitb, bolbitius'), key('russula')])
      expect(fixed(text)).toEqual([text, []]);
  });

  it('is left where a number is meant: each is near to each', () => {
    const text = key('amanita').replace('taxon: amanita', 'to: 7');
    expect(fixed(text)[0]).toBe(text);
  });

  it('is left where an alias stands for it', () => {
    const text = key('&x amannita').replace('taxon: bolbitius', 'taxon: *x');
    expect(fixed(text)[0]).not.toContain('amanita}, taxon: amanita');
  });
});

describe('"not as above"', () => {
  const key = (lead: string) => `${HEAD}characters:
  ring: {name: ring, states: [present, absent, broken]}
couplets:
  1:
    - lead: Ring present
      when: {ring: present}
      taxon: aa
${lead}
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
`;

  it.each([
    [
      '    - lead: Not as above\n      taxon: bb',
      '    - lead: Not as above\n      otherwise: true\n      taxon: bb',
    ],
    [
      '    - lead: "Nicht wie oben" # so printed\n      taxon: bb',
      '    - lead: "Nicht wie oben" # so printed\n      otherwise: true\n      taxon: bb',
    ],
    ['    - taxon: bb\n      lead: not so.', '    - taxon: bb\n      lead: not so.\n      otherwise: true'],
    ['    - {lead: Not so, taxon: bb}', '    - {lead: Not so, otherwise: true, taxon: bb}'],
    ['    - lead: >-\n        Not as\n        above\n      taxon: bb', undefined],
  ])('%j', (lead, expected) => {
    const [text] = fixed(key(lead), new Map());
    if (expected === undefined) {
      expect(text).toContain('        above\n      otherwise: true\n      taxon: bb');
    } else expect(text).toBe(key(expected));
    const { chain, findings } = loadChain(text, FILE, emptyShelf);
    expect(findings).toEqual([]);
    expect(chain?.nodes[0]?.couplet.leads[1]?.otherwise).toBe(true);
  });

  it.each([
    '    - {lead: Not as above but white, taxon: bb}',
    '    - {lead: Not so, when: {ring: absent}, taxon: bb}',
  ])('is left: %s', (lead) => {
    expect(fixed(key(lead))[0]).toBe(key(lead));
  });
});

describe('numbers out of order', () => {
  const key = (couplets: string, start = '') => `${HEAD}${start}couplets:
${couplets}taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
  dd: {name: Dd dd}
`;

  it('are given anew in the order of the file where every lead goes forward in it', () => {
    const before = key(`  1:
    - {lead: A, to: 7} # first
    - {lead: B, to: "3"}

  # what was seven
  7:
    - {lead: A, taxon: aa}
    - {lead: B, taxon: bb}
  3: # three
    - {lead: A, taxon: cc}
    - {lead: B, taxon: dd}
`);
    const after = before.replace('to: 7', 'to: 2').replace('  7:', '  2:');
    expect(fixed(before)).toEqual([after, ['number the couplets in reading order']]);
  });

  it('couplets that stand wrong are moved with their comments, and nothing else changes', () => {
    const before = key(
      `  # the first
  1:
    - {lead: A, to: 4}
    - {lead: B, taxon: aa}

  # about two
  # and more about it
  2: # two
    - {lead: A, taxon: bb}
    # between
    - {lead: B, taxon: cc}   # last of two


  4:
    - {lead: A, to: 2}
    - {lead: B, taxon: dd}

# before the taxa
`,
      'start: 1\n',
    );
    const after = key(
      `  # the first
  1:
    - {lead: A, to: 2}
    - {lead: B, taxon: aa}

  2:
    - {lead: A, to: 3}
    - {lead: B, taxon: dd}


  # about two
  # and more about it
  3: # two
    - {lead: A, taxon: bb}
    # between
    - {lead: B, taxon: cc}   # last of two

# before the taxa
`,
      'start: 1\n',
    );
    expect(fixed(before)).toEqual([after, ['put the couplets in reading order and number them']]);
    const crlf = (text: string) => text.replaceAll('\n', '\r\n');
    expect(fixed(crlf(before))[0]).toBe(crlf(after));
    expect(fixed(`\ufeff${before}`)[0]).toBe(`\ufeff${after}`);
  });

  const OUT = `  1:
    - {lead: A, to: 3}
    - {lead: B, to: 2}
  3:
    - {lead: A, taxon: aa}
    - {lead: B, taxon: bb}
  2:
    - {lead: A, taxon: cc}
    - {lead: B, taxon: dd}
`;

  it.each([
    ['a text speaks of a number', key(OUT.replace('taxon: cc', 'taxon: cc, note: see couplet 3'))],
    ['ids are not plain numbers', key(OUT.replaceAll('3', '3a'))],
    ['a lead leads nowhere', key(OUT.replace('taxon: cc', 'to: 9'))],
    ['leads run in a circle', key(OUT.replace('taxon: cc', 'to: 1'))],
    [
      'a number is written through an alias',
      key(OUT.replace('to: 3', 'to: &n 3').replace('taxon: cc', 'to: *n')),
    ],
  ])('are left where %s', (_, text) => {
    expect(fixed(text)[0]).toBe(text);
  });

  it('are left where another key continues at one of them', () => {
    const text = key(OUT);
    const other = `${HEAD.replace('id: caps', 'id: other')}couplets:
  1:
    - {lead: A, key: caps, at: 3}
    - {lead: B, taxon: aa}
taxa:
  aa: {name: Aa aa}
`;
    const shelf = {
      ...emptyShelf,
      key: (id: string) =>
        id === 'caps' ? { ok: true as const, file: FILE, text } : { ok: false as const, problem: '' },
    };
    const inputs = [
      { file: FILE, text },
      { file: 'other.key.yaml', text: other },
    ];
    expect(fixAll(inputs, { shelf }).files).toEqual([]);
    expect(fixAll(inputs.slice(0, 1), { shelf }).files).toHaveLength(1);
  });

  it('keep the meaning: what is numbered anew leads every answer to the same end', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 12 }), fc.infiniteStream(fc.nat(1000)), (n, stream) => {
        const take = () => stream.next().value as number;
        const text = shuffledKey(n, take);
        const [once] = fixed(text);
        const ends = endsOf(text);
        expect(endsOf(once)).toEqual(ends);
        expect(fixed(once)[0]).toBe(once);
        const { chain } = loadChain(once, FILE, emptyShelf);
        const ids = [...(chain?.main.couplets.keys() ?? [])].map(Number);
        expect(ids).toEqual([...ids].sort((a, b) => a - b));
        for (const couplet of chain?.main.couplets.values() ?? [])
          for (const { end } of couplet.leads)
            if (end.kind === 'couplet') expect(Number(end.couplet)).toBeGreaterThan(Number(couplet.id));
        // Every line that was there is there, but for the numbers.
        const lines = (t: string) => t.replace(/\d+/g, '#').split('\n').sort();
        expect(lines(once)).toEqual(lines(text));
      }),
      { numRuns: 100 },
    );
  });
});

/** A sound key of n couplets with joining branches, whose couplets stand and are numbered in any order. */
function shuffledKey(n: number, take: () => number): string {
  const numbers = Array.from({ length: n }, (_, i) => i + 1);
  for (let i = n - 1; i > 0; i--) {
    const j = take() % (i + 1);
    [numbers[i], numbers[j]] = [numbers[j] as number, numbers[i] as number];
  }
  const order = numbers
    .map((_, i) => i)
    .sort((a, b) => (((numbers[a] as number) * 7919) % 31) - (((numbers[b] as number) * 7919) % 31) || a - b);
  const targets: string[][] = numbers.map(() => []);
  for (let i = 1; i < n; i++) targets[take() % i]?.push(`to: ${numbers[i]}`);
  const blocks = numbers.map((number, i) => {
    const own = targets[i] ?? [];
    if (i + 1 < n && take() % 4 === 0) own.push(`to: ${numbers[i + 1 + (take() % (n - i - 1))]}`);
    while (own.length < 2) own.push(`taxon: t${take() % 5}`);
    const leads = own.map(
      (target, l) =>
        `    - {lead: Lead ${String.fromCharCode(97 + l)}, ${target}}${take() % 5 === 0 ? ' # beside' : ''}`,
    );
    return `${take() % 3 === 0 ? '  # above\n' : ''}  ${number}:\n${leads.join('\n')}\n${take() % 3 === 0 ? '\n' : ''}`;
  });
  const taxa = [0, 1, 2, 3, 4].map((t) => `  t${t}: {name: Taxon ${t}}\n`).join('');
  return `${HEAD}start: ${numbers[0]}\ncouplets:\n${order.map((i) => blocks[i]).join('')}taxa:\n${taxa}`;
}

/** Where every row of answers ends. */
function endsOf(text: string): string[] {
  const { chain, findings } = loadChain(text, FILE, emptyShelf);
  if (chain === undefined) throw new Error(findings.map((f) => f.message).join('\n'));
  const key = compile(chain);
  const ends: string[] = [];
  const walk = (couplet: number, way: string): void => {
    key.couplets[couplet]?.leads.forEach((lead, i) => {
      if (lead.next >= 0) walk(lead.next, way + i);
      else ends.push(`${way}${i} ${lead.taxa.map((t) => key.taxa[t]?.id).join()}`);
    });
  };
  walk(key.start, '');
  return ends;
}
