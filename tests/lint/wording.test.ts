import { expect, test } from 'vitest';
import type { Rule } from '../../src/lint/rule.js';
import { leadIsPhrase } from '../../src/lint/rules/lead-is-phrase.js';
import { leadMeasured } from '../../src/lint/rules/lead-measured.js';
import { leadNamesNoTaxon } from '../../src/lint/rules/lead-names-no-taxon.js';
import { leadNoException } from '../../src/lint/rules/lead-no-exception.js';
import { leadOpensAlike } from '../../src/lint/rules/lead-opens-alike.js';
import { leadPositive } from '../../src/lint/rules/lead-positive.js';
import { leadUnhedged } from '../../src/lint/rules/lead-unhedged.js';
import { nameForm } from '../../src/lint/rules/name-form.js';
import { organFirst } from '../../src/lint/rules/organ-first.js';
import { separatorAlike } from '../../src/lint/rules/separator-alike.js';
import { termDefined } from '../../src/lint/rules/term-defined.js';
import { unitStated } from '../../src/lint/rules/unit-stated.js';
import { apply, keyOf, messages } from './apply.js';

type Leads = Parameters<typeof keyOf>[0];

const ENGLISH = `
characters:
  cap: {name: width of the cap, kind: measure, unit: cm}
  feel: {name: feel of the cap, states: [dry, viscid]}
  size: {name: size of the cap, states: {large: over 8 cm wide, small: under 8 cm wide}}
  ring: {name: ring on the stem, states: [present, absent]}
  gills: {name: how the gills meet the stem, states: {adnate: by their whole width, free: not at all}}
glossary: {umbonate: with a knob, minute: under 1 mm}`;
const GERMAN = `
language: de-AT
characters:
  hut: {name: Breite des Hutes, kind: measure, unit: cm}
  haut: {name: Beschaffenheit der Huthaut, states: [trocken, klebrig]}`;

function said(rule: Rule, leads: Leads, more = ENGLISH): string[] {
  return messages(rule, keyOf(leads, more));
}

/** Texts of one lead each, the other a plain one. */
function each(
  rule: Rule,
  texts: readonly (string | [string, string])[],
  more = ENGLISH,
  other = 'Cap dry',
): void {
  test.each(texts.map((t) => [typeof t === 'string' ? t : t.join(' '), t] as const))(
    `${rule.id} is silent: %s`,
    (_, t) => {
      expect(said(rule, [t, other], more)).toEqual([]);
    },
  );
}

function fails(
  rule: Rule,
  texts: readonly (string | [string, string])[],
  more = ENGLISH,
  other = 'Cap dry',
): void {
  test.each(texts.map((t) => [typeof t === 'string' ? t : t.join(' '), t] as const))(
    `${rule.id} finds: %s`,
    (_, t) => {
      expect(said(rule, [t, other], more)).toHaveLength(1);
    },
  );
}

// lead-opens-alike: the other lead is "Cap dry".
each(leadOpensAlike, [
  'Cap viscid',
  'The cap viscid',
  'Caps viscid',
  'Cap-surface viscid',
  'CAP VISCID',
  'Not so',
  'Otherwise',
  '5 caps or more',
  ['Anything else', 'otherwise: true'],
]);
fails(leadOpensAlike, ['Viscid cap', 'Stem hollow', 'With a ring', 'Surface of the cap dry', 'Cup dry']);
each(
  leadOpensAlike,
  [
    'Hüte klebrig',
    'Hut klebrig',
    'Der Hut klebrig',
    'Hutes Rand glatt',
    'Nicht wie oben',
    'Sonst',
    'Anders',
    '2 Hüte',
  ],
  GERMAN,
  'Hut trocken',
);
fails(leadOpensAlike, ['Klebriger Hut', 'Stiel hohl'], GERMAN, 'Hut trocken');
test('leaf and leaves, pairs with -ies and -ves are one word', () => {
  for (const [a, b] of [
    ['Leaf simple', 'Leaves compound'],
    ['Berry red', 'Berries blue'],
    ['Bush low', 'Bushes tall'],
    ['Glass', 'Glasses'],
    ['Umbel simple', 'Umbels compound'],
  ] as const)
    expect(said(leadOpensAlike, [a, b])).toEqual([]);
});

