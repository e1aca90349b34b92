import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { unwrapped, workFolder } from '../run/lines.js';
import type { FakeOptions } from '../support/fake-world.js';
import { inProcess, type Said } from '../support/in-process.js';
import { whole } from './making.js';

const CAPS = 'hollow-caps.key.yaml';
let folder: string;
let remove: () => void;

beforeEach(() => {
  ({ folder, remove } = workFolder());
});
afterEach(() => remove());

/** Runs a command in the folder; lines of answers go to its input. */
function said(
  argv: readonly string[],
  answers: readonly string[] = [],
  more: FakeOptions = {},
): Promise<Said> {
  const stdin = answers.map((a) => `${a}\n`).join('');
  return inProcess(argv, { cwd: folder, columns: 80, ...(stdin === '' ? {} : { stdin }), ...more });
}

const run = (args: readonly string[], answers: readonly string[]) => said(['run', CAPS, ...args], answers);
const text = (name: string) => readFileSync(join(folder, name), 'utf8');
const put = (name: string, content: string) => writeFileSync(join(folder, name), content);

/** The key, with some of its text replaced, under another name. */
function newer(...changes: readonly (readonly [string, string])[]): string {
  const changed = changes.reduce(
    (t, [from, to]) => {
      expect(t).toContain(from);
      return t.replace(from, to);
    },
    text(CAPS).replace('version: 1.2.0', 'version: 1.3.0'),
  );
  put('newer.key.yaml', changed);
  return 'newer.key.yaml';
}

describe('what a record keeps', () => {
  it('the find, the evidence, every answer with time, note and doubt, the key, the result, who and when', async () => {
    const { code, out } = await run(
      ['--record', 'rec.yaml', '--with', 'find.yaml', '--by', ' E.  Marlow '],
      ['note from the young one', 'doubt torn when I came', 'b'],
    );
    expect(code).toBe(0);
    expect(unwrapped(out)).toContain('You were not sure of 3b: look there again first.');
    const { record } = whole(text('rec.yaml'));
    expect(record.collection).toEqual({
      id: 'TH-2026-041',
      date: '2026-10-18',
      place: 'Lower Plantation',
      region: 'GB-CMA',
      by: 'E. Marlow',
    });
    expect(record.determinations).toMatchObject([
      {
        program: 'keywright 0.0.0-test',
        by: 'E. Marlow',
        key: { id: 'hollow-caps', version: '1.2.0', through: ['hollow-rust 0.9.0'] },
        started: '2026-11-25T12:00:00.000Z',
        ended: '2026-11-25T12:00:00.000Z',
        collection: {
          stages: ['young', 'mature'],
          evidence: [
            { character: 'print', shows: 'white' },
            { character: 'ring', shows: 'present', specimen: 'a', stage: 'young' },
            { character: 'cap-width', shows: '3.5 cm', specimen: 'b', stage: 'mature' },
          ],
        },
        answers: [
          {
            couplet: '3',
            lead: 'b',
            says: ['Ring fibrous'],
            when: 'ring-texture: fibrous',
            beside: [{ lead: 'a', says: 'Ring membranous', when: 'ring-texture: membranous' }],
            at: '2026-11-25T12:00:00.000Z',
            note: 'from the young one',
            doubt: 'torn when I came',
          },
        ],
        result: {
          name: 'Cappa aegra',
          verdict: { word: 'leave it', worst: 'deadly', settled: false },
          candidates: [
            { taxon: 'cappa-aegra', concern: 'severe', effect: 'cramps', path: ['1a', '2a', '3b'] },
          ],
          // The ring was told of the young one alone.
          further: [
            { taxon: 'cappa-mortalis', concern: 'deadly', doubted: ['3b'] },
            { taxon: 'cappa-lata', doubted: ['3b'], specimens: ['b'] },
            { taxon: 'cappa-longa', doubted: ['3b'], specimens: ['b'] },
          ],
          near: [{ name: 'Cappa mortalis', concern: 'deadly' }],
          way: [
            { couplet: '1', decided: 'evidence' },
            { couplet: '2', decided: 'evidence' },
            { couplet: '3', decided: 'answer', going: [{ lead: 'b', ends: ['cappa-aegra'] }] },
          ],
        },
        status: 'finished',
      },
    ]);
    expect(record.determinations[0]?.key.hash).toMatch(/^sha256:[0-9a-f]{64}$/);
  });

  it('names who made it from the environment, and refuses a blank name', async () => {
    await said(['run', CAPS, '--record', 'rec.yaml'], ['stop'], { env: { KEYWRIGHT_BY: 'M. Fell' } });
    expect(whole(text('rec.yaml')).record.determinations[0]?.by).toBe('M. Fell');
    const { code, err } = await run(['--by', ' '], ['stop']);
    expect([code, err]).toEqual([
      2,
      'keywright run: --by is blank; expected the name of whoever makes the determination; see `keywright run --help`\n',
    ]);
  });

  it('a doubt may be taken back, or stand without a reason or an answer', async () => {
    await run(['--record', 'rec.yaml'], ['doubt', 'leave']);
    const doubts = () => whole(text('rec.yaml')).record.determinations[0];
    expect(doubts()?.notes).toEqual([{ couplet: '1', doubt: 'not sure' }]);
    await run(['--resume', 'rec.yaml'], ['a', 'leave']);
    expect(doubts()).toMatchObject({ answers: [{ couplet: '1', doubt: 'not sure' }] });
    expect(doubts()?.notes).toBeUndefined();
  });
});

