import type { Sheet, SheetLine } from '../../analysis/field-sheet.js';
import { escaped, markdown } from '../../printed/markup.js';
import {
  ABOUT_FIND,
  choicesText,
  GATHERING,
  HOW_TO_WRITE,
  keysText,
  needsText,
  specimenNames,
} from '../../words/field-sheet.js';

interface SheetMarkupSetting {
  readonly specimens: number;
  readonly look: boolean;
  readonly signature: string;
}

/** A field sheet as Markdown: a table a part. */
export function sheetMarkdown(sheet: Sheet, { specimens, look, signature }: SheetMarkupSetting): string {
  const names = specimenNames(specimens);
  const out = [`# Field sheet: ${markdown(keysText(sheet))}`, ''];
  for (const text of headTexts(sheet)) out.push(markdown(text), '');
  out.push(
    ABOUT_FIND.map((f) => `**${f}** \\_\\_\\_\\_\\_\\_\\_\\_`).join(' · '),
    '',
    markdown(HOW_TO_WRITE),
    '',
  );
  const rowOf = (texts: readonly string[]) => `| ${texts.join(' | ')} |`;
  const table = (first: string, rows: readonly (readonly string[])[]) => [
    rowOf([first, 'shows', ...names]),
    rowOf(['---', '---', ...names.map(() => '---')]),
    ...rows.map((r) => rowOf([...r, ...names.map(() => ' ')])),
    '',
  ];
  out.push(...table('specimen', [['age', markdown(sheet.ages.join(' | '))]]));
  for (const part of sheet.parts) {
    out.push(`## ${markdown(part.heading)}`, '');
    out.push(
      ...table(
        'look at',
        part.lines.map((line) => {
          const notes = [needsText(line, part.heading), look ? (line.character.look ?? '') : ''];
          const more = notes.filter((n) => n !== '').map((n) => `<br>${markdown(n)}`);
          return [markdown(line.character.name) + more.join(''), markdown(choicesText(line))];
        }),
      ),
    );
  }
  return `${[...out, `*${markdown(signature)}*`].join('\n')}\n`;
}

/** A field sheet as a page for a browser and for paper. */
export function sheetHtml(sheet: Sheet, { specimens, look, signature }: SheetMarkupSetting): string {
  const names = specimenNames(specimens);
  const columns = names.map((n) => `<th class="s">${n}</th>`).join('');
  const blanks = names.map(() => '<td class="s"></td>').join('');
  const title = `Field sheet: ${keysText(sheet)}`;
  const lineHtml = (line: SheetLine, part: string): string => {
    const needs = needsText(line, part);
    const how = look ? (line.character.look ?? '') : '';
    const more = [needs, how].filter((t) => t !== '').map((t) => `<small>${escaped(t)}</small>`);
    return `<tr><td>${escaped(line.character.name)}${more.join('')}</td><td class="c">${escaped(choicesText(line))}</td>${blanks}</tr>`;
  };
  const parts = sheet.parts.map(
    (part) =>
      `<tbody>\n<tr><th colspan="${2 + specimens}" class="part">${escaped(part.heading)}</th></tr>\n${part.lines.map((l) => lineHtml(l, part.heading)).join('\n')}\n</tbody>`,
  );
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}</title>
<style>
${SHEET_STYLE}</style>
</head>
<body>
<h1>${escaped(title)}</h1>
${headTexts(sheet)
  .map((t) => `<p>${escaped(t)}</p>`)
  .join('\n')}
<p class="fields">${ABOUT_FIND.map((f) => `<span>${escaped(f)}</span>`).join(' ')}</p>
<p>${escaped(HOW_TO_WRITE)}</p>
<table>
<thead><tr><th>specimen</th><th></th>${columns}</tr></thead>
<tbody><tr><td>age</td><td class="c">${escaped(sheet.ages.join(' | '))}</td>${blanks}</tr></tbody>
${parts.join('\n')}
</table>
<footer>${escaped(signature)}</footer>
</body>
</html>
`;
}

function headTexts(sheet: Sheet): string[] {
  const notes = [...new Set(sheet.keys.flatMap((k) => k.note ?? []))];
  return [
    ...sheet.keys.slice(0, 1).map((k) => k.title),
    ...notes,
    ...(sheet.tools.length === 0 ? [] : [`Bring: ${sheet.tools.join(', ')}.`]),
    GATHERING,
  ];
}

const SHEET_STYLE = `:root { color-scheme: light; }
html { background: #fff; color: #111; }
body { margin: 1em auto; max-width: 50em; padding: 0 1em; font: .95rem/1.25 "Liberation Sans", Arial, sans-serif; }
h1 { font-size: 1.25em; margin: 0 0 .3em; }
p { margin: 0 0 .4em; }
.fields span { display: inline-block; min-width: 14em; margin: .3em 1em .1em 0; border-bottom: 1px solid #555; padding-bottom: 1.1em; font-size: .85em; }
table { width: 100%; border-collapse: collapse; }
th, td { border: 1px solid #888; padding: .12em .35em; text-align: left; vertical-align: top; }
th.part { background: #eee; }
td small { display: block; color: #444; font-size: .8em; }
td.c { font-size: .88em; }
.s { width: 13%; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
footer { margin-top: .6em; font-size: .75em; color: #444; }
@page { size: A4; margin: 11mm; }
@media print {
  body { margin: 0; max-width: none; padding: 0; font-size: 9pt; }
  th.part { break-after: avoid; }
}
`;
