import type { Determination } from '../engine/determine.js';
import type { Specimen } from '../engine/witness.js';
import type { Taxon } from '../key/key.js';
import { severity } from '../key/severity.js';
import { markdown } from '../printed/markup.js';
import { harmless } from '../text/harmless.js';
import { count, inShort, listed } from '../text/words.js';
import { wrapLines } from '../text/wrap.js';
import { stateIndices } from '../traits/state-set.js';
import { writeValue } from '../traits/value.js';
import { withHarm } from '../words/cautions.js';
import type { KeyDiff, PathChange, Reworded, RewordedText, TaxonPair } from './diff.js';
import type { Moved } from './finds.js';
import type { LeadTaken } from './questions.js';
import type { CollectionChange } from './table.js';

/** The collections of a table with another result, of how many. */
export interface TableDiff {
  readonly table: string;
  readonly all: number;
  readonly changed: readonly CollectionChange[];
}

/** How much is reported. */
interface DiffSetting {
  /** Also show texts that were only reworded. */
  readonly words: boolean;
}

/** Nobody reads more kinds of finds than this. */
const MOST_FINDS = 40;

interface ReportSection {
  readonly head: string;
  readonly items: readonly string[];
}

/** What differs between two versions, for people, in lines of at most `width` cells. */
export function diffText(
  diff: KeyDiff,
  table: TableDiff | undefined,
  setting: DiffSetting,
  width: number,
): string {
  const lines = wrapLines(harmless(titleOf(diff)), width);
  for (const { head, items } of sectionsOf(diff, table, setting)) {
    lines.push('', ...wrapLines(harmless(head), width));
    for (const item of items) lines.push(...wrapLines(harmless(item), width, '  ', '      '));
  }
  return `${lines.join('\n')}\n`;
}

/** The same as Markdown, for the description of a change. */
export function diffMarkdown(diff: KeyDiff, table: TableDiff | undefined, setting: DiffSetting): string {
  const parts = [`# ${markdown(titleOf(diff))}`];
  for (const { head, items } of sectionsOf(diff, table, setting)) {
    if (items.length === 0) parts.push(markdown(head));
    else
      parts.push(
        `## ${markdown(head.replace(/:$/, ''))}`,
        items.map((item) => `- ${markdown(item)}`).join('\n'),
      );
  }
  return `${parts.join('\n\n')}\n`;
}

function titleOf({ old, now }: KeyDiff): string {
  return old.id === now.id
    ? `${now.id}: version ${old.version} (${old.file}) and version ${now.version} (${now.file})`
    : `${old.id} ${old.version} (${old.file}) and ${now.id} ${now.version} (${now.file})`;
}