each(leadPositive, [
  'Ring absent',
  'Ring none',
  'Gills attached, not decurrent',
  'Gills free; stem hollow, not full',
  'Not more than 5 spines',
  'No fewer than 5 spines',
  'Cap not more than 5 cm wide',
  'Cap not over 5 cm wide',
  'Gills parting from the cap not readily',
  'Cap not viscid and not scaly',
  'Cap red, stem not hollow',
  'Notched at the tip',
  ['Not so', 'otherwise: true'],
  ['Otherwise', 'otherwise: true'],
]);
fails(leadPositive, [
  'Not viscid',
  'Without a ring',
  'No ring',
  'Lacking a ring',
  'Other fungi',
  'Cap not viscid',
  'The cap is not viscid',
  'Stem hollow; cap not viscid',
  'Not as above',
  'Not with this combination of characters',
  'Inflorescence not an umbel',
]);
each(
  leadPositive,
  [
    'Ring fehlend',
    'Hut nicht über 5 cm breit',
    'Nicht mehr als 5 Stacheln',
    'Lamellen angewachsen, nicht herablaufend',
    'Hut rot',
    'Stiel hohl',
    'Hut trocken',
    ['Nicht so', 'otherwise: true'],
  ],
  GERMAN,
);
fails(
  leadPositive,
  ['Ohne Ring', 'Hut nicht klebrig', 'Nicht wie oben', 'Kein Ring', 'Andere Pilze'],
  GERMAN,
);

each(leadMeasured, [
  'Cap large, 8-15 cm wide',
  'Cap small (under 2 cm)',
  'Cap longer than broad',
  'Leaves as long as broad',
  'Leaves twice as long as broad',
  'Gills broader towards the cap',
  'Stem long-lasting',
  'Leaves broad-based',
  'Spines three times as long as wide',
  'Gills thin',
  'Teeth minute',
  'Lower leaves lobed',
  ['Cap large', 'when: {size: large}'],
]);
fails(leadMeasured, [
  'Cap large',
  'Cap Small',
  'Leaves long',
  'Flowers showy; leaves 3 cm long',
  'Leaves longer',
  'Spines short',
  'Stem thick',
]);
each(
  leadMeasured,
  [
    'Hut groß, 8-15 cm breit',
    'Blätter länger als breit',
    'Blätter 3 cm lang',
    'Blätter so lang wie breit',
    'Langlebig',
    'Blätter doppelt so lang',
    'Hut rot',
    'Stiel hohl',
  ],
  GERMAN,
);
fails(leadMeasured, ['Hut groß', 'Blätter lang', 'Kleiner Hut', 'Blüten auffällig'], GERMAN);

each(leadUnhedged, [
  'Cap red',
  'Stem hollow, at most half full',
  'Spores at least 8 µm long',
  'Cap somewhat sinuate',
  'Cap nearly flat',
  'Cap red or brown',
  'Unusually shaped',
  'Stem central (in some species usually lateral)',
  'Cap softened',
  ['Cap usually red', 'when: {ring: present}, usually: {feel: dry}'],
]);
fails(leadUnhedged, [
  'Cap usually red',
  'Cap mostly red',
  'Ring sometimes absent',
  'Cap more or less flat',
  'Cap Often red',
  'Ring as a rule present',
  'Leaves rarely lobed',
]);
each(
  leadUnhedged,
  [
    'Hut rot',
    'Hut höchstens 5 cm breit',
    'Ring fehlend',
    'Hut rot oder braun',
    'Lamellen weiß',
    'Stiel hohl',
    'Hut fast flach',
    'Oftmalige Blüte',
  ],
  GERMAN,
);
fails(
  leadUnhedged,
  ['Hut meist rot', 'Ring in der Regel fehlend', 'Hut mehr oder weniger flach', 'Selten verzweigt'],
  GERMAN,
);

const NAMES = `${ENGLISH}`;
each(
  leadNoException,
  [
    'Cap smooth except at the margin',
    'Hairless except on the veins',
    'Smooth unless old',
    'Smooth but not shiny',
    'Excepting the stem, white',
    'White, apart from the ring',
    'Yellow, other than the base',
    'Dry, save for the middle',
  ],
  NAMES,
);
fails(
  leadNoException,
  [
    'Smooth (except in Aa aa)',
    'Smooth, unless in A. ab',
    'Smooth except in some species',
    'Ring present, but not in one species',
    'Smooth with the exception of Aa ab',
  ],
  NAMES,
);
each(
  leadNoException,
  [
    'Hut glatt, außer am Rand',
    'Kahl, ausgenommen die Adern',
    'Glatt, aber nicht glänzend',
    'Weiß bis auf die Basis',
    'Hut rot',
    'Stiel hohl',
    'Ring fehlend',
    'Glatt, es sei denn im Alter',
  ],
  GERMAN,
);
fails(
  leadNoException,
  ['Hut glatt, außer bei Aa aa', 'Glatt, mit Ausnahme von Aa ab', 'Ring vorhanden, außer bei einigen Arten'],
  GERMAN,
);

