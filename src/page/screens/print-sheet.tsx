import { useContext, useEffect, useState } from 'preact/hooks';
import type { Sheet, SheetLine } from '../../analysis/field-sheet.js';
import { harmless } from '../../text/harmless.js';
import {
  ABOUT_FIND,
  choicesText,
  GATHERING,
  HOW_TO_WRITE,
  keysText,
  needsText,
  specimenNames,
} from '../../words/field-sheet.js';
import { messages as say } from '../messages.js';
import { Page } from '../parts/page.js';

/** As many columns as a sheet of paper has room for. */
const SPECIMENS = specimenNames(3);

/** Prints the empty field sheet; it is made only when it is asked for, since a large key has hundreds of lines. */
export function PrintSheet({ sheet }: { sheet: Sheet }) {
  const { data } = useContext(Page);
  const [printing, setPrinting] = useState(false);
  useEffect(() => {
    if (!printing) return;
    const done = () => setPrinting(false);
    addEventListener('afterprint', done, { once: true });
    document.documentElement.classList.add('prints-sheet');
    print();
    return () => {
      removeEventListener('afterprint', done);
      document.documentElement.classList.remove('prints-sheet');
    };
  }, [printing]);
  return (
    <>
      <p class="printing">
        <button type="button" class="plain" onClick={() => setPrinting(true)}>
          {say.printSheet}
        </button>
      </p>
      {printing ? <PaperSheet sheet={sheet} signature={data.program} /> : null}
    </>
  );
}

function PaperSheet({ sheet, signature }: { sheet: Sheet; signature: string }) {
  const [first] = sheet.keys;
  const notes = [...new Set(sheet.keys.flatMap((k) => k.note ?? []))];
  const blanks = SPECIMENS.map((name) => <td key={name} />);
  const row = (line: SheetLine, heading: string) => {
    const needs = needsText(line, heading);
    return (
      <tr key={line.character.id}>
        <td>
          {harmless(line.character.name)}
          {needs === '' ? null : <small> {harmless(needs)}</small>}
        </td>
        <td>{harmless(choicesText(line))}</td>
        {blanks}
      </tr>
    );
  };
  return (
    <div class="paper">
      <h1>{harmless(say.fieldSheet(keysText(sheet)))}</h1>
      <p>{harmless(first?.title ?? '')}</p>
      {notes.map((note) => (
        <p key={note}>{harmless(note)}</p>
      ))}
      <p>{GATHERING}</p>
      <p>
        {ABOUT_FIND.map((field) => (
          <span key={field} class="blank">
            {field}{' '}
          </span>
        ))}
      </p>
      <p>{HOW_TO_WRITE}</p>
      <table>
        <thead>
          <tr>
            <th colSpan={2}>{say.specimensColumn}</th>
            {SPECIMENS.map((name) => (
              <th key={name}>{name}</th>
            ))}
          </tr>
        </thead>
        <tbody>
          <tr>
            <td colSpan={2}>{harmless(say.ageRow(sheet.ages.join(' | ')))}</td>
            {blanks}
          </tr>
        </tbody>
        {sheet.parts.map(({ heading, lines }) => (
          <tbody key={heading}>
            <tr>
              <th colSpan={2 + SPECIMENS.length}>{harmless(heading)}</th>
            </tr>
            {lines.map((line) => row(line, heading))}
          </tbody>
        ))}
      </table>
      <p>{harmless(signature)}</p>
    </div>
  );
}
