import { describe, expect, it } from 'vitest';
import { displayWidth } from '../../src/text/wrap.js';
import { keywright, lines, tested, words } from './run.js';

const HEAD = 'id,expect,print,ring,texture,width\n';

describe('a known specimen', () => {
  it('is right, right among several, wrong, fits nothing, or is not in the key', async () => {
    const { code, out } = await tested(
      `${HEAD}A,funebris,rust,present,membranous,\nB,mutata,rust,,,\nC,parva,rust,present,membranous,\nD,magna,white,,,30\nE,nowhere,dark,,,\nF,,dark,,,\nG,unheard,dark,,,\n`,
    );
    expect(words(out)).toEqual({
      A: 'right',
      B: 'among',
      C: 'wrong',
      D: 'nothing',
      E: 'lacking',
      F: 'no expectation',
      G: 'lacking',
    });
    expect(lines(out, 'specimen').map((l) => l.passed)).toEqual([
      true,
      true,
      false,
      false,
      false,
      true,
      false,
    ]);
    expect(code).toBe(1);
    expect(lines(out, 'counts')).toEqual([
      {
        kind: 'counts',
        key: 'tufts',
        version: '1.0.0',
        tested: 6,
        right: 1,
        among: 1,
        wrong: 1,
        nothing: 1,
        lacking: 2,
        unreadable: 0,
        'no expectation': 1,
        failed: 4,
      },
    ]);
  });

  it('among several fails under --strict only', async () => {
    const table = `${HEAD}B,mutata,rust,,,\n`;
    expect((await tested(table)).code).toBe(0);
    const { code, out } = await tested(table, { strict: true });
    expect([code, lines(out, 'specimen')[0]?.passed]).toEqual([1, false]);
    expect(lines(out, 'specimen')[0]?.undecided).toEqual(['ring', 'texture']);
    expect((await tested(`${HEAD}A,funebris,rust,present,membranous,\n`, { strict: true })).code).toBe(0);
  });

  it.each([
    ['galera funebris', 'right'],
    ['  GALERA   FUNEBRIS ', 'right'],
    ['Agaricus funebris', 'right'],
    // A group stands for what the key has in it.
    ['galera', 'right'],
    ['parva | Agaricus funebris', 'right'],
    ['parva | magna', 'wrong'],
  ])('known as %j is %s', async (expect_, result) => {
    const { out } = await tested(`${HEAD}A,${expect_},rust,present,membranous,\n`);
    expect(words(out).A).toBe(result);
  });

  it('to which the key does not go is right at the group in which the key ends', async () => {
    const { out } = await tested(
      'id,expect,print,width,leads\nA,plana-lata,white,8,4a\nB,plana-lata,white,8,4b\nC,plana,white,8,4a\n',
    );
    expect(words(out)).toEqual({ A: 'right', B: 'wrong', C: 'right' });
    expect(lines(out, 'specimen')[1]?.left).toMatchObject({
      couplet: '4',
      lead: '4a',
      taken: ['4b'],
      because: '4b was chosen by a person',
      slips: 1,
      reconsider: ['4b'],
    });
  });

  it('may be named with its author or by a common name, as in a list that a key is cut to', async () => {
    for (const name of ['Galera funebris (Invent.) Ficta', 'tarn bell', 'Tarn_Bell']) {
      const { out } = await tested(`${HEAD}A,${name},rust,present,membranous,\n`);
      expect(words(out).A, name).toBe('right');
      // Every form of table reads names alike.
      for (const expected of [name, [name], `parva | ${name}`]) {
        const find = {
          id: 'A',
          expect: expected,
          traits: { print: 'rust', ring: 'present', texture: 'membranous' },
        };
        const json = await tested(`${JSON.stringify(find)}\n`, { from: 'ndjson' });
        expect(words(json.out).A, json.err).toBe('right');
        const yaml = JSON.stringify({ 'keywright-collections': 1, collections: [find] });
        expect(words((await tested(yaml, { from: 'yaml' })).out).A).toBe('right');
      }
    }
  });

  it('whose name may be one of several taxa is a mistake that names them', async () => {
    const row = `${HEAD}A,Agaricus varius,rust,absent,-,\n`;
    const { code, err } = await tested(row);
    expect(code).toBe(2);
    expect(err).toContain(
      'standard input:2:3 error: expect of "A": "Agaricus varius" may be Galera mutata (mutata) or Plana (plana); write the id of the one that is meant',
    );
    const yaml = 'keywright-collections: 1\ncollections:\n  - {id: A, expect: Agaricus varius}\n';
    expect((await tested(yaml, { from: 'yaml' })).err).toContain('standard input:3:21 error: expect of "A"');
    expect((await tested('{"id":"A","expect":"Agaricus varius"}\n')).err).toContain('may be Galera mutata');
  });

  it('of a taxon that the key does not have is a finding of its own, with the nearest name', async () => {
    const { code, out } = await tested(`${HEAD}A,Galera funebrsi,rust,present,membranous,\n`);
    expect(code).toBe(1);
    expect(lines(out, 'specimen')[0]).toMatchObject({
      result: 'lacking',
      problems: [
        'standard input:2:3 expect of "A": "Galera funebrsi" is no taxon of tufts, by id, name, synonym or common name; did you mean Galera funebris?',
      ],
      candidates: [{ taxon: 'funebris' }],
    });
    const yaml = `keywright-collections: 1\ncollections:\n  - id: A\n    traits: {print: dark}\n    expect: [atra, atraa]\n`;
    const both = await tested(yaml, { from: 'yaml' });
    expect([both.code, lines(both.out, 'specimen')[0]]).toMatchObject([
      1,
      {
        result: 'right',
        passed: false,
        problems: [expect.stringContaining('standard input:5:20 expect of "A": "atraa" is no taxon')],
      },
    ]);
    const json = await tested('{"id":"A","traits":{"print":"dark"},"expect":"atraa"}\n');
    expect(lines(json.out, 'specimen')[0]?.problems).toEqual([
      expect.stringMatching(/^standard input:1:\d+ expect of "A".*did you mean atra\?$/),
    ]);
    const listed = await tested(`${HEAD}A,nowhere,dark,,,\n`);
    expect(lines(listed.out, 'specimen')[0]?.problems).toEqual([
      'Nusquam usquam (nowhere) is listed in the key, but no lead ends at it, nor at anything that holds it',
    ]);
  });
});

