/** What is left to look at in a key, what a decision makes of its text, and what it leaves alone. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Change, changed } from '../../../src/commands/import/review/change.js';
import { linesAt, printed, printNoted, withPrint } from '../../../src/commands/import/review/printed.js';
import { coupletsLeft } from '../../../src/commands/import/review/state.js';
import { typedEnd } from '../../../src/commands/import/review/wanted-end.js';
import { lintKey } from '../../../src/lint/lint.js';
import { KEY, read, reviewed } from './sample.js';

/** The text after decisions on couplets, one after another. */
function textAfter(decisions: readonly (readonly [string, Change])[], text = KEY): string {
  let now = reviewed(text);
  for (const [id, change] of decisions) {
    const result = changed(now, id, change, read);
    if (!result.ok) throw new Error(result.problem);
    now = result.reviewed;
  }
  return now.text;
}

/** Why a decision cannot be made. */
function refused(id: string, change: Change, text = KEY): string | undefined {
  const result = changed(reviewed(text), id, change, read);
  return result.ok ? undefined : result.problem;
}

/** The lines that differ: those of the old text with -, those of the new with +. */
function difference(before: string, now: string): string[] {
  const [a, b] = [before.split('\n'), now.split('\n')];
  let first = 0;
  while (a[first] === b[first] && first < a.length) first++;
  let last = 0;
  while (a.at(-1 - last) === b.at(-1 - last) && last < Math.min(a.length, b.length) - first) last++;
  return [
    ...a.slice(first, a.length - last).map((l) => `- ${l}`),
    ...b.slice(first, b.length - last).map((l) => `+ ${l}`),
  ];
}

