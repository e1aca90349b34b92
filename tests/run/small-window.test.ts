import { readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterEach, describe, expect, it } from 'vitest';
import { Pty } from '../support/terminal.js';
import { workFolder } from './lines.js';

const folder = fileURLToPath(new URL('../../keys', import.meta.url));
const keys = readdirSync(folder).filter((name) => name.endsWith('.key.yaml'));
const open: Pty[] = [];

afterEach(() => {
  for (const pty of open.splice(0)) pty.end();
});

/** What the screen shows of the couplet that is asked: its heading, the letters of its leads, and how things stand. */
function asked(screen: readonly string[]) {
  const lines = screen.join('\n').trimEnd().split('\n');
  const heading = lines.findLastIndex((line) => /^[0-9A-Za-z.]+( \(.+\))?$/.test(line));
  return {
    heading: lines[heading],
    letters: lines.slice(heading + 1).flatMap((line) => /^ {2}([a-z]) {2}\S/.exec(line)?.[1] ?? []),
    status: lines.some((line) => /^\d+ possible/.test(line)),
    prompt: lines.at(-1),
  };
}

describe.each([
  { columns: 50, rows: 20 },
  { columns: 80, rows: 24 },
])('a window of $columns x $rows holds every couplet whole, with prompt and status', (window) => {
  it.each(keys.flatMap((key) => ['?', 'a'].map((answer) => [key, answer] as const)))(
    '%s, always answered %s',
    async (key, answer) => {
      const work = workFolder();
      try {
        const pty = new Pty(['run', `${folder}/${key}`], { ...window, cwd: work.folder });
        open.push(pty);
        let screen = await pty.shows(/^Couplet .*, your answer:/m);
        for (let answers = 0; !/^Nothing more to ask/m.test(screen.join('\n')); answers++) {
          const { heading = '', letters, status, prompt } = asked(screen);
          const where = screen.join('\n');
          expect(prompt, where).toBe(`Couplet ${heading.split(' ')[0]}, your answer:`);
          expect(letters.length, where).toBeGreaterThan(1);
          // None is missing at the top or between, and the legend names the last.
          expect(letters, where).toEqual(letters.map((_, i) => String.fromCharCode(97 + i)));
          expect(where).toMatch(
            letters.length < 4 ? `${letters.join(' ')} answer` : `a-${letters.at(-1)} answer`,
          );
          expect(status, where).toBe(true);
          // The answer before the prompt is another line each time.
          const said = pty.raw.length;
          pty.type(answer);
          screen = await pty.asks(said);
          expect(answers).toBeLessThan(200);
        }
        expect(pty.overflowing()).toEqual([]);
      } finally {
        work.remove();
      }
    },
    60_000,
  );
});