describe('a specimen that comes out wrong', () => {
  it('tells where it left the way, by what evidence, and how many slips away it is', async () => {
    const { out } = await tested(`${HEAD}A,funebris,rust,absent,-,\nB,funebris,white,absent,-,3\n`);
    expect(lines(out, 'specimen').map((l) => l.left)).toEqual([
      {
        couplet: '2',
        lead: '2a',
        taken: ['2b'],
        taxon: 'funebris',
        name: 'Galera funebris',
        characters: ['ring'],
        because: 'the find shows ring: absent',
        slips: 1,
        recheck: ['ring'],
        reconsider: [],
      },
      expect.objectContaining({
        couplet: '1',
        lead: '1a',
        taken: ['1b'],
        characters: ['print'],
        slips: 2,
        recheck: ['print', 'ring'],
      }),
    ]);
  });

  it('with harm that was missed stands first, then other harm, then harm that was raised', async () => {
    const rows = [
      'E,atra,rust,absent,-,', // no harm on either side
      'D,mutata,rust,present,membranous,', // harm raised
      'C,magna,rust,present,membranous,', // upset, came out as deadly
      'B,magna,white,,,3', // upset, came out as none recorded
      'A,funebris,rust,absent,-,', // deadly, came out as none recorded
    ].join('\n');
    const { out } = await tested(`${HEAD}${rows}\n`);
    expect(lines(out, 'specimen').map((l) => [l.collection, l.harm])).toEqual([
      ['E', null],
      ['D', 'raised'],
      ['C', null],
      ['B', 'missed'],
      ['A', 'missed'],
    ]);
    const text = (await tested(`${HEAD}${rows}\n`, { format: 'text' })).out;
    expect(text.match(/^[A-E](?=: )/gm)).toEqual(['A', 'B', 'C', 'D', 'E']);
    expect(text).toContain('A: wrong; recorded as deadly, and taken for something with less harm recorded');
  });

  it('is counted among the confusions of the couplet where it left', async () => {
    const { out } = await tested(
      `${HEAD}A,funebris,rust,absent,-,\nB,funebris,rust,absent,-,\nC,parva,white,,,9\nD,magna,white,,,30\n`,
    );
    expect(lines(out, 'confusion')).toEqual([
      {
        kind: 'confusion',
        couplet: '2',
        lead: '2a',
        taken: ['2b'],
        expected: ['Galera funebris'],
        got: ['Galera mutata'],
        times: 2,
        collections: ['A', 'B'],
      },
      expect.objectContaining({ couplet: '3', expected: ['Parva parva'], got: ['Plana', 'Magna magna'] }),
      expect.objectContaining({ couplet: '3', lead: '3b', taken: [], expected: ['Magna magna'], got: [] }),
    ]);
  });
});

