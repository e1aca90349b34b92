/**
 * Conditions proposed from the words of published prints of 1892-1922 (public domain in the USA, as Project Gutenberg has
 * them), beside what a reader would ask: `published/conditions.yaml`. KEYWRIGHT_PUBLISHED names the folder that holds
 * prints/raw and prints/truth. What was reached is the floor. Journal articles beside them (`published/article-conditions.yaml`;
 * ZooKeys 84.819, 115.1186, 116.1347, 132.1840, 149.2348, 152.2070, 172.1741, 196.2774, 212.3254, 246.4112, 254.4182,
 * 257.3832, 260.3989, 261.4226, CC BY) were judged before anything proposed for them was seen, and are not tuned on.
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { articleScores, conditionLines, conditionScores, sumOfConditions } from './published/conditions.js';

const folder = process.env.KEYWRIGHT_PUBLISHED ?? '';
const there = folder !== '' && existsSync(join(folder, 'prints', 'truth'));
if (!there)
  process.stdout.write(
    'proposed conditions are not scored: KEYWRIGHT_PUBLISHED names no folder that has published prints\n',
  );

describe.skipIf(!there)('conditions proposed from published prints', () => {
  const scores = there ? conditionScores(folder) : new Map();

  it('are those of a reader, for most leads that contrast', () => {
    process.stdout.write(`${conditionLines(scores)}\n`);
    const { contrasting, reached, proposed, right, wrong } = sumOfConditions(scores.values());
    expect(reached / contrasting).toBeGreaterThanOrEqual(0.75);
    expect(right / proposed, wrong.join('\n')).toBeGreaterThanOrEqual(0.97);
  });
});

const articles = there && existsSync(join(folder, 'journals'));

describe.skipIf(!articles)('conditions proposed from journal articles that were not tuned on', () => {
  it('are those of a reader, where there are any', async () => {
    const { contrasting, reached, proposed, right, wrong } = sumOfConditions(
      (await articleScores(folder)).values(),
    );
    process.stdout.write(
      `conditions, articles: ${reached} of ${contrasting} reached; ${right} of ${proposed} right\n`,
    );
    expect(reached / contrasting).toBeGreaterThanOrEqual(0.45);
    expect(right / proposed, wrong.join('\n')).toBeGreaterThanOrEqual(0.84);
  });
});
