import { describe, expect, it } from 'vitest';
import { changesSomething, diffKeys, type KeyDiff } from '../../src/versions/diff.js';
import { diffData, diffMarkdown, diffText } from '../../src/versions/report.js';
import { CLEARING } from '../support/clearing.js';
import { chainOf } from '../support/markup.js';

const OLD = `keywright: 1
id: caps
title: Caps
version: 1.0.0
scope: {group: caps, regions: [GB-CMA]}
characters:
  ring: {name: ring, states: [present, absent]}
  print: {name: spore print, states: [white, rust, pink]}
  width: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Print white, when: {print: white}, to: 2}
    - {lead: Print rust or pink, when: {print: [rust, pink]}, to: 3}
  2:
    - {lead: Cap under 4 cm, when: {width: < 4}, taxon: aa}
    - {lead: Cap 4 cm or more, when: {width: ">= 4"}, taxon: bb}
  3:
    - {lead: Ring present, when: {ring: present}, taxon: cc}
    - {lead: Ring absent, when: {ring: absent}, taxon: dd}
taxa:
  aa: {name: Aa aa, concern: {level: deadly}}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
  dd: {name: Dd dd, traits: {ring: absent}}
`;

const change = (...edits: [string, string][]): KeyDiff => {
  let now = OLD;
  for (const [from, to] of edits) {
    if (!now.includes(from)) throw new Error(`not there: ${from}`);
    now = now.replaceAll(from, to);
  }
  return diffKeys(chainOf(OLD), chainOf(now));
};
const moved = ({ finds }: KeyDiff) => finds.moved.map((m) => [m.was.map((t) => t.id), m.is.map((t) => t.id)]);
const text = (diff: KeyDiff) => diffText(diff, undefined, { words: true }, 100);

describe('what is no change', () => {
  it.each<[string, [string, string][]]>([
    ['nothing at all', []],
    [
      'another unit of a lead',
      [
        ['width: < 4', 'width: < 40 mm'],
        ['">= 4"', '">= 40 mm"'],
      ],
    ],
    [
      'leads in another order',
      [
        [
          '    - {lead: Ring present, when: {ring: present}, taxon: cc}\n    - {lead: Ring absent, when: {ring: absent}, taxon: dd}',
          '    - {lead: Ring absent, when: {ring: absent}, taxon: dd}\n    - {lead: Ring present, when: {ring: present}, taxon: cc}',
        ],
      ],
    ],
    ['a condition said otherwise', [['{print: [rust, pink]}', '{print: {not: white}}']]],
    ['words', [['lead: Ring present', 'lead: Stem with a ring']]],
    [
      'another id of a character',
      [
        ['ring:', 'annulus:'],
        ['name: ring', 'name: ring'],
      ],
    ],
  ])('%s', (_, edits) => {
    const diff = change(...edits);
    expect(moved(diff)).toEqual([]);
    expect(diff.finds.undecided).toEqual([]);
    expect(changesSomething(diff)).toBe(false);
  });

  it('couplets that are the same in effect: another way round, the same finds', () => {
    const diff = change(['{print: [rust, pink]}', '{print: [rust, pink], ring: [present, absent]}']);
    expect(moved(diff)).toEqual([]);
  });
});

describe('other words', () => {
  const also = (...edits: [string, string][]) => change(...edits).words.map((w) => [w.what, w.also]);

  it.each<[string, [string, string][], [string, readonly string[] | undefined][]]>([
    ['of a lead alone', [['Ring present', 'With a ring']], [['lead 3a', []]]],
    [
      'of a lead whose condition says the same',
      [['lead: Cap under 4 cm, when: {width: < 4}', 'lead: Cap narrow, when: {width: < 40 mm}']],
      [['lead 2a', []]],
    ],
    [
      'of a lead whose character has another id',
      [
        ['ring:', 'annulus:'],
        ['lead: Ring present', 'lead: With a ring'],
      ],
      [['lead 3a', []]],
    ],
    [
      'of a lead whose condition is another',
      [['lead: Cap under 4 cm, when: {width: < 4}', 'lead: Cap under 5 cm, when: {width: < 5}']],
      [['lead 2a', ['condition']]],
    ],
    [
      'of a lead for all else, where the others ask something else',
      [['lead: Ring absent, when: {ring: absent}', 'lead: Ring wanting, otherwise: true']],
      [['lead 3b', ['condition']]],
    ],
    [
      'of a lead that ends elsewhere',
      [
        [
          'lead: Ring present, when: {ring: present}, taxon: cc',
          'lead: With a ring, when: {ring: present}, taxon: bb',
        ],
      ],
      [['lead 3a', ['end']]],
    ],
    ['of a taxon', [['{name: Bb bb}', '{name: Bb bb, note: rare}']], [['note of Bb bb', undefined]]],
    [
      'of a character with another id',
      [
        ['ring: {name: ring', 'annulus: {look: below, name: ring'],
        ['ring:', 'annulus:'],
      ],
      [['how to look at annulus', undefined]],
    ],
  ])('%s', (_, edits, words) => {
    expect(also(...edits)).toEqual(words);
  });

  it('are told apart from what is more', () => {
    const said = text(
      change(
        ['lead: Cap under 4 cm, when: {width: < 4}', 'lead: Cap under 5 cm, when: {width: < 5}'],
        ['Ring present', 'With a ring'],
        ['version: 1', 'note: made anew\nversion: 1'],
      ),
    );
    expect(said).toMatch(
      /Leads that were only reworded:\n {2}lead 3a: [\s\S]*also ask something else or lead elsewhere:\n {2}lead 2a: "Cap under 4 cm", now "Cap under 5 cm" \(with another condition\)\n[\s\S]*Other texts that were reworded:\n {2}note of the key: new: "made anew"/,
    );
  });

  it('are not those of another taxon that has got the id', () => {
    const swapped: [string, string][] = [
      ['{name: Bb bb}', '{name: Cc cc, note: brittle}'],
      ['  cc: {name: Cc cc}', '  cc: {name: Bb bb}'],
    ];
    expect(change(...swapped).words).toEqual([{ what: 'note of Cc cc', was: '', is: 'brittle' }]);
  });
});