each(leadNamesNoTaxon, [
  'Cap red',
  'Growing on Betula',
  'A cap',
  'Aa',
  'Ab aa',
  'Cap as in aa',
  'Paa aa',
  'Aa aaa',
  'A. aab',
]);
fails(leadNamesNoTaxon, [
  'Larger than in Aa ab',
  'Larger than A. ab',
  'Aa aa: cap red',
  'Like (Aa ab) but red',
]);

each(leadIsPhrase, [
  'Ring present',
  'Ring present (see note)',
  'Ring present.',
  'Ring "present"',
  'Ring ? present',
  `${'word '.repeat(60)}`,
  'Ring present; cap red',
  'Is as broad as long',
]);
fails(leadIsPhrase, [
  'Ring present?',
  'Is a ring present? ',
  `${'word '.repeat(61)}`,
  'Ist ein Ring vorhanden?',
]);

each(organFirst, [
  'Cap viscid',
  ['Cap viscid', 'when: {feel: viscid}'],
  ['Viscid', 'when: {feel: viscid}'],
  ['Dry to viscid cap', 'when: {feel: [dry, viscid]}'],
  ['Dry stem; cap viscid', 'when: {feel: viscid}'],
  ['Ring present', 'when: {ring: present}'],
  ['Present on wood', 'when: {ring: present}'],
  ['Large hairs on the cap', 'when: {size: large}'],
]);
fails(organFirst, [
  ['Viscid cap', 'when: {feel: viscid}'],
  ['A dry cap', 'when: {feel: dry}'],
  ['Adnate gills', 'when: {gills: adnate}'],
]);
fails(organFirst, [['Klebrige Huthaut', 'when: {haut: klebrig}']], GERMAN);

each(termDefined, [
  'Gills adnate',
  'Cap umbonate',
  'Cap Umbonate',
  'Margin entire',
  'Leaves opposite',
  'Stem hollow',
  'Flowers yellow',
  'Cap finely umbonate-like',
]);
fails(termDefined, [
  'Leaves lanceolate',
  'Leaf-blades glabrous',
  'Bracts hairy',
  'Pileus red',
  'Cap hygrophanous',
]);
each(
  termDefined,
  [
    'Hut klebrig',
    'Blätter ganzrandig',
    'Stiel hohl',
    'Blüten gelb',
    'Lamellen frei',
    'Rand glatt',
    'Blätter gegenständig',
    'Hut rot',
  ],
  GERMAN,
);
fails(termDefined, ['Hut hygrophan', 'Flügeldecken: Elytren rot', 'Rhizome lang'], GERMAN);

each(unitStated, [
  ['Cap 4-8 cm wide', 'when: {cap: 4-8}'],
  ['Cap 40-80 mm wide', 'when: {cap: 4-8}'],
  ['Cap under 4 cm', 'when: {cap: < 4 cm}'],
  ['Cap small', 'when: {cap: < 4}'],
  ['Cap with 4-8 spots', 'when: {cap: < 4}'],
  ['Gills 20; cap under 4 cm', 'when: {cap: < 4}'],
  ['Cap 3 times as wide as the stem', 'when: {cap: "3"}'],
  ['Ring present', 'when: {ring: present}'],
]);
fails(unitStated, [
  ['Cap 4-8 wide', 'when: {cap: 4-8}'],
  ['Cap under 4', 'when: {cap: < 4}'],
  ['Cap 4 or more', 'when: {cap: ">= 4"}'],
]);
test('two units for one character are found once', () => {
  const leads = (b: string): Leads => [
    ['Cap under 4 cm wide', 'when: {cap: < 4}'],
    [b, 'when: {cap: ">= 4"}'],
  ];
  expect(said(unitStated, leads('Cap 4 cm wide or more'))).toEqual([]);
  expect(said(unitStated, leads('Cap 40 mm wide or more'))).toEqual([
    '1b gives width of the cap in mm, 1a in cm',
  ]);
});

