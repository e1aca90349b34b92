import type { CompiledCouplet, CompiledKey } from '../../engine/compile.js';
import { figureText } from '../../printed/key.js';
import { harmless } from '../../text/harmless.js';
import { wrapLines } from '../../text/wrap.js';
import { type LineStyle, ownNumber } from '../../words/couplet.js';
import { besidesIn, type LookInWords, looksAt, termsIn } from '../../words/how-to-look.js';

/** The terms of the glossary that stand in the leads of a couplet, with what they mean. */
export function termLines(couplet: CompiledCouplet, key: CompiledKey, setting: LineStyle): string[] {
  const name = ownNumber(couplet.name);
  const found = termsIn(couplet, key);
  if (found.length === 0)
    return wrapLines(`No term of couplet ${name} stands in the glossary of this key.`, setting.width);
  return [
    setting.paint.strong(`Terms in couplet ${name}`),
    ...found.flatMap(({ term, meaning }) =>
      wrapLines(`${setting.paint.strong(term)}: ${meaning}`, setting.width, '  ', '    '),
    ),
  ];
}

/** How to look at the characters that a couplet asks: states, how, how long it takes, with what, on which age. */
export function lookLines(couplet: CompiledCouplet, key: CompiledKey, setting: LineStyle): string[] {
  const name = ownNumber(couplet.name);
  const lines = [
    ...looksAt(couplet, key).flatMap((look) => characterLines(look, setting)),
    ...besidesIn(couplet, key).flatMap((text) => wrapLines(text, setting.width, '  ', '    ')),
  ];
  if (lines.length === 0)
    return wrapLines(`Couplet ${name} names no characters; go by the words of its leads.`, setting.width);
  return [setting.paint.strong(`What couplet ${name} asks, and how to look`), ...lines];
}

function characterLines({ name, shows, look, figures, needs }: LookInWords, setting: LineStyle): string[] {
  const { width, paint } = setting;
  return [
    ...wrapLines(`${paint.strong(name)}: ${shows}`, width, '  ', '    '),
    ...(look === undefined ? [] : wrapLines(look, width, '    ')),
    ...figures.flatMap((f) => wrapLines(harmless(figureText(f)), width, '    ')),
    ...(needs === '' ? [] : wrapLines(needs, width, '    ')),
  ];
}
