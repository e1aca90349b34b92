import type { Finding, Path } from '../../diagnostic/finding.js';
import { blocksOf } from '../../key/blocks.js';
import { namesOf } from '../../key/document.js';
import { reordered } from '../../key/edits.js';
import { asMap } from '../../key/fields.js';
import type { Key } from '../../key/key.js';
import { defined } from '../../text/optional.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

const ORDER = [
  'lead',
  'when',
  'otherwise',
  'usually',
  'to',
  'taxon',
  'key',
  'at',
  'reaches',
  'note',
  'sources',
];

export const propertyOrder = rule({
  id: 'property-order',
  group: 'wording',
  level: 'note',
  optional: true,
  what: 'The lines of a lead are in one order: its words, its condition, where it goes, then the rest.',
  why: 'Two leads are compared line by line; when they are in a different order, a difference is overlooked.',
  source: 'common practice, no source',
  fix: 'Write them in the order lead, when or otherwise, usually, to or taxon or key, at, reaches, note, sources. `--fix` does it.',
  good: example(`
couplets:
  1:
    - lead: Ring present
      when: {ring: present}
      taxon: aa
    - lead: Ring absent
      when: {ring: absent}
      taxon: bb
`),
  bad: example(`
couplets:
  1:
    - lead: Ring present
      when: {ring: present}
      taxon: aa
    - lead: Ring absent
      taxon: bb
      when: {ring: absent} #! property-order
`),
  check({ key, report }) {
    for (const couplet of key.couplets.values()) {
      const leads = asMap(asMap(key.yaml.data).couplets)[couplet.id];
      if (!Array.isArray(leads)) continue;
      couplet.leads.forEach((lead, i) => {
        const names = namesOf(asMap(leads[i]));
        const ranks = names.map((name) => ORDER.indexOf(name));
        const late = ranks.findIndex((rank, j) => j > 0 && rank < (ranks[j - 1] as number));
        if (late < 0) return;
        const fix = orderFix(key, lead.path, names, ranks);
        report([...lead.path, names[late] as string], {
          side: 'name',
          message: `"${names[late]}" of lead ${lead.label} comes after "${names[late - 1]}"`,
          ...defined({ fix }),
        });
      });
    }
  },
});

function orderFix(
  key: Key,
  path: Path,
  names: readonly string[],
  ranks: readonly number[],
): Finding['fix'] | undefined {
  const { yaml } = key;
  const parts = names.map((name) => ({
    start: yaml.place([...path, name], 'name').start.offset,
    end: yaml.place([...path, name]).end.offset,
  }));
  const order = names.map((_, i) => i).sort((a, b) => (ranks[a] as number) - (ranks[b] as number) || a - b);
  // The first comes after the dash of its item and so is never moved.
  if (order[0] !== 0) return undefined;
  const rest = blocksOf(yaml.lines, parts.slice(1));
  if (rest === undefined) return undefined;
  const edit = reordered(
    yaml.lines.text,
    rest,
    order.slice(1).map((i) => i - 1),
  );
  return { title: 'put the lines of the lead in order', edits: [edit] };
}
