/** Changes of a key in review: from its text and what a person decided to its new text, all else byte for byte as it was. */
import type { Edit, Finding, Path } from '../../../diagnostic/finding.js';
import { Lines } from '../../../diagnostic/lines.js';
import { valueAt } from '../../../key/data-path.js';
import { type DataMap, namesOf, readYaml } from '../../../key/document.js';
import { edited } from '../../../key/edits.js';
import { asMap } from '../../../key/fields.js';
import type { Couplet, Lead } from '../../../key/key.js';
import { KeyText } from '../../../key/keytext.js';
import { flowList, flowMap, flowScalar, idScalar, oneOrList, property } from '../../../key/scalars.js';
import type { Comment } from '../../../lint/comments.js';
import { REVIEWED } from '../../../lint/review-marks.js';
import { Ids } from '../../../text/slug.js';
import { isOpen, type ReviewedKey, type ReviewReader } from './state.js';
import { rankOf, type WantedEnd } from './wanted-end.js';

/** What a person decided of a couplet. */
export type Change =
  | { readonly kind: 'accept' }
  | { readonly kind: 'end'; readonly lead: string; readonly end: WantedEnd }
  /** A condition in the notation of the key file; undefined: the lead has none. */
  | { readonly kind: 'when'; readonly lead: string; readonly when: string | undefined }
  | { readonly kind: 'words'; readonly lead: string; readonly words: string };

/** The key after a change, or why it cannot be made, in words for the person. */
export type Changed =
  | { readonly ok: true; readonly reviewed: ReviewedKey }
  | { readonly ok: false; readonly problem: string };

/** The lines that say where a lead ends. */
const END_LINES = ['to', 'taxon', 'key', 'at'];

/** Makes a change. Nothing but the couplet, and a taxon that is added, can be different afterwards. */
export function changed(before: ReviewedKey, id: string, change: Change, read: ReviewReader): Changed {
  const couplet = before.key.couplets.get(id);
  if (couplet === undefined) return no(`there is no couplet ${id} any more`);
  const lead = change.kind === 'accept' ? undefined : couplet.leads.find((l) => l.letter === change.lead);
  if (change.kind !== 'accept' && lead === undefined) return no(`couplet ${id} has no lead ${change.lead}`);
  const problem = objection(before, couplet, change);
  if (problem !== undefined) return no(problem);
  const marked = withoutMarks(before, couplet, lead, change);
  const text = lead === undefined ? marked : written(marked, before, lead, change);
  const after = read(text);
  if (!after.ok || !sameElsewhere(before, after.reviewed, id))
    return no('this couplet is laid out in a way that cannot be changed here; change it in an editor');
  const wrong = lead === undefined ? undefined : newFault(before, after.reviewed, lead);
  if (wrong !== undefined) return no(faultText(wrong));
  return { ok: true, reviewed: after.reviewed };
}

function no(problem: string): Changed {
  return { ok: false, problem };
}

/** What stands against a change before it is tried. */
function objection(now: ReviewedKey, couplet: Couplet, change: Change): string | undefined {
  if (change.kind === 'accept') {
    const open = couplet.leads.find((l) => isOpen(now.key, l));
    if (open !== undefined) return `lead ${open.label} has no end yet: give it one, or skip the couplet`;
    const fault = now.faults.get(couplet.id)?.[0];
    return fault === undefined ? undefined : `${faultText(fault)}: mend it, or skip the couplet`;
  }
  if (change.kind === 'words' && change.words.trim() === '') return 'a lead needs words';
  return change.kind === 'when' && change.when !== undefined ? conditionProblem(change.when) : undefined;
}

/** A condition as it stands in a key file, in braces: `ring: present, width: < 5`. */
function inBraces(when: string): string {
  const text = when.trim();
  return text.startsWith('{') ? text : `{${text}}`;
}

/** What is wrong with how a condition is written; what it says is checked as a part of the key. */
function conditionProblem(when: string): string | undefined {
  const text = inBraces(when);
  const { data, findings } = readYaml(text, 'condition', { partly: true });
  const [first] = findings;
  if (first !== undefined) {
    const at = first.place.start.column - (text === when.trim() ? 0 : 1);
    return `${first.message.replace(/\.$/, '')} (column ${Math.max(1, at)})`;
  }
  const map = asMap(data);
  const names = namesOf(map);
  if (names.length === 0 || names.some((n) => map[n] === null))
    return 'a condition is written "character: value", such as "ring: present" or "width: < 5"';
  return undefined;
}

