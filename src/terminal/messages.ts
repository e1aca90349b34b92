/** Messages on stderr: at a terminal wrapped at words; elsewhere each stays on its one line, so that programs find it. */
import type { Writable } from 'node:stream';
import { displayWidth, wrapLines } from '../text/wrap.js';
import type { World } from './world.js';

/** `my keys/tufts.key.yaml:12:3` at the beginning of a message; editors and people take it as one. */
const PLACE = /^\s*\S.*?:\d+:\d+(?= )/;
/** A command at the end of a message is there to be copied, which gives one line where the terminal alone has broken it. */
const COMMAND = /(?:go on with|Next): keywright /;
/** What moves the cursor: who sends this sets the lines itself. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
const DRAWN = /\r|\x1b(?!\[[\d;]*m)/;

/** A world whose stderr wraps at words what is wider than the terminal. */
export function withMessagesWrapped(world: World): World {
  const stderr = new Proxy(world.stderr, {
    get(stream, name) {
      if (name === 'write')
        return (chunk: unknown, ...rest: never[]) => stream.write(wrapped(chunk, world), ...rest);
      const value: unknown = Reflect.get(stream, name, stream);
      // Prompts use the stream as the terminal that it is.
      return typeof value === 'function' ? value.bind(stream) : value;
    },
  }) satisfies Writable;
  return Object.create(world, { stderr: { value: stderr } }) as World;
}

function wrapped(chunk: unknown, world: World): unknown {
  const columns = world.isTTY.stderr ? world.columns('stderr') : undefined;
  if (columns === undefined || typeof chunk !== 'string' || DRAWN.test(chunk)) return chunk;
  const lines = chunk.split('\n');
  // What has no end is a prompt, and the cursor stays in it.
  const open = lines.pop() ?? '';
  return [...lines.flatMap((line) => messageLines(line, columns)), open].join('\n');
}

/** A message as lines of at most `width` cells; a place at its beginning is never broken, nor a command at its end. */
export function messageLines(message: string, width: number): string[] {
  if (displayWidth(message) <= width || COMMAND.test(message)) return [message];
  const place = PLACE.exec(message)?.[0];
  const indent = /^ */.exec(message)?.[0] ?? '';
  if (place === undefined) return wrapLines(message.slice(indent.length), width, indent, `${indent}  `);
  const below = `${indent}    `;
  const words = message.slice(place.length + 1);
  const room = displayWidth(place);
  if (room > width - below.length) return [place, ...wrapLines(words, width, below)];
  // In the place of the place stands a word of its width, which cannot be parted at spaces of a file name.
  const [first = '', ...more] = wrapLines(`${'x'.repeat(room)} ${words}`, width, '', below);
  return [place + first.slice(room), ...more];
}