describe('a further determination', () => {
  it('is added below, and what was there stays letter for letter', async () => {
    await run(['--record', 'rec.yaml', '--with', 'find.yaml'], ['a']);
    const first = text('rec.yaml');
    const { code, err } = await run(
      ['--record', 'rec.yaml', '--id', 'TH-2026-041', '--by', 'M. Fell'],
      ['a', 'a', 'b'],
    );
    expect(code).toBe(0);
    expect(unwrapped(err)).toContain(
      'rec.yaml holds 1 determination of TH-2026-041; this one is added to it.',
    );
    const second = text('rec.yaml');
    expect(second.startsWith(first.slice(0, -'...\n'.length))).toBe(true);
    const { determinations } = whole(second).record;
    expect(determinations).toHaveLength(2);
    // Where and when it was found is known; what was seen is seen anew.
    expect(determinations[1]).toMatchObject({ by: 'M. Fell', collection: { date: '2026-10-18' } });
    expect(determinations[1]?.collection.evidence).toBeUndefined();
    // The record itself may be what a further determination starts from.
    await run(['--record', 'rec.yaml', '--with', 'rec.yaml'], ['stop']);
    expect(text('rec.yaml').startsWith(second.slice(0, -'...\n'.length))).toBe(true);
    put('changed.yaml', text('find.yaml').replace('place: Lower Plantation', 'place: Upper Plantation'));
    await run(['--record', 'rec.yaml', '--with', 'changed.yaml'], ['a']);
    const places = whole(text('rec.yaml')).record.determinations.map((d) => d.collection.place);
    expect(places).toEqual(['Lower Plantation', 'Lower Plantation', 'Lower Plantation', 'Upper Plantation']);
  });

  it('may go on from a finished one, which stays as it is', async () => {
    await run(['--record', 'rec.yaml', '--id', 'TH-1'], ['a', 'stop']);
    const first = text('rec.yaml');
    const looked = await run(['--resume', 'rec.yaml'], ['stop']);
    expect(looked.code).toBe(0);
    expect(looked.err).toContain('Nothing new was answered, so rec.yaml stays as it is.');
    expect(text('rec.yaml')).toBe(first);
    await run(['--resume', 'rec.yaml'], ['b', 'a']);
    expect(text('rec.yaml').startsWith(first.slice(0, -'...\n'.length))).toBe(true);
    expect(whole(text('rec.yaml')).record.determinations).toMatchObject([
      { answers: [{ couplet: '1' }] },
      { answers: [{ couplet: '1' }, { couplet: '2' }, { couplet: '4' }], status: 'finished' },
    ]);
  });

  it('is put into another file as it is when nothing new is answered', async () => {
    await run(['--record', 'rec.yaml', '--id', 'TH-1'], ['a', 'stop']);
    const { code, err } = await run(['--resume', 'rec.yaml', '--record', 'copy.yaml'], ['stop']);
    expect([code, text('copy.yaml')]).toEqual([0, text('rec.yaml')]);
    expect(err).toContain('copy.yaml holds the record as it is in rec.yaml.');
  });

  it('of one find in another file leaves the first file alone', async () => {
    await run(['--record', 'rec.yaml', '--id', 'TH-1'], ['a', 'leave']);
    const first = text('rec.yaml');
    await run(['--resume', 'rec.yaml', '--record', 'copy.yaml'], ['b', 'a']);
    expect(text('rec.yaml')).toBe(first);
    expect(whole(text('copy.yaml')).record.determinations).toMatchObject([
      { answers: [{ couplet: '1' }, { couplet: '2' }, { couplet: '4' }] },
    ]);
  });
});

