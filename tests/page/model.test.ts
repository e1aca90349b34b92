import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { writeArchive } from '../../src/archive/archive.js';
import { FolderShelf } from '../../src/files/shelf.js';
import type { Shelf } from '../../src/key/load.js';
import { clockView, coupletView, standingView } from '../../src/page/model/couplet.js';
import { type FindAction, type KeptFind, OpenFind } from '../../src/page/model/find.js';
import { resultView } from '../../src/page/model/result.js';
import { specimensView } from '../../src/page/model/specimens.js';
import { readRecordFile, recordText } from '../../src/page/record-file.js';
import { type TakenFind, type TakenIn, takeIn } from '../../src/page/take-in.js';
import { packFinds } from '../../src/record/finds-archive.js';
import { readRecord } from '../../src/record/read.js';
import { newFrame, writeRecord } from '../../src/record/write.js';
import { clock, keyingOf } from '../record/making.js';
import { find } from '../support/open.js';
import { root } from '../support/program.js';
import { keyData } from '../support/random-keys.js';
import { bothKeys } from './made.js';

const shelf = new FolderShelf(root, ['keys'], []);
const tufts = bothKeys(shelf.text('keys/tarn-wood-tufts.key.yaml'), 'keys/tarn-wood-tufts.key.yaml', shelf);
const genera = bothKeys(shelf.text('keys/gill-genera.key.yaml'), 'keys/gill-genera.key.yaml', shelf);
const NAMED = { id: '1', called: 'TH-1' };
const begun = (now = clock()) => OpenFind.begin(tufts.inPage, tufts.data.program, NAMED, now);
/** Does what a person did; gives what is kept then. */
const done = (open: OpenFind, actions: readonly FindAction[], now = clock()): KeptFind =>
  actions.map((action) => open.act(action, now())).at(-1) ?? open.kept;
const answer = (lead?: number): FindAction =>
  lead === undefined ? { kind: 'answer' } : { kind: 'answer', lead };

/** All that a key says, but for the text that it was read from. */
function plain({ chain }: typeof tufts.here): string {
  return JSON.stringify(
    {
      ...chain,
      keys: chain.keys.map(({ yaml: _, ...key }) => key),
      nodes: chain.nodes.map((n) => [n.couplet, n.next]),
      main: chain.main.id,
    },
    (_, v) => (v instanceof Map ? [...v] : typeof v === 'bigint' ? String(v) : v),
  );
}

describe('the key of a page', () => {
  it('is the very key: its chain, its mark and every text of it', () => {
    for (const { here, inPage } of [tufts, genera]) expect(plain(inPage)).toBe(plain(here));
  });

  it('is the very key where names mean something to JavaScript, and keys share terms and measure in other units', () => {
    const cap = (unit: string) => ({ cap: { name: 'cap', kind: 'measure', unit } });
    const key = (id: string, more: object) =>
      JSON.stringify({
        keywright: 1,
        id,
        title: id,
        version: '1.0',
        uses: ['constructor.terms.yaml'],
        ...more,
      });
    const ways = (when: object, a: object, b: object) => [
      { lead: 'a', when, ...a },
      { lead: 'b', otherwise: true, ...b },
    ];
    const taxa = (traits: object) => ({
      constructor: { name: 'Aa bb', traits, synonyms: ['__proto__'] },
      'has-own-property': { name: 'Aa cc', within: 'constructor', traits: { valueof: 'watch' } },
    });
    const ends = [{ taxon: 'constructor' }, { taxon: 'has-own-property' }] as const;
    const files: Record<string, string> = {
      constructor: key('constructor', {
        characters: cap('mm'),
        couplets: { 1: ways({ cap: '10-20' }, ...ends) },
        taxa: taxa({ cap: '10-20', tostring: '3' }),
      }),
      valueof: key('valueof', {
        characters: cap('cm'),
        couplets: { 1: ways({ cap: '1-2', tostring: '3' }, ends[0], { key: 'constructor' }) },
        taxa: taxa({ cap: ['1-2', '10-20'], tostring: '3' }),
      }),
    };
    const terms = `{"keywright-terms": 1, "glossary": {"constructor": "b", "2": "c", "1": "d"}, "characters": {
      "valueof": {"name": "v", "states": {"watch": "w", "constructor": "x"}},
      "tostring": {"name": "t", "kind": "count"}}}`;
    const named: Shelf = {
      key: (id) => ({ ok: true, file: `${id}.key.yaml`, text: files[id] ?? '' }),
      terms: (file) => ({ ok: true, file, text: terms }),
    };
    const main = key('main', {
      taxa: taxa({ tostring: '1-4' }),
      couplets: {
        ten: ways({ valueof: 'constructor' }, { to: '2' }, { key: 'constructor' }),
        two: ways({ tostring: '3' }, { key: 'valueof' }, { key: 'constructor' }),
      },
    })
      // Objects sort such names.
      .replace('ten', '10')
      .replace('two', '2');
    const { here, inPage } = bothKeys(main, 'main.key.yaml', named);
    expect(plain(inPage)).toBe(plain(here));
    expect(here.chain.keys.map((k) => k.id)).toEqual(['main', 'constructor', 'valueof']);
    const described = inPage.chain.keys.map((k) => k.taxa.get('constructor')?.traits.get('cap'));
    // In metres both.
    const set = (...intervals: (readonly [number, number])[]) => ({
      allowed: { set: { intervals: intervals.map(([low, high]) => ({ low, high })) } },
    });
    expect(described[0]).toBeUndefined();
    expect(described.slice(1)).toMatchObject([set([0.01, 0.02]), set([0.01, 0.02], [0.1, 0.2])]);
  });

  it('gives the same candidates, verdict and record for the same answers', () => {
    fc.assert(
      fc.property(
        keyData(8, 'reticulate'),
        fc.array(fc.oneof(fc.constant('?' as const), fc.nat(2)), { maxLength: 9 }),
        (key, said) => {
          const { here, inPage } = bothKeys(JSON.stringify(key));
          const [a, b] = [keyingOf(here, find([]), said), keyingOf(inPage, find([]), said)];
          const [left, right] = [a.finish(), b.finish()];
          expect(right.verdict).toEqual(left.verdict);
          expect(right.candidates.map((c) => [c.taxon.id, c.path])).toEqual(
            left.candidates.map((c) => [c.taxon.id, c.path]),
          );
          const text = (keying: typeof a) =>
            writeRecord(newFrame(keying.record().collection), keying.record());
          expect(text(b)).toBe(text(a));
        },
      ),
      { numRuns: 200 },
    );
  });
});

