import type { CompiledCouplet, CompiledKey } from '../engine/compile.js';
import { quotedIfClearing } from '../text/clearing.js';
import { harmless } from '../text/harmless.js';
import { listed } from '../text/words.js';
import type { Character, Figure } from '../traits/character.js';
import { charactersIn, conjunction, type Test } from '../traits/condition.js';
import { writeNumbers } from '../traits/notation.js';

/** A term of the glossary, and what it means. */
export interface TermInWords {
  readonly term: string;
  readonly meaning: string;
}

/** How one character is looked at. */
export interface LookInWords {
  readonly name: string;
  /** Its states, or that it is counted or measured. */
  readonly shows: string;
  readonly look?: string;
  readonly figures: readonly Figure[];
  /** How long it takes, with what, on which age: sentences; empty where it needs nothing. */
  readonly needs: string;
}

/** The terms of the glossary that stand in the leads of a couplet. */
export function termsIn(couplet: CompiledCouplet, key: CompiledKey): TermInWords[] {
  const text = couplet.leads.map((l) => l.lead.text).join(' \n ');
  const glossary = key.chain.nodes[couplet.index]?.key.glossary ?? new Map<string, string>();
  return [...glossary]
    .filter(([term]) => mentions(text, term))
    .map(([term, meaning]) => ({ term: harmless(term), meaning: harmless(meaning) }));
}

/** Whether a text uses a term, as a whole word, also in the plural. */
function mentions(text: string, term: string): boolean {
  const word = term.replace(/[.*+?^${}()|[\]\\]/g, '\\$&').replace(/\s+/g, '\\s+');
  return new RegExp(`(?<![\\p{L}\\p{N}])${word}(s|es)?(?![\\p{L}\\p{N}])`, 'iu').test(text);
}

/** How to look at the characters that the leads of a couplet ask or usually show. */
export function looksAt(couplet: CompiledCouplet, key: CompiledKey): LookInWords[] {
  const ids = new Set(
    couplet.leads.flatMap(({ lead }) => [
      ...(lead.when === undefined ? [] : charactersIn(lead.when)),
      ...(lead.usually === undefined ? [] : charactersIn(lead.usually)),
    ]),
  );
  return [...ids].flatMap((id) => {
    const character = key.chain.characters.get(id);
    return character === undefined ? [] : [lookInWords(character)];
  });
}

/** What the leads of a couplet say besides: what usually shows, and notes of the author. */
export function besidesIn(couplet: CompiledCouplet, key: CompiledKey): string[] {
  return couplet.leads.flatMap(({ lead }) => {
    const usual = lead.usually === undefined ? undefined : usualText(lead.usually, key);
    return [
      ...(usual === undefined ? [] : [`${lead.letter} usually, but not always: ${usual}`]),
      ...(lead.note === undefined ? [] : [`${lead.letter}, note of the author: ${harmless(lead.note)}`]),
    ];
  });
}

/** How a character is looked at. */
export function lookInWords(character: Character): LookInWords {
  const states = character.states.map((s) => {
    const id = quotedIfClearing('key', s.id);
    return id === s.meaning ? id : `${id} (${s.meaning})`;
  });
  const { unit } = character;
  const shows =
    character.kind === 'choice'
      ? states.join('; ')
      : character.kind === 'count'
        ? 'a count'
        : `measured${unit.id === '1' ? '' : ` in ${unit.id}`}`;
  const needs = [
    character.wait === undefined ? '' : `Takes ${character.wait}.`,
    character.tools.length === 0 ? '' : `You need: ${listed(character.tools)}.`,
    character.stages.length === 0 ? '' : `Shows on ${listed(character.stages, 'or')} specimens only.`,
    character.perishable ? 'Look while it is fresh.' : '',
  ];
  return {
    name: harmless(character.name),
    shows: harmless(shows),
    ...(character.look === undefined ? {} : { look: harmless(character.look) }),
    figures: character.figures,
    needs: harmless(needs.filter((n) => n !== '').join(' ')),
  };
}

/** `width of the cap 1.5-4 cm; ring absent`; undefined for conditions that are more than tests joined by AND. */
function usualText(condition: Parameters<typeof conjunction>[0], key: CompiledKey): string | undefined {
  const tests = conjunction(condition);
  if (tests === undefined) return undefined;
  return harmless(tests.map((t) => testText(t, key)).join('; '));
}

function testText({ character: id, allowed }: Test, key: CompiledKey): string {
  const character = key.chain.characters.get(id);
  if (character === undefined) return id;
  if (allowed.kind === 'numbers') return `${character.name} ${writeNumbers(allowed.set, character.unit)}`;
  const states = listed([...allowed.states], 'or');
  return `${character.name} ${allowed.except ? 'not ' : ''}${states}`;
}
