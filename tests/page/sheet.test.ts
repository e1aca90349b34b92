import { describe, expect, it } from 'vitest';
import { FolderShelf } from '../../src/files/shelf.js';
import { coupletView } from '../../src/page/model/couplet.js';
import { OpenFind } from '../../src/page/model/find.js';
import { pictureView } from '../../src/page/model/picture.js';
import { sheetView, valueOfStates } from '../../src/page/model/sheet.js';
import { recordText } from '../../src/page/record-file.js';
import { readRecord } from '../../src/record/read.js';
import type { Character } from '../../src/traits/character.js';
import { readValue, type Value } from '../../src/traits/value.js';
import { clock } from '../record/making.js';
import { xmlFaults } from '../support/markup.js';
import { root } from '../support/program.js';
import { bothKeys } from './made.js';

const shelf = new FolderShelf(root, ['keys'], []);
const FILE = 'keys/tarn-wood-tufts.key.yaml';
const { inPage, data } = bothKeys(shelf.text(FILE), FILE, shelf);
const begun = () => OpenFind.begin(inPage, data.program, { id: '1', called: 'TH-1' }, clock());
const character = (id: string) => inPage.chain.characters.get(id) as Character;
const value = (id: string, shows: string): Value | undefined => {
  const read = readValue(character(id), shows);
  return read.ok ? read.value : undefined;
};
const see = (open: OpenFind, id: string, shows: string) =>
  open.act({ kind: 'observe', character: id, value: value(id, shows) }, clock()());
const lineOf = (open: OpenFind, id: string) =>
  sheetView(open)
    .parts.flatMap((p) => p.lines)
    .find((l) => l.character.id === id);

describe('the field sheet of a page', () => {
  it('has every character that the key and those it continues in ask, fresh ones first', () => {
    const lines = sheetView(begun()).parts.flatMap((p) => p.lines.map((l) => l.character.id));
    const asked = inPage.couplets.flatMap((c) => c.leads.flatMap((l) => l.tests ?? []));
    for (const test of asked) expect(lines).toContain(inPage.characters[test.character]?.id);
    expect(sheetView(begun()).parts[0]?.heading).toBe('At once, while it is fresh');
    expect(new Set(lines).size).toBe(lines.length);
  });

  it('narrows the couplets by what is entered, in any order', () => {
    const open = begun();
    const all = open.keying.standing.possible.length;
    expect(coupletView(open.keying)?.number).toBe('1');
    see(open, 'spore-print', 'rust');
    see(open, 'stem-position', 'central');
    // Couplets 1 and 3 are decided: the key continues in the key to those with rusty spores.
    expect(coupletView(open.keying)?.owner.id).toBe('tarn-rust-spored');
    expect(open.keying.standing.possible.length).toBeLessThan(all);
  });

  it('shows what was entered on the specimen looked at, and apart from it what is known otherwise', () => {
    const open = begun();
    see(open, 'ring', 'present');
    expect(lineOf(open, 'ring')?.entered).toMatchObject({ kind: 'states', written: 'present' });
    open.act({ kind: 'read-from', from: { specimen: 'b', stage: 'young' } }, clock()());
    expect(lineOf(open, 'ring')?.entered).toBeUndefined();
    expect(lineOf(open, 'ring')?.others).toEqual([
      { shows: 'present', couplet: undefined, specimen: undefined, stage: undefined },
    ]);
    see(open, 'ring', 'absent');
    see(open, 'ring', 'present');
    expect(open.keying.collection.observations).toHaveLength(2);
    open.act({ kind: 'forget', character: 'ring', specimen: 'b', stage: 'young' }, clock()());
    expect(open.keying.collection.observations).toEqual([
      { character: 'ring', value: value('ring', 'present') },
    ]);
  });

  it('is filled by the answers to couplets', () => {
    const open = begun();
    open.act({ kind: 'answer', lead: 1 }, clock()());
    expect(lineOf(open, 'stem-position')?.others).toMatchObject([{ shows: 'central', couplet: '1b' }]);
  });

  it('says what to look at next, first what parts the harmful from the rest', () => {
    const open = begun();
    const { next } = sheetView(open);
    expect(next.length).toBeGreaterThan(1);
    see(
      open,
      next[0]?.character ?? '',
      inPage.chain.characters.get(next[0]?.character ?? '')?.states[0]?.id ?? '',
    );
    expect(sheetView(open).next.map((n) => n.character)).not.toContain(next[0]?.character);
  });

  it('keeps what was entered in the record, also that one could not tell', () => {
    const open = begun();
    open.act({ kind: 'observe', character: 'cap-width', value: value('cap-width', '2-3.5') }, clock()());
    open.act({ kind: 'observe', character: 'ring', value: undefined }, clock()());
    open.act({ kind: 'finish' }, clock()());
    const read = readRecord(recordText(open), 'x.yaml');
    if (!read.ok) throw new Error('the record cannot be read');
    expect(
      read.record.determinations.at(-1)?.collection.evidence?.map((e) => [e.character, e.shows]),
    ).toEqual([
      ['cap-width', '2-3.5 cm'],
      ['ring', '?'],
    ]);
    const again = OpenFind.resume(inPage, data.program, open.kept, clock());
    expect(again.keying.collection.observations).toEqual(open.keying.collection.observations);
  });

  it('takes several states of one character', () => {
    const surface = character('cap-surface');
    expect(valueOfStates(surface, [0, 1])).toEqual(
      value('cap-surface', `${surface.states[0]?.id} | ${surface.states[1]?.id}`),
    );
    expect(valueOfStates(surface, [])).toBeUndefined();
  });
});

describe('the picture of a key in a page', () => {
  it('outlines the way of a find and the couplet that is asked', () => {
    const plain = pictureView(inPage, undefined, data.program);
    expect(plain.here).toBeUndefined();
    const open = begun();
    open.act({ kind: 'answer', lead: 1 }, clock()());
    const view = pictureView(inPage, open, data.program);
    expect(view.here?.number).toBe('3');
    const outlines = (svg: string) => svg.split('stroke-width="3"/>').length - 1;
    expect(outlines(view.svg) - outlines(plain.svg)).toBe(2);
    expect(xmlFaults(view.svg)).toEqual([]);
    const { x, y, width, height } = view.here?.box ?? { x: 0, y: 0, width: 0, height: 0 };
    expect(x >= 0 && y >= 0 && x + width <= view.width && y + height <= view.height).toBe(true);
  });
});
