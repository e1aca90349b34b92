/** A review at a terminal: one key press for each decision. */
import { askLine } from '../../../terminal/key-prompt.js';
import { askMenu, type Menu, type MenuChoice } from '../../../terminal/menu-prompt.js';
import { harmless } from '../../../text/harmless.js';
import { listed } from '../../../text/words.js';
import { displayWidth } from '../../../text/wrap.js';
import type { Change } from './change.js';
import { leadOf } from './state.js';
import { type ReviewTalk, refusal } from './talk.js';
import { conditionText } from './view.js';
import { type TypedEnd, typedEnd, typedForm } from './wanted-end.js';

const HELP = [
  'A printed key was read by a program, and these are the couplets that a person should look at: first the doubtful ones, then those that are likely right, then those with proposed conditions, then leads without an end and other faults.',
  'On top stand the lines of the print, each with its number; those with ~ stand beside and were not read as this couplet. Below stands what was read: each lead with its words, where it leads, and its condition. What follows a hyphen is why you should look.',
  'A: all of this couplet is right. Its marks go, and "reviewed" stands above it.',
  'E: another end for a lead. Type the number of a couplet, or a taxon by name or id (several parted by commas), or "key ID" for another key. A name that the key does not have can become a new taxon.',
  'C: another condition for a lead, as a key file has it: "ring: present, width: < 5 cm". An empty line takes the condition away.',
  'W: other words for a lead. S: decide later. Backspace: the couplet before. U: take the last change back. Q: leave off; what is left stays marked.',
  'Every change is saved at once. Leads that are missing, or characters, are added in an editor; the review goes on with what the file then holds.',
];

const ACTIONS: readonly (readonly [key: string, does: string])[] = [
  ['A', 'accept'],
  ['E', 'end'],
  ['C', 'condition'],
  ['W', 'words'],
  ['S', 'skip'],
  ['Backspace', 'back'],
  ['U', 'undo'],
  ['Q', 'quit'],
  ['H', 'help'],
];

/** Walks through the couplets until the last, or until the person leaves off. ^C throws `ExitPromptError`. */
export async function reviewByKeys(talk: ReviewTalk): Promise<'finished' | 'left'> {
  const { session } = talk;
  let remark: string | undefined;
  while (session.couplet !== undefined) {
    const id = session.couplet;
    const choice = await ask(talk, `Couplet ${harmless(id)}, what to do:`, ACTIONS, remark);
    remark = undefined;
    switch (choice.kind === 'key' ? choice.key : choice.kind) {
      case 'a':
        remark = refusal(session.decide({ kind: 'accept' }));
        if (remark === undefined) talk.say(`${id}  reviewed`);
        break;
      case 'e':
      case 'c':
      case 'w':
        remark = await edit(talk, (choice as { key: 'e' | 'c' | 'w' }).key);
        break;
      case 's':
      case 'next':
        session.skip();
        talk.say(`${id}  ${session.now.marks.has(id) ? 'skipped' : 'left as it is'}`);
        break;
      case 'back':
        if (!session.back()) remark = 'This is the first couplet.';
        break;
      case 'u': {
        const taken = session.undo();
        remark =
          taken === undefined
            ? 'There is no change to take back.'
            : `The last change of couplet ${taken} was taken back.`;
        break;
      }
      case 'h':
        await help(talk);
        break;
      case 'redraw':
        talk.world.stderr.write('\x1b[H\x1b[2J');
        break;
      default:
        return 'left';
    }
  }
  return 'finished';
}

/** Shows the couplet and waits for one of some keys. */
function ask(
  talk: ReviewTalk,
  line: string,
  actions: readonly (readonly [string, string])[],
  remark: string | undefined,
  shown?: readonly string[],
): Promise<MenuChoice> {
  const keysLegend = legend(actions, talk);
  // The line of the cursor, a remark below it, and an empty line above.
  const room = (talk.world.rows() ?? 24) - keysLegend.length - 3;
  const body = shown ?? ['', ...talk.couplet(room)];
  const keys = actions.flatMap(([key]) => (key.length === 1 ? [key.toLowerCase()] : []));
  const menu: Menu = {
    body,
    legend: keysLegend,
    line: `${line} `,
    keys,
    remark: remark === undefined ? [] : talk.wrapped(remark),
    unknown: (sign) =>
      talk.wrapped(
        `${sign} means nothing here: ${listed(
          actions.map(([key]) => key),
          'or',
        )}.`,
      ),
    part: (first, last, all) => talk.paint.faint(`  lines ${first}-${last} of ${all}: the arrow keys move`),
  };
  return askMenu(menu, talk.world);
}

function legend(actions: readonly (readonly [string, string])[], { paint, style }: ReviewTalk): string[] {
  const lines: string[] = [];
  for (const [key, does] of actions) {
    const item = `${paint.strong(key)} ${does}`.trimEnd();
    const last = lines.at(-1);
    if (last !== undefined && displayWidth(last) + 3 + displayWidth(item) <= style.width)
      lines[lines.length - 1] = `${last}   ${item}`;
    else lines.push(item);
  }
  return lines;
}