describe('bad input', () => {
  /** A command that must fail, say what it says, and leave the record alone. */
  async function refused(argv: readonly string[], says: string | RegExp, file = 'rec.yaml'): Promise<void> {
    const before = text(file);
    const { code, err } = await said(argv, ['a', 'a', 'a']);
    expect(err).toEqual(
      typeof says === 'string' ? expect.stringContaining(says) : expect.stringMatching(says),
    );
    expect(code).toBe(2);
    expect(text(file)).toBe(before);
  }
  const ways = (file = 'rec.yaml') => [
    ['run', CAPS, '--resume', file],
    ['run', CAPS, '--record', file, '--id', 'TH-1'],
    ['redo', file, '--key', CAPS, '--write'],
    ['report', file],
  ];

  beforeEach(async () => {
    await run(['--record', 'rec.yaml', '--id', 'TH-1'], ['a', 'b', 'a']);
  });

  it('a record of a newer format', async () => {
    put('rec.yaml', text('rec.yaml').replace('keywright-record: 1', 'keywright-record: 2'));
    for (const argv of ways())
      await refused(
        argv,
        'rec.yaml was written by a newer keywright: it is a record of format "2", and this version reads format 1',
      );
    // Also when that format cannot be read at all.
    put('rec.yaml', 'keywright-record: 12\nfind: {');
    for (const argv of ways()) await refused(argv, 'rec.yaml was written by a newer keywright');
  });

  it('a record that is cut short', async () => {
    const lines = text('rec.yaml').split('\n');
    for (const left of [4, 12, 20, lines.length - 2]) {
      put('rec.yaml', lines.slice(0, left).join('\n'));
      for (const argv of ways()) await refused(argv, /rec\.yaml:\d+:\d+: the record is cut short/);
    }
    put('rec.yaml', `${lines.slice(0, 20).join('\n')}\n        says: "torn`);
    for (const argv of ways())
      await refused(
        argv,
        /rec\.yaml:\d+:\d+: the record is cut short or damaged: This quote is never closed/,
      );
  });

  it('a record with lines that mean nothing: each with its place, and what was expected', async () => {
    put(
      'rec.yaml',
      text('rec.yaml')
        .replace('  id: TH-1', '  id: TH-1\n  plaice: Wood')
        .replace('        lead: b\n', '        lead: "7"\n')
        .replace('word: not cleared', 'word: good to go'),
    );
    const { code, err } = await said(['report', 'rec.yaml']);
    expect(code).toBe(2);
    expect(err.split('\n')).toEqual([
      expect.stringMatching(/^rec\.yaml:4:3: .*cannot have "plaice"; did you mean "place"\?$/),
      expect.stringMatching(/^rec\.yaml:\d+:15: "lead" of answer 2 of determination 1 is "7"; expected /i),
      expect.stringMatching(/^rec\.yaml:\d+:\d+: .*"good to go"; expected leave it or not cleared/),
      'keywright: rec.yaml cannot be reported: it is not as it was written',
      '',
    ]);
    for (const argv of ways()) await refused(argv, 'cannot have "plaice"');
  });

  it('what is no record, or not there', async () => {
    for (const argv of ways('find.yaml'))
      await refused(argv, /find\.yaml is (there already and is )?not a record/, 'find.yaml');
    const { code, err } = await said(['report', 'nowhere.yaml']);
    expect([code, err]).toEqual([2, 'keywright: nowhere.yaml cannot be read: there is no such file\n']);
    mkdirSync(join(folder, 'dir'));
    expect((await said(['report', 'dir'])).err).toBe(
      'keywright: dir cannot be read: it is a folder\nhint: give the name of a file in it\n',
    );
  });

  it('a record of another key', async () => {
    const three = 'hollow-three.key.yaml';
    await refused(
      ['run', three, '--resume', 'rec.yaml'],
      'rec.yaml is a determination with the key hollow-caps, not with hollow-three; it is left as it is\nhint: run hollow-caps with',
    );
    await refused(
      ['redo', 'rec.yaml', '--key', three, '--write'],
      'keywright: rec.yaml was made with the key hollow-caps, not with hollow-three; it is left as it is\nhint: --other-keys takes over',
    );
    const { out } = await said(['redo', 'rec.yaml', '--key', three, '--other-keys']);
    expect(unwrapped(out)).toContain(
      'answer 1a no longer holds and counts as "can\'t tell": its wording has changed',
    );
  });

  it('two finds of one name, and two records of one', async () => {
    put('two.yaml', text('rec.yaml'));
    await refused(
      ['redo', 'rec.yaml', 'two.yaml', '--key', newer(['Ring absent', 'Ring wanting']), '--write'],
      'keywright: two.yaml and rec.yaml are both records of a find called TH-1\nhint: give one of the finds another id',
    );
    expect(text('two.yaml')).toBe(text('rec.yaml'));
    put('rec.yaml', text('rec.yaml').replace('  id: TH-1\n', '  id: TH-2026-041\n  date: 2026-10-11\n'));
    await refused(
      ['run', CAPS, '--record', 'rec.yaml', '--with', 'find.yaml'],
      'two finds of one name: the TH-2026-041 that rec.yaml is the record of was found on 2026-10-11, this one on 2026-10-18; the record is left as it is',
    );
  });

  it('a key that has changed between leaving off and going on', async () => {
    await run(['--record', 'open.yaml', '--id', 'TH-3'], ['a', 'b', 'leave']);
    put(CAPS, text(CAPS).replace('Cap under 3 cm wide', 'Cap narrower than 3 cm'));
    await refused(
      ['run', CAPS, '--resume', 'open.yaml'],
      'keywright: The key hollow-caps has changed since this record was made: hollow-caps has changed, though its version is still 1.2.0. open.yaml is left as it is.\nhint: keywright redo open.yaml --key hollow-caps lists what the change does to it; --changed-key continues from the answers that still hold\n',
      'open.yaml',
    );
    expect((await said(['redo', 'open.yaml', '--key', CAPS])).code).toBe(0);
    expect((await run(['--resume', 'open.yaml', '--changed-key'], ['a'])).code).toBe(0);
    expect(whole(text('open.yaml')).record.determinations).toMatchObject([
      { answers: [{ couplet: '1' }, { couplet: '2' }, { couplet: '4' }], begunWith: [{ version: '1.2.0' }] },
    ]);
    expect((await said(['run', CAPS, '--changed-key'], ['a'])).err).toContain(
      '--changed-key is for --resume FILE',
    );
  });

  it('a record that somebody else changes meanwhile', async () => {
    const { keyingOf } = await import('./making.js');
    const { RecordKeeper } = await import('../../src/files/record-keeper.js');
    const { open } = await import('../support/open.js');
    const key = open({
      keywright: 1,
      id: 'k',
      title: 'K',
      version: '1',
      couplets: {
        1: [
          { lead: 'A', taxon: 'a' },
          { lead: 'B', taxon: 'b' },
        ],
      },
      taxa: { a: { name: 'A' }, b: { name: 'B' } },
    });
    const keying = keyingOf(key, { id: 'X', observations: [], choices: [], stages: [], expect: [] }, []);
    const keeper = new RecordKeeper('mine.yaml', folder);
    keeper.claim(keying.start.find);
    keeper.save(keying.record());
    put('mine.yaml', `${text('mine.yaml')}# a remark\n`);
    const theirs = text('mine.yaml');
    keying.answer(0);
    expect(() => keeper.save(keying.record())).toThrow('mine.yaml was changed by somebody else meanwhile');
    expect(text('mine.yaml')).toBe(theirs);
  });
});