function sectionsOf(diff: KeyDiff, table: TableDiff | undefined, setting: DiffSetting): ReportSection[] {
  const { joint, finds } = diff;
  const sections: ReportSection[] = [];
  const say = (head: string, items: readonly string[]) => {
    if (items.length > 0) sections.push({ head, items });
  };
  const lowered = ({ was, is }: TaxonPair) => severity(is) > severity(was);
  const level = ({ was, is }: TaxonPair) => `${is.name}: ${was.concern.level}, now ${is.concern.level}`;
  say('Harm that is recorded as less than before:', diff.concerns.filter(lowered).map(level));
  say('Finds that end elsewhere, each kind by one find that was run through both:', [
    ...finds.moved.slice(0, MOST_FINDS).map((m) => movedLine(m, diff)),
    ...(finds.moved.length > MOST_FINDS
      ? [`(${finds.moved.length - MOST_FINDS} kinds more; --format json holds them all)`]
      : []),
  ]);
  if (finds.undecided.length > 0)
    say('Not decided within the limit of work whether finds of these end elsewhere:', [
      `${inShort(finds.undecided.map((t) => t.name)).join(', ')} (${count(finds.drawn, 'find')} drawn at random instead; what they showed stands above)`,
    ]);
  say('Taxa that are no longer keyed out:', diff.gone.map(withHarm));
  say('Taxa that are new:', diff.added.map(withHarm));
  say('Harm that is recorded as more than before:', diff.concerns.filter((c) => !lowered(c)).map(level));
  say('Taxa with another name or id:', diff.renamed.map(renamedLine));
  say('Taxa for which other characters are asked, or more or fewer couplets:', diff.paths.map(pathLine));
  say(
    'What the key is made for:',
    diff.scope.map(
      ({ what, was, is }) =>
        `${what}: ${was === '' ? 'not stated' : was}, now ${is === '' ? 'not stated' : is}`,
    ),
  );
  say(
    'Characters that mean something else:',
    diff.characters.map(({ id, what }) => `${id}: ${what.join('; ')}`),
  );
  say(
    'Characters that are new:',
    diff.charactersAdded.map((c) => `${c.id} (${c.name})`),
  );
  say(
    'Characters that are gone:',
    diff.charactersGone.map((c) => `${c.id} (${c.name})`),
  );
  say(
    'Taxa whose descriptions differ:',
    diff.described.map(({ is, characters }) => `${withHarm(is)}: ${inShort(characters).join(', ')}`),
  );
  say(
    'Duties:',
    diff.duties.map(({ was, is }) => `${is.name}: ${dutiesOf(was)}, now ${dutiesOf(is)}`),
  );
  say('Leads that have a condition now, so that a table is decided there:', inLine(joint.coded.gained));
  say('Leads whose condition is gone, so that only a person decides there:', inLine(joint.coded.lost));
  say(
    'Leads without a condition that were reworded; whether they mean the same, only a reader can say:',
    diff.wordsThatDecide.map(rewordedLine),
  );
  if (table !== undefined) tableSection(table, sections);
  if (setting.words) {
    const leads = diff.words.filter((w) => w.also !== undefined);
    const besides = (w: RewordedText) => w.also?.length ?? 0;
    say('Leads that were only reworded:', leads.filter((w) => besides(w) === 0).map(rewordedLine));
    say(
      'Leads that were reworded and also ask something else or lead elsewhere:',
      leads
        .filter((w) => besides(w) > 0)
        .map((w) => `${rewordedLine(w)} (with another ${listed(w.also ?? [])})`),
    );
    say('Other texts that were reworded:', diff.words.filter((w) => w.also === undefined).map(rewordedLine));
  } else if (diff.words.length > 0)
    sections.push({
      head: `${count(diff.words.length, 'text')} reworded (--words shows them).`,
      items: [],
    });
  if (joint.renamed.size > 0)
    say(
      'Characters with another id, the same for the rest; columns of tables must be renamed:',
      [...joint.renamed].map(([was, is]) => `${was} is ${is}`),
    );
  if (sections.length === 0) sections.push({ head: 'Nothing has changed for people.', items: [] });
  return sections;
}

function tableSection({ table, all, changed }: TableDiff, sections: ReportSection[]): void {
  if (changed.length === 0)
    sections.push({ head: `All ${count(all, 'find')} of ${table} come out as before.`, items: [] });
  else
    sections.push({
      head: `${changed.length} of ${count(all, 'find')} of ${table} come out otherwise:`,
      items: changed.map(({ id, was, is }) => `${id}: ${result(was)}; now ${result(is)}`),
    });
}

function inLine(labels: readonly string[]): string[] {
  return labels.length === 0 ? [] : [inShort(labels).join(', ')];
}

function taxa(list: readonly Taxon[]): string {
  return list.length === 0 ? 'nothing in the key' : listed(inShort(list.map(withHarm), 8), 'or');
}

function movedLine({ find, was, is, drawn }: Moved, diff: KeyDiff): string {
  return `${findWords(find, diff)}: was ${taxa(was)}, now ${taxa(is)}${drawn ? ' (drawn)' : ''}`;
}

/** A find in words; what a person answers at leads without a condition is told by their words. */
function findWords(find: Specimen, { joint }: KeyDiff): string {
  const seen: string[] = [];
  const answered: string[] = [];
  for (const [index, value] of [...find].sort(([a], [b]) => a - b)) {
    const character = joint.now.characters[index];
    if (character === undefined) continue;
    const question = joint.questions.get(character.id);
    if (question === undefined) {
      seen.push(
        value.kind === 'inapplicable'
          ? `no ${character.name}`
          : `${character.name} ${writeValue(character, value)}`,
      );
      continue;
    }
    const answer = value.kind === 'states' ? question.answers[stateIndices(value.set)[0] ?? -1] : undefined;
    const at = (a: LeadTaken | undefined) => (a === undefined ? '' : a.couplet + a.letter);
    const places = [...new Set([at(answer?.old), at(answer?.now)])].filter((p) => p !== '');
    answered.push(
      answer === undefined
        ? 'none of the leads without a condition'
        : `"${answer.text}" (${places.join(', now ')})`,
    );
  }
  const parts = [
    ...(seen.length > 0 ? [`with ${listed(seen)}`] : []),
    ...(answered.length > 0 ? [`of which one says ${listed(answered)}`] : []),
  ];
  return parts.length === 0 ? 'any find' : `a find ${parts.join(', ')}`;
}

