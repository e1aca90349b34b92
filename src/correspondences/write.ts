/** Writes a file of correspondences, or adds to one what is not in it yet. */

import type { Chain } from '../key/chain.js';
import type { Key, Taxon } from '../key/key.js';
import { comment, flowScalar, scalar } from '../key/scalars.js';
import { count, inShort, listed } from '../text/words.js';
import type { Character } from '../traits/character.js';
import {
  Glossary,
  type Proposals,
  type ProposedCharacter,
  type ProposedState,
  type ProposedTaxon,
  propose,
  proposedState,
} from './propose.js';
import type { WrittenCorrespondences } from './read.js';

/** How the program's own comments about what is missing begin: they are made anew each time. */
const MISSING = 'Without counterpart, of';
const NO_NEED = 'No entry needed:';
const OWN = new RegExp(`^\\s*# (?:${MISSING}|${NO_NEED}) `);
const STATE_OPEN = 'no counterpart found';
const OWN_STATE = new RegExp(`^\\s*# .*# (?:${STATE_OPEN}|proposed, )`);
const WIDTH = 110;

/** A file with nothing but proposals. */
export function proposalText(from: Chain, to: Chain, program: string): string {
  const proposals = propose(from, to);
  return [
    comment(
      `What of ${from.main.id} is what of ${to.main.id}, as ${program} proposes it from equal words.`,
      '',
    ),
    '# Look at each entry and mend it; with "confirmed: yes" it carries evidence, both ways. A remark may stand beside it.',
    '# Of states: rust, or [rust, dark] where it may be either, or [] where it is none of them. One left out may be anything.',
    'keywright-correspondences: 1',
    `from: ${keyText(from.main)}`,
    `to: ${keyText(to.main)}`,
    '',
    ...section(
      'characters',
      characterLines(proposals.characters, '  '),
      openCharacters(proposals, from, to, '  '),
    ),
    '',
    ...section('taxa', taxonLines(proposals.taxa, '  '), openTaxa(proposals, from, to, '  ')),
    '',
  ].join('\n');
}

function keyText({ id, version }: Key): string {
  // Both are of a form that needs no quotes, and a version is read as it is written.
  return `{key: ${id}, version: ${version}}`;
}

function section(name: string, entries: readonly string[], open: readonly string[]): string[] {
  return [entries.length === 0 ? `${name}: {}` : `${name}:`, ...entries, ...open];
}

function characterLines(characters: readonly ProposedCharacter[], indent: string): string[] {
  return characters.flatMap(({ from, to, states, why }) => [
    comment(`Proposed: ${why}.`, indent),
    comment(`${named(from)} is ${named(to)}?`, indent),
    `${indent}${scalar(from.id)}:`,
    `${indent}  is: ${scalar(to.id)}`,
    ...(states.length === 0 ? [] : [`${indent}  ${states.some((s) => s.sure) ? '' : '# '}states:`]),
    ...states.map((s) => stateLine(s, `${indent}    `, s.sure)),
    `${indent}  confirmed: no`,
  ]);
}

function named({ name, states, kind, unit }: Character): string {
  if (kind === 'choice')
    return `"${name}" (${inShort(
      states.map((s) => s.id),
      10,
    ).join(', ')})`;
  return `"${name}" (${kind === 'count' ? 'a count' : unit.id === '1' ? 'a number' : unit.id})`;
}

function stateLine({ state, others, why }: ProposedState, indent: string, live: boolean): string {
  const ids = others.map((o) => flowScalar(o.id));
  const entry = `${scalar(state.id)}: ${ids.length === 1 ? ids[0] : `[${ids.join(', ')}]`}`;
  if (live) return comment(why, `${indent}${entry}  `);
  const meaning = state.meaning === state.id ? '' : `; it means "${state.meaning}"`;
  const what = others.length === 0 ? STATE_OPEN : `proposed, ${why}`;
  return comment(`${entry}  # ${what}${meaning}`, indent);
}

function taxonLines(taxa: readonly ProposedTaxon[], indent: string): string[] {
  const byTaxon = new Map<Taxon, ProposedTaxon[]>();
  for (const t of taxa) byTaxon.set(t.from, [...(byTaxon.get(t.from) ?? []), t]);
  return [...byTaxon].flatMap(([taxon, all]) => [
    ...all.map(({ why, others }) =>
      comment(
        `Proposed: ${why}. ${taxon.name}; ${inShort(
          others.map((o) => o.name),
          8,
        ).join(', ')}`,
        indent,
      ),
    ),
    `${indent}${scalar(taxon.id)}:`,
    ...all.map(({ how, others }) => {
      const ids = others.map((o) => flowScalar(o.id));
      return `${indent}  ${how}: ${ids.length === 1 ? ids[0] : `[${ids.join(', ')}]`}`;
    }),
    `${indent}  confirmed: no`,
  ]);
}

/** A list in comments, by which a person sees what is left to fill in. */
function openList(what: string, items: readonly string[], indent: string): string[] {
  const lines: string[] = [];
  let line = '';
  for (const item of items) {
    const next = line === '' ? item : `${line}; ${item}`;
    if (line !== '' && indent.length + next.length + MISSING.length + what.length > WIDTH) {
      lines.push(line);
      line = item;
    } else line = next;
  }
  if (line !== '') lines.push(line);
  return lines.map((text) => comment(`${MISSING} ${what} ${text}`, indent));
}