describe('finds', () => {
  it('at a moved boundary are shown with the numbers between', () => {
    const diff = change(['width: < 4', 'width: < 3'], ['">= 4"', '">= 3"']);
    expect(moved(diff)).toEqual([[['aa'], ['bb']]]);
    expect(text(diff)).toMatch(
      /a find with spore print white and width of the cap 3\.\d+ cm: was Aa aa \(deadly\), now\s+Bb bb/,
    );
  });

  it('that fit nothing any more, or two ends, are shown', () => {
    expect(moved(change(['{print: [rust, pink]}', '{print: rust}']))).toEqual([
      [['cc'], []],
      [['dd'], []],
    ]);
    expect(moved(change(['width: < 4', 'width: < 5']))).toEqual([[['bb'], ['aa', 'bb']]]);
  });

  it('a harmful taxon that is one no more stands first', () => {
    const diff = change(
      ['when: {width: < 4}, taxon: aa', 'when: {width: < 4}, taxon: cc'],
      ['when: {ring: present}, taxon: cc', 'when: {ring: present}, taxon: aa'],
    );
    expect(moved(diff)).toEqual([
      [['aa'], ['cc']],
      [['cc'], ['aa']],
    ]);
  });

  it('every taxon whose finds are now taken by another is told', () => {
    const diff = change(['when: {print: white}, to: 2', 'when: {print: [white, rust]}, to: 2']);
    expect(new Set(moved(diff).map(([was]) => was?.join()))).toEqual(new Set(['cc', 'dd']));
    for (const { is } of diff.finds.moved)
      expect(is.map((t) => t.id)).toEqual(expect.arrayContaining([expect.stringMatching(/aa|bb/)]));
  });
});