describe('coverage', () => {
  it('names leads that no known specimen took, couplets where none arrived, and taxa without one', async () => {
    const { out } = await tested(`${HEAD}A,funebris,rust,present,membranous,\nX,,white,,,3\n`);
    expect(lines(out, 'coverage')).toEqual([
      {
        kind: 'coverage',
        leads: 9,
        taken: 2,
        // A find of which nothing is known exercises nothing.
        never: ['1b', '1c', '2b', '3a', '3b', '4a', '4b'],
        couplets: ['3', '4'],
        openOnly: [],
        taxa: 6,
        taxaWithout: [
          // The group that may be something severe, before what has less harm recorded.
          { taxon: 'plana', name: 'Plana' },
          { taxon: 'magna', name: 'Magna magna' },
          { taxon: 'atra', name: 'Atra atra' },
          { taxon: 'mutata', name: 'Galera mutata' },
          { taxon: 'parva', name: 'Parva parva' },
        ],
      },
    ]);
  });

  it('tells leads that were followed only because nothing ruled them out', async () => {
    const { out } = await tested(`${HEAD}A,galera,rust,,,\n`);
    expect(lines(out, 'coverage')[0]).toMatchObject({ taken: 3, openOnly: ['2a', '2b'] });
  });
});

describe('tables that are not as they should be', () => {
  const wrong = `${HEAD}A,atra,dark,,,\nB,atra,drak,,,\nC,atra,dark,,,\n`;

  it('end the test with 2, and are told', async () => {
    const { code, out, err } = await tested(wrong);
    expect([code, Object.keys(words(out))]).toEqual([2, ['A']]);
    expect(err).toContain(
      'standard input:3:8 error: print of "B": "drak" is not a state of print; did you mean dark? [state-known]',
    );
    expect(err).toMatch(/keywright: 1 error in the tables: the test ends before the first of them/);
    expect((await tested(wrong, { format: 'text' })).out).toBe('');
    expect((await tested(wrong, { format: 'junit' })).out).toBe('');
  });

  it('are counted as failed with --keep-going', async () => {
    const { code, out, err } = await tested(wrong, { keepGoing: true });
    expect([code, words(out)]).toEqual([1, { A: 'right', B: 'unreadable', C: 'right' }]);
    expect(err).toContain('2 right');
    expect(err).toContain('1 collection could not be read');
  });

  it('without rows, or without anything expected, test nothing and say so', async () => {
    const none = await tested(HEAD, { format: 'text' });
    expect([none.code, none.out, none.err]).toEqual([
      0,
      '',
      'No known specimens to test tufts 1.0.0 with.\n',
    ]);
    const without = await tested(`${HEAD}A,,dark,,,\n`);
    expect([without.code, without.err]).toEqual([
      0,
      'No known specimens to test tufts 1.0.0 with; 1 collection without expect was\nskipped.\n',
    ]);
    const empty = await tested('');
    expect([empty.code, empty.err]).toEqual([2, expect.stringContaining('the table is empty')]);
  });

  it('and keys that are not sound end with 2', () => {
    expect(keywright(['no-such-key', '-']).status).toBe(2);
    expect(keywright(['tarn-wood-tufts', '-', '-']).stderr).toContain('can be named once only');
    expect(keywright(['tarn-wood-tufts']).stderr).toContain('TABLE is missing');
  });
});