describe('a find in a page', () => {
  it('is asked as the terminal asks it, with what helps to answer', () => {
    const open = begun();
    done(open, [answer(1)]);
    const couplet = coupletView(open.keying);
    expect(couplet?.number).toBe('3');
    expect(couplet?.from).toEqual(['1b']);
    expect(couplet?.leads.map((l) => [l.letter, l.text, l.worst])).toEqual([
      ['a', 'Spore print white to cream', 'upset'],
      ['b', 'Spore print rust-coloured to ochre', 'deadly'],
      ['c', 'Spore print dark, purplish or black', 'severe'],
    ]);
    expect(couplet?.slow.map((c) => c.id)).toEqual(['spore-print']);
    expect(standingView(open.keying).status).toBe('16 possible; worst: deadly (Galerina marginata)');
    const { fresh, home } = clockView(open.key, open.keying.standing);
    expect(fresh.length).toBeGreaterThan(0);
    expect(fresh.every((c) => c.perishable)).toBe(true);
    expect(home.map((c) => c.id)).toContain('spore-print');
  });

  it('asks a couplet again without losing the answers after it', () => {
    const open = begun();
    done(open, [answer(1), answer(), answer(0)]);
    const asked = open.keying.answers.map((a) => a.couplet);
    done(open, [{ kind: 'reconsider', couplet: '3' }]);
    expect(coupletView(open.keying)?.name).toBe('3');
    expect(open.keying.answers.map((a) => a.couplet)).toEqual(asked.filter((c) => c !== '3'));
  });

  it('goes on where it was left, from what was kept', () => {
    const now = clock();
    const open = begun(now);
    const from = { specimen: 'b', stage: 'young' };
    const kept = done(
      open,
      [answer(1), { kind: 'read-from', from }, answer(1), { kind: 'doubt', text: 'rubbed' }],
      now,
    );
    const again = OpenFind.resume(tufts.inPage, tufts.data.program, structuredClone(kept), now);
    expect(again.news).toEqual([]);
    expect(again.keying.record()).toEqual(open.keying.record());
    expect(again.keying.doubt).toBe('rubbed');
    expect(specimensView(again)).toMatchObject({ named: ['b'], next: 'a', now: from });
  });

  it('shows the result as the terminal does, the worst first', () => {
    const open = begun();
    done(open, [answer(1), answer(1), answer(), { kind: 'finish' }]);
    const result = resultView(open);
    expect(result.verdict).toBe('Leave it');
    expect(result.candidates[0]?.taxon.name).toBe('Galerina marginata');
    expect(result.lists.map((l) => l.heading)).toContain('Look at now');
    expect(JSON.stringify(result)).not.toMatch(/\bsafe\b|\bedible\b/i);
  });

  it('has one record however often it is handed out, and none is finished by an answer after it', () => {
    const open = begun();
    const kept = done(open, [answer(1), answer(1), answer(0), { kind: 'finish' }]);
    const text = recordText(open);
    expect(text).toBe(recordText(OpenFind.resume(tufts.inPage, tufts.data.program, kept, clock())));
    const read = readRecord(text, 'x.record.yaml');
    expect(read.ok && read.record.determinations[0]?.status).toBe('finished');
    done(open, [{ kind: 'back' }]);
    const now = readRecord(recordText(open), 'x.record.yaml');
    expect(now.ok && now.record.determinations[0]?.status).toBe('open');
  });
});