/** The first error of a lead, or circle, that was not there before. Paths of the schema have numbers of items as words. */
function newFault(before: ReviewedKey, after: ReviewedKey, lead: Lead): Finding | undefined {
  const all = (key: ReviewedKey) => [...[...key.faults.values()].flat(), ...key.faultsElsewhere];
  const known = new Set(all(before).map((f) => `${f.rule}\0${f.message}`));
  return all(after).find((f) => {
    if (known.has(`${f.rule}\0${f.message}`)) return false;
    return (
      f.rule === 'path-acyclic' || lead.path.every((step, i) => String(f.place.path[i]) === String(step))
    );
  });
}

/** A finding in one line: what is wrong, and what was meant or expected. */
export function faultText({ message, expected, nearest }: Finding): string {
  const plain = message.replace(/\.$/, '');
  if (/did you mean/.test(plain)) return plain;
  if (nearest !== undefined) return `${plain}; did you mean ${nearest}?`;
  return expected === undefined ? plain : `${plain}; expected ${expected}`;
}

/** The text without the marks that a decision settles; what a person wrote beside them stays. */
function withoutMarks(
  { key, marks, text }: ReviewedKey,
  couplet: Couplet,
  lead: Lead | undefined,
  change: Change,
): string {
  const own = marks.get(couplet.id);
  if (own === undefined || change.kind === 'words') return text;
  // Places do not count a byte order mark.
  const begin = text.startsWith('\ufeff') ? '\ufeff' : '';
  const body = text.slice(begin.length);
  const { lines } = key.yaml;
  const settled =
    change.kind === 'accept' || lead === undefined
      ? own.marks
      : own.marks.filter((m) => isAbout(m, lead, couplet, change, lines, key.yaml.place));
  const edits: Edit[] = settled.map(({ start: { line } }) => ({
    start: lines.start(line),
    end: lines.start(line + 1),
    text: '',
  }));
  if (change.kind === 'accept' && own.head !== undefined) {
    const { start, text: said } = own.head.comment;
    const end = start.offset + said.length;
    edits.push({ start: end - own.head.sure.length, end, text: REVIEWED });
  }
  return begin + edited(body, edits);
}

