import { Failure } from '../../diagnostic/failure.js';
import type { CompiledCouplet } from '../../engine/compile.js';
import { inputLines } from '../../terminal/lines.js';
import { quoted } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { coupletName } from '../../words/couplet.js';
import type { KeyingEnd } from './by-keys.js';
import type { Talk } from './talk.js';
import { lookLines, termLines } from './terms.js';

const WORDS = '?, back, note TEXT, doubt TEXT, terms, look, stop or leave';

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

/** The lead that a line names, by its letter or with its couplet (`5b`); undefined = can't tell; a text = neither. */
function leadNamed(line: string, couplet: CompiledCouplet): { index: number | undefined } | string {
  if (line === '?' || line === `${couplet.name}?`) return { index: undefined };
  const letters = couplet.leads.map((l) => l.lead.letter);
  const exact = couplet.leads.findIndex((l) => l.label === line);
  const index = exact >= 0 ? exact : letters.indexOf(line.toLowerCase());
  if (index >= 0) return { index };
  return `${quoted(line)} is no answer to couplet ${coupletName(couplet.name)}; expected ${listed(letters, 'or')}, ${WORDS}`;
}
