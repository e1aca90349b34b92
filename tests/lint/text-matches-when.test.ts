import { describe, expect, test } from 'vitest';
import { wholeText } from '../../src/lint/example.js';
import { textMatchesWhen } from '../../src/lint/rules/text-matches-when.js';
import { apply, keyOf, messages } from './apply.js';
import { marked, places } from './marks.js';

const CHARACTERS = `
characters:
  cap-width: {name: width of the cap, kind: measure, unit: cm}
  stem-length: {name: length of the stem, kind: measure, unit: cm}
  spore-length: {name: length of the spores, kind: measure, unit: um}
  leaflets: {name: number of leaflets, kind: count, limits: 1-40}
  teeth: {name: teeth of the comb, kind: count}
  leaf-ratio: {name: length of the leaf by its width, kind: measure}
  ring: {name: ring on the stem, states: {present: a ring or a trace of one, absent: no trace of one}}
  ring-texture: {name: texture of the ring, states: {membranous: like a skin, fibrous: of loose threads}}
  spore-print: {name: colour of the spore print, states: {white: white to cream, rust: rusty brown, black: black}}
  cap-feel: {name: feel of the cap, states: [dry, viscid]}
  cap-colour: {name: colour of the cap, states: {red: red, brown: brown, pale: whitish or cream}}
  gill-colour: {name: colour of the gills, states: [white, pink]}
  hairs: {name: hairs, states: [present, absent]}`;

/** Words and condition of the first lead; the second is silent. */
function findings(words: string, when: string, more = CHARACTERS): string[] {
  const text = keyOf(
    [
      [words, when],
      ['Another', 'otherwise: true'],
    ],
    more,
  );
  return messages(textMatchesWhen, text);
}