/** Whether a mark stands at the part of a lead that is decided: at its condition, or at its end. */
function isAbout(
  mark: Comment,
  lead: Lead,
  couplet: Couplet,
  change: Change,
  lines: Lines,
  place: ReviewedKey['key']['yaml']['place'],
): boolean {
  const begin = place(lead.path).start.line;
  const next = couplet.leads[couplet.leads.indexOf(lead) + 1];
  const end = next === undefined ? Number.POSITIVE_INFINITY : place(next.path).start.line;
  if (mark.start.line < begin || mark.start.line >= end) return false;
  let below = mark.start.line + 1;
  while (/^\s*#/.test(lines.line(below))) below++;
  const atCondition = /^\s*(?:- )?["']?when["']?\s*:/.test(lines.line(below));
  return atCondition === (change.kind === 'when');
}

/** The text with a part of a lead changed. */
function written(text: string, { key }: ReviewedKey, lead: Lead, change: Change): string {
  const out = new KeyText(text);
  const { path } = lead;
  const fields = asMap(valueAt(key.yaml.data, path) as DataMap);
  if (change.kind === 'when') {
    const isThere = fields.when !== undefined;
    if (change.when === undefined) {
      if (isThere) out.removeFrom(path, new Set(['when']));
    } else if (isThere) out.replaceValue([...path, 'when'], inBraces(change.when));
    else out.addPairs(path, ['lead'], [['when', inBraces(change.when)]]);
  }
  if (change.kind === 'words')
    out.replaceValue([...path, 'lead'], wordsText(text, key.yaml.place, path, change.words));
  if (change.kind === 'end') {
    const { pairs, taxon } = endPairs(change.end, key.taxa.keys());
    // What stands behind the last line of the end stays behind it.
    const there = namesOf(fields).filter((name) => END_LINES.includes(name));
    const last = there.pop();
    const gone = new Set<string>(there);
    // What is printed beside a couplet is a group that it leads into; a taxon is the end itself.
    if (fields.reaches !== undefined && change.end.kind !== 'couplet' && change.end.kind !== 'key')
      gone.add('reaches');
    if (last === undefined) out.addPairs(path, ['otherwise', 'usually', 'when', 'lead'], pairs);
    else out.replacePair([...path, last], pairs);
    out.removeFrom(path, gone);
    if (taxon !== undefined) addTaxon(out, key.taxa.size, taxon);
  }
  return out.finish();
}

/** The entries of an end, and the taxon that it needs and the key does not have. */
function endPairs(
  end: WantedEnd,
  taken: Iterable<string>,
): {
  readonly pairs: readonly (readonly [string, string])[];
  readonly taxon?: readonly [id: string, flow: string];
} {
  switch (end.kind) {
    case 'couplet':
      return { pairs: [['to', idScalar(end.couplet)]] };
    case 'key':
      return {
        pairs: [
          ['key', idScalar(end.key)],
          ...(end.at === undefined ? [] : [['at', idScalar(end.at)] as const]),
        ],
      };
    case 'taxa':
      return { pairs: [['taxon', oneOrList(end.taxa.map(idScalar))]] };
    case 'new taxon': {
      const id = new Ids('taxon', taken).fresh(end.name);
      const rank = rankOf(end.name);
      const fields: (readonly [string, string])[] = [
        ['name', flowScalar(end.name)],
        ...(rank === undefined ? [] : [['rank', rank] as const]),
      ];
      return { pairs: [['taxon', idScalar(id)]], taxon: [id, flowMap(fields)] };
    }
  }
}

function addTaxon(out: KeyText, others: number, [id, flow]: readonly [string, string]): void {
  if (others > 0) out.addPairs(['taxa'], [], [[id, flow]]);
  else if (out.has(['taxa'])) out.replaceValue(['taxa'], `{${id}: ${flow}}`);
  else out.addPairs([], ['couplets'], [['taxa', `{${id}: ${flow}}`]]);
}

/** Words as the value of `lead`, folded where they are long. */
function wordsText(
  text: string,
  place: ReviewedKey['key']['yaml']['place'],
  path: Path,
  words: string,
): string {
  const lines = new Lines(text.replace(/^\ufeff/, ''));
  const { start } = place([...path, 'lead'], 'name');
  const isFlow = /^\s*-?\s*\{/.test(lines.line(start.line)) || lines.text.trimStart().startsWith('{');
  if (isFlow) return flowScalar(words.replace(/\s+/g, ' ').trim());
  const indent = ' '.repeat(start.column - 1);
  const all = property('lead', words, indent).join(text.includes('\r\n') ? '\r\n' : '\n');
  return all.slice(`${indent}lead: `.length);
}

/** Whether two readings of a key differ in one couplet only, but for taxa that were added. */
function sameElsewhere(before: ReviewedKey, after: ReviewedKey, id: string): boolean {
  const a = asMap(before.key.yaml.data);
  const b = asMap(after.key.yaml.data);
  const rest = (map: DataMap) => namesOf(map).filter((n) => n !== 'couplets' && n !== 'taxa');
  if (flowList(rest(a)) !== flowList(rest(b))) return false;
  if (rest(a).some((n) => !same(a[n], b[n]))) return false;
  const [couplets, nowCouplets] = [asMap(a.couplets), asMap(b.couplets)];
  if (flowList(namesOf(couplets)) !== flowList(namesOf(nowCouplets))) return false;
  if (namesOf(couplets).some((n) => n !== id && !same(couplets[n], nowCouplets[n]))) return false;
  const leads = (key: ReviewedKey) => key.key.couplets.get(id)?.leads.length;
  if (leads(before) !== leads(after)) return false;
  const [taxa, nowTaxa] = [asMap(a.taxa), asMap(b.taxa)];
  return namesOf(taxa).every((n) => same(taxa[n], nowTaxa[n]));
}

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
