import { askAnyKey, askKey, askNote, type KeyQuestion } from '../../terminal/key-prompt.js';
import { harmless } from '../../text/harmless.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';
import { coupletName } from '../../words/couplet.js';
import type { Talk } from './talk.js';
import { lookLines, termLines } from './terms.js';

/** How a keying ended: with a result, stopped by the person, or without enough answers. */
export type KeyingEnd = 'finished' | 'left' | 'ran out';

const HELP = [
  'A key is a chain of couplets. Read all leads of a couplet, then press the letter of the one that fits your find. The arrow keys mark a lead, and Enter takes it.',
  'The number of a couplet comes first; in brackets stands the lead that leads to it. After the dots stands what a lead leads to: another couplet, a name, or another key.',
  "? (can't tell): every lead that is not ruled out goes on, and their couplets are asked one after the other. An honest ? is better than a guess.",
  'Backspace or the left arrow takes the last answer back, as often as you like.',
  'T explains the terms of the couplet. L says how to look at what it asks, how long that takes and with what.',
  'N writes a note on the couplet; D says why you are not sure of the answer that comes next. S stops here and shows the result with all that is still possible. Q leaves off without a result, to go on another day. The small letter does as well where no lead bears it.',
];

/** Runs a key on a terminal, one key press for each answer. */
export async function keyByKeys(talk: Talk, save: () => void): Promise<KeyingEnd> {
  const { keying, world } = talk;
  let drawnAbove: string | undefined;
  for (;;) {
    talk.news();
    const { ask } = keying.standing;
    const question = questionFor(talk);
    // A couplet that does not fit into the window is never cut: it is printed above the prompt, once.
    const here = ask?.couplet.name ?? '';
    if (question.tall && drawnAbove !== here) talk.lines(['', ...talk.couplet()]);
    drawnAbove = here;
    const wish = await askKey(question, world);
    const explain = async (lines: readonly string[]) => {
      await explained(['', ...lines], question.height, talk);
      drawnAbove = undefined;
    };
    switch (wish.kind) {
      case 'lead':
      case 'unsure': {
        const answer = keying.answer(wish.kind === 'lead' ? wish.index : undefined);
        save();
        if (answer !== undefined) talk.answered(answer);
        break;
      }
      case 'back': {
        const taken = keying.back();
        if (taken === undefined) talk.say('This is the beginning: there is no answer to take back.');
        else {
          save();
          talk.say(`Taken back: ${coupletName(taken.couplet)}${taken.lead}`);
        }
        break;
      }
      case 'terms':
        if (ask !== undefined) await explain(termLines(ask.couplet, keying.key, talk.setting));
        break;
      case 'look':
        if (ask !== undefined) await explain(lookLines(ask.couplet, keying.key, talk.setting));
        break;
      case 'help':
        await explain(HELP.flatMap((h) => wrapLines(h, talk.setting.width, '', '  ')));
        break;
      case 'note': {
        const on = ask === undefined ? 'the find' : coupletName(ask.couplet.name);
        const note = await askNote(
          `Note on ${on}`,
          keying.note === undefined ? undefined : harmless(keying.note),
          world,
        );
        if (note !== undefined) {
          keying.setNote(note);
          save();
          talk.say(note.trim() === '' ? 'No note.' : harmless(`Note: ${note.trim()}`), '  ', '    ');
        }
        break;
      }
      case 'doubt': {
        if (ask === undefined) break;
        const on = coupletName(ask.couplet.name);
        const before = keying.doubt === undefined ? undefined : harmless(keying.doubt);
        const doubt = await askNote(`Why not sure of ${on}`, before, world);
        if (doubt !== undefined) {
          keying.setDoubt(doubt);
          save();
          talk.say(
            doubt.trim() === '' ? 'No doubt noted.' : harmless(`In doubt: ${doubt.trim()}`),
            '  ',
            '    ',
          );
        }
        break;
      }
      case 'redraw':
        // A terminal breaks old lines anew when its width changes; start on a clean screen, with the path so far.
        world.stderr.write('\x1b[H\x1b[2J');
        talk.path();
        drawnAbove = undefined;
        break;
      case 'stop':
        return 'finished';
      case 'leave':
        return 'left';
    }
  }
}

/** Shows an explanation piece by piece, so that none of it leaves the window before it was read. */
async function explained(lines: readonly string[], questionHeight: number, talk: Talk): Promise<void> {
  const rows = talk.world.rows() ?? 24;
  const page = Math.max(1, rows - 1);
  for (let from = 0; from < lines.length; from += page) {
    const piece = lines.slice(from, from + page);
    talk.lines(piece);
    const next = from + page < lines.length ? page : questionHeight;
    if (piece.length + next > rows) await askAnyKey('Press any key to go on', talk.world);
  }
}

/** The question at the point where the keying stands; `tall` when its couplet has to be printed above it. */
function questionFor(talk: Talk): KeyQuestion & { readonly tall: boolean; readonly height: number } {
  const { ask } = talk.keying.standing;
  const letters = ask?.couplet.leads.map((l) => l.lead.letter) ?? [];
  const remark = (text: string) => wrapLines(text, talk.setting.width).join('\n');
  const below = () => [...talk.status(), ...legend(letters, talk)];
  const rows = talk.world.rows() ?? 24;
  // Two empty lines, the line of the cursor, and a remark of up to two lines below it.
  const height = talk.couplet().length + below().length + 5;
  const tall = height > rows;
  const name =
    ask === undefined ? 'Nothing more to ask' : `Couplet ${coupletName(ask.couplet.name)}, your answer`;
  return {
    letters,
    ruledOut: ask?.ruledOut ?? [],
    tall,
    height,
    draw: (marked) => (tall || ask === undefined ? below() : ['', ...talk.couplet(marked), '', ...below()]),
    line: (marked) => `${name}: ${marked === undefined ? '' : letters[marked]}`,
    remark,
  };
}

/** The keys, in as many lines as they need. */
function legend(letters: readonly string[], { keying, setting }: Talk): string[] {
  const key = (k: string, does: string) => `${setting.paint.strong(k)} ${does}`;
  const items =
    letters.length === 0
      ? [
          key('Enter', 'result'),
          key('Backspace', 'back'),
          key('N', 'note'),
          key('Q', 'leave off'),
          key('H', 'help'),
        ]
      : [
          key(
            letters.length < 4 ? letters.join(' ') : `${letters[0]}-${letters[letters.length - 1]}`,
            'answer',
          ),
          key('?', "can't tell"),
          ...(keying.answers.length === 0 ? [] : [key('Backspace', 'back')]),
          key('T', 'terms'),
          key('L', 'how to look'),
          key('N', 'note'),
          key('D', 'doubt'),
          key('S', 'stop here'),
          key('Q', 'leave off'),
          key('H', 'help'),
        ];
  const lines: string[] = [];
  for (const item of items) {
    const last = lines[lines.length - 1];
    if (last !== undefined && displayWidth(last) + 3 + displayWidth(item) <= setting.width)
      lines[lines.length - 1] = `${last}   ${item}`;
    else lines.push(item);
  }
  return lines;
}
