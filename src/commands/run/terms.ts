import type { CompiledCouplet, CompiledKey } from '../../engine/compile.js';
import { figureText } from '../../printed/key.js';
import { quotedIfClearing } from '../../text/clearing.js';
import { harmless } from '../../text/harmless.js';
import { listed } from '../../text/words.js';
import { wrapLines } from '../../text/wrap.js';
import type { Character } from '../../traits/character.js';
import { charactersIn, conjunction, type Test } from '../../traits/condition.js';
import { writeNumbers } from '../../traits/notation.js';
import { type LineStyle, ownNumber } from '../../words/couplet.js';

/** The terms of the glossary that stand in the leads of a couplet, with what they mean. */
export function termLines(couplet: CompiledCouplet, key: CompiledKey, setting: LineStyle): string[] {
  const name = ownNumber(couplet.name);
  const text = couplet.leads.map((l) => l.lead.text).join(' \n ');
  const glossary = key.chain.nodes[couplet.index]?.key.glossary ?? new Map<string, string>();
  const found = [...glossary].filter(([term]) => mentions(text, term));
  if (found.length === 0)
    return wrapLines(`No term of couplet ${name} stands in the glossary of this key.`, setting.width);
  return [
    setting.paint.strong(`Terms in couplet ${name}`),
    ...found.flatMap(([term, meaning]) =>
      wrapLines(`${setting.paint.strong(harmless(term))}: ${harmless(meaning)}`, setting.width, '  ', '    '),
    ),
  ];
}

/** Whether a text uses a term, as a whole word, also in the plural. */
function mentions(text: string, term: string): boolean {
  const word = term.replace(/[.*+?^${}()|[\]\\]/g, '\\$&').replace(/\s+/g, '\\s+');
  return new RegExp(`(?<![\\p{L}\\p{N}])${word}(s|es)?(?![\\p{L}\\p{N}])`, 'iu').test(text);
}

/** How to look at the characters that a couplet asks: states, how, how long it takes, with what, on which age. */
export function lookLines(couplet: CompiledCouplet, key: CompiledKey, setting: LineStyle): string[] {
  const { width, paint } = setting;
  const ids = new Set(
    couplet.leads.flatMap(({ lead }) => [
      ...(lead.when === undefined ? [] : charactersIn(lead.when)),
      ...(lead.usually === undefined ? [] : charactersIn(lead.usually)),
    ]),
  );
  const lines = [paint.strong(`What couplet ${ownNumber(couplet.name)} asks, and how to look`)];
  for (const id of ids) {
    const character = key.chain.characters.get(id);
    if (character !== undefined) lines.push(...characterLines(character, setting));
  }
  for (const { lead } of couplet.leads) {
    const usual = lead.usually === undefined ? undefined : usualText(lead.usually, key);
    if (usual !== undefined)
      lines.push(...wrapLines(`${lead.letter} usually, but not always: ${usual}`, width, '  ', '    '));
    if (lead.note !== undefined)
      lines.push(
        ...wrapLines(`${lead.letter}, note of the author: ${harmless(lead.note)}`, width, '  ', '    '),
      );
  }
  if (lines.length === 1)
    return wrapLines(
      `Couplet ${ownNumber(couplet.name)} names no characters; go by the words of its leads.`,
      width,
    );
  return lines;
}

function characterLines(character: Character, { width, paint }: LineStyle): string[] {
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
  return [
    ...wrapLines(`${paint.strong(harmless(character.name))}: ${harmless(shows)}`, width, '  ', '    '),
    ...(character.look === undefined ? [] : wrapLines(harmless(character.look), width, '    ')),
    ...character.figures.flatMap((f) => wrapLines(harmless(figureText(f)), width, '    ')),
    ...(needs.every((n) => n === '')
      ? []
      : wrapLines(harmless(needs.filter((n) => n !== '').join(' ')), width, '    ')),
  ];
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
