/** Which finds count as a gap of a couplet: what the leads part, and what one of them only adds. */
import { describe, expect, test } from 'vitest';
import { leadsExclusive } from '../../src/lint/rules/leads-exclusive.js';
import { leadsExhaustive } from '../../src/lint/rules/leads-exhaustive.js';
import { rangesMeet } from '../../src/lint/rules/ranges-meet.js';
import { apply, keyOf } from './apply.js';

const CHARACTERS = `characters:
  margin: {name: margin, states: [toothed, entire]}
  len: {name: length, kind: measure, unit: cm}
  ring: {name: ring, states: [present, absent]}
  texture: {name: texture of the ring, states: [membranous, fibrous], applies-when: {ring: present}}
  smell: {name: smell, states: [anise, none]}
  hairs: {name: hairs, states: [none, few, many]}`;

/** What the rules on gaps say of a couplet whose leads ask these, with the rule that says it. */
function gaps(...leads: string[]): string[] {
  const text = keyOf(
    leads.map((when, i) => [`Lead ${i}`, when.startsWith('{') ? `when: ${when}` : when] as const),
    CHARACTERS,
  );
  return [leadsExhaustive, rangesMeet].flatMap((rule) =>
    apply(rule, text)
      .filter((f) => f.place.path.length === 2)
      .map((f) => `${rule.id}: ${f.message} (${f.witness})`),
  );
}

const MEANT = (rule: string) =>
  `; if that is meant, write "otherwise: true", move what only supports a lead to "usually", or allow it: # allow ${rule}: reason`;

describe('a gap', () => {
  test('stands where some leads agree on the rest and leave numbers between them', () => {
    expect(gaps('{margin: toothed}', '{margin: entire, len: < 5}', "{margin: entire, len: '> 8'}")).toEqual([
      `ranges-meet: no lead of couplet 1 takes length 5-8 cm in a find with margin entire${MEANT('ranges-meet')} (a find with margin entire and length 7 cm fits none of 1a, 1b, 1c)`,
    ]);
    expect(gaps('{margin: toothed}', '{margin: entire, len: < 5}', "{margin: entire, len: '>= 5'}")).toEqual(
      [],
    );
  });

  test('and states between them', () => {
    expect(
      gaps('{margin: toothed}', '{margin: entire, hairs: none}', '{margin: entire, hairs: many}'),
    ).toEqual([
      `leads-exhaustive: a find that arrives at couplet 1 can fit none of its leads${MEANT('leads-exhaustive')} (a find with margin entire and hairs few fits none of 1a, 1b, 1c)`,
    ]);
  });

  test('is not hidden by a lead about something else', () => {
    const [said] = gaps(
      '{smell: anise}',
      '{margin: toothed}',
      '{margin: entire, len: < 5}',
      "{margin: entire, len: '> 8'}",
    );
    expect(said).toMatch(/^ranges-meet: .* length 5-8 cm in a find with margin entire and smell none/);
  });

  test('of leads that have nothing in common is what neither takes', () => {
    expect(gaps('{margin: toothed}', '{len: < 5}')).toHaveLength(1);
  });

  test('in what all leads ask is told without a way to mean it', () => {
    expect(gaps('{len: < 5}', "{len: '> 8'}")).toEqual([
      'ranges-meet: no lead of couplet 1 takes length 5-8 cm (a find with length 7 cm fits none of 1a, 1b)',
    ]);
  });
});

describe('no gap', () => {
  test('is what one lead alone says besides', () => {
    expect(gaps('{ring: present, texture: membranous}', '{ring: absent}')).toEqual([]);
    expect(gaps('{ring: present, smell: anise}', '{ring: absent, hairs: none}')).toEqual([]);
    expect(gaps('{margin: toothed, len: < 5}', '{margin: entire, hairs: none}')).toEqual([]);
  });

  test('is what a lead adds to a character that says by itself that another is there', () => {
    expect(gaps('{texture: membranous}', '{ring: absent}')).toEqual([]);
  });

  test('is left by "otherwise" or by a lead that a person judges', () => {
    const parted = ['{margin: entire, len: < 5}', "{margin: entire, len: '> 8'}"];
    expect(gaps(...parted, 'otherwise: true')).toEqual([]);
    expect(gaps(...parted, 'note: see the plate')).toEqual([]);
  });

  test('is told twice, nor is an overlap told as one', () => {
    const text = keyOf(
      [
        ['A', 'when: {margin: toothed}'],
        ['B', 'when: {margin: entire, len: < 9}'],
        ['C', "when: {margin: entire, len: '> 8'}"],
      ],
      CHARACTERS,
    );
    expect(apply(rangesMeet, text).map((f) => f.message)).toEqual([
      '1b and 1c both take length > 8 to < 9 cm',
    ]);
    expect(apply(leadsExclusive, text)).toEqual([]);
    expect(apply(leadsExhaustive, text)).toEqual([]);
  });
});
