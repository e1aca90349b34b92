/** A review with decisions that come line by line, from a pipe or a terminal on which nothing can be drawn. */
import { Failure } from '../../../diagnostic/failure.js';
import { quoted } from '../../../text/harmless.js';
import { listed } from '../../../text/words.js';
import type { Change } from './change.js';
import { leadOf } from './state.js';
import { type ReviewTalk, refusal } from './talk.js';
import { typedEnd } from './wanted-end.js';

const WORDS = 'accept, end LEAD END, condition LEAD CONDITION, words LEAD TEXT, skip, back, undo or quit';

/** The decisions of a whole run, which may be about several keys. */
export class AnswerLines {
  /** Of the line that was read last, from 1. */
  number = 0;

  constructor(readonly lines: AsyncGenerator<string, void>) {}

  /** The next line; undefined when there is none. */
  async next(): Promise<string | undefined> {
    const next = await this.lines.next();
    this.number++;
    return next.done === true ? undefined : next.value.trim();
  }
}

/** Walks through the couplets. Throws a Failure, with the number of the line, for a decision that cannot be made. */
export async function reviewByLines(talk: ReviewTalk, answers: AnswerLines): Promise<'finished' | 'left'> {
  const { session, world } = talk;
  let shown: string | undefined;
  while (session.couplet !== undefined) {
    const view = talk.couplet();
    const text = view.join('\n');
    if (text !== shown) talk.lines(['', ...view]);
    shown = text;
    if (world.isTTY.stdin) world.stderr.write('What to do: ');
    const line = await answers.next();
    if (line === undefined || line === 'quit' || line === 'q') return 'left';
    if (line === '') continue;
    const [word = ''] = line.split(/\s+/);
    const problem = decide(talk, word, line.slice(word.length).trim());
    if (problem === undefined) continue;
    if (!world.isTTY.stdin) throw new Failure(`line ${answers.number} of the answers: ${problem}`);
    talk.say(problem);
  }
  return 'finished';
}

/** Does what a line says; gives what is wrong with it. */
function decide(talk: ReviewTalk, word: string, rest: string): string | undefined {
  const { session } = talk;
  if (rest === '') {
    switch (word) {
      case 'accept':
      case 'a':
        return refusal(session.decide({ kind: 'accept' }));
      case 'skip':
      case 's':
        session.skip();
        return undefined;
      case 'back':
        return session.back() ? undefined : 'this is the first couplet';
      case 'undo':
      case 'u':
        return session.undo() === undefined ? 'there is no change to take back' : undefined;
    }
  }
  const change = changeOf(talk, word, rest);
  return typeof change === 'string' ? change : refusal(session.decide(change));
}

function changeOf({ session }: ReviewTalk, word: string, rest: string): Change | string {
  const couplet = session.now.key.couplets.get(session.couplet ?? '');
  if (!/^(?:end|e|condition|c|words|w)$/.test(word) || couplet === undefined)
    return `${quoted(word)} is nothing to do; expected ${WORDS}`;
  const [named = '', ...others] = rest.split(/\s+/);
  const lead = leadOf(couplet, named.toLowerCase()) ?? couplet.leads.find((l) => l.label === named);
  if (lead === undefined)
    return `${quoted(named)} is no lead of couplet ${couplet.id}; expected ${listed(
      couplet.leads.map((l) => l.letter),
      'or',
    )}`;
  const text = others.join(' ');
  if (word.startsWith('w')) return { kind: 'words', lead: lead.letter, words: text };
  if (word.startsWith('c'))
    return { kind: 'when', lead: lead.letter, when: text === 'none' || text === '' ? undefined : text };
  const end = typedEnd(text, session.now.key);
  if (end.kind === 'end') return { kind: 'end', lead: lead.letter, end: end.end };
  return end.kind === 'problem'
    ? end.problem
    : `${end.problem} (for a new taxon: "end ${lead.letter} new NAME")`;
}