describe('taxa, characters, scope', () => {
  it('harm that is lowered stands first', () => {
    const diff = change(
      ['concern: {level: deadly}', 'concern: {level: unknown}'],
      ['regions: [GB-CMA]', 'regions: [GB]'],
      ['name: Bb bb', 'name: Bb bb, concern: {level: upset}'],
    );
    expect(diff.concerns.map((c) => c.is.id)).toEqual(['aa', 'bb']);
    expect(text(diff)).toMatch(
      /^.*\n\nHarm that is recorded as less than before:\n {2}Aa aa: deadly, now unknown\n/,
    );
    expect(diff.scope).toEqual([{ what: 'regions', was: 'GB-CMA', is: 'GB' }]);
    expect(text(diff)).not.toMatch(CLEARING);
  });

  it('new, gone and called otherwise', () => {
    const renamed = change(
      ['taxon: cc', 'taxon: ff'],
      ['  cc: {name: Cc cc}', '  ff: {name: Ff ff, synonyms: [Cc cc]}'],
    );
    expect([renamed.added, renamed.gone, moved(renamed)]).toEqual([[], [], []]);
    expect(renamed.renamed.map((r) => [r.was.name, r.is.name])).toEqual([['Cc cc', 'Ff ff']]);
    const other = change(['taxon: cc', 'taxon: ff'], ['  cc: {name: Cc cc}', '  ff: {name: Ff ff}']);
    expect(other.added.map((t) => t.id)).toEqual(['ff']);
    expect(other.gone.map((t) => t.id)).toEqual(['cc']);
  });

  it('an id that is given to another species does not make the two one', () => {
    const diff = change([
      '  aa: {name: Aa aa, concern: {level: deadly}}\n  bb: {name: Bb bb}',
      '  bb: {name: Aa aa, concern: {level: deadly}}\n  aa: {name: Bb bb}',
    ]);
    expect(moved(diff).length).toBeGreaterThan(0);
    expect(diff.concerns).toEqual([]);
    expect(diff.renamed.map((r) => [r.was.id, r.is.id])).toEqual([
      ['aa', 'bb'],
      ['bb', 'aa'],
    ]);
  });

  it('characters whose states, unit or age have changed', () => {
    const states = change(
      ['states: [white, rust, pink]', 'states: {white: white to cream, rust: rust, black: black}'],
      ['[rust, pink]', '[rust, black]'],
    );
    expect(states.characters).toEqual([
      {
        id: 'print',
        name: 'spore print',
        what: [
          'pink can no longer be shown',
          'black can be shown as well',
          'white meant "white" and means "white to cream"',
        ],
      },
    ]);
    const unit = change(['unit: cm', 'unit: mm'], ['< 4', '< 40'], ['">= 4"', '">= 40"']);
    expect([moved(unit), unit.characters[0]?.what]).toEqual([
      [],
      ['was a measure in cm and is a measure in mm'],
    ]);
    expect(
      change(['name: ring, states', 'name: ring, stages: [mature], states']).characters[0]?.what,
    ).toEqual(['read from any age, now from mature']);
  });

  it('another way to a taxon, and another description', () => {
    const diff = change(
      ['{ring: absent}, taxon: dd', '{ring: absent, width: ">= 0"}, taxon: dd'],
      ['traits: {ring: absent}', 'traits: {ring: absent, print: pink}'],
    );
    expect(diff.paths.map((p) => [p.is.id, p.nowAsked])).toEqual([
      ['cc', ['width of the cap']],
      ['dd', ['width of the cap']],
    ]);
    expect(diff.described.map((d) => [d.is.id, d.characters])).toEqual([['dd', ['print']]]);
  });
});

describe('leads without a condition', () => {
  const bare = (text: string) => text.replace(/, when: \{(ring|width)[^}]*\}/g, '');

  it('are the same where their words are, whatever their number', () => {
    const now = bare(OLD).replaceAll('to: 2', 'to: 9').replace('\n  2:', '\n  9:');
    const diff = diffKeys(chainOf(bare(OLD)), chainOf(now));
    expect(changesSomething(diff)).toBe(false);
  });

  it('that lead elsewhere are shown by their words', () => {
    const now = bare(OLD)
      .replace('4 cm, taxon: aa', '4 cm, taxon: bb')
      .replace('more, taxon: bb', 'more, taxon: aa');
    const diff = diffKeys(chainOf(bare(OLD)), chainOf(now));
    expect(moved(diff)).toEqual([
      [['aa'], ['bb']],
      [['bb'], ['aa']],
    ]);
    expect(text(diff)).toMatch(/one says\s+"Cap under 4 cm" \(2a\)/);
  });

  it('that are reworded are for a reader', () => {
    const diff = diffKeys(chainOf(bare(OLD)), chainOf(bare(OLD).replace('Ring present', 'Ring hanging')));
    expect([moved(diff), diff.wordsThatDecide.map((w) => w.is), changesSomething(diff)]).toEqual([
      [],
      ['Ring hanging'],
      true,
    ]);
  });

  it('that get a condition lead where they led', () => {
    const diff = diffKeys(chainOf(bare(OLD)), chainOf(OLD));
    expect([moved(diff), diff.finds.undecided, diff.joint.coded.gained]).toEqual([
      [],
      [],
      ['2a', '2b', '3a', '3b'],
    ]);
  });
});

describe('the limit of work', () => {
  it('is said, and finds are drawn instead', () => {
    const now = OLD.replaceAll('width: < 4', 'width: < 3').replace('">= 4"', '">= 3"');
    const diff = diffKeys(chainOf(OLD), chainOf(now), { steps: 0, draws: 500 });
    expect(diff.finds.undecided.map((t) => t.id)).toEqual(['aa', 'bb']);
    expect(diff.finds.drawn).toBe(500);
    expect(moved(diff)).toEqual([[['aa'], ['bb']]]);
    expect(text(diff)).toMatch(/Not decided within the limit of work/);
    expect(text(diff)).toMatch(/\(drawn\)/);
  });
});

it('Markdown and JSON say the same', () => {
  const diff = change(['width: < 4', 'width: < 3'], ['">= 4"', '">= 3"']);
  expect(diffMarkdown(diff, undefined, { words: false })).toMatch(
    /\n## Finds that end elsewhere.*\n\n- a find with spore print white/,
  );
  expect(JSON.parse(JSON.stringify(diffData(diff, undefined, true)))).toMatchObject({
    changed: true,
    finds: [{ find: { print: 'white' }, was: ['aa'], is: ['bb'], drawn: false }],
    table: null,
  });
});
