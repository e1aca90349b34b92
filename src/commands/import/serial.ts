/** Serial numbering: every lead has a number of its own and, in brackets, that of its alternative. */
import type { Group, Item, Outline, TextSection } from './draft.js';
import { readOutline } from './outline.js';

/** Reads a section whose leads are numbered in sequence; undefined when the brackets do not pair them. */
export function readSerial(section: TextSection): Outline | undefined {
  const flat = readOutline(section, {
    layout: 'serial',
    systems: new Map([['number', 'same']]),
    unlabelled: false,
  });
  const byNumber = new Map<string, Item>();
  for (const item of flat.items) if (item.label !== undefined) byNumber.set(item.label.value, item);
  const mutual = flat.items.filter((item) => isMutual(item, byNumber)).length;
  if (mutual < 2 || mutual < flat.items.length * 0.5) return undefined;
  const groups: Group[] = [];
  const groupOf = new Map<Item, Group>();
  const oddities: { line: number; what: string }[] = [...flat.oddities];
  flat.items.forEach((item, i) => {
    const partner = (item.label?.back ?? [])
      .map((b) => byNumber.get(b))
      .find((p) => p !== undefined && groupOf.has(p));
    const joined = partner === undefined ? undefined : groupOf.get(partner);
    if (joined !== undefined) {
      joined.leads.push(item);
      groupOf.set(item, joined);
      item.mark = joined.leads.length - 1;
      if (!isMutual(item, byNumber))
        oddities.push({
          line: item.line.number,
          what: `${item.label?.printed ?? ''} names an alternative that does not name it`,
        });
      return;
    }
    const group: Group = {
      name: item.label?.value,
      system: 'number',
      leads: [item],
      under: flat.items[i - 1],
      back: [],
      again: false,
    };
    item.mark = 0;
    groups.push(group);
    groupOf.set(item, group);
  });
  return { ...flat, groups, oddities };
}

function isMutual(item: Item, byNumber: ReadonlyMap<string, Item>): boolean {
  const own = item.label?.value;
  if (own === undefined) return false;
  return (item.label?.back ?? []).some((b) => byNumber.get(b)?.label?.back.includes(own) === true);
}