describe('the report for people', () => {
  const rows = `${HEAD}A,funebris,rust,absent,-,\nB,mutata,rust,,,\nC,magna,white,,,30\nD,atra,dark,,,\n`;

  it('says all of it', async () => {
    const { out, err } = await tested(rows, { format: 'text' });
    expect(out).toMatchInlineSnapshot(`
      "A: wrong; recorded as deadly, and taken for something with less harm recorded
        known to be: Galera funebris (deadly)
        came out as: Galera mutata
        left the way to Galera funebris at couplet 2: 2a is ruled out and 2b was
          taken instead; the find shows ring: absent
        Galera funebris is 1 wrong observation away: ring
        standard input:2

      C: fits nothing in the key; recorded as upset, and not recognised
        known to be: Magna magna (upset)
        left the way to Magna magna at couplet 3: 3b is ruled out and no lead fits;
          the find shows width of the cap: 30 cm
        Magna magna is 1 wrong observation away: width
        standard input:4

      Right among several
        B
          known to be: Galera mutata
          also left: Galera funebris (deadly)
          would separate them: ring and texture

      Confusions, by the couplet where the way was left
        couplet 2
          1 x  Galera funebris came out as Galera mutata (2b instead of 2a): A
        couplet 3
          1 x  Magna magna fits nothing (no lead instead of 3b): C

        known to be      right  among  wrong  nothing
        Galera funebris      .      .      1        .
        Galera mutata        .      1      .        .
        Magna magna          .      .      .        1
        Atra atra            1      .      .        .

      What the specimens exercise
        known specimens took 5 of 9 leads, and there is one for 4 of 6 taxa at the
          ends
        couplets where none arrived: 4
        leads that none took at the other couplets: 3a and 3b
        leads taken only because nothing ruled them out: 2a
        taxa without a known specimen: Plana and Parva parva

      That known specimens come out right clears no find: the next one may be
      something that the key does not hold, or be read differently.
      "
    `);
    expect(err).toBe(
      '4 known specimens with tufts 1.0.0: 1 right, 1 right among several, 1 wrong and\n1 that fits nothing.\n',
    );
    expect(out).not.toMatch(/\b(safe|edible|eatable)\b/i);
  });

  it.each([30, 60, 100])('fits %i columns', async (columns) => {
    const { out } = await tested(rows, { format: 'text' }, 'tufts.key.yaml', columns);
    for (const line of out.split('\n')) expect(displayWidth(line)).toBeLessThanOrEqual(columns);
  });

  it('shows the first failures only when there are very many, and counts all', async () => {
    const many = Array.from({ length: 200 }, (_, i) => `A${i},funebris,rust,absent,-,\n`).join('');
    const { out } = await tested(HEAD + many, { format: 'text' });
    expect(out.match(/^A\d+: wrong/gm)).toHaveLength(50);
    expect(out).toContain('150 more that failed');
    expect(out).toMatch(/200 x {2}Galera funebris came out as Galera mutata \(2b instead of 2a\)/);
  });

  it('lets nothing of a table steer the terminal', async () => {
    const { out, err } = await tested(
      `${HEAD}"A\u001b[31m",funebris,rust,absent,-,\nB,"x\u001b[2J",dark,,,\n`,
      {
        format: 'text',
      },
    );
    expect(out + err).not.toContain('\u001b');
    expect(out).toContain('\\u{1b}[31m');
  });
});

describe('the specimens of the book of 1901', () => {
  it('come out as its key says: one wrong, one right among several', () => {
    const args = ['keys/gill-genera.key.yaml', 'examples/gill-genera-specimens.yaml'];
    const { status, stdout, stderr } = keywright(args);
    expect(status).toBe(1);
    expect(stderr.replace(/\s+/g, ' ')).toContain(
      '12 right, 1 right among several, 1 wrong and 0 that fit nothing.',
    );
    expect(stdout).toMatch(/^atk-1901-p087-tricholoma-personatum: wrong/);
    const strict = keywright([...args, '--strict', '--format', 'ndjson']);
    expect(lines(strict.stdout, 'counts')[0]?.failed).toBe(2);
  });
});
