import { describe, expect, it } from 'vitest';
import { imported } from './structure.js';

/** The conditions proposed for a couplet of the given leads, as they stand in the key file. */
function proposed(...leads: string[]): string[] {
  const names = ['Aa aa', 'Ba ba', 'Ca ca', 'Da da'];
  const text = leads
    .map((l, i) => `1${'abcd'[i]}. ${l} ........ Tarnia ${names[i]?.split(' ')[0]?.toLowerCase()}lba`)
    .join('\n');
  const { result, problems } = imported(`${text}\n`);
  expect(problems).toEqual([]);
  return (result.keys[0]?.text ?? '').split('\n').flatMap((l) => /^\s+when: (.*)$/.exec(l)?.[1] ?? []);
}

describe('conditions are proposed where leads contrast plainly', () => {
  it.each([
    [
      ['Flowers white', 'Flowers red'],
      ['{flower-colour: white}', '{flower-colour: red}'],
    ],
    [
      ['Flowers white or yellow', 'Flowers blue, violet or purple'],
      ['{flower-colour: [white, yellow]}', '{flower-colour: [blue, violet, purple]}'],
    ],
    [
      ['Cap pale brown', 'Cap dark red'],
      ['{cap-colour: pale-brown}', '{cap-colour: dark-red}'],
    ],
    [
      ['Blüten weiß', 'Blüten rötlich'],
      ['{blueten-colour: weiss}', '{blueten-colour: roetlich}'],
    ],
    [
      ['Ring present', 'Ring absent'],
      ['{ring: present}', '{ring: absent}'],
    ],
    [
      ['Ring present', 'Ring wanting'],
      ['{ring: present}', '{ring: absent}'],
    ],
    [
      ['Stem with a ring', 'Stem without a ring'],
      ['{stem-ring: present}', '{stem-ring: absent}'],
    ],
    [
      ['Hüllblatt vorhanden', 'Hüllblatt fehlend'],
      ['{huellblatt: present}', '{huellblatt: absent}'],
    ],
    [
      ['Blätter mit Drüsen', 'Blätter ohne Drüsen'],
      ['{blatt-druesen: present}', '{blatt-druesen: absent}'],
    ],
    [
      ['Volva and annulus present', 'Volva present, annulus wanting', 'Volva wanting, annulus present'],
      [
        '{volva: present, annulus: present}',
        '{volva: present, annulus: absent}',
        '{volva: absent, annulus: present}',
      ],
    ],
    [
      ['Leaves 5-8 mm long', 'Leaves 9-12 mm long'],
      ['{leaf-length: 5-8 mm}', '{leaf-length: 9-12 mm}'],
    ],
    [
      ['Cap up to 4 cm across', 'Cap more than 4 cm across'],
      ['{cap-width: <= 4 cm}', '{cap-width: "> 4 cm"}'],
    ],
    [
      ['Hut unter 2,5 cm breit', 'Hut über 2,5 cm breit'],
      ['{hut-width: < 2.5 cm}', '{hut-width: "> 2.5 cm"}'],
    ],
    [
      ['Spores (3-)5-8(-9) µm', 'Spores 10-12 µm'],
      ['{spore-size: (3-)5-8(-9) um}', '{spore-size: 10-12 um}'],
    ],
    [
      ['Length 8 mm or more', 'Length 7 mm or less'],
      ['{length-size: ">= 8 mm"}', '{length-size: <= 7 mm}'],
    ],
    [
      ['Stamens 5', 'Stamens 10'],
      ['{stamen-number: 5}', '{stamen-number: 10}'],
    ],
    [
      ['Petals four', 'Petals five'],
      ['{petal-number: 4}', '{petal-number: 5}'],
    ],
    [
      ['Flowers with 4 petals', 'Flowers with 5-6 petals'],
      ['{flower-petal-number: 4}', '{flower-petal-number: 5-6}'],
    ],
    [
      ['Staubblätter 6', 'Staubblätter 8 oder mehr'],
      ['{staubblatt-anzahl: 6}', '{staubblatt-anzahl: ">= 8"}'],
    ],
    [
      ['Leaves opposite', 'Leaves alternate'],
      ['{leaf-arrangement: opposite}', '{leaf-arrangement: alternate}'],
    ],
    [
      ['Gills decurrent', 'Gills not decurrent'],
      ['{gill-attachment: decurrent}', '{gill-attachment: not-decurrent}'],
    ],
    [
      ['Leaves 1-1/2 in. long or more', 'Leaves 1/2 in. long or less'],
      ['{leaf-length: ">= 1.5 in"}', '{leaf-length: <= 0.5 in}'],
    ],
    [
      ['Cap over twelve mm. wide', 'Cap 6-8 mm. wide'],
      ['{cap-width: "> 12 mm"}', '{cap-width: 6-8 mm}'],
    ],
    [
      ['Spines 3 lines long', 'Spines 6 lines long'],
      ['{spine-length: 6.35 mm}', '{spine-length: 12.7 mm}'],
    ],
    [
      ['Stem two or more feet high', 'Stem less than one foot high'],
      ['{stem-height: ">= 2 ft"}', '{stem-height: < 1 ft}'],
    ],
    [
      ['Styles two or three', 'Styles five'],
      ['{style-number: "2 or 3"}', '{style-number: 5}'],
    ],
    [
      ['Stamens 1 (rarely 2)', 'Stamens 5'],
      ['{stamen-number: 1(-2)}', '{stamen-number: 5}'],
    ],
    [
      ['Leaves at least twice as long as broad', 'Leaves about as long as broad'],
      ['{leaf-length-by-width: ">= 2"}', '{leaf-length-by-width: 0.8-1.25}'],
    ],
    [
      ['Blätter länger als breit', 'Blätter breiter als lang'],
      ['{blatt-laenge-zu-breite: "> 1"}', '{blatt-laenge-zu-breite: < 1}'],
    ],
    [
      ['Stalk shorter than the blade', 'Stalk at least as long as the blade'],
      ['{stalk-length-to-blade: < 1}', '{stalk-length-to-blade: ">= 1"}'],
    ],
    [
      ['Spores black, rarely rusty', 'Spores never black'],
      ['{spore-colour: [black, rusty]}', '{spore-colour: not-black}'],
    ],
    [
      ['Blüten rot oder violett (selten weiß)', 'Blüten gelb'],
      ['{bluete-farbe: [rot, violett, weiss]}', '{bluete-farbe: gelb}'],
    ],
    [
      ['Twigs bearing many dwarf branches', 'Twigs without dwarf branches'],
      ['{twig-dwarf-branches: present}', '{twig-dwarf-branches: absent}'],
    ],
    [
      ['Leaves pinnate', 'Leaves twice pinnate'],
      ['{leaf-division: pinnate}', '{leaf-division: twice-pinnate}'],
    ],
    [
      ['Leaves hairy beneath', 'Leaves glabrous beneath'],
      ['{leaf-beneath-hairiness: hairy}', '{leaf-beneath-hairiness: glabrous}'],
    ],
    [
      ['Shrub with white flowers', 'Herbaceous'],
      ['{whole-habit: shrub}', '{whole-habit: herbaceous}'],
    ],
    [
      ['Früchte weder rund noch länglich', 'Früchte rund oder länglich'],
      ['{frucht-form: not-rund-not-laenglich}', '{frucht-form: [rund, laenglich]}'],
    ],
    [
      ['Plants soft, fleshy or nearly so', 'Plants tough, leathery or corky'],
      ['{whole-firmness: [soft, fleshy]}', '{whole-firmness: [tough, leathery, corky]}'],
    ],
    [
      ['Leaves very small, in tufts', 'Leaves rather large, along the stem'],
      ['{leaf-size: very-small}', '{leaf-size: rather-large}'],
    ],
    [
      ['Acorn more than half covered by the cup', 'Acorn one-fourth covered by the cup'],
      ['{acorn-covered-part: "> 0.5"}', '{acorn-covered-part: 0.25}'],
    ],
    [
      ['Leaves in bundles of 2-5', 'Leaves in bundles of more than 8'],
      ['{leaf-number-in-bundle: 2-5}', '{leaf-number-in-bundle: "> 8"}'],
    ],
    [
      ['Leaves widest near the tip', 'Leaves widest near the base'],
      ['{leaf-widest-near-tip: widest-near-the-tip}', '{leaf-widest-near-tip: widest-near-the-base}'],
    ],
    [
      ['Fruit a small, dry pod', 'Fruit a juicy berry'],
      ['{fruit-type: pod}', '{fruit-type: berry}'],
    ],
    // What is usual rules nothing out.
    [['Flowers usually white', 'Flowers red'], ['{flower-colour: red}']],
  ])('%j', (leads, conditions) => {
    expect(proposed(...leads)).toEqual(conditions);
  });

  it.each([
    [['Flowers white or red', 'Flowers red or blue']],
    [['Leaves 5-9 mm long', 'Leaves 8-12 mm long']],
    [['Leaves 5-8 mm long', 'Leaves broad']],
    [['Flowers yellow', 'Flowers pale yellow']],
    [['Volva or annulus present', 'Volva and annulus wanting']],
    [['Leaves large', 'Stem hairy']],
    [['Spores 5-7 x 3-4 µm', 'Spores 8-9 x 5-6 µm']],
    [['Legs naked; or, if feathered, short', 'Legs feathered']],
    [['Leaves green above', 'Leaves hairy beneath']],
    [['Leaves green when young', 'Leaves red when young']],
    [['Leaves linear', 'Leaves serrate, hairy']],
    [['Leaves small', 'Leaves long']],
    [['Cap flat', 'Cap linear']],
    [['Sessile; very short stalked', 'Long-stalked']],
    [['Flowers in clusters', 'Flowers in racemes']],
    [['Leaves about 5 mm long', 'Leaves 5-8 mm long']],
  ])('nothing for %j', (leads) => {
    expect(proposed(...leads)).toEqual([]);
  });

  it('marks each for review, with the words that it rests on', () => {
    const { result } = imported(
      '1a. Ring present, cap red .... Aria alba\n1b. Ring absent, cap red .... Aria nigra\n',
    );
    expect(result.keys[0]?.text).toContain(
      '      # review: proposed from "Ring present"\n      when: {ring: present}\n',
    );
    expect(result.keys[0]?.text).toContain(
      '  # review: all characters are proposed from the words of the leads\n',
    );
  });

  it('says what is usual as what only supports a lead', () => {
    const { result } = imported(
      '1a. Flowers usually white .... Aria alba\n1b. Flowers red .... Aria nigra\n',
    );
    expect(result.keys[0]?.text).toContain('      usually: {flower-colour: white}\n');
  });

  it('gives one name to what is asked of a part in several couplets', () => {
    const { keys } = imported(
      '1a. Leaves opposite .... 2\n1b. Leaves alternate .... Aria alba\n2a. Leaf-stalk with sap milky; leaf whorled .... Aria nigra\n2b. Leaf opposite .... Aria rubra\n',
    );
    expect([...(keys[0]?.characters.values() ?? [])].map((c) => c.id)).toEqual(['leaf-arrangement']);
  });

  it('asks nothing that cannot arrive at a couplet', () => {
    const { result } = imported(
      '1a. Flowers white .... 2\n1b. Flowers red .... Aria alba\n2a. Flowers white .... Aria nigra\n2b. Flowers yellow .... Aria rubra\n',
    );
    expect(result.keys[0]?.text.match(/when:/g)).toHaveLength(2);
  });

  it('leaves them out when asked', () => {
    const { result } = imported('1a. Ring present .... Aria alba\n1b. Ring absent .... Aria nigra\n', {
      when: false,
    });
    expect(result.keys[0]?.text).not.toMatch(/when:|characters:/);
    expect(result.keys[0]?.proposed).toBe(0);
  });

  it('does not join two qualities of one part into one character', () => {
    const { keys } = imported(
      '1a. Leaves opposite .... 2\n1b. Leaves alternate .... Aria alba\n2a. Leaves hairy .... Aria nigra\n2b. Leaves smooth .... Aria rubra\n',
    );
    expect([...(keys[0]?.characters.values() ?? [])].map((c) => c.states.map((s) => s.id))).toEqual([
      ['opposite', 'alternate'],
      ['hairy', 'smooth'],
    ]);
  });
});
