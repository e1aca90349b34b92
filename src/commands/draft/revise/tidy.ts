/** What a draft writes beside couplets and taxa, kept true: how many taxa come to each lead, and that a taxon repeats. */
import type { Edit } from '../../../diagnostic/finding.js';
import { edited } from '../../../key/edits.js';
import type { Couplet, Key } from '../../../key/key.js';
import { KeyText } from '../../../key/keytext.js';
import { allLeadWords } from '../lead-words.js';
import { partsWhat } from '../write.js';

/** The text of a revised key with these brought up to date; what an author has written in their place stays. */
export function tidied(text: string, before: Key, now: Key): string {
  const [was, is] = [taxaBeyond(before), taxaBeyond(now)];
  const { lines } = now.yaml;
  const edits: Edit[] = [];
  for (const [id, couplet] of now.couplets) {
    const old = before.couplets.get(id);
    const [a, b] = [old && sizesAt(old, was), sizesAt(couplet, is)];
    if (a === undefined || b === undefined) continue;
    for (const words of allLeadWords) {
      const [said, true_] = [partsWhat(...a, words), partsWhat(...b, words)];
      if (said === true_) continue;
      let line = now.yaml.place(['couplets', id], 'name').start.line - 1;
      for (; line > 0 && /^\s*#/.test(lines.line(line)); line--) {
        const found = lines.line(line).trim() === `# ${said}`;
        if (!found) continue;
        const start = lines.start(line) + lines.line(line).indexOf('#') + 2;
        edits.push({ start, end: start + said.length, text: true_ });
      }
    }
  }
  const mark = text.startsWith('\ufeff') ? '\ufeff' : '';
  return withRepeats(mark + edited(text.slice(mark.length), edits), before, now);
}

function withRepeats(text: string, before: Key, now: Key): string {
  const [was, is] = [endsOf(before), endsOf(now)];
  const out = new KeyText(text);
  for (const taxon of now.taxa.values()) {
    const [a, b] = [was.get(taxon.id) ?? 0, is.get(taxon.id) ?? 0];
    if (b > 1 && !taxon.repeats)
      out.addPairs(
        ['taxa', taxon.id],
        ['concern', 'frequency', 'within', 'authority', 'rank', 'common', 'name'],
        [['repeats', out.word('meant')]],
      );
    else if (b < 2 && a > 1 && taxon.repeats) out.removeFrom(['taxa', taxon.id], new Set(['repeats']));
  }
  return out.finish();
}

function endsOf(key: Key): ReadonlyMap<string, number> {
  const ends = new Map<string, number>();
  for (const { leads } of key.couplets.values())
    for (const { end } of leads)
      if (end.kind === 'taxa') for (const t of end.taxa) ends.set(t, (ends.get(t) ?? 0) + 1);
  return ends;
}

/** By couplet the taxa at which its ways end; none where one goes on in another key. */
function taxaBeyond(key: Key): ReadonlyMap<string, ReadonlySet<string> | undefined> {
  const known = new Map<string, ReadonlySet<string> | undefined>();
  const todo = [...key.couplets.keys()];
  const coming = new Set<string>();
  for (let id = todo.at(-1); id !== undefined; id = todo.at(-1)) {
    const leads = key.couplets.get(id)?.leads ?? [];
    const open = leads.flatMap(({ end }) =>
      end.kind === 'couplet' && !known.has(end.couplet) && !coming.has(end.couplet) ? [end.couplet] : [],
    );
    if (!known.has(id) && open.length > 0) {
      coming.add(id);
      todo.push(...open);
      continue;
    }
    todo.pop();
    if (known.has(id)) continue;
    const parts = leads.map((l) => beyond(l.end, known));
    known.set(id, parts.includes(undefined) ? undefined : new Set(parts.flatMap((p) => [...(p ?? [])])));
  }
  return known;
}

function beyond(
  end: Couplet['leads'][number]['end'],
  known: ReadonlyMap<string, ReadonlySet<string> | undefined>,
): ReadonlySet<string> | undefined {
  if (end.kind === 'taxa') return new Set(end.taxa);
  return end.kind === 'couplet' ? known.get(end.couplet) : undefined;
}

function sizesAt(
  { leads }: Couplet,
  known: ReadonlyMap<string, ReadonlySet<string> | undefined>,
): [number, number[]] | undefined {
  const parts = leads.map((l) => beyond(l.end, known));
  if (parts.includes(undefined)) return undefined;
  const all = new Set(parts.flatMap((p) => [...(p ?? [])]));
  return [all.size, parts.map((p) => p?.size ?? 0)];
}
