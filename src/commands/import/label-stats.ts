/** What the labels of a section show when looked at together. */
import type { TextSection } from './draft.js';
import type { Label, LabelReading, System } from './labels.js';

/** What the labels of one couplet have in common. */
export function keyOf(label: Label, reading: LabelReading): string {
  return reading.system === 'number' ? `number:${label.value}` : `${reading.system}:${reading.ordinal}`;
}

/** How a label is set: labels of one depth look alike. */
export function styleOf(label: Label, reading: LabelReading): string {
  return `${reading.system}|${reading.system.endsWith('roman') ? 1 : label.times}|${label.dress.replace(/[-–—]+/g, '')}|${label.mark === undefined ? '' : 'm'}`;
}

/** How often each number is where a label can be. */
export function company(section: TextSection): ReadonlyMap<string, number> {
  const counts = new Map<string, number>();
  for (const label of section.labels) {
    if (label?.readings[0]?.system !== 'number') continue;
    counts.set(label.value, (counts.get(label.value) ?? 0) + 1);
  }
  return counts;
}

/** The columns at which there are labels with a stop. */
export function labelColumns(section: TextSection): ReadonlySet<number> {
  const counts = new Map<number, number>();
  section.lines.forEach((line, i) => {
    if (section.labels[i] !== undefined) counts.set(line.indent, (counts.get(line.indent) ?? 0) + 1);
  });
  let most = 0;
  for (const n of counts.values()) most = Math.max(most, n);
  return new Set([...counts].filter(([, n]) => n >= Math.min(2, most)).map(([column]) => column));
}

/** Systems whose labels are nearly always followed by a capital. */
export function capitalSystems(section: TextSection): ReadonlySet<System> {
  const counts = new Map<System, [capital: number, small: number]>();
  section.lines.forEach((line, i) => {
    const label = section.labels[i];
    if (label === undefined) return;
    const rest = line.text.slice(label.end);
    for (const { system } of label.readings) {
      const at = counts.get(system) ?? [0, 0];
      counts.set(system, at);
      if (/^["“„(]?\p{Lu}/u.test(rest)) at[0]++;
      else if (/^\p{Ll}/u.test(rest)) at[1]++;
    }
  });
  return new Set(
    [...counts].filter(([, [capital, small]]) => capital >= 4 * small).map(([system]) => system),
  );
}
