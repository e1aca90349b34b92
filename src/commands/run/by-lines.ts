import { Failure } from '../../diagnostic/failure.js';
import type { CompiledCouplet } from '../../engine/compile.js';
import { inputLines } from '../../terminal/lines.js';
import { quoted } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { coupletName } from '../../words/couplet.js';
import { splitLabel } from '../../words/paths.js';
import type { KeyingEnd } from './by-keys.js';
import { readDetail } from './details.js';
import { readSpecimen } from './specimen.js';
import type { Talk } from './talk.js';
import { lookLines, termLines } from './terms.js';

const WORDS =
  '?, back, note TEXT, doubt TEXT, specimen NAME AGE, find place: TEXT, terms, look, stop or leave';

/**
 * Runs a key with answers that come line by line, from a pipe or from a terminal on which nothing can be drawn.
 * Throws a Failure, with the number of the line, for an invalid answer.
 */
export async function keyByLines(talk: Talk, save: () => void): Promise<KeyingEnd> {
  const { keying, world } = talk;
  const lines = inputLines(world.stdin);
  let number = 0;
  let shown = false;
  try {
    for (;;) {
      talk.news();
      const { ask } = keying.standing;
      if (ask === undefined) return 'finished';
      if (!shown) talk.lines(['', ...talk.couplet(), '', ...talk.status()]);
      shown = true;
      if (world.isTTY.stdin) world.stderr.write('Your answer: ');
      const next = await lines.next();
      if (next.done === true) {
        if (!world.isTTY.stdin) return 'ran out';
        world.stderr.write('\n');
        return 'left';
      }
      number++;
      const line = next.value.trim();
      if (line === '') continue;
      const [word = '', ...rest] = line.split(/\s+/);
      const { couplet } = ask;
      if (word === 'stop' && rest.length === 0) return 'finished';
      if (word === 'leave' && rest.length === 0) return 'left';
      if (word === 'terms' && rest.length === 0) {
        talk.lines(termLines(couplet, keying.key, talk.setting));
      } else if (word === 'look' && rest.length === 0) {
        talk.lines(lookLines(couplet, keying.key, talk.setting));
      } else if (word === 'note' && rest.length > 0) {
        const before = keying.note === undefined ? '' : `${keying.note}; `;
        keying.setNote(`${before}${line.slice(word.length).trim()}`);
        save();
      } else if (word === 'doubt') {
        const why = line.slice(word.length).trim();
        keying.setDoubt(why === '' ? 'not sure' : why);
        save();
      } else if (word === 'specimen' || word === 'find') {
        const said = line.slice(word.length).trim();
        const problem = word === 'find' ? describe(said, talk, save) : lookAt(said, talk);
        if (problem !== undefined && !world.isTTY.stdin) throw wrong(number, problem);
        if (problem !== undefined) talk.say(problem);
      } else if (word === 'back' && rest.length === 0) {
        if (keying.back() === undefined) {
          const problem = 'there is no answer to take back';
          if (!world.isTTY.stdin) throw wrong(number, problem);
          talk.say(problem);
        }
        shown = false;
        save();
      } else {
        const lead = leadNamed(line, couplet);
        if (typeof lead === 'string') {
          if (!world.isTTY.stdin) throw wrong(number, lead);
          talk.say(lead);
          continue;
        }
        const answer = keying.answer(lead.index);
        if (answer !== undefined) talk.answered(answer);
        shown = false;
        save();
      }
    }
  } finally {
    await lines.return();
  }
}

function wrong(line: number, problem: string): Failure {
  return new Failure(`line ${line} of the answers: ${problem}`);
}

/** Takes what a line says of the find; gives what is wrong with it. */
function describe(said: string, talk: Talk, save: () => void): string | undefined {
  const details = readDetail(said);
  if (typeof details === 'string') return details;
  talk.keying.describe(details);
  talk.scope();
  save();
  return undefined;
}

/** Takes what a line says of the specimen that answers are read from; gives what is wrong with it. */
function lookAt(said: string, { keying }: Talk): string | undefined {
  const from = readSpecimen(said, keying.key);
  if (typeof from === 'string') return from;
  keying.readFromNow(from);
  return undefined;
}

/** The lead that a line names, by its letter or with its couplet (`5b`, `key-id/5b`); undefined = can't tell; a text = neither. */
function leadNamed(line: string, couplet: CompiledCouplet): { index: number | undefined } | string {
  const own = splitLabel(couplet.name)[1];
  if (['?', `${couplet.name}?`, `${own}?`].includes(line)) return { index: undefined };
  const letters = couplet.leads.map((l) => l.lead.letter);
  const exact = couplet.leads.findIndex((l) => l.label === line || splitLabel(l.label)[1] === line);
  const index = exact >= 0 ? exact : letters.indexOf(line.toLowerCase());
  if (index >= 0) return { index };
  return `${quoted(line)} is no answer to couplet ${coupletName(couplet.name)}; expected ${listed(letters, 'or')}, ${WORDS}`;
}
