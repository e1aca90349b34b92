import { askAnyKey, askKey, askLine, type KeyQuestion } from '../../terminal/key-prompt.js';
import { harmless } from '../../text/harmless.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';
import { ownNumber } from '../../words/couplet.js';
import { askSpecimen } from './specimen.js';
import { readFromText, type Talk } from './talk.js';
import { lookLines, termLines } from './terms.js';

/** How a keying ended: with a result, stopped by the person, or without enough answers. */
export type KeyingEnd = 'finished' | 'left' | 'ran out';

const HELP = [
  'A key is a chain of couplets. Read all leads of a couplet, then press the letter of the one that fits your find. The arrow keys mark a lead, and Enter takes it.',
  'The number of a couplet comes first; in brackets stands the lead that leads to it. After the dots stands what a lead leads to: another couplet, a name, or another key.',
  "? (can't tell): every lead that is not ruled out goes on, and their couplets are asked one after the other. An honest ? is better than a guess. Where a couplet suits none of its leads, since another way was right, answer ? too.",
  'Backspace or the left arrow takes the last answer back, as often as you like.',
  'T explains the terms of the couplet. L says how to look at what it asks, how long that takes and with what.',
  'N writes a note on the couplet; D says why you are not sure of the answer that comes next; W says which specimen, and of what age, you look at from now on. S stops here and shows the result with all that is still possible. Q leaves off without a result, to go on another day. The small letter does as well where no lead bears it.',
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
          talk.takenBack(taken);
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
        const on = ask === undefined ? 'the find' : ownNumber(ask.couplet.name);
        const note = await askLine(
          `Note on ${on} (Enter keeps it):`,
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
        const on = ownNumber(ask.couplet.name);
        const before = keying.doubt === undefined ? undefined : harmless(keying.doubt);
        const doubt = await askLine(`Why not sure of ${on} (Enter keeps it):`, before, world);
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
      case 'specimen': {
        const from = await askSpecimen(keying, world);
        if (from === undefined) break;
        keying.readFromNow(from);
        talk.say(`Seen from now on: ${readFromText(from) || 'the find as a whole'}`, '  ', '    ');
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

/** What a window has room for besides the words of the leads: the first that fits is taken. */
const LAYOUTS = [
  { spaced: true, allKeys: true, brief: false },
  { spaced: true, allKeys: false, brief: false },
  { spaced: false, allKeys: false, brief: false },
  { spaced: false, allKeys: false, brief: true },
] as const;
type Layout = (typeof LAYOUTS)[number];

/** The line of the cursor, and a remark of up to two lines below it. */
const PROMPT_LINES = 3;

/** The question at the point where the keying stands; `tall` when its couplet has to be printed above it. */
function questionFor(talk: Talk): KeyQuestion & { readonly tall: boolean; readonly height: number } {
  const { ask } = talk.keying.standing;
  const letters = ask?.couplet.leads.map((l) => l.lead.letter) ?? [];
  const rows = talk.world.rows() ?? 24;
  const below = (allKeys: boolean) => [...talk.status(), ...legend(letters, allKeys, talk)];
  const draw = ({ spaced, allKeys, brief }: Layout, marked?: number) => {
    const gap = spaced ? [''] : [];
    return [...gap, ...talk.couplet(marked, brief), ...gap, ...below(allKeys)];
  };
  const fitting = LAYOUTS.find((layout) => draw(layout).length + PROMPT_LINES <= rows);
  const tall = fitting === undefined;
  // Of a couplet that stands above, the marked lead is shown here, as far as there is room for it.
  const drawTall = (marked?: number) => {
    const rest = below(false);
    const room = Math.max(0, rows - rest.length - PROMPT_LINES);
    return [...(marked === undefined ? [] : talk.lead(marked).slice(0, room)), ...rest];
  };
  const name =
    ask === undefined ? 'Nothing more to ask' : `Couplet ${ownNumber(ask.couplet.name)}, your answer`;
  return {
    letters,
    ruledOut: ask?.ruledOut ?? [],
    tall: tall && ask !== undefined,
    height: (fitting === undefined ? drawTall() : draw(fitting)).length + PROMPT_LINES,
    draw: (marked) => {
      if (ask === undefined) return below(true);
      return fitting === undefined ? drawTall(marked) : draw(fitting, marked);
    },
    line: (marked) => `${name}: ${marked === undefined ? '' : letters[marked]}`,
    remark: (text) => wrapLines(text, talk.setting.width).join('\n'),
  };
}

/** The keys, in as many lines as they need; where there is little room only those that no keying can do without. */
function legend(letters: readonly string[], allKeys: boolean, { keying, setting }: Talk): string[] {
  const key = (k: string, does: string) => `${setting.paint.strong(k)} ${does}`;
  const answers = letters.length < 4 ? letters.join(' ') : `${letters[0]}-${letters[letters.length - 1]}`;
  const back = keying.answers.length === 0 ? [] : [key('Backspace', 'back')];
  const items =
    letters.length === 0
      ? [key('Enter', 'result'), ...back, key('N', 'note'), key('Q', 'leave off'), key('H', 'help')]
      : allKeys
        ? [
            key(answers, 'answer'),
            key('?', "can't tell"),
            ...back,
            key('T', 'terms'),
            key('L', 'how to look'),
            key('N', 'note'),
            key('D', 'doubt'),
            key('W', 'which specimen'),
            key('S', 'stop here'),
            key('Q', 'leave off'),
            key('H', 'help'),
          ]
        : [key(answers, 'answer'), key('?', "can't tell"), key('S', 'stop'), key('H', 'help')];
  const lines: string[] = [];
  for (const item of items) {
    const last = lines[lines.length - 1];
    if (last !== undefined && displayWidth(last) + 3 + displayWidth(item) <= setting.width)
      lines[lines.length - 1] = `${last}   ${item}`;
    else lines.push(item);
  }
  return lines;
}
