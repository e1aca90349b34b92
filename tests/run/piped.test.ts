import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readRecord } from '../../src/record/read.js';
import { program, started } from '../support/program.js';
import { piped, unwrapped, workFolder } from './lines.js';

const CAPS = 'hollow-caps.key.yaml';
const TUFTS = join(import.meta.dirname, '../../keys/tarn-wood-tufts.key.yaml');
let folder: string;
let remove: () => void;

beforeEach(() => {
  ({ folder, remove } = workFolder());
});
afterEach(() => remove());

function record(name = 'rec.yaml') {
  const read = readRecord(readFileSync(join(folder, name), 'utf8'), name);
  if (!read.ok) throw new Error(read.problem);
  const last = read.record.determinations.at(-1);
  if (last === undefined) throw new Error('no determination');
  return last;
}

describe('run with answers from a pipe', () => {
  it('ends with the result on stdout and everything else on stderr', () => {
    const { status, stdout, stderr } = piped(folder, [CAPS, '--id', 'TH-1'], ['a', 'b', 'a'], {
      KEYWRIGHT_POISON_CENTRE: '0123 456',
    });
    expect(status).toBe(0);
    expect(stdout).toMatch(
      /^Verdict: Not cleared\. No harm is recorded here for it, which proves nothing\.\nTH-1, keyed with hollow-caps 1\.2\.0: Cappa parva\nPossible\n {2}Cappa parva \(little cap\): no harm recorded\n/,
    );
    expect(stdout).toContain('More with --full.');
    expect(stdout).toContain('call the poison centre at once, 0123 456');
    const full = piped(folder, [CAPS, '--id', 'TH-1', '--full'], ['a', 'b', 'a']).stdout;
    expect(full).toContain('Cappa parva: 1a 2b 4a');
    expect(stdout).not.toMatch(/\b(safe|edible|harmless to eat)\b/i);
    expect(stderr).toContain('4 (2b)\n  a  Cap under 3 cm wide');
    expect(stdout + stderr).not.toContain('\x1b');
  });

  it('keeps the worst: a doubt said aloud leaves what lies behind the other leads', () => {
    const answers = ['b', 'b', 'b', 'b', 'doubt cut too high', 'a'];
    const { status, stdout } = piped(folder, [TUFTS], answers);
    expect(status).toBe(0);
    const text = unwrapped(stdout);
    expect(text).toContain('keyed with tarn-wood-tufts 0.4.0: Kuehneromyces mutabilis');
    expect(text).toContain('Verdict: Leave it.');
    expect(text).toContain(
      'If your answer tarn-rust-spored 5a, which you doubted, is wrong: Galerina marginata (deadly).',
    );
    const sure = piped(
      folder,
      [TUFTS],
      answers.filter((a) => !a.startsWith('doubt')),
    );
    expect(unwrapped(sure.stdout)).toContain('Verdict: Not cleared.');
  });

  it('runs out of answers: exit 2, and says where', () => {
    const { status, stdout, stderr } = piped(folder, [CAPS, '--record', 'rec.yaml'], ['a', 'b']);
    expect([status, stdout]).toEqual([2, '']);
    expect(unwrapped(stderr)).toMatch(
      /keywright: the answers ran out at couplet 4, after 2 answers, with 3 taxa still possible The record is kept in rec\.yaml; go on with: keywright run hollow-caps\.key\.yaml --resume rec\.yaml $/,
    );
    expect(record()).toMatchObject({
      status: 'open',
      possible: ['cappa-parva', 'cappa-longa', 'cappa-lata'],
    });
  });

  it.each([[[]], [['']]])('takes %j as no answers', (answers) => {
    const { status, stderr } = piped(folder, [CAPS], answers);
    expect(status).toBe(2);
    expect(unwrapped(stderr)).toContain('the answers ran out at couplet 1, after 0 answers');
  });

  it('names the line of an answer that is none', () => {
    const { status, stderr } = piped(folder, [CAPS], ['a', '', 'rusty\x1b[2J']);
    expect(status).toBe(2);
    expect(stderr.trimEnd().split('\n').at(-1)).toBe(
      'keywright: line 3 of the answers: "rusty\\u{1b}[2J" is no answer to couplet 2; expected a or b, ?, back, note TEXT, doubt TEXT, specimen NAME AGE, find place: TEXT, terms, look, stop or leave',
    );
  });

  it('takes answers with their couplet, and refuses those of another couplet', () => {
    expect(piped(folder, [CAPS], ['1a', '2b', '4?', '5a']).status).toBe(0);
    const { status, stderr } = piped(folder, [CAPS], ['1a', '3b']);
    expect(status).toBe(2);
    expect(stderr).toContain('"3b" is no answer to couplet 2');
  });

  it('goes back, notes, explains, stops', () => {
    const { status, stdout, stderr } = piped(
      folder,
      [CAPS, '--record', 'rec.yaml', '--full'],
      ['b', 'back', 'look', 'note from a fresh cap', 'a\r', 'terms', 'stop'],
    );
    expect(status).toBe(0);
    expect(stderr).toContain('Takes 6 h. You need: paper and glass.');
    expect(stderr).toContain('ring: what is left on the stem');
    expect(stdout).toContain('couplet 2: a or b (not asked)');
    expect(stdout).toContain('Possible, the worst of 5 first');
    expect(record()).toMatchObject({
      status: 'finished',
      answers: [{ couplet: '1', lead: 'a', says: ['Spore print white to cream'], note: 'from a fresh cap' }],
    });
    expect(piped(folder, [CAPS], ['back']).stderr).toContain(
      'line 1 of the answers: there is no answer to take back',
    );
  });

  it('answers by itself what is known, and says why', () => {
    const { status, stdout, stderr } = piped(folder, [CAPS, '--with', 'find.yaml', '--full'], ['b']);
    expect(status).toBe(0);
    expect(stderr).toContain('1: a, since the find shows colour of the spore print: white to cream');
    expect(stderr).toContain('2: a, since the find shows ring on the stem: present');
    expect(stdout).toContain('TH-2026-041, keyed with hollow-caps');
    expect(stdout).toContain('1a 2a 3b');
    const colour = piped(folder, ['hollow-rust.key.yaml'], ['b', '?']).stderr;
    expect(colour).toContain("hollow-rust 2?  can't tell: a and b go on".replace('hollow-rust ', ''));
  });

  it('takes one find of any table, and says what is wrong with it', () => {
    writeFileSync(
      join(folder, 'season.csv'),
      'id,date,print,ring,cap-width\nTH-1,2026-10-01,white,absent,2 cm\nTH-2,2026-10-02,white,presnt,\n',
    );
    const good = piped(folder, [CAPS, '--with', 'season.csv', '--id', 'TH-1'], []);
    expect([good.status, good.stdout.split('\n')[1]]).toEqual([
      0,
      'TH-1, keyed with hollow-caps 1.2.0: Cappa parva',
    ]);
    const bad = piped(folder, [CAPS, '--with', 'season.csv', '--id', 'TH-2'], []);
    expect(bad.status).toBe(2);
    expect(bad.stderr).toMatch(/^season\.csv:3:23 error: .*presnt.*present/);
    expect(bad.stderr).toMatch(/keywright: season\.csv cannot be used: 1 error must be fixed first\n$/);
    writeFileSync(join(folder, 'two.csv'), 'id,print\nTH-1,white\nTH-2,white\n');
    expect(piped(folder, [CAPS, '--with', 'two.csv'], []).stderr).toBe(
      'keywright: two.csv holds 2 finds, and a key is run with one\nhint: say which with --id, such as --id TH-1\n',
    );
    expect(piped(folder, [CAPS, '--with', 'two.csv', '--id', 'TH-22'], []).stderr).toBe(
      'keywright: there is no find "TH-22" in two.csv; did you mean TH-2?\n',
    );
  });

  it('says before the first couplet that the find lies outside what the key is for', () => {
    writeFileSync(join(folder, 'far.csv'), 'id,date,region,print\nTH-9,2026-06-01,FR-BRE,white\n');
    const { stderr, stdout } = piped(folder, [CAPS, '--with', 'far.csv'], ['stop']);
    const before = unwrapped(stderr.slice(0, stderr.indexOf('2 (1a)')));
    expect(before).toContain('! FR-BRE lies outside the regions of hollow-caps (GB-CMA)');
    expect(before).toContain('! June lies outside the months of hollow-caps (September and October)');
    expect(unwrapped(stdout)).toContain('Bear in mind FR-BRE lies outside');
  });

  it('takes details of the find and the specimen of an answer as lines', () => {
    const answers = [
      'find place: Alder  Carr',
      'specimen b mature',
      'a',
      'specimen',
      'find date: 2026-06-14',
    ];
    const { status, stderr } = piped(folder, [CAPS, '--record', 'rec.yaml'], [...answers, 'b', 'stop']);
    expect(status).toBe(0);
    expect(stderr).toContain('Seen now: specimen b, mature');
    expect(unwrapped(stderr)).toContain('! June lies outside the months of hollow-caps');
    expect(record()).toMatchObject({
      collection: { place: 'Alder Carr', date: '2026-06-14' },
      answers: [{ lead: 'a', specimen: 'b', stage: 'mature' }, { lead: 'b' }],
    });
    expect(record().answers[1]).not.toHaveProperty('specimen');
    const report = program(['report', 'rec.yaml', '--full'], { cwd: folder }).stdout;
    expect(report).toContain('seen on specimen b (mature)');
    const wrong = (line: string) => piped(folder, [CAPS], [line]).stderr.trimEnd().split('\n').at(-1);
    expect(wrong('specimen b matur')).toBe(
      'keywright: line 1 of the answers: "matur" is no age of a specimen; expected mature; did you mean mature?',
    );
    expect(wrong('find date: June')).toContain('"June" is not a date; write year-month-day');
    expect(wrong('find smell: flour')).toContain('write place: TEXT, date: TEXT, by: TEXT or habitat: TEXT');
    const dated = piped(folder, [CAPS, '--date', 'June'], []);
    expect([dated.status, dated.stderr]).toEqual([2, expect.stringContaining('"June" is not a date')]);
  });

  it('takes details of the find as options, and adds them when it goes on', () => {
    piped(
      folder,
      [CAPS, '--record', 'rec.yaml', '--place', 'Alder Carr', '--found-by', 'Tam'],
      ['a', 'leave'],
    );
    piped(folder, [CAPS, '--resume', 'rec.yaml', '--habitat', 'oak stump'], ['b', 'stop']);
    expect(record().collection).toMatchObject({ place: 'Alder Carr', by: 'Tam', habitat: 'oak stump' });
  });

  it('leaving off is no error', () => {
    const { status, stdout, stderr } = piped(folder, [CAPS], ['a', 'leave']);
    expect([status, stdout]).toEqual([0, '']);
    expect(stderr).toContain(
      'Left off at couplet 2, after 1 answer, with 5 taxa still possible.\nNothing was kept',
    );
  });

  it('says when nothing in the key fits', () => {
    const table = 'keywright-collections: 1\ncollections: [{id: X, traits: {colour: black, ring: "-"}}]\n';
    writeFileSync(
      join(folder, 'none.yaml'),
      table.replace('colour: black, ring: "-"', 'print: white, ring: present, ring-texture: "-"'),
    );
    const { status, stdout } = piped(folder, [CAPS, '--with', 'none.yaml'], []);
    expect(status).toBe(0);
    expect(stdout).toMatch(
      /^Verdict: Not cleared\. Nothing in this key fits[\s\S]*Nearest( \(\d+ of \d+\))?\n {2}Cappa mortalis[\s\S]*look again at texture of the ring/,
    );
  });

  it('^C: exit 130, record kept', async () => {
    const child = started(['run', CAPS, '--record', 'rec.yaml'], folder);
    let said = '';
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      said += text;
      if (said.includes('2 (1a)') && !child.killed) child.kill('SIGINT');
    });
    child.stdin.write('a\n');
    expect(await new Promise((resolve) => child.on('close', resolve))).toBe(130);
    expect(unwrapped(said)).toContain('Interrupted. The record is kept in rec.yaml; go on with:');
    expect(record().answers).toHaveLength(1);
  });
});

