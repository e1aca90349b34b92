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
      ['{flowers-colour: white}', '{flowers-colour: red}'],
    ],
    [
      ['Flowers white or yellow', 'Flowers blue, violet or purple'],
      ['{flowers-colour: [white, yellow]}', '{flowers-colour: [blue, violet, purple]}'],
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
      ['{blaetter-druesen: present}', '{blaetter-druesen: absent}'],
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
      ['{leaves-length: 5-8 mm}', '{leaves-length: 9-12 mm}'],
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
      ['{spores-size: (3-)5-8(-9) um}', '{spores-size: 10-12 um}'],
    ],
    [
      ['Length 8 mm or more', 'Length 7 mm or less'],
      ['{length-size: ">= 8 mm"}', '{length-size: <= 7 mm}'],
    ],
    [
      ['Stamens 5', 'Stamens 10'],
      ['{stamens-number: 5}', '{stamens-number: 10}'],
    ],
    [
      ['Petals four', 'Petals five'],
      ['{petals-number: 4}', '{petals-number: 5}'],
    ],
    [
      ['Flowers with 4 petals', 'Flowers with 5-6 petals'],
      ['{flowers-petals-number: 4}', '{flowers-petals-number: 5-6}'],
    ],
    [
      ['Staubblätter 6', 'Staubblätter 8 oder mehr'],
      ['{staubblaetter-number: 6}', '{staubblaetter-number: ">= 8"}'],
    ],
    [
      ['Leaves opposite', 'Leaves alternate'],
      ['{leaves-arrangement: opposite}', '{leaves-arrangement: alternate}'],
    ],
    [
      ['Gills decurrent', 'Gills not decurrent'],
      ['{gills-attachment: decurrent}', '{gills-attachment: not-decurrent}'],
    ],
    [
      ['Leaves 1-1/2 in. long or more', 'Leaves 1/2 in. long or less'],
      ['{leaves-length: ">= 1.5 in"}', '{leaves-length: <= 0.5 in}'],
    ],
    [
      ['Cap over twelve mm. wide', 'Cap 6-8 mm. wide'],
      ['{cap-width: "> 12 mm"}', '{cap-width: 6-8 mm}'],
    ],
    [
      ['Spines 3 lines long', 'Spines 6 lines long'],
      ['{spines-length: 6.35 mm}', '{spines-length: 12.7 mm}'],
    ],
    [
      ['Stem two or more feet high', 'Stem less than one foot high'],
      ['{stem-height: ">= 2 ft"}', '{stem-height: < 1 ft}'],
    ],
    [
      ['Styles two or three', 'Styles five'],
      ['{styles-number: "2 or 3"}', '{styles-number: 5}'],
    ],
    [
      ['Stamens 1 (rarely 2)', 'Stamens 5'],
      ['{stamens-number: 1(-2)}', '{stamens-number: 5}'],
    ],
    [
      ['Leaves at least twice as long as broad', 'Leaves about as long as broad'],
      ['{leaves-length-by-width: ">= 2"}', '{leaves-length-by-width: 0.8-1.25}'],
    ],
    [
      ['Blätter länger als breit', 'Blätter breiter als lang'],
      ['{blaetter-length-by-width: "> 1"}', '{blaetter-length-by-width: < 1}'],
    ],
    [
      ['Stalk shorter than the blade', 'Stalk at least as long as the blade'],
      ['{stalk-length-to-blade: < 1}', '{stalk-length-to-blade: ">= 1"}'],
    ],
    [
      ['Spores black, rarely rusty', 'Spores never black'],
      ['{spores-colour: [black, rusty]}', '{spores-colour: not-black}'],
    ],
    [
      ['Blüten rot oder violett (selten weiß)', 'Blüten gelb'],
      ['{blueten-colour: [rot, violett, weiss]}', '{blueten-colour: gelb}'],
    ],
    [
      ['Twigs bearing many dwarf branches', 'Twigs without dwarf branches'],
      ['{twigs-dwarf-branches: present}', '{twigs-dwarf-branches: absent}'],
    ],
    [
      ['Leaves pinnate', 'Leaves twice pinnate'],
      ['{leaves-division: pinnate}', '{leaves-division: twice-pinnate}'],
    ],
    [
      ['Leaves hairy beneath', 'Leaves glabrous beneath'],
      ['{leaves-beneath-surface: hairy}', '{leaves-beneath-surface: glabrous}'],
    ],
    [
      ['Shrub with white flowers', 'Herbaceous'],
      ['{whole-habit: shrub}', '{whole-habit: herbaceous}'],
    ],
    [
      ['Früchte weder rund noch flach', 'Früchte rund oder flach'],
      ['{fruechte-shape: not-rund-not-flach}', '{fruechte-shape: [rund, flach]}'],
    ],
    [
      ['Plants soft, fleshy or nearly so', 'Plants tough, leathery or corky'],
      ['{whole-texture: [soft, fleshy]}', '{whole-texture: [tough, leathery, corky]}'],
    ],
    [
      ['Leaves very small, in tufts', 'Leaves rather large, along the stem'],
      ['{leaves-size: very-small}', '{leaves-size: rather-large}'],
    ],
    // What is usual rules nothing out.
    [['Flowers usually white', 'Flowers red'], ['{flowers-colour: red}']],
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
    expect(result.keys[0]?.text).toContain('      usually: {flowers-colour: white}\n');
  });

  it('gives one name to what is asked of a part in several couplets', () => {
    const { keys } = imported(
      '1a. Leaves opposite .... 2\n1b. Leaves alternate .... Aria alba\n2a. Leaf-stalk with sap milky; leaf whorled .... Aria nigra\n2b. Leaf opposite .... Aria rubra\n',
    );
    expect([...(keys[0]?.characters.values() ?? [])].map((c) => c.id)).toEqual(['leaves-arrangement']);
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
