/**
 * Conditions proposed from the words of published prints of 1892-1922 (public domain in the USA, as Project Gutenberg has
 * them), beside what a reader would ask: `published/conditions.yaml`. KEYWRIGHT_PUBLISHED names the folder that holds
 * prints/raw and prints/truth. What was reached is the floor.
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { conditionLines, conditionScores, HELD_OUT, sumOfConditions } from './published/conditions.js';

const folder = process.env.KEYWRIGHT_PUBLISHED ?? '';
const there = folder !== '' && existsSync(join(folder, 'prints', 'truth'));
if (!there)
  process.stdout.write(
    'proposed conditions are not scored: KEYWRIGHT_PUBLISHED names no folder that has published prints\n',
  );

describe.skipIf(!there)('conditions proposed from published prints', () => {
  const scores = there ? conditionScores(folder) : new Map();
  const part = (held: boolean) =>
    sumOfConditions([...scores].filter(([name]) => HELD_OUT.has(name) === held).map(([, score]) => score));

  it('are those of a reader, for most leads that contrast', () => {
    process.stdout.write(`${conditionLines(scores)}\n`);
    const { contrasting, reached, proposed, right, wrong } = part(false);
    expect(reached / contrasting).toBeGreaterThanOrEqual(0.7);
    expect(right / proposed, wrong.join('\n')).toBeGreaterThanOrEqual(0.97);
  });

  it('are so in texts that were held out while they were tuned', () => {
    const { contrasting, reached, proposed, right, wrong } = part(true);
    expect(reached / contrasting).toBeGreaterThanOrEqual(0.6);
    expect(right / proposed, wrong.join('\n')).toBeGreaterThanOrEqual(0.8);
  });
});