const agree: [string, string][] = [
  ['Cap 5-8 cm wide', 'when: {cap-width: 5-8}'],
  ['Cap 5–8 cm wide', 'when: {cap-width: 5-8}'],
  ['Cap 50-80 mm wide', 'when: {cap-width: 5-8 cm}'],
  ['Cap 5 to 8 cm wide', 'when: {cap-width: 50-80 mm}'],
  ['Cap (3-)5-8(-12) cm wide', 'when: {cap-width: (3-)5-8(-12)}'],
  ['Cap 5-8 cm wide', 'when: {cap-width: (3-)5-8(-12)}'],
  ['Cap 3-12 cm wide', 'when: {cap-width: (3-)5-8(-12)}'],
  ['Cap 5-8 cm wide', 'when: {cap-width: ">= 5 to < 8"}'],
  ['Cap up to 8 cm wide', 'when: {cap-width: 5-8}'],
  ['Cap over 5 cm wide', 'when: {cap-width: "> 5 to < 8"}'],
  ['Cap 4 cm wide or more', 'when: {cap-width: ">= 4"}'],
  ['Cap under 4 cm wide when ripe', 'when: {cap-width: "< 4"}'],
  ['Cap at most 25 mm across', 'when: {cap-width: "<= 2.5"}'],
  ['Cap less than 2 or more than 8 cm wide', 'when: {cap-width: "< 2 or > 8"}'],
  ['Cap about 5 cm wide', 'when: {cap-width: 3-8}'],
  ['Cap usually 5 cm wide', 'when: {cap-width: 3-8}'],
  ['Cap 5-8 cm wide; stem 3-4 cm long', 'when: {cap-width: 5-8}'],
  ['Stem 3-4 cm long; cap small', 'when: {cap-width: "< 5"}'],
  ['Cap 5-8 cm wide; stem 3-4 cm long', 'when: {stem-length: 3-4, cap-width: 5-8}'],
  ['Cap small', 'when: {cap-width: "< 5"}'],
  ['Cap 2-5 wide', 'when: {cap-width: 2-8}'],
  ['Cap 5-8 cm wide', 'when: {cap-width: 3-12}, usually: {cap-width: 5-8}'],
  ['Leaflets over twelve', 'when: {leaflets: ">= 13"}'],
  ['Leaflets less than twelve', 'when: {leaflets: "<= 11"}'],
  ['Leaflets 13 or more', 'when: {leaflets: 13-40}'],
  ['Leaflets solitary, in two ranks', 'when: {leaflets: "1"}'],
  ['Leaflets smooth; flowers with 5 petals', 'when: {leaflets: 3-8}'],
  ['Leaflets 3-8, 5-lobed', 'when: {leaflets: 3-8}'],
  ['Teeth 17 or 19', 'when: {teeth: 17 or 19}'],
  ['Teeth of the comb 17-30', 'when: {teeth: 17-30}'],
  ['Leaf at least 3 times as long as broad', 'when: {leaf-ratio: ">= 3"}'],
  ['Leaf twice as long as broad', 'when: {leaf-ratio: "2"}'],
  ['Leaf broad; described in 1901', 'when: {leaf-ratio: "< 2"}'],
  ['Spores 6-8 × 4-5 µm', 'when: {spore-length: 6-8}'],
  ['Ring present', 'when: {ring: present}'],
  ['Stem with a ring', 'when: {ring: present}'],
  ['Stem with a membranous ring', 'when: {ring: present}'],
  ['Stem without a ring', 'when: {ring: absent}'],
  ['Stem without a membranous ring', 'when: {ring: present, ring-texture: fibrous}'],
  ['Ring wanting', 'when: {ring: absent}'],
  ['Ring not present', 'when: {ring: absent}'],
  ['Ring present or absent', 'when: {ring: [present, absent]}'],
  ['Ring rarely absent', 'when: {ring: present}'],
  ['Ring absent when old', 'when: {ring: present}'],
  ['Ring white', 'when: {ring: present}'],
  ['Stem absent', 'when: {ring: present}'],
  ['Spines on the ring absent', 'when: {ring: present}'],
  ['Hairs absent on the upper side', 'when: {hairs: present}'],
  ['Ring fibrous or absent', 'when: {any: [{ring: absent}, {ring-texture: fibrous}]}'],
  ['Spore print white', 'when: {spore-print: white}'],
  ['Spore print white or rusty', 'when: {spore-print: {not: black}}'],
  ['Spore print not white', 'when: {spore-print: {not: white}}'],
  ['Spore print not white', 'when: {spore-print: [rust, black]}'],
  ['Spore print cream', 'when: {spore-print: white}'],
  ['Stem white; spore print black', 'when: {spore-print: black}'],
  ['Cap white', 'when: {cap-colour: pale}'],
  ['Gill edge white', 'when: {gill-colour: pink}'],
  ['Gills white at first, then pink', 'when: {gill-colour: pink}'],
  ['Viscid cap', 'when: {cap-feel: viscid}'],
  ['Ring present, or cap viscid', 'when: {any: [{ring: present}, {cap-feel: viscid}]}'],
  ['Ring present and cap viscid', 'when: {ring: present, cap-feel: viscid}'],
  ['Ring present; cap red or brown', 'when: {ring: present, cap-colour: [red, brown]}'],
  ['Cap red and dry', 'when: {cap-colour: red, cap-feel: dry}'],
  ['Neither ring nor viscid cap', 'when: {ring: absent, cap-feel: dry}'],
];

test.each(agree)('silent: %s %s', (words, when) => {
  expect(findings(words, when)).toEqual([]);
});

