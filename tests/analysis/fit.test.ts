import { describe, expect, it } from 'vitest';
import { fitsOf } from '../../src/analysis/fit.js';
import { gatherEvidence } from '../../src/engine/evidence.js';
import { find, observed, open } from '../support/open.js';

const key = open({
  keywright: 1,
  id: 'k',
  title: 'K',
  version: '1',
  characters: {
    print: { name: 'print', states: ['white', 'rust', 'dark'] },
    ring: { name: 'ring', states: ['present', 'absent'] },
    texture: { name: 'texture', states: ['membranous', 'fibrous'], 'applies-when': { ring: 'present' } },
    width: { name: 'width', kind: 'measure', unit: 'cm' },
    smell: { name: 'smell', states: ['mealy', 'none'] },
  },
  couplets: {
    1: [
      { lead: 'Print rusty', when: { print: 'rust' }, taxon: 'bell' },
      { lead: 'Print else', when: { print: ['white', 'dark'] }, taxon: ['tuft', 'bare'] },
    ],
  },
  taxa: {
    brown: { name: 'Brownia', rank: 'genus' },
    bell: {
      name: 'Brownia bell',
      within: 'brown',
      traits: { print: 'rust', ring: ['present', 'absent'], texture: 'membranous', width: '(1-)2-4(-6) cm' },
    },
    tuft: {
      name: 'Tufta',
      alike: ['bell'],
      traits: { print: 'dark', ring: 'present', texture: 'fibrous', smell: 'none' },
    },
    bare: { name: 'Brownia bare', within: 'brown', traits: { print: 'white', ring: 'absent' } },
  },
});
const number = (id: string) => key.taxa.findIndex((t) => t.id === id);

/** What is said of each character, by the initial of the word: `print+ ring-`. */
function wordsOf(taxon: string, written: Record<string, string>): string {
  const [only] = fitsOf(key, [number(taxon)], gatherEvidence(key, find(observed(key, written))).known);
  const of = (list: readonly { id: string }[] | undefined, mark: string) =>
    (list ?? []).map((c) => c.id + mark);
  return [
    ...of(only?.agrees, '+'),
    ...of(only?.differs, '-'),
    ...of(only?.partly, '~'),
    ...of(only?.unseen, '?'),
    ...of(only?.undescribed, '.'),
  ].join(' ');
}

describe('how a find fits a description', () => {
  it('agrees, differs, in part, not looked at, not described', () => {
    expect(wordsOf('bell', { print: 'rust', width: '3 cm' })).toBe('print+ width+ ring? texture?');
    expect(wordsOf('bell', { print: 'white', width: '5-7 cm', smell: 'mealy' })).toBe(
      'print- width~ ring? texture? smell.',
    );
    expect(wordsOf('bell', { print: '?', width: '60 mm' })).toBe('width+ print? ring? texture?');
  });

  it('says of a missing ring once that it differs, not with every character of the ring', () => {
    expect(wordsOf('tuft', { ring: 'absent', texture: '-' })).toBe('ring- print? smell?');
    expect(wordsOf('tuft', { ring: 'absent' })).toBe('ring- print? smell?');
    expect(wordsOf('bare', { ring: 'present', texture: 'fibrous' })).toBe('ring- print?');
  });

  it('judges what does not apply by what the taxon may lack', () => {
    expect(wordsOf('bell', { texture: '-' })).toBe('texture+ print? ring? width?');
    expect(wordsOf('tuft', { texture: '-' })).toBe('texture- print? ring? smell?');
    expect(wordsOf('bare', { texture: '-' })).toBe('texture+ print? ring?');
    // A texture that was seen says that there is a ring, which the description has not.
    expect(wordsOf('bare', { texture: 'fibrous' })).toBe('ring- print?');
  });

  it('takes variation of the specimens for granted where the taxon varies', () => {
    expect(wordsOf('bell', { ring: 'present | absent' })).toBe('ring+ print? texture? width?');
    expect(wordsOf('tuft', { ring: 'present | absent' })).toBe('ring~ print? texture? smell?');
  });

  it('says when the month of the find is not among those of the taxon', () => {
    const season = (month: number | undefined, months: number[]) => {
      const data = open({
        keywright: 1,
        id: 's',
        title: 'S',
        version: '1',
        couplets: {
          1: [
            { lead: 'A', taxon: 't' },
            { lead: 'B', taxon: 't' },
          ],
        },
        taxa: { t: { name: 'T', ...(months.length === 0 ? {} : { months }) } },
      });
      return fitsOf(data, [0], [], month)[0]?.outOfSeason;
    };
    expect([season(6, [9, 10]), season(9, [9, 10]), season(undefined, [9]), season(6, [])]).toEqual([
      6,
      undefined,
      undefined,
      undefined,
    ]);
  });

  it('compares a candidate with its look-alikes, either way named and by the same genus', () => {
    const evidence = gatherEvidence(
      key,
      find(observed(key, { print: 'dark', ring: 'present', texture: 'fibrous' })),
    );
    const [bell, tuft] = fitsOf(key, [number('bell')], evidence.known).flatMap((f) => f.lookAlikes);
    expect([bell?.taxon.id, bell?.fits, bell?.compared, bell?.speaks.map((c) => c.id)]).toEqual([
      'tuft',
      'better',
      3,
      ['print', 'texture'],
    ]);
    expect([tuft?.taxon.id, tuft?.fits, tuft?.compared]).toEqual(['bare', 'worse', 2]);
    // Both are candidates: neither is a look-alike outside.
    expect(
      fitsOf(key, [number('bell'), number('tuft'), number('bare')], evidence.known).flatMap(
        (f) => f.lookAlikes,
      ),
    ).toEqual([]);
    // Nothing seen that both are described by.
    const smell = gatherEvidence(key, find(observed(key, { smell: 'none' })));
    expect(fitsOf(key, [number('bell')], smell.known)[0]?.lookAlikes.map((l) => l.fits)).toEqual([
      'not compared',
      'not compared',
    ]);
  });
});
