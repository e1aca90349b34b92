/** Prints of generated keys in each layout that import reads, the same ones for the same numbers. */
import { randomNumbers } from './generate.mjs';

/** The layouts by the names that the option of import takes. */
export const printedLayouts = ['numbered', 'first-numbered', 'serial', 'outline', 'indented'];

const PARTS = ['Stem', 'Cap', 'Leaves', 'Flowers', 'Wings', 'Shell', 'Fruit', 'Bark'];
const WORDS = [
  'smooth and shining all over',
  'rough to the touch, at least below',
  'set with a dense coat of short hairs, darker when old',
  'banded in two colours',
  'much longer than the body and curved at the tip',
  'without any mark',
];
const ROMAN = ['I', 'II'];

/** The text of a printed key with that many couplets. */
export function printedText(layout, size, seed = 1) {
  const couplets = tree(size, seed);
  const lines = ['KEY TO THE THINGS OF TARN HOLLOW', ''];
  if (layout === 'numbered' || layout === 'first-numbered') bracketed(couplets, layout, lines);
  else nested(couplets, layout, lines);
  return `${lines.join('\n')}\n`;
}

/** Couplets of two leads that grow in breadth; each lead has words and the index of a couplet or a name. */
function tree(size, seed) {
  const random = randomNumbers(seed);
  const couplets = [];
  const open = [];
  let at = 0;
  while (couplets.length < size) {
    const lead = open[at++];
    const part = PARTS[Math.floor(random() * PARTS.length)];
    const first = Math.floor(random() * WORDS.length);
    const leads = [0, 1].map((i) => ({
      words: `${part} ${WORDS[(first + 2 * i + 1) % WORDS.length]}`,
      to: '',
    }));
    if (lead !== undefined) lead.to = couplets.length;
    couplets.push(leads);
    open.push(...leads);
  }
  open.slice(at).forEach((lead, n) => {
    lead.to = `Tarnia ${epithet(n)}`;
  });
  return couplets;
}

/** A word of its own for every number, with a Latin ending. */
function epithet(n) {
  const syllables = ['ba', 'ce', 'di', 'fo', 'gu', 'la', 'me', 'ni', 'ro', 'tu'];
  return `${[...String(n)].map((d) => syllables[Number(d)]).join('')}ralis`;
}

function led(first, words, end) {
  if (end === '') return `${first}${words}`;
  const dots = Math.max(4, 76 - first.length - words.length - end.length);
  return `${first}${words} ${'.'.repeat(dots)} ${end}`;
}

function bracketed(couplets, layout, lines) {
  couplets.forEach((leads, i) => {
    leads.forEach(({ words, to }, j) => {
      const label = layout === 'numbered' ? `${i + 1}${'ab'[j]}.` : j === 0 ? `${i + 1}.` : '—';
      lines.push(led(`${label} `, words, typeof to === 'number' ? String(to + 1) : to));
    });
  });
}

function nested(couplets, layout, lines) {
  let number = 0;
  const numbers = couplets.map(() => []);
  // Serial numbers must be known before the first lead that names its alternative.
  const count = (i) => {
    couplets[i].forEach(({ to }, j) => {
      numbers[i][j] = ++number;
      if (typeof to === 'number') count(to);
    });
  };
  count(0);
  const set = (i, depth) => {
    couplets[i].forEach(({ words, to }, j) => {
      const indent = layout === 'serial' ? '' : '  '.repeat(depth);
      const label =
        layout === 'serial'
          ? `${numbers[i][j]}. (${numbers[i][1 - j]}) `
          : layout === 'indented'
            ? ''
            : `${[`${ROMAN[j]}.`, `${'AB'[j]}.`, `${j + 1}.`, `${'ab'[j]}.`, `${j + 1})`, `${'ab'[j]})`, `(${j + 1})`, `(${'ab'[j]})`][depth % 8]} `;
      lines.push(led(`${indent}${label}`, words, typeof to === 'number' ? '' : to));
      if (typeof to === 'number') set(to, depth + 1);
    });
  };
  set(0, 0);
}
