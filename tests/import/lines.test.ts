/** What tells lines apart, and what messages call them: several may stand in one place of the file. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { importDocument } from '../../src/commands/import/document.js';
import { linesAt, printed } from '../../src/commands/import/review/printed.js';

const placesIn = (text: string) => [...text.matchAll(/^ {2}# (lines? .*): (?:clear|likely|doubtful)$/gm)];

describe('leads on one line of a page', () => {
  const item = (text: string) => `<li>${text}</li>`;
  const page = `<!doctype html>
<h2>Key to mites</h2>
<ul>${[
    '1a. Body flat &rarr; 2',
    '1b. Body bent &rarr; 3',
    '2a. Legs blue &rarr; <i>Perforella alba</i>',
    '2b. Legs grey &rarr; <i>Perforella nana</i>',
  ]
    .map(item)
    .join('')}
${['3a. Claw long &rarr; <i>Perforella longa</i>', '3b. Claw bent &rarr; 9'].map(item).join('')}</ul>
`;

  it('are each read, and placed where they stand in the file', async () => {
    const { keys, findings } = await importDocument(page, { file: 'x', when: false });
    const [key] = keys;
    expect(key?.leads).toBe(6);
    expect(key?.line).toBe(3);
    expect([...(key?.text.matchAll(/lead: (.*)/g) ?? [])].map((m) => m[1])).toEqual([
      'Body flat',
      'Body bent',
      'Legs blue',
      'Legs grey',
      'Claw long',
      'Claw bent',
    ]);
    expect(placesIn(key?.text ?? '').map((m) => m[1])).toEqual(['line 3', 'line 3', 'line 4']);
    expect(findings.map((f) => [f.rule, f.place.start.line])).toEqual([['target-exists', 4]]);
  });
});

describe('a lead that goes on at the top of the next column', () => {
  it('is placed by the lines of both', async () => {
    const text = readFileSync(
      new URL('../fixtures/import/prints/columns-alike.txt', import.meta.url),
      'utf8',
    );
    const { keys } = await importDocument(text, { file: 'x', when: false });
    const places = placesIn(keys[0]?.text ?? '').map((m) => m[1] as string);
    expect(places).toEqual(['lines 3-4', 'lines 5 and 6-7 and 3', 'lines 4-5', 'lines 6-7']);
    const shown = linesAt(printed('x', text), places[1] as string).filter((l) => l.own);
    expect(shown.map((l) => l.number)).toEqual([3, 5, 6, 7]);
  });
});