describe('redo', () => {
  beforeEach(async () => {
    await run(['--record', 'one.yaml', '--id', 'TH-1'], ['a', 'b', 'a']);
    await run(['--record', 'two.yaml', '--id', 'TH-2'], ['a', 'a', 'a']);
  });

  it('through the same key: the same, exit code 0, and nothing to add', async () => {
    const before = text('one.yaml');
    const { code, out, err } = await said(['redo', 'one.yaml', '--key', CAPS, '--write']);
    expect([code, text('one.yaml')]).toEqual([0, before]);
    expect(out).toMatch(
      /^TH-1 \(one\.yaml\): the same result\n {2}- with the same text of hollow-caps 1\.2\.0\n {2}- Cappa parva, not cleared/,
    );
    expect(err).toContain('one.yaml was made with this very text of the key: there is nothing to add');
  });

  it('lists what is different and where the way parts; exit code 1; the records are only looked at', async () => {
    const before = [text('one.yaml'), text('two.yaml')];
    const key = newer(['lead: Cap under 3 cm wide', 'lead: Cap narrow']);
    const { code, out, err } = await said(['redo', 'one.yaml', 'two.yaml', '--key', key]);
    expect(code).toBe(1);
    expect(unwrapped(out)).toContain(
      'TH-1 (one.yaml): another result - hollow-caps 1.2.0 is now 1.3.0 - name: Cappa (sp.); before: Cappa parva - verdict: leave it (upsets stomach or gut); before: not cleared (no harm recorded, which proves nothing) - possible now: Cappa longa (effects unknown) and Cappa lata (upsets stomach or gut) - the way parts at couplet 4: a and b go on now, a before, since nothing decides it any more - answer 4a no longer holds and counts as "can\'t tell": its wording has changed (it was: Cap under 3 cm wide) - to be answered now: couplets 4 and 5 TH-2 (two.yaml): the same result',
    );
    expect(out).toContain('call the poison centre');
    expect(unwrapped(err)).toBe(
      '2 records redone with hollow-caps 1.3.0 and hollow-rust 0.9.0: 1 with another result and 1 with the same. ',
    );
    expect([text('one.yaml'), text('two.yaml')]).toEqual(before);
  });

  it('--write adds the determination, with whose it is and what was taken over', async () => {
    const before = text('one.yaml');
    const key = newer(['lead: Cap under 3 cm wide', 'lead: Cap narrow']);
    const { code, err } = await said(['redo', 'one.yaml', '--key', key, '--write', '--by', 'M. Fell']);
    expect(code).toBe(1);
    expect(unwrapped(err)).toContain(
      '1 determination was added to the records; nothing in them was changed.',
    );
    expect(text('one.yaml').startsWith(before.slice(0, -'...\n'.length))).toBe(true);
    expect(whole(text('one.yaml')).record.determinations[1]).toMatchObject({
      by: 'M. Fell',
      redoneFrom: 1,
      key: { version: '1.3.0' },
      dropped: [{ couplet: '4', lead: 'a', why: 'its wording has changed' }],
      possible: ['cappa-parva', 'cappa-longa', 'cappa-lata'],
    });
    // Once more: it is this very key already.
    const again = text('one.yaml');
    expect((await said(['redo', 'one.yaml', '--key', key, '--write'])).code).toBe(0);
    expect(text('one.yaml')).toBe(again);
  });

  it('one bad record hides none of the others, and the exit code is 2', async () => {
    put('bad.yaml', text('two.yaml').slice(0, 300));
    await run(['--record', 'open.yaml', '--id', 'TH-9'], ['a', 'leave']);
    const open = text('open.yaml');
    const key = newer(['lead: Cap under 3 cm wide', 'lead: Cap narrow']);
    const { code, out, err } = await said([
      'redo',
      'bad.yaml',
      'one.yaml',
      'nowhere.yaml',
      'two.yaml',
      './two.yaml',
      'open.yaml',
      '--key',
      key,
      '--write',
    ]);
    expect(code).toBe(2);
    expect(out.match(/^TH-\S+/gm)).toEqual(['TH-1', 'TH-2', 'TH-9']);
    expect(unwrapped(out)).toContain('it was left off before its end; what is possible is compared');
    expect(err).toContain('keywright: bad.yaml cannot be redone and is left as it is');
    expect(err).toContain('keywright: nowhere.yaml cannot be read: there is no such file');
    expect(err).toContain('./two.yaml is given twice; it is redone once');
    expect(err).toContain(
      'open.yaml ends with a determination that was not finished, so nothing is added to it',
    );
    expect(text('open.yaml')).toBe(open);
    expect(unwrapped(err)).toContain(
      '1 with another result and 2 with the same; 3 problems, see above. 2 determinations were added',
    );
  });

  it('as lines of JSON and as a table, with cautions on stderr', async () => {
    const key = newer(['lead: Cap under 3 cm wide', 'lead: Cap narrow']);
    const lines = await said(['redo', 'one.yaml', 'two.yaml', '--key', key, '--format', 'ndjson']);
    const [one, two] = lines.out
      .trimEnd()
      .split('\n')
      .map((l) => JSON.parse(l));
    expect(one).toMatchObject({
      record: 'one.yaml',
      collection: 'TH-1',
      state: 'changed',
      parting: { couplet: '4' },
      lost: [{ couplet: '4', lead: 'a', says: 'Cap under 3 cm wide', why: 'its wording has changed' }],
      opened: ['4', '5'],
      verdict: { before: { word: 'not cleared' }, after: { word: 'leave it' } },
    });
    expect(two.state).toBe('same');
    expect(lines.err).toContain('call the poison centre');
    const table = await said(['redo', 'one.yaml', 'two.yaml', '--key', key, '--format', 'csv']);
    expect(table.out.split('\n')).toEqual([
      'record,id,state,version_before,version_after,name_before,name_after,verdict_before,verdict_after,concern_before,concern_after,gone,came,parts_at,why,answers_lost,to_be_answered,not_understood,keys_changed,means_otherwise',
      'one.yaml,TH-1,changed,1.2.0,1.3.0,Cappa parva,Cappa (sp.),not cleared,leave it,none-recorded,upset,,Cappa longa | Cappa lata,4,"a and b go on now, a before, since nothing decides it any more",4a: its wording has changed,4 | 5,,hollow-caps 1.2.0 is now 1.3.0,',
      'two.yaml,TH-2,same,1.2.0,1.3.0,Cappa mortalis,Cappa mortalis,leave it,leave it,deadly,deadly,,,,,,,,hollow-caps 1.2.0 is now 1.3.0,',
      '',
    ]);
  });

  it('without a key says so', async () => {
    expect(await said(['redo', 'one.yaml'])).toEqual({
      code: 2,
      out: '',
      err: 'keywright redo: --key is missing: the key, in its newer version, to run the records through; see `keywright redo --help`\n',
    });
  });
});