function openCharacters({ alone, shared }: Proposals, from: Chain, to: Chain, indent: string): string[] {
  const all = (characters: readonly Character[]) => characters.map((c) => `${c.id} = ${named(c)}`);
  return [
    ...openList(`${from.main.id}:`, all(alone.from), indent),
    ...openList(`${to.main.id}:`, all(alone.to), indent),
    ...(shared.length === 0
      ? []
      : [comment(`${NO_NEED} both keys take ${listed(shared)} from one file`, indent)]),
  ];
}

function openTaxa({ taxaAlone, sameTaxa }: Proposals, from: Chain, to: Chain, indent: string): string[] {
  const all = (taxa: readonly Taxon[]) => taxa.map((t) => (t.name === t.id ? t.id : `${t.id} = ${t.name}`));
  return [
    ...openList(`${from.main.id}:`, all(taxaAlone.from), indent),
    ...openList(`${to.main.id}:`, all(taxaAlone.to), indent),
    ...(sameTaxa === 0
      ? []
      : [
          comment(
            `${NO_NEED} ${count(sameTaxa, 'taxon is', 'taxa are')} the same by id, name or synonym`,
            indent,
          ),
        ]),
  ];
}

/** A file to which further proposals were added, or the section to which none can be. */
export type Merged =
  | { readonly ok: true; readonly text: string; readonly added: readonly string[] }
  | { readonly ok: false; readonly section: string };

/**
 * Adds to a file what the keys have and it does not say yet. All that stands in it stays letter for letter, but for the program's own
 * comments about what is missing, which are made anew.
 */
export function mergedText(written: WrittenCorrespondences, from: Chain, to: Chain): Merged {
  const { characters, taxa, yaml } = written;
  const proposals = propose(from, to, {
    from: new Set(characters.map((c) => c.id)),
    to: new Set(characters.map((c) => c.is)),
    taxa: new Set(taxa.map((t) => t.id)),
    taxaTo: new Set(taxa.flatMap((t) => t.relations.map((r) => r.other))),
  });
  const lines = yaml.lines.text.split('\n');
  const newline = lines[0]?.endsWith('\r') === true ? '\r' : '';
  /** By number of a line, from 1: what comes behind it. */
  const behind = new Map<number, string[]>();
  const insert = (line: number, more: readonly string[]) =>
    behind.set(line, [...(behind.get(line) ?? []), ...more]);
  const glossary = new Glossary(from, to);
  for (const { id, is, states } of characters) {
    const [one, other] = [from.characters.get(id), to.characters.get(is)];
    const last = states.at(-1);
    if (one?.kind !== 'choice' || other?.kind !== 'choice' || last === undefined) continue;
    const { column } = yaml.place(['characters', id, 'states'], 'name').start;
    const said = new Set(states.map((s) => s.state));
    const open = one.states.filter((s) => !said.has(s.id)).map((s) => proposedState(s, one, other, glossary));
    insert(
      lastLine(yaml.place(['characters', id, 'states', last.state]), yaml.lines.text),
      open.map((s) => stateLine(s, ' '.repeat(column + 1), false)),
    );
  }
  const sections = [
    [
      'characters',
      characters,
      (i: string) => characterLines(proposals.characters, i),
      (i: string) => openCharacters(proposals, from, to, i),
    ],
    [
      'taxa',
      taxa,
      (i: string) => taxonLines(proposals.taxa, i),
      (i: string) => openTaxa(proposals, from, to, i),
    ],
  ] as const;
  const tail: string[] = [];
  for (const [name, entries, proposed, open] of sections) {
    const at = yaml.place([name], 'name');
    const there = at.path.length > 0 && hasOwn(yaml.data, name);
    const [first] = entries;
    const value = yaml.place([name]);
    if (!there) {
      tail.push('', ...section(name, proposed('  '), open('  ')));
    } else if (first === undefined) {
      const line = at.start.line;
      lines[line - 1] = `${proposed('  ').length === 0 ? `${name}: {}` : `${name}:`}${newline}`;
      insert(line, [...proposed('  '), ...open('  ')]);
    } else {
      const indent = ' '.repeat(yaml.place([name, first.id], 'name').start.column - 1);
      const flow = yaml.lines.text[value.start.offset] === '{';
      if (flow && proposed(indent).length > 0) return { ok: false, section: name };
      insert(lastLine(value, yaml.lines.text), [...proposed(indent), ...open(indent)]);
    }
  }
  const text = [
    ...lines.flatMap((line, i) => {
      const more = (behind.get(i + 1) ?? []).map((l) => l + newline);
      return OWN.test(line) || OWN_STATE.test(line) ? more : [line, ...more];
    }),
  ].join('\n');
  return {
    ok: true,
    text: tail.length === 0 ? text : `${text.replace(/\n*$/, '\n')}${tail.join(`${newline}\n`)}${newline}\n`,
    added: [...proposals.characters.map((c) => c.from.id), ...new Set(proposals.taxa.map((t) => t.from.id))],
  };
}

function hasOwn(data: unknown, name: string): boolean {
  return typeof data === 'object' && data !== null && Object.hasOwn(data, name);
}

/** The number of the line on which the last sign of a place stands. */
function lastLine(
  { start, end }: { start: { offset: number; line: number }; end: { offset: number } },
  text: string,
): number {
  const inner = text.slice(start.offset, end.offset).trimEnd();
  return start.line + inner.split('\n').length - 1;
}
