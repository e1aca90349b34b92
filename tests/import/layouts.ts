/** Sets a key in the classical layouts. */
import { endText, type PlainKey, type Setting, setLead, withHeads } from './printers.js';

export type SecondLead =
  | 'letters'
  | 'prime'
  | 'same'
  | 'star'
  | 'dash'
  | 'bracket letters'
  | 'capitals'
  | 'none';

/** Couplets with both leads together and numbers that point on. */
export function bracketed(key: PlainKey, at: Setting, second: SecondLead, back: boolean): string[] {
  const lines = ['KEY TO THE THINGS OF TARN HOLLOW', ''];
  const from = new Map<number, number>();
  key.forEach((leads, i) => {
    for (const { to } of leads) if (typeof to === 'number' && !from.has(to)) from.set(to, i);
  });
  key.forEach((leads, i) => {
    leads.forEach((lead, j) => {
      const number = String(i + 1);
      const reference = back && j === 0 && from.has(i) ? ` (${(from.get(i) as number) + 1})` : '';
      const stop = at.stop === '' && (second === 'same' || second === 'none') ? '.' : at.stop;
      const labels: Record<SecondLead, string> = {
        letters: `${number}${String.fromCharCode(97 + j)}${at.stop}${reference}`,
        capitals: `${number}${String.fromCharCode(65 + j)}${at.stop}${reference}`,
        prime: `${number}${"'".repeat(j)}${at.stop}${reference}`,
        star: `${number}${'*'.repeat(j)}${at.stop}${reference}`,
        same: `${number}${stop}${reference}`,
        dash: j === 0 ? `${number}${at.stop}${reference}` : at.pages ? '–' : '-',
        'bracket letters': j === 0 ? `${number}. a)${reference}` : `   ${String.fromCharCode(97 + j)})`,
        none: j === 0 ? `${number}${stop}${reference}` : ' '.repeat(number.length + 1),
      };
      lines.push(
        ...setLead(
          lead,
          labels[second],
          endText(lead, at, (n) => String(n + 1), 200 + i),
          at,
        ),
      );
      if (at.blank === 'leads' || (at.blank === 'couplets' && j === leads.length - 1)) lines.push('');
    });
  });
  return withHeads(lines, at);
}

export type NestedLabels =
  | 'letters doubled'
  | 'letters follow'
  | 'mixed'
  | 'numbers same'
  | 'numbers lettered'
  | 'numbers dash'
  | 'none';

/** Each lead followed by all that stands under it. */
export function nested(key: PlainKey, at: Setting, labels: NestedLabels, step: number): string[] {
  const lines = ['KEY TO THE THINGS OF TARN HOLLOW', ''];
  const roman = ['I', 'II', 'III', 'IV'];
  const set = (i: number, depth: number) => {
    (key[i] ?? []).forEach((lead, j) => {
      const letter = String.fromCharCode(97 + (depth % 26));
      const number = String(i + 1);
      const label = {
        'letters doubled': `${letter.repeat(j + 1)}.`,
        'letters follow':
          depth % 2 === 0 ? `${String.fromCharCode(65 + j)}.` : `${String.fromCharCode(97 + j)})`,
        mixed: [
          `${roman[j]}.`,
          `${String.fromCharCode(65 + j)}.`,
          `${j + 1}.`,
          `${String.fromCharCode(97 + j)}.`,
          `${j + 1})`,
          `${String.fromCharCode(97 + j)})`,
          `(${j + 1})`,
          `(${String.fromCharCode(97 + j)})`,
        ][depth % 8] as string,
        'numbers same': `${number}.`,
        'numbers lettered': `${number}${String.fromCharCode(97 + j)}.`,
        'numbers dash': j === 0 ? `${number}.` : '–',
        none: '',
      }[labels];
      const end = typeof lead.to === 'number' ? undefined : endText(lead, at, String, 200 + i);
      lines.push(...setLead(lead, label, end, at, depth * step));
      if (typeof lead.to === 'number') set(lead.to, depth + 1);
    });
  };
  set(0, 0);
  return withHeads(lines, at);
}

/** Every lead numbered, its alternatives in brackets. */
export function serial(key: PlainKey, at: Setting): string[] {
  const numbers = new Map<object, number>();
  let next = 0;
  const order: { lead: PlainKey[number][number]; leads: PlainKey[number]; i: number }[] = [];
  const number = (i: number) => {
    for (const lead of key[i] ?? []) {
      numbers.set(lead, ++next);
      order.push({ lead, leads: key[i] as PlainKey[number], i });
      if (typeof lead.to === 'number') number(lead.to);
    }
  };
  number(0);
  const lines = ['KEY TO THE THINGS OF TARN HOLLOW', ''];
  for (const { lead, leads, i } of order) {
    const others = leads.filter((l) => l !== lead).map((l) => numbers.get(l));
    const end = typeof lead.to === 'number' ? undefined : endText(lead, at, String, 200 + i);
    lines.push(...setLead(lead, `${numbers.get(lead)}${at.stop} (${others.join(', ')})`, end, at));
  }
  return withHeads(lines, at);
}