describe('report', () => {
  it('tells the find, the evidence, the answers and every determination, with what differs', async () => {
    await run(['--record', 'rec.yaml', '--with', 'find.yaml', '--by', 'E. Marlow'], ['doubt worn', 'a']);
    await run(['--record', 'rec.yaml', '--with', 'rec.yaml', '--by', 'M. Fell'], ['note fresh', 'b']);
    const { code, out, err } = await said(['report', 'rec.yaml', '--full'], [], {
      columns: 80,
      env: { KEYWRIGHT_POISON_CENTRE: '0123 456' },
    });
    expect([code, err]).toEqual([0, '']);
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    expect(out).toMatch(
      /^Record of TH-2026-041\nVerdict: Leave it\. Recorded for Cappa aegra: severe poisoning\.\n/,
    );
    const flat = unwrapped(out);
    for (const part of [
      'The find - found on: 2026-10-18 - place: Lower Plantation - region: GB-CMA - collected by: E. Marlow',
      'Determination 1 of 2: Cappa mortalis - made by E. Marlow; begun 2026-11-25 12:00 UTC',
      'with the key hollow-caps 1.2.0: Caps of the invented Tarn Hollow continues in hollow-rust 0.9.0 content sha256:',
      'on the find as a whole: colour of the spore print: white to cream - on specimen a (young): ring on the stem: present - on specimen b (mature): width of the cap: 3.5 cm',
      '3a Ring membranous not taken: b Ring fibrous in doubt: worn answered 2026-11-25 12:00:00 UTC',
      'Decided by what was known - 1a Spore print white to cream - 2a Ring present',
      'Cappa mortalis deadly; effect: liver failure; first signs: 6-24 h path 1a 2a 3a',
      'What is different from the determination before - made by M. Fell; before: E. Marlow - answer 3b; before: 3a - name: Cappa aegra; before: Cappa mortalis',
      'the way parts at couplet 3: b goes on now, a before',
      'Poison centre: 0123 456.',
    ])
      expect(flat).toContain(part);
  });

  it('as Markdown, to a file that it replaces only when it is told to', async () => {
    await run(['--record', 'rec.yaml', '--id', 'TH_1 *'], ['a', 'note <b>|#', 'stop']);
    const args = ['report', 'rec.yaml', '--full', '--format', 'markdown', '--out', 'rec.md'];
    expect(await said(args)).toEqual({ code: 0, out: '', err: '' });
    expect(text('rec.md')).toMatch(/^# Record of TH\\_1 \\\*\n\n\*\*Verdict: Leave it\./);
    expect(text('rec.md')).toContain('- couplet 2: \\<b\\>\\|\\#');
    put('rec.md', 'mine\n');
    expect((await said(args)).err).toContain('rec.md is there already; it is left as it is');
    const record = text('rec.yaml');
    const over = await said(['report', 'rec.yaml', '--out', 'rec.yaml', '--overwrite']);
    expect([over.code, over.err]).toEqual([
      2,
      expect.stringContaining('rec.yaml is read by this very command'),
    ]);
    expect(text('rec.yaml')).toBe(record);
  });

  it('goes by the concerns of what was possible, whatever verdict stands in the record', async () => {
    await run(['--record', 'rec.yaml', '--id', 'TH-2'], ['a', 'a', 'a']);
    put(
      'rec.yaml',
      text('rec.yaml').replace(
        'verdict: {word: leave it, worst: deadly, settled: true}',
        'verdict: {word: not cleared, worst: none-recorded, settled: false}',
      ),
    );
    const { out } = await said(['report', 'rec.yaml']);
    expect(out).toContain('Verdict: Leave it. Recorded for Cappa mortalis: deadly.');
    expect(out).not.toContain('Not cleared');
  });

  it('lets no text of a record steer the terminal', async () => {
    await run(['--record', 'rec.yaml', '--id', 'TH\u001b[2J'], ['note \u001b]0;x\u0007', 'a', 'b', 'a']);
    const { out } = await said(['report', 'rec.yaml']);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
    expect(out).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f]/);
    expect(out).toContain('TH\\u{1b}[2J');
  });
});
