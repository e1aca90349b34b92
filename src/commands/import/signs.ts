/** Letters that a print repeats as signs: `o oo ooo`, `x. xx. xxx.`. */
import type { Label } from './labels.js';

/** Letters that are drawn like signs; others that are repeated (`a aa`) are letters all the same. */
const DRAWN = 'oOxX';
/** Beyond the signs proper, so that none is taken for one of them. */
const FIRST = 70;

/** The labels with such letters as signs, where the print doubles them and no letter before them is a label. */
export function signLabels(labels: readonly (Label | undefined)[]): (Label | undefined)[] {
  const seen = new Map<string, number>();
  const letters = new Set<string>();
  for (const label of labels) {
    const system = label?.readings[0]?.system;
    if (
      label === undefined ||
      (system !== 'lower' && system !== 'upper' && system !== 'roman' && system !== 'lower-roman')
    )
      continue;
    const letter = label.value[0] as string;
    letters.add(label.value);
    if (/^(.)\1*$/.test(label.value)) seen.set(letter, Math.max(seen.get(letter) ?? 0, label.value.length));
  }
  const signs = new Set(
    [...seen]
      .filter(([letter, times]) => {
        const before = String.fromCharCode(letter.charCodeAt(0) - 1);
        return DRAWN.includes(letter) && times >= 2 && letters.has(letter) && !letters.has(before);
      })
      .map(([letter]) => letter),
  );
  if (signs.size === 0) return [...labels];
  return labels.map((label) => {
    const letter = label?.value[0] ?? '';
    if (label === undefined || !signs.has(letter) || !/^(.)\1*$/.test(label.value)) return label;
    return {
      ...label,
      readings: [{ system: 'sign', ordinal: FIRST + DRAWN.indexOf(letter) }],
      times: label.value.length,
      firm: true,
    };
  });
}