const differ: [string, string, RegExp][] = [
  ['Cap 5-8 cm wide', 'when: {cap-width: 5-9}', /"5-8 cm", but its condition asks 5-9 cm/],
  ['Cap 5-8 mm wide', 'when: {cap-width: 5-8}', /"5-8 mm", but its condition asks 5-8 cm/],
  ['Cap over 5 cm wide', 'when: {cap-width: ">= 5"}', /only the boundary differs/],
  ['Up to 5 cm wide', 'when: {cap-width: "<= 6"}', /"Up to 5 cm"/],
  ['Cap (3-)5-8(-12) cm wide', 'when: {cap-width: 5-8}', /asks 5-8 cm/],
  ['Cap at most 25 mm wide', 'when: {cap-width: ">= 2.5"}', /at most 25 mm/],
  ['Cap 5-8 cm wide; stem 3-4 cm long', 'when: {cap-width: 5-9, stem-length: 3-4}', /"5-8 cm"/],
  ['Leaflets over twelve', 'when: {leaflets: ">= 12"}', /"over twelve", but its condition asks >= 12/],
  ['Leaflets twelve', 'when: {leaflets: "13"}', /"twelve"/],
  ['With 5 leaflets', 'when: {leaflets: "6"}', /"5", but its condition asks 6/],
  ['Teeth 14-15', 'when: {teeth: 17-30}', /14-15/],
  ['Leaf at most 2 times as long as broad', 'when: {leaf-ratio: "<= 3"}', /at most 2 times/],
  ['Ring absent', 'when: {ring: present}', /"Ring absent", but its condition asks present/],
  ['Ring present', 'when: {ring: absent}', /asks absent/],
  ['Ring present', 'when: {ring: {not: present}}', /asks absent/],
  ['Ring present', 'when: {not: {ring: present}}', /asks absent/],
  ['Ring not present', 'when: {ring: present}', /Ring not present/],
  ['Stem without a ring', 'when: {ring: present}', /without a ring/],
  ['Stem with a ring', 'when: {ring: absent}', /with a ring/],
  ['No ring', 'when: {ring: present}', /No ring/],
  ['Ring lacking', 'when: {ring: present}', /Ring lacking/],
  ['Spore print black', 'when: {spore-print: white}', /asks white .colour of the spore print/],
  ['Cap dry, red', 'when: {cap-feel: dry, cap-colour: brown}', /"red"/],
  ['Viscid cap', 'when: {cap-feel: dry}', /Viscid cap/],
  ['Cap dry; ring membranous', 'when: {cap-feel: dry, ring-texture: fibrous}', /ring membranous/],
  ['Ring present or cap viscid', 'when: {ring: present, cap-feel: viscid}', /joins its statements with "or"/],
  [
    'Ring present and cap viscid',
    'when: {any: [{ring: present}, {cap-feel: viscid}]}',
    /asks one or the other/,
  ],
];

test.each(differ)('found: %s %s', (words, when, message) => {
  const found = findings(words, when);
  expect(found).toHaveLength(1);
  expect(found[0]).toMatch(message);
});

const COUNTED = `
characters:
  stamens: {name: stamens, states: ["2", "4", "6"]}
  scales: {name: scales, states: {few: "2-4", many: 5 or more}}
  petals: {name: petals, states: {two: two, four: four}}
  koh: {name: reaction with KOH, states: {plus: "+", minus: "-"}}
  length: {name: length of the stamens, states: {short: under 2 mm, long: 2 mm or more}}`;

test.each([
  ['Stamens 2.', 'when: {stamens: "2"}'],
  ['Stamens 2', 'when: {stamens: ["2", "4"]}'],
  ['Stamens two', 'when: {stamens: "2"}'],
  ['With 4 stamens', 'when: {stamens: "4"}'],
  ['Stamens 2 or 4', 'when: {stamens: ["2", "4"]}'],
  ['Stamens more than 2', 'when: {stamens: "4"}'],
  ['Stamens 2-4', 'when: {stamens: "2"}'],
  ['Stamens 2 mm long', 'when: {stamens: "4"}'],
  ['Stamens 6, 4 long and 2 short', 'when: {stamens: "6"}'],
  ['Scales 2-4', 'when: {scales: few}'],
  ['Scales 5 or more', 'when: {scales: many}'],
  ['Petals 2', 'when: {petals: two}'],
  ['Reaction with KOH +', 'when: {koh: plus}'],
  ['Reaction with KOH -', 'when: {koh: plus}'],
])('silent where states are numbers or signs: %s %s', (words, when) => {
  expect(findings(words, when, COUNTED)).toEqual([]);
});

