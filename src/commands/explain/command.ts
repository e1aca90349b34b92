import { Failure } from '../../diagnostic/failure.js';
import { harmlessJson } from '../../lint/report/result.js';
import { rules } from '../../lint/rules/index.js';
import { KnownRules } from '../../lint/settings.js';
import { paintFor } from '../../terminal/paint.js';
import type { World } from '../../terminal/world.js';
import { harmless } from '../../text/harmless.js';
import { nearest } from '../../text/nearest.js';
import { textWidth } from '../../text/wrap.js';
import { plainRule, ruleListText, rulePageText } from './rule-page.js';
import { topicListText, topicText } from './topic-page.js';
import { topics } from './topics/index.js';

/** Shows the page of a topic or of a rule, or lists both. */
export async function action(
  [word]: readonly string[],
  { format }: { readonly format: 'text' | 'json' },
  world: World,
): Promise<number> {
  const known = new KnownRules(rules);
  const topic = topics.find((t) => t.name === word);
  const rule = word === undefined ? undefined : known.get(word);
  if (word !== undefined && topic === undefined && rule === undefined) throw unknown(word);
  if (format === 'json') {
    const plain = (r: (typeof rules)[number]) => plainRule(r, known.binding(r.id));
    const all = () => ({
      version: 1,
      topics: topics.map(({ name, title }) => ({ name, title })),
      rules: rules.map(plain),
    });
    world.stdout.write(harmlessJson(topic ?? (rule === undefined ? all() : plain(rule))));
    return 0;
  }
  const setting = { width: textWidth(world.columns('stdout')), paint: await paintFor(world.colour.stdout) };
  if (topic !== undefined) world.stdout.write(topicText(topic, setting));
  else if (rule !== undefined) world.stdout.write(rulePageText(rule, known.binding(rule.id), setting));
  else world.stdout.write(`${topicListText(topics, setting)}\n${ruleListText(rules, setting)}`);
  return 0;
}

function unknown(word: string): Failure {
  const near = nearest(word, [...topics.map((t) => t.name), ...rules.map((r) => r.id)]);
  return new Failure(
    `there is no topic or rule ${harmless(word)}${near === undefined ? '' : `; did you mean ${near}?`}`,
    { hint: '`keywright explain` lists all topics and rules' },
  );
}