describe('--record and --resume', () => {
  it('continues after kill -9 at any moment', async () => {
    for (const wait of [0, 1, 2, 3, 5, 8, 13, 21]) {
      const name = `kill-${wait}.yaml`;
      const child = started(['run', CAPS, '--record', name], folder);
      let answered = 0;
      child.stderr.setEncoding('utf8').on('data', (text: string) => {
        if (/\n\d \(|^1$/m.test(text) && answered++ === 0) {
          child.stdin.write('a\nb\nback\na\nback\nb\nb\nback\n');
          setTimeout(() => child.kill('SIGKILL'), wait);
        }
      });
      child.stdin.on('error', () => undefined);
      await new Promise((resolve) => child.on('close', resolve));
      const kept = record(name);
      const { status, stderr } = piped(folder, [CAPS, '--resume', name], ['stop']);
      expect(status).toBe(0);
      if (kept.answers.length > 0) expect(stderr).toContain(`Going on after ${kept.answers.length} answer`);
      expect(record(name)).toMatchObject({
        status: 'finished',
        answers: kept.answers,
        started: kept.started,
      });
    }
  });

  it('a record that is cut off anywhere is refused, and left as it is', () => {
    piped(folder, [CAPS, '--record', 'rec.yaml', '--with', 'find.yaml'], ['note looked: twice', '?', 'a']);
    const whole = readFileSync(join(folder, 'rec.yaml'), 'utf8');
    // The last line may lack its end, no more.
    for (let length = 0; length < whole.length - 1; length++)
      expect(readRecord(whole.slice(0, length), 'rec.yaml').ok, whole.slice(0, length)).toBe(false);
    const cut = whole.slice(0, whole.indexOf('possible:'));
    writeFileSync(join(folder, 'cut.yaml'), cut);
    const { status, stderr } = piped(folder, [CAPS, '--resume', 'cut.yaml'], ['a']);
    expect([status, stderr]).toEqual([
      2,
      `keywright: cut.yaml:${cut.trimEnd().split('\n').length}:${(cut.trimEnd().split('\n').at(-1)?.length ?? 0) + 1}: the record is cut short here: the line "..." at its end is missing; it cannot be resumed and is left as it is\n`,
    ]);
    expect(readFileSync(join(folder, 'cut.yaml'), 'utf8')).toBe(cut);
  });

  it('the evidence comes back from the record as it went in', () => {
    const first = piped(folder, [CAPS, '--record', 'rec.yaml', '--with', 'find.yaml'], ['stop']);
    const second = piped(folder, [CAPS, '--resume', 'rec.yaml'], ['stop']);
    expect(second.stdout).toBe(first.stdout);
    expect(record().collection.evidence).toEqual([
      {
        character: 'print',
        shows: 'white',
        means: 'colour of the spore print: white to cream',
        only: 'on mature specimens',
      },
      {
        character: 'ring',
        shows: 'present',
        means: 'ring on the stem: present',
        specimen: 'a',
        stage: 'young',
      },
      {
        character: 'cap-width',
        shows: '3.5 cm',
        means: 'width of the cap: 3.5 cm',
        specimen: 'b',
        stage: 'mature',
      },
    ]);
  });

  it('never overwrites what is there', () => {
    writeFileSync(join(folder, 'notes.txt'), 'my notes\n');
    writeFileSync(join(folder, 'empty'), '');
    mkdirSync(join(folder, 'folder'));
    piped(folder, [CAPS, '--record', 'rec.yaml', '--id', 'TH-1'], ['a']);
    const kept = readFileSync(join(folder, 'rec.yaml'), 'utf8');
    const tries: [string[], string][] = [
      [['--record', 'notes.txt'], 'notes.txt is there already and is not a record; it is left as it is'],
      [['--record', 'empty'], 'empty is there already and is not a record'],
      [['--record', 'find.yaml'], 'find.yaml is there already and is not a record'],
      [['--record', 'folder'], 'folder is not a file, so no record can be kept there'],
      [
        ['--record', 'rec.yaml', '--id', 'TH-2'],
        'rec.yaml already holds a determination of TH-1 with hollow-caps',
      ],
      [['--record', 'rec.yaml', '--id', 'TH-1'], 'hint: --resume rec.yaml continues it'],
    ];
    for (const [options, says] of tries) {
      const { status, stderr } = piped(folder, [CAPS, ...options], ['a']);
      expect(status).toBe(2);
      expect(stderr).toContain(says);
    }
    expect(readFileSync(join(folder, 'notes.txt'), 'utf8')).toBe('my notes\n');
    expect(readFileSync(join(folder, 'rec.yaml'), 'utf8')).toBe(kept);
    expect(existsSync(join(folder, 'folder/rec.yaml'))).toBe(false);
  });

  it('refuses the record of another key, and what is no record', () => {
    piped(folder, [CAPS, '--record', 'rec.yaml'], ['a']);
    const other = piped(folder, ['hollow-three.key.yaml', '--resume', 'rec.yaml'], ['a']);
    expect(other.status).toBe(2);
    expect(other.stderr).toBe(
      'keywright: rec.yaml is a determination with the key hollow-caps, not with hollow-three; it is left as it is\nhint: run hollow-caps with --resume rec.yaml\n',
    );
    expect(piped(folder, [CAPS, '--resume', 'find.yaml'], []).stderr).toContain(
      'find.yaml is not a record of keywright',
    );
    expect(piped(folder, [CAPS, '--resume', 'nowhere.yaml'], []).stderr).toContain(
      'nowhere.yaml cannot be read',
    );
    const both = piped(folder, [CAPS, '--resume', 'rec.yaml', '--with', 'find.yaml'], []);
    expect([both.status, both.stderr]).toEqual([
      2,
      'keywright run: --resume goes on with the find of the record; leave --with out; see `keywright run --help`\n',
    ]);
  });

  it('goes on with a key that has changed from the answers that still hold, and lists the others', () => {
    piped(
      folder,
      [CAPS, '--record', 'rec.yaml', '--with', 'find.yaml', '--id', 'TH-2026-041'],
      ['a', 'leave'],
    );
    piped(folder, [CAPS, '--record', 'two.yaml'], ['a', 'b', 'leave']);
    const text = readFileSync(join(folder, CAPS), 'utf8');
    writeFileSync(
      join(folder, CAPS),
      text.replace('version: 1.2.0', 'version: 1.3.0').replace('lead: Ring absent', 'lead: Ring wanting'),
    );
    const kept = readFileSync(join(folder, 'two.yaml'), 'utf8');
    const refused = piped(folder, [CAPS, '--resume', 'two.yaml'], ['a', 'a']);
    expect([refused.status, refused.stdout]).toEqual([2, '']);
    expect(refused.stderr).toBe(
      'keywright: The key hollow-caps has changed since this record was made: hollow-caps 1.2.0 is now 1.3.0. two.yaml is left as it is.\nhint: keywright redo two.yaml --key hollow-caps lists what the change does to it; --changed-key continues from the answers that still hold\n',
    );
    expect(readFileSync(join(folder, 'two.yaml'), 'utf8')).toBe(kept);
    const { status, stderr } = piped(folder, [CAPS, '--resume', 'two.yaml', '--changed-key'], ['a', 'a']);
    expect(status).toBe(0);
    expect(unwrapped(stderr)).toContain(
      'The key hollow-caps has changed since this record was made: hollow-caps 1.2.0 is now 1.3.0. No longer used: 2b (its wording has changed). You will be asked again where it matters. Going on after 1 answer: 1a Spore print white to cream',
    );
    expect(record('two.yaml')).toMatchObject({
      key: { version: '1.3.0' },
      begunWith: [{ version: '1.2.0' }],
      answers: [{ couplet: '1' }, { couplet: '2', lead: 'a' }, { couplet: '3', lead: 'a' }],
      dropped: [{ couplet: '2', lead: 'b', why: 'its wording has changed' }],
    });
    // Evidence that the key no longer understands is said, and stays in the record.
    writeFileSync(join(folder, CAPS), text.replace('    limits: 0.2-60\n', '    limits: 0.2-3\n'));
    const lost = piped(folder, [CAPS, '--resume', 'rec.yaml', '--changed-key'], ['stop']);
    expect(unwrapped(lost.stderr)).toContain('though its version is still 1.2.0');
    expect(unwrapped(lost.stderr)).toMatch(
      /Evidence that the key does not understand: cap-width: "?3\.5 cm"? is outside the limits/,
    );
    expect(record().collection.evidence).toHaveLength(3);
  });
});