describe('what is left to look at', () => {
  it('is in order of the cause: doubtful, likely, proposals, no end, faults', () => {
    expect(coupletsLeft(reviewed()).map((c) => `${c.id} ${c.cause}`)).toEqual([
      '2 doubtful',
      '1 likely',
      '3 proposed',
      '4 fault',
    ]);
    const unmarked = KEY.replace('doubtful', 'reviewed').replaceAll(/\n.*# review: lead 2a.*/g, '');
    expect(coupletsLeft(reviewed(unmarked)).find((c) => c.id === '2')?.cause).toBe('no end');
  });

  it('is what lint counts', () => {
    const found = lintKey(KEY, 'caps.key.yaml').findings.filter((f) => f.rule === 'import-reviewed');
    expect(found.map((f) => `${f.level} ${f.message}`)).toEqual([
      'warning 3 of 4 couplets are still to be reviewed: 1 doubtful couplet, 1 proposed condition and 2 proposed ends',
    ]);
    const rest = textAfter([
      ['2', { kind: 'end', lead: 'a', end: { kind: 'taxa', taxa: ['aria-alba'] } }],
      ['2', { kind: 'accept' }],
    ]);
    expect(lintKey(rest, 'caps.key.yaml').findings.filter((f) => f.rule === 'import-reviewed')).toMatchObject(
      [
        {
          level: 'warning',
          message: '2 of 4 couplets are still to be reviewed: 1 proposed condition and 1 proposed end',
        },
      ],
    );
  });

  it('is nothing in a key that no import has written', () => {
    const own = KEY.replace(/^ *# .*\n/gm, '')
      .replace('to: 9', 'taxon: aria-alba')
      .replace('others are\n', 'others are\n      taxon: aria-alba\n');
    expect(coupletsLeft(reviewed(own))).toEqual([]);
  });
});

describe('a decision', () => {
  it('accepts: the marks go, and what a person wrote stays', () => {
    expect(difference(KEY, textAfter([['1', { kind: 'accept' }]]))).toEqual([
      '-   # lines 3-4: likely',
      '-   # review: lead 1a: its name stands among the words',
      '-   # I looked at this one in the book.',
      '-   1:',
      '-     - lead: Cap red',
      '-       to: 2',
      '-     - lead: Cap white',
      '-       # review: no target is printed here',
      '+   # lines 3-4: reviewed',
      '+   # I looked at this one in the book.',
      '+   1:',
      '+     - lead: Cap red',
      '+       to: 2',
      '+     - lead: Cap white',
    ]);
  });

  it('is not to accept a lead without an end, nor a fault', () => {
    expect(refused('2', { kind: 'accept' })).toContain('lead 2a has no end yet');
    expect(refused('4', { kind: 'accept' })).toContain(
      'lead 4a goes to couplet "9", which is not in this key',
    );
  });

  it('gives an end in place of the comment that asks for it', () => {
    const text = textAfter([['2', { kind: 'end', lead: 'a', end: { kind: 'couplet', couplet: '3' } }]]);
    expect(difference(KEY, text)).toEqual([
      '-       # review: lead 2a has no target in the print: write to, taxon or key here',
      '+       to: 3',
    ]);
  });

  it('replaces an end, and leaves the mark of the condition and what stands behind', () => {
    const text = textAfter([
      ['3', { kind: 'end', lead: 'a', end: { kind: 'key', key: 'other-caps', at: '4' } }],
      ['3', { kind: 'end', lead: 'a', end: { kind: 'taxa', taxa: ['aria-plena', 'aria-cava'] } }],
    ]);
    expect(difference(KEY, text)).toEqual([
      '-       taxon: aria-alba # see the plate',
      '+       taxon: [aria-plena, aria-cava] # see the plate',
    ]);
  });

  it('adds a taxon that the key does not have', () => {
    const text = textAfter([
      ['3', { kind: 'end', lead: 'b', end: { kind: 'new taxon', name: 'Aria Cava' } }],
    ]);
    expect(text).toContain('- {lead: Ring absent, when: {ring: absent}, taxon: aria-cava-2}');
    expect(text).toMatch(/\n {2}aria-cava-2: \{name: Aria Cava\}\n$/);
  });

  it('changes, adds and drops conditions', () => {
    const change = (lead: string, when: string | undefined): Change => ({ kind: 'when', lead, when });
    expect(textAfter([['3', change('a', 'ring: absent, width: < 5')]])).toContain(
      '    - lead: Ring present\n      when: {ring: absent, width: < 5}\n      taxon: aria-alba # see',
    );
    expect(textAfter([['3', change('a', undefined)]])).toContain(
      '    - lead: Ring present\n      taxon: aria-alba',
    );
    expect(textAfter([['3', change('b', undefined)]])).toContain('- {lead: Ring absent, taxon: aria-cava}');
    expect(textAfter([['1', change('a', '{not: {ring: present}}')]])).toContain(
      '    - lead: Cap red\n      when: {not: {ring: present}}\n      to: 2',
    );
  });

  it.each([
    ['rnig: present', '"rnig" is not a character of this key; did you mean ring?'],
    ['ring: presnt', '"presnt" is not a state of ring; did you mean present?'],
    ['width: 5 kg', 'width'],
    ['width: > 5', 'put it in quotes (column 8)'],
    ['ring', 'a condition is written "character: value"'],
    ['ring: {is: present}', 'is'],
    ['any: present', 'any'],
    ['ring: [present', 'is not closed'],
    ['ring: present} to: {', 'condition'],
  ])('tells what is wrong with the condition %s', (when, said) => {
    expect(refused('3', { kind: 'when', lead: 'a', when })).toContain(said.replace(/^condition$/, ''));
  });

  it('does not make a key go in a circle', () => {
    const toFirst: Change = { kind: 'end', lead: 'b', end: { kind: 'couplet', couplet: '1' } };
    expect(refused('3', toFirst)).toContain('run in a circle');
    expect(refused('3', { ...toFirst, end: { kind: 'couplet', couplet: '3' } })).toContain(
      'leads back to its own couplet',
    );
  });

  it('folds long words and keeps the marks', () => {
    const words = `${'Stem hollow: so it is said, '.repeat(6)}or not`;
    const text = textAfter([['2', { kind: 'words', lead: 'a', words }]]);
    expect(reviewed(text).key.couplets.get('2')?.leads[0]?.text).toBe(words);
    expect(Math.max(...text.split('\n').map((l) => l.length))).toBeLessThan(116);
    expect(text).toContain('# review: lead 2a has no target');
    expect(
      textAfter([['3', { kind: 'words', lead: 'b', words: 'Ring absent, or [rarely] torn' }]]),
    ).toContain('- {lead: "Ring absent, or [rarely] torn", when');
  });

  it('keeps line ends and a byte order mark', () => {
    const windows = `\ufeff${KEY.replaceAll('\n', '\r\n')}`;
    const decisions: (readonly [string, Change])[] = [
      ['2', { kind: 'end', lead: 'a', end: { kind: 'new taxon', name: 'Aria nova' } }],
      ['2', { kind: 'words', lead: 'a', words: 'Stem hollow '.repeat(12).trim() }],
      ['2', { kind: 'accept' }],
      ['3', { kind: 'when', lead: 'a', when: undefined }],
    ];
    expect(textAfter(decisions, windows)).toBe(`\ufeff${textAfter(decisions).replaceAll('\n', '\r\n')}`);
  });

  it('leaves all else byte for byte, whatever is decided in whatever order', () => {
    const lead = fc.constantFrom('a', 'b');
    const end = fc.constantFrom(
      { kind: 'couplet', couplet: '4' } as const,
      { kind: 'taxa', taxa: ['aria-alba'] } as const,
      { kind: 'new taxon', name: 'Aria nova' } as const,
      { kind: 'key', key: 'other-caps', at: undefined } as const,
    );
    const decision = fc.tuple(
      fc.constantFrom('1', '2', '3'),
      fc.oneof(
        fc.constant<Change>({ kind: 'accept' }),
        fc.record({ kind: fc.constant('end' as const), lead, end }),
        fc.record({
          kind: fc.constant('when' as const),
          lead,
          when: fc.constantFrom('ring: present', 'width: 2-3', undefined),
        }),
        fc.record({
          kind: fc.constant('words' as const),
          lead,
          words: fc.constantFrom('Cap: #1', 'Gills [free]'),
        }),
      ),
    );
    const outside = (text: string) => {
      const [head = ''] = text.split('  # lines 3-4');
      const [, rest = ''] = text.split(/(?=\n {2}# lines 10-11)/);
      return head + rest.replace(/\n {2}aria-nova.*/g, '');
    };
    fc.assert(
      fc.property(fc.array(decision, { maxLength: 8 }), (decisions) => {
        let now = reviewed();
        for (const [id, change] of decisions) {
          const result = changed(now, id, change as Change, read);
          if (result.ok) now = result.reviewed;
        }
        expect(outside(now.text)).toBe(outside(KEY));
        expect([...now.key.couplets.keys()]).toEqual(['1', '2', '3', '4']);
      }),
      { numRuns: 60 },
    );
  });
});

describe('a typed end', () => {
  const { key } = reviewed();
  it.each([
    ['3', { kind: 'couplet', couplet: '3' }],
    ['couplet 3', { kind: 'couplet', couplet: '3' }],
    ['Aria plena', { kind: 'taxa', taxa: ['aria-plena'] }],
    ['aria ALBA', { kind: 'taxa', taxa: ['aria-alba'] }],
    ['white aria', { kind: 'taxa', taxa: ['aria-alba'] }],
    ['aria-plena, Aria cava', { kind: 'taxa', taxa: ['aria-plena', 'aria-cava'] }],
    ['key other-caps at 4', { kind: 'key', key: 'other-caps', at: '4' }],
    ['new Aria nova', { kind: 'new taxon', name: 'Aria nova' }],
    ['new Aria plena', { kind: 'taxa', taxa: ['aria-plena'] }],
  ])('%s', (typed, end) => {
    expect(typedEnd(typed, key)).toEqual({ kind: 'end', end });
  });

  it.each([
    ['Aria plenna', 'unknown', 'did you mean Aria plena?'],
    ['44', 'problem', 'there is no couplet "44"; did you mean 4?'],
    ['Aria alba, Aria nulla', 'problem', '"Aria nulla" is no taxon of this key'],
    ['', 'problem', 'nothing was typed'],
  ])('%s is none', (typed, kind, said) => {
    const result = typedEnd(typed, key);
    expect(result.kind).toBe(kind);
    expect('problem' in result ? result.problem : '').toContain(said);
  });
});

describe('the lines of the print', () => {
  const print = printed('caps.txt', 'one\n\ntwo\r\nthree\nfour\n\u001b[2Jfive\nsix');

  it('are those that a couplet names, with what stands beside', () => {
    const shown = linesAt(print, 'lines 3-4 and 6').map(
      ({ number, text, own }) => `${number}${own ? '' : '~'} ${text}`,
    );
    expect(shown.filter((line) => !line.includes('five'))).toEqual([
      '1~ one',
      '3 two',
      '4 three',
      '5~ four',
      '7~ six',
    ]);
    expect(shown).toHaveLength(6);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none may reach the terminal
    expect(shown.join('')).not.toMatch(/\u001b/);
    expect(linesAt(print, 'line 99')).toEqual([]);
  });

  it('stand without the tags of markup, in their places', () => {
    const page = printed(
      'caps.html',
      '<table>\n<tr><td>1a</td><td\nclass="x">Cap &amp; stem &lt; 5</td>\n</table>',
    );
    expect(linesAt(page, 'lines 2-3').map((l) => [l.number, l.text.trim()])).toEqual([
      [2, '1a'],
      [3, 'Cap & stem < 5'],
    ]);
  });

  it('belong to a text that the key knows again', () => {
    const text = withPrint('# Imported.\nkeywright: 1\nid: a\n', print);
    expect(printNoted(text)).toEqual({ name: 'caps.txt', mark: print.mark });
    expect(printed('x', 'one\n\ntwo\nthree\nfour\n\u001b[2Jfive\nsix').mark).toBe(print.mark);
    expect(printNoted('keywright: 1\n# print: caps.txt, SHA-256 0123456789abcdef\n')).toBeUndefined();
  });
});
