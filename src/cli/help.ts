/** Help texts, made from the table of commands without loading any of them. */
import { type CommandEntry, type OptionEntry, PURPOSES, type Purpose } from '../commands/command.js';

const EXIT_CODES: readonly (readonly [string, string])[] = [
  ['0', 'done, and the answer is good'],
  [
    '1',
    'done, and the answer is not good: lint errors, failed known specimens, a find left open under --strict, a record with another result',
  ],
  ['2', 'the work could not be done'],
  ['130', 'interrupted'],
];

const EVERYWHERE: readonly OptionEntry[] = [
  { flags: '-h, --help', help: 'show this help' },
  { flags: '--debug', help: 'show where an unexpected error happened' },
];

/** The options that the program takes besides those of its commands. */
export const PROGRAM_OPTIONS: readonly OptionEntry[] = [
  ...EVERYWHERE,
  { flags: '-V, --version', help: 'show the version' },
];

/** The help of the whole program. */
export function programHelp(commands: readonly CommandEntry[], columns: number | undefined): string {
  const width = helpWidth(columns);
  const blocks: string[] = [
    'keywright COMMAND [OPTION...]',
    wrapped(
      'Runs identification keys, identifies whole tables of finds with them, and helps to write keys.',
      width,
    ),
  ];
  for (const purpose of Object.keys(PURPOSES) as Purpose[]) {
    const rows = commands.filter((c) => c.purpose === purpose).map((c) => [called(c), c.summary] as const);
    if (rows.length > 0) blocks.push(section(PURPOSES[purpose], rows, width));
  }
  blocks.push(section('Options', PROGRAM_OPTIONS.map(optionRow), width));
  const examples = commands.flatMap((c) => (c.examples ?? []).slice(0, 1));
  if (examples.length > 0) blocks.push(exampleBlock(examples, width));
  blocks.push(section('Exit codes', EXIT_CODES, width));
  blocks.push(
    wrapped(
      '`keywright COMMAND --help` explains a command; `keywright explain` lists the pages about file formats, answers and rules.',
      width,
    ),
  );
  return `${blocks.join('\n\n')}\n`;
}

/** The help of one command. */
export function commandHelp(command: CommandEntry, columns: number | undefined): string {
  const width = helpWidth(columns);
  const blocks: string[] = [
    wrapped(`keywright ${called(command)} [OPTION...]`, width),
    wrapped(command.summary, width),
  ];
  if (command.arguments.length > 0) {
    blocks.push(
      section(
        'What you name',
        command.arguments.map((a) => [a.name, a.help]),
        width,
      ),
    );
  }
  blocks.push(section('Options', [...command.options, ...EVERYWHERE].map(optionRow), width));
  for (const paragraph of command.about ?? []) blocks.push(wrapped(paragraph, width));
  if (command.examples !== undefined) blocks.push(exampleBlock(command.examples, width));
  blocks.push(section('Exit codes', EXIT_CODES, width));
  return `${blocks.join('\n\n')}\n`;
}

/** `identify KEY TABLE...` */
function called(command: CommandEntry): string {
  return [command.name, ...command.arguments.map((a) => a.name)].join(' ');
}

function optionRow(option: OptionEntry): readonly [string, string] {
  const notes: string[] = [];
  if (option.choices !== undefined) notes.push(`one of ${option.choices.join(', ')}`);
  if (option.standard !== undefined) notes.push(`${option.standard} when not given`);
  if (option.repeats === true) notes.push('may be given several times');
  const flags = option.flags.replace(/[<>]/g, '');
  return [flags, notes.length === 0 ? option.help : `${option.help} (${notes.join('; ')})`];
}

function exampleBlock(examples: NonNullable<CommandEntry['examples']>, width: number): string {
  const lines = examples.flatMap((e) => [`  ${e.line}`, wrapped(e.does, width, '      ')]);
  return ['Examples', ...lines].join('\n');
}

/** A heading and two columns; a long left side gets a line of its own. */
function section(heading: string, rows: readonly (readonly [string, string])[], width: number): string {
  const left = Math.min(26, Math.max(...rows.map(([name]) => name.length)));
  const indent = ' '.repeat(left + 4);
  const lines = rows.map(([name, text]) => {
    const body = wrapped(text, width, indent);
    return name.length > left ? `  ${name}\n${body}` : `  ${name.padEnd(left)}  ${body.slice(indent.length)}`;
  });
  return [heading, ...lines].join('\n');
}

function helpWidth(columns: number | undefined): number {
  return Math.max(40, Math.min(columns ?? 80, 100));
}

/** Words filled into lines of at most `width` cells. Help is plain ASCII, so a letter is a cell. */
function wrapped(text: string, width: number, indent = ''): string {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && indent.length + line.length + 1 + word.length > width) {
      lines.push(indent + line);
      line = word;
    } else {
      line = line === '' ? word : `${line} ${word}`;
    }
  }
  return [...lines, indent + line].join('\n');
}
