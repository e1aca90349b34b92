/** Genera that the print shortens to a letter or two, written out where the key itself says which they are. */
import type { KeyDraft } from './drafts.js';
import { genusForm } from './lexicon.js';
import { type LinkedCouplet, type LinkedLead, leadRemark, type Remark } from './linked.js';
import { type ReadName, readScientific } from './names.js';
import type { ImportedEnd } from './targets.js';

/** `C. canis`, `Pol. affinis` */
const SHORT = /^(\p{Lu}\p{Ll}{0,2})\.\s+(?=\p{Ll}|× )/u;
/** What stands before the genus in a heading. */
const GENUS_OF =
  /(?:\bgenus|\bgattung|\bspecies (?:of|in)(?: the genus)?|\barten (?:von|der gattung))\s+(\p{Lu}[\p{L}-]{3,})/giu;
/** Words of headings that look like genera. */
const HEAD_WORDS = /^(?:analysis|clavis|conspectus|flora|fauna|genus|index|synopsis|tabula|species|series)$/i;
/** Headings are looked through from the key upwards, this many. */
const HEADINGS = 4;

interface NameAt {
  readonly couplet: LinkedCouplet;
  readonly lead: LinkedLead;
  readonly name: ReadName;
}

/**
 * Writes shortened genera out. The genus is the one that the heading of the key names when all shortened names of the key
 * begin as it does, or else the only one that stands in full before all names that are shortened so. Where several begin
 * alike, names stay as printed and are reported.
 */
export function writeOutGenera(draft: KeyDraft): void {
  // In the order of the text: of two columns, lines of the left one are before all of the right one, whatever their numbers.
  const order = new Map(draft.linked.outline.items.map((item, i) => [item, i]));
  const at = ({ lead }: NameAt) => order.get(lead.item) ?? 0;
  const names = [...namesOf(draft)].sort((a, b) => at(a) - at(b));
  const shorts = names.filter(({ name }) => SHORT.test(name.name));
  if (shorts.length === 0) return;
  const titles = titlesOf(draft);
  const titled = genusOfTitle(titles, shorts);
  const inTitles = titles.flatMap(likelyGenera);
  const full = names.flatMap((named) => {
    const genus = fullGenus(named.name);
    return genus === undefined ? [] : [{ genus, at: at(named) }];
  });
  const known = new Map<ReadName, ReadName>();
  const told = new Map<string, Remark>();
  for (const named of shorts) {
    const { couplet, lead, name } = named;
    const short = SHORT.exec(name.name)?.[1] as string;
    const fits = (genus: string) => genus.startsWith(short);
    const before = full.filter((f) => f.at <= at(named) && fits(f.genus)).map((f) => f.genus);
    const found = new Set([...(titled !== undefined && fits(titled) ? [titled] : []), ...before]);
    const [genus] = found;
    if (genus === undefined) continue;
    // Names shortened before any stands in full, and another genus further down or in a heading: it may be that one.
    const first = at(shorts.find((s) => s.name.name.startsWith(`${short}.`)) ?? named);
    const early = titled === undefined && full.every((f) => !fits(f.genus) || f.at > first);
    const others = [...full.map((f) => f.genus), ...inTitles].filter((g) => fits(g) && g !== genus);
    if (early || others.length > 0) {
      const all = [...new Set([genus, ...others])];
      draft.remarks.push(
        leadRemark(
          'name-whole',
          'warning',
          lead,
          couplet,
          `${short}. may be ${all.join(' or ')}${all.length === 1 ? ' or another genus' : ''}; the name is kept as printed`,
        ),
      );
      continue;
    }
    known.set(name, { ...name, name: name.name.replace(SHORT, `${genus} `) });
    const from = genus === titled ? 'the heading' : 'the name above';
    if (!told.has(`${short} ${genus}`))
      told.set(`${short} ${genus}`, {
        rule: 'name-whole',
        level: 'note',
        line: lead.item.line.number,
        message: `${short}. is written out as ${genus}, after ${from}`,
      });
  }
  draft.remarks.push(...told.values());
  for (const { lead } of shorts) {
    const { target } = lead;
    const end = endOf(lead);
    if (end === undefined) continue;
    const written = { ...end, names: end.names.map((n) => known.get(n) ?? n) };
    lead.target = { ...target, end: written } as typeof target;
  }
}

function endOf({ target }: LinkedLead): ImportedEnd | undefined {
  return 'end' in target ? target.end : undefined;
}

function* namesOf(draft: KeyDraft): Iterable<NameAt> {
  for (const couplet of draft.linked.couplets)
    for (const lead of couplet.leads)
      for (const name of endOf(lead)?.names ?? []) yield { couplet, lead, name };
}

/** The genus of a name that is printed in full. */
function fullGenus({ name, form, rank }: ReadName): string | undefined {
  if (SHORT.test(name) || form === 0) return undefined;
  const [first = ''] = name.split(' ');
  const alone = !name.includes(' ') && rank === 'genus' && form === 2;
  return (alone || /^\p{Lu}\p{L}+ \p{Ll}/u.test(name)) && /^\p{Lu}\p{Ll}{2,}$/u.test(first)
    ? first
    : undefined;
}

/** The title of a key and the headings above it, the nearest first. */
function titlesOf(draft: KeyDraft): string[] {
  const loose = draft.linked.outline.items[0]?.loose ?? [];
  const above = [...draft.before, ...draft.headings, ...loose].slice(-HEADINGS).reverse();
  return [draft.title, ...above.map((l) => l.text)];
}

/** The genus that a heading names, when every shortened name of the key begins as it does. */
function genusOfTitle(titles: readonly string[], shorts: readonly NameAt[]): string | undefined {
  for (const text of titles)
    for (const genus of generaIn(text))
      if (shorts.every(({ name }) => genus.startsWith(SHORT.exec(name.name)?.[1] as string))) return genus;
  return undefined;
}

/** Words of a heading that may be genera, wherever they stand in it. */
function likelyGenera(text: string): string[] {
  return [...text.matchAll(/(?<!\p{L})\p{Lu}[\p{L}-]{3,}/gu)]
    .map(([word]) => ordinary(word))
    .filter((word) => genusForm(word) === 2 && !HEAD_WORDS.test(word));
}

function* generaIn(text: string): Iterable<string> {
  for (const m of text.matchAll(GENUS_OF)) {
    const word = ordinary(m[1] as string);
    if (genusForm(word) > 0) yield word;
  }
  // `12. CANISTRA Marl.`: a heading that is nothing but a name.
  const name = readScientific(text.replace(/^\s*(?:[\dIVXLC]+[.)]\s*)?/, '').replace(/[.:]$/, ''));
  const [first = ''] = name?.name.split(' ') ?? [];
  const alone = name !== undefined && !name.name.includes(' ') && name.remarks.length === 0;
  if (alone && name.form === 2 && name.rank === 'genus' && genusForm(first) === 2 && !HEAD_WORDS.test(first))
    yield ordinary(first);
}

function ordinary(word: string): string {
  return word[0] + word.slice(1).toLowerCase();
}
