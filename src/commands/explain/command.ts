import { Failure } from '../../diagnostic/failure.js';
import { rules } from '../../lint/rules/index.js';
import { KnownRules } from '../../lint/settings.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { textWidth } from '../../text/wrap.js';
import { ruleListText, rulePageText, rulesJson } from './rule-page.js';

/** Shows the page of a rule, or lists all rules. */
export async function action(
  [id]: readonly string[],
  { format }: { readonly format: 'text' | 'json' },
  world: World,
): Promise<number> {
  const known = new KnownRules(rules);
  const rule = id === undefined ? undefined : known.get(id);
  if (id !== undefined && rule === undefined) {
    const near = known.nearest(id);
    throw new Failure(
      `there is no rule ${harmless(id)}${near === undefined ? '' : `; did you mean ${near}?`}`,
      {
        hint: '`keywright explain` lists all rules',
      },
    );
  }
  const shown = rule === undefined ? rules : [rule];
  const fixed = (name: string) => known.fixed(name);
  if (format === 'json') {
    world.stdout.write(rulesJson(shown, fixed, rule !== undefined));
    return 0;
  }
  const setting = { width: textWidth(world.columns('stdout')), paint: await paintFor(world.colour.stdout) };
  world.stdout.write(
    rule === undefined ? ruleListText(rules, setting) : rulePageText(rule, fixed(rule.id), setting),
  );
  return 0;
}