test('separator-alike compares the leads of a key', () => {
  const both = (a: string, b: string) => said(separatorAlike, [a, b]);
  expect(both('Cap red; gills white', 'Cap dry; gills pink')).toEqual([]);
  expect(both('Cap quite scarlet. Gills white', 'Cap always yellow. Gills pink')).toEqual([]);
  expect(both('Cap red; gills white', 'Cap dry')).toEqual([]);
  expect(both('Cap red; gills white', 'Cap dry. G. white')).toEqual([]);
  expect(both('Cap red; gills white', 'Cap ca. 5 cm, subsp. Minor')).toEqual([]);
  expect(both('Cap red; gills white', 'Cap dry.')).toEqual([]);
  expect(both('Cap 3.5 cm; gills white', 'Cap dry (cf. Plate 3)')).toEqual([]);
  expect(both('Cap red, gills white', 'Cap always yellow. Gills pink')).toEqual([]);
  expect(both('Cap red; gills white', 'Cap always yellow. Gills pink')).toEqual([
    '1b separates its statements by full stops, the rest of the key by semicolons',
  ]);
  expect(both('Cap red; gills white', 'Cap yellow. Gills pink; stem hollow')).toEqual([
    '1b separates its statements both by semicolons and by full stops',
  ]);
  // A remark in brackets is none of the statements.
  expect(both('Cap red; gills white', 'Cap dry (in age viscid. Gills then free)')).toEqual([]);
});

test('separator-alike takes the abbreviations of a flora for what they are', () => {
  const both = (a: string, b: string) => said(separatorAlike, [a, b], 'language: de');
  expect(both('Hut rot; Lamellen weiß', 'Hut mit kegelf. Buckel')).toEqual([]);
  expect(both('Stiel mit netzart. Zeichnung; Hut rot', 'Stiel glatt')).toEqual([]);
  // `lappenz.` is an abbreviation because a sentence goes on behind it in another lead.
  expect(both('Stiel mit lappenz. Ring; Hut rot', 'Ring lappenz., am Rand weiß')).toEqual([]);
  expect(both('Stiel mit lappenz. Ring; Hut rot', 'Stiel glatt')).toHaveLength(1);
  expect(both('Hut rot; Lamellen weiß', 'Hut zart. Lamellen weiß')).toHaveLength(1);
});

const named = (name: string, rank?: string) =>
  apply(
    nameForm,
    keyOf(['Cap red', 'Cap dry']).replace(
      'name: Aa aa',
      `name: ${JSON.stringify(name)}${rank === undefined ? '' : `, rank: ${rank}`}`,
    ),
  ).map((f) => f.message);

test.each([
  ['Amanita muscaria', 'species'],
  ['Atropa bella-donna', 'species'],
  ['Mentha × piperita', 'species'],
  ['Mentha ×piperita', 'species'],
  ['Isoëtes durieui', 'species'],
  ['Armillaria mellea', 'aggregate'],
  ['Armillaria', 'genus'],
  ['Amanitaceae', 'family'],
  ['Aus bus subsp. cus', 'subspecies'],
  ['Aus bus cus', 'subspecies'],
  ['Aus bus var. cus', 'variety'],
  ['Aus bus f. cus', 'form'],
  ['tufted fungi (all of them)', 'group'],
  ['Cortinarius sect. Dermocybe', 'section'],
  ['red ones', undefined],
  ['Ratus rattus', 'species'],
  ['Bufo bufo', undefined],
  ['Aus (Busus) cus', 'species'],
])('name-form is silent: %s (%s)', (name, rank) => expect(named(name, rank)).toEqual([]));

test.each([
  ['Galerina cf. marginata', 'species', /"cf\."/],
  ['Galerina aff marginata', undefined, /aff/],
  ['Galerina sp.', 'species', /"sp\."/],
  ['Galerina spp.', undefined, /spp/],
  ['Armillaria mellea agg.', 'aggregate', /agg/],
  ['Armillaria mellea s.l.', 'species', /s\.l/],
  ['Galerina marginata?', 'species', /"\?"/],
  ['Galerina  marginata', 'species', /spaces/],
  ['Mentha x piperita', 'species', /letter x/],
  ['galerina marginata', 'species', /capital/],
  ['Galerina marginata (Batsch) Kühner', 'species', /authors/],
  ['Galerina marginata Kühner', 'species', /authors/],
  ['Galerina', 'species', /1 word, and the name of a species has two/],
  ['Galerina marginata', 'genus', /2 words, and the name of a genus has one/],
  ['Aus bus cus', 'variety', /rank of its last word/],
  ['Aus bús', 'species', /"ú"/],
])('name-form finds: %s (%s)', (name, rank, message) => {
  const found = named(name, rank);
  expect(found).toHaveLength(1);
  expect(found[0]).toMatch(message);
});

test('in a language that is not known no words are judged', () => {
  const french = 'language: fr';
  for (const rule of [
    leadOpensAlike,
    leadPositive,
    leadMeasured,
    leadUnhedged,
    leadNoException,
    termDefined,
    organFirst,
    separatorAlike,
  ])
    expect(
      said(rule, ['Not large; usually adnate. Without ring', 'Viscid cap, except in Aa aa?'], french),
    ).toEqual([]);
});