async function help(talk: ReviewTalk): Promise<void> {
  const body = HELP.flatMap((text) => talk.wrapped(text));
  let choice: MenuChoice;
  do choice = await ask(talk, 'Help:', [['Backspace', 'goes back']], undefined, body);
  while (choice.kind === 'redraw');
}

const WHAT = { e: 'End', c: 'Condition', w: 'Words' } as const;

/** Changes a part of a lead; gives what is to be said of it. */
async function edit(talk: ReviewTalk, what: 'e' | 'c' | 'w'): Promise<string | undefined> {
  const { session } = talk;
  const letter = await whichLead(talk, WHAT[what]);
  if (letter === undefined) return undefined;
  let typed: string | undefined;
  let problem: string | undefined;
  for (;;) {
    const couplet = session.couplet === undefined ? undefined : session.now.key.couplets.get(session.couplet);
    const lead = leadOf(couplet, letter);
    if (lead === undefined) return 'The file was changed by somebody else, and this lead is no longer there.';
    const { key } = session.now;
    const before = what === 'e' ? typedForm(lead, key) : what === 'c' ? conditionText(key, lead) : lead.text;
    typed = await askLine(
      question(talk, `${WHAT[what]} of ${lead.label}:`, problem),
      harmless(typed ?? before ?? ''),
      talk.world,
    );
    if (typed === undefined || typed.trim() === harmless(before ?? '').trim()) return undefined;
    if (what === 'e' && typed.trim() === '') return undefined;
    const change = await changeOf(talk, what, letter, typed);
    if (change === undefined) return undefined;
    if ('again' in change) {
      problem = change.again;
      continue;
    }
    const decided = session.decide(change);
    if (decided.kind === 'read anew') return refusal(decided);
    problem = refusal(decided);
    if (problem === undefined) return undefined;
  }
}

/** The change that a typed line asks for; why it cannot be; undefined when the person leaves it. */
async function changeOf(
  talk: ReviewTalk,
  what: 'e' | 'c' | 'w',
  lead: string,
  typed: string,
): Promise<Change | { readonly again: string } | undefined> {
  if (what === 'w') return { kind: 'words', lead, words: typed };
  if (what === 'c') return { kind: 'when', lead, when: typed.trim() === '' ? undefined : typed };
  const end = typedEnd(typed, talk.session.now.key);
  if (end.kind === 'end') return { kind: 'end', lead, end: end.end };
  if (end.kind === 'problem') return { again: end.problem };
  return newTaxon(talk, lead, end);
}

async function newTaxon(
  talk: ReviewTalk,
  lead: string,
  { name, problem }: Extract<TypedEnd, { kind: 'unknown' }>,
): Promise<Change | { readonly again: string } | undefined> {
  const actions = [
    ['N', 'make it a new taxon'],
    ['T', 'type it again'],
    ['Backspace', 'leave it'],
  ] as const;
  for (;;) {
    const choice = await ask(talk, 'New taxon:', actions, problem);
    if (choice.kind === 'key' && choice.key === 'n')
      return { kind: 'end', lead, end: { kind: 'new taxon', name } };
    if (choice.kind === 'key') return { again: problem };
    if (choice.kind !== 'redraw') return undefined;
  }
}

/** The letter of a lead of the couplet; undefined when the person leaves it. */
async function whichLead(talk: ReviewTalk, what: string): Promise<string | undefined> {
  const { session } = talk;
  const leads = session.now.key.couplets.get(session.couplet ?? '')?.leads ?? [];
  // No printed couplet has more leads than there are letters; the rest are reached in an editor.
  const letters = leads.map((l) => l.letter).filter((l) => l.length === 1);
  const actions = [...letters.map((l) => [l, ''] as const), ['Backspace', 'leave it'] as const];
  for (;;) {
    const choice = await ask(talk, `${what} of which lead:`, actions, undefined);
    if (choice.kind === 'key') return choice.key;
    if (choice.kind !== 'redraw') return undefined;
  }
}

/** What is asked, below as much of the couplet as the window holds. */
function question(talk: ReviewTalk, asked: string, problem: string | undefined): string {
  const below = [
    ...(problem === undefined ? [] : talk.wrapped(problem, '! ')),
    ...talk.wrapped('Enter takes what stands here, Esc leaves it as it was.'),
  ].map((line, i, all) => (i === all.length - 1 ? talk.paint.faint(line) : line));
  const rows = talk.world.rows() ?? 24;
  // What is typed may take more than one line.
  const room = Math.max(0, rows - below.length - 4);
  const body = talk.couplet(room);
  return [...body.slice(Math.max(0, body.length - room)), ...below, harmless(asked)].join('\n');
}