function renamedLine({ was, is }: TaxonPair): string {
  if (was.name === is.name) return `${is.name}: id ${was.id}, now ${is.id}`;
  return was.id === is.id
    ? `${was.name} is ${is.name} now`
    : `${was.name} (${was.id}) is ${is.name} (${is.id}) now`;
}

function pathLine({ is, nowAsked, noLonger, steps }: PathChange): string {
  const parts = [
    ...(nowAsked.length > 0 ? [`asks ${listed(nowAsked)} as well`] : []),
    ...(noLonger.length > 0 ? [`no longer asks ${listed(noLonger)}`] : []),
    ...(steps[0] === steps[1] ? [] : [`${count(steps[1], 'couplet')} instead of ${steps[0]}`]),
  ];
  return `${withHarm(is)}: ${parts.join('; ')}`;
}

function rewordedLine({ what, was, is }: Reworded): string {
  if (was === '') return `${what}: new: "${is}"`;
  return is === '' ? `${what}: gone: "${was}"` : `${what}: "${was}", now "${is}"`;
}

function dutiesOf({ duties }: Taxon): string {
  return duties.length === 0 ? 'none' : listed(duties.map((d) => d.kind));
}

function result({ name, qualifier, possible, verdict }: Determination): string {
  const called = possible.length === 0 ? 'fits nothing' : [name ?? '', qualifier ?? ''].join(' ').trim();
  const many =
    possible.length > 1
      ? ` (${listed(
          inShort(
            possible.map((t) => t.name),
            6,
          ),
          'or',
        )})`
      : '';
  return `${called}${many}, ${verdict.word} (${verdict.worst})`;
}

/** All of it for programs. */
export function diffData(diff: KeyDiff, table: TableDiff | undefined, changed: boolean): object {
  const key = ({ id, version, file }: KeyDiff['old']) => ({ id, version, file });
  const taxon = (t: Taxon) => ({ id: t.id, name: t.name, concern: t.concern.level });
  const pair = ({ was, is }: TaxonPair) => ({ was: taxon(was), is: taxon(is) });
  const found = ({ name, qualifier, possible, verdict }: Determination) => ({
    name: name ?? null,
    qualifier: qualifier ?? null,
    candidates: possible.map((t) => t.id),
    verdict: verdict.word,
    worst: verdict.worst,
  });
  return {
    old: key(diff.old),
    new: key(diff.now),
    changed,
    concerns: diff.concerns.map((c) => ({ ...pair(c), lowered: severity(c.is) > severity(c.was) })),
    finds: diff.finds.moved.map((m) => ({
      find: traitsOf(m.find, diff),
      words: findWords(m.find, diff),
      was: m.was.map((t) => t.id),
      is: m.is.map((t) => t.id),
      drawn: m.drawn,
    })),
    undecided: diff.finds.undecided.map((t) => t.id),
    drawn: diff.finds.drawn,
    gone: diff.gone.map(taxon),
    added: diff.added.map(taxon),
    renamed: diff.renamed.map(pair),
    paths: diff.paths.map((p) => ({
      taxon: p.is.id,
      nowAsked: p.nowAsked,
      noLonger: p.noLonger,
      steps: p.steps,
    })),
    scope: diff.scope,
    characters: diff.characters,
    charactersAdded: diff.charactersAdded.map((c) => c.id),
    charactersGone: diff.charactersGone.map((c) => c.id),
    charactersRenamed: Object.fromEntries(diff.joint.renamed),
    described: diff.described.map((d) => ({ taxon: d.is.id, characters: d.characters })),
    duties: diff.duties.map((d) => ({ taxon: d.is.id, was: dutiesOf(d.was), is: dutiesOf(d.is) })),
    conditions: diff.joint.coded,
    wordsThatDecide: diff.wordsThatDecide,
    words: diff.words,
    table:
      table === undefined
        ? null
        : {
            table: table.table,
            finds: table.all,
            changed: table.changed.map((c) => ({ id: c.id, was: found(c.was), is: found(c.is) })),
          },
  };
}

/** A find as a collections file would have it, without what a person answers. */
function traitsOf(find: Specimen, { joint }: KeyDiff): Record<string, string> {
  return Object.fromEntries(
    [...find].flatMap(([index, value]) => {
      const character = joint.now.characters[index];
      if (character === undefined || joint.questions.has(character.id)) return [];
      return [[character.id, writeValue(character, value)]];
    }),
  );
}