test.each([
  ['Stamens 2.', 'when: {stamens: "4"}', /"Stamens 2", but its condition asks 4/],
  ['Stamens two', 'when: {stamens: "4"}', /"Stamens two", but its condition asks 4/],
  ['With 4 stamens', 'when: {stamens: ["2", "6"]}', /asks 2 or 6/],
  ['Scales 2-4', 'when: {scales: many}', /asks many/],
  ['Scales 5 or more', 'when: {scales: few}', /asks few/],
  ['Petals 2', 'when: {petals: four}', /asks four/],
])('found where states are numbers: %s %s', (words, when, message) => {
  const found = findings(words, when, COUNTED);
  expect(found).toHaveLength(1);
  expect(found[0]).toMatch(message);
});

const GERMAN = `
language: de
characters:
  hut-breite: {name: Breite des Hutes, kind: measure, unit: cm}
  blaettchen: {name: Zahl der Blättchen, kind: count}
  blatt-form: {name: Länge des Blattes durch seine Breite, kind: measure}
  ring: {name: Ring am Stiel, states: {present: vorhanden, absent: fehlend}}
  sporen: {name: Farbe des Sporenpulvers, states: {weiss: weiß, braun: braun, gruen: grün}}`;

test.each([
  ['Hut 1,5-2 cm breit', 'when: {hut-breite: 1.5-2}'],
  ['Hut bis 5 cm breit', 'when: {hut-breite: "<= 5"}'],
  ['Hut über 5 cm breit', 'when: {hut-breite: "> 50 mm"}'],
  ['Hut etwa 5 cm breit', 'when: {hut-breite: 3-7}'],
  ['Blättchen mehr als zwölf', 'when: {blaettchen: "> 12"}'],
  ['Blatt mindestens dreimal so lang wie breit', 'when: {blatt-form: "3"}, usually: {blatt-form: "3"}'],
  ['Stiel mit Ring', 'when: {ring: present}'],
  ['Stiel ohne Ring', 'when: {ring: absent}'],
  ['Ring fehlend', 'when: {ring: absent}'],
  ['Ring nicht vorhanden', 'when: {ring: absent}'],
  ['Ring meist fehlend', 'when: {ring: present}'],
  ['Sporenpulver braun', 'when: {sporen: braun}'],
  ['Sporenpulver weiß oder grün', 'when: {sporen: [weiss, gruen]}'],
])('silent in German: %s %s', (words, when) => {
  expect(findings(words, when, GERMAN)).toEqual([]);
});

test.each([
  ['Hut 1,5-2 cm breit', 'when: {hut-breite: 1.5-3}', /"1,5-2 cm", but its condition asks 1.5-3 cm/],
  ['Hut mindestens 5 cm breit', 'when: {hut-breite: "> 5"}', /mindestens 5 cm/],
  ['Blättchen weniger als zwölf', 'when: {blaettchen: "> 12"}', /weniger als zwölf/],
  ['Stiel ohne Ring', 'when: {ring: present}', /ohne Ring/],
  ['Ring vorhanden', 'when: {ring: absent}', /Ring vorhanden/],
  ['Sporenpulver grün', 'when: {sporen: [weiss, braun]}', /Sporenpulver grün/],
])('found in German: %s %s', (words, when, message) => {
  const found = findings(words, when, GERMAN);
  expect(found).toHaveLength(1);
  expect(found[0]).toMatch(message);
});

describe('the examples of the rule', () => {
  const found = (text: string) => places(apply(textMatchesWhen, text));
  test('good', () => expect(found(wholeText(textMatchesWhen.good))).toEqual([]));
  test('bad', () => {
    const bad = wholeText(textMatchesWhen.bad);
    expect(found(bad)).toEqual(marked(bad));
  });
});

test('in a language that is not known nothing is read', () => {
  const text = keyOf([['Cap 5-8 cm wide', 'when: {cap-width: 5-9}'], 'Other'], `language: fr${CHARACTERS}`);
  expect(apply(textMatchesWhen, text)).toEqual([]);
});