describe('a find that is called otherwise', () => {
  it('has the new name in its record, unless the record was taken in', () => {
    const open = begun();
    done(open, [answer(1), { kind: 'rename', called: 'By the tarn' }]);
    const text = recordText(open);
    const read = readRecord(text, 'x');
    expect(read.ok && [read.record.collection.id, open.called]).toEqual(['By the tarn', 'By the tarn']);
    const [taken] = takeIn(new TextEncoder().encode(text), 'x', 'tarn-wood-tufts', new Date(0)).finds;
    if (taken === undefined) throw new Error('not taken in');
    const again = OpenFind.resume(tufts.inPage, tufts.data.program, { ...taken.find, id: '2' }, clock());
    expect([open.mayBeRenamed, again.mayBeRenamed]).toEqual([true, false]);
  });
});

describe('a record that is taken in', () => {
  const shared = (finished: boolean) => {
    const open = begun();
    done(open, [answer(1), answer(1), ...(finished ? [{ kind: 'finish' } as const] : [])]);
    return recordText(open);
  };
  const taken = (text: string, key = 'tarn-wood-tufts') => takeInBytes(new TextEncoder().encode(text), key);
  const takeInBytes = (bytes: Uint8Array, key = 'tarn-wood-tufts') =>
    takeIn(bytes, 'x.record.yaml', key, new Date(0));
  const only = ({ finds: [one], problems }: TakenIn): TakenFind => {
    if (one === undefined) throw new Error(problems.join());
    return one;
  };

  it('goes on in the same file where it was not finished', () => {
    const read = only(taken(shared(false)));
    const open = OpenFind.resume(tufts.inPage, tufts.data.program, { ...read.find, id: '2' }, clock());
    expect(open.keying.answers).toHaveLength(2);
    done(open, [answer(0)]);
    const again = readRecord(recordText(open), 'x');
    expect(again.ok && again.record.determinations.map((d) => d.answers.length)).toEqual([3]);
  });

  it('keeps a finished determination letter for letter, and begins a further one', () => {
    const text = shared(true);
    const read = only(taken(text));
    const open = OpenFind.resume(tufts.inPage, tufts.data.program, { ...read.find, id: '2' }, clock());
    done(open, [answer(0), { kind: 'finish' }]);
    const more = recordText(open);
    expect(more.startsWith(text.replace(/\.\.\.\n$/, ''))).toBe(true);
    const again = readRecord(more, 'x');
    expect(again.ok && again.record.determinations.map((d) => d.status)).toEqual(['finished', 'finished']);
  });

  it('is refused with the reason: of another key, cut short, changed by hand, or no record', () => {
    const text = shared(true);
    expect(taken(text, 'other')).toEqual({
      finds: [],
      problems: [expect.stringContaining('tarn-wood-tufts')],
    });
    expect(taken(text.slice(0, -40)).problems).toHaveLength(1);
    expect(taken(text.replace('    answers:', '    odd: 1\n    answers:'))).toEqual({
      finds: [],
      problems: [
        expect.stringMatching(/x\.record\.yaml:\d+:\d+: "determinations 0 odd" is not as this page/),
      ],
    });
    expect(taken('a: 1\n').problems).toHaveLength(1);
    // A letter in Latin-1 would be lost.
    expect(takeInBytes(Buffer.from(text.replace('TH-1', 'T\u00e9'), 'latin1')).problems).toEqual([
      'x.record.yaml is not text in UTF-8, as records are.',
    ]);
  });

  it('comes out of an archive with its photographs, and what is wrong with one find leaves the others', () => {
    const open = begun();
    done(open, [
      answer(1),
      { kind: 'photograph', photograph: { file: 'p/1.jpg' } },
      { kind: 'photograph', photograph: { file: 'gone.jpg' } },
    ]);
    const record = recordText(open);
    const photographs = new Map([['p/1.jpg', new Uint8Array([1, 2, 3])]]);
    const packed = packFinds([
      { id: 'TH-1', record, photographs },
      { id: 'TH-2', record: 'a: 1\n', photographs: new Map() },
    ]);
    const { finds, problems } = takeInBytes(packed);
    expect(problems).toEqual([expect.stringContaining('TH-2.record.yaml')]);
    expect(finds.map((f) => [...f.photographs].map(([name, { size, type }]) => [name, size, type]))).toEqual([
      [['p/1.jpg', 3, 'image/jpeg']],
    ]);
    expect(takeInBytes(packed.subarray(0, -30)).problems).toEqual([expect.stringContaining('zip archive')]);
    expect(takeInBytes(writeArchive([['a.txt', 'x']])).problems).toEqual([
      expect.stringContaining('without the record'),
    ]);
  });

  it('is read as the program reads it', () => {
    for (const text of [shared(false), shared(true)]) {
      const [page, program] = [readRecordFile(text, 'x'), readRecord(text, 'x')];
      if (!page.ok || !program.ok) throw new Error('not read');
      expect(page.record).toEqual(program.record);
      expect(page.frame('last')).toEqual(program.frame('last'));
    }
  });
});
