/** The scores of all published prints in a folder, and the table of them. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { type PrintedKeys, type Score, scoreOf } from './score.js';

/** The scores by the name of the text; undefined when the folder has no prints. `folder` holds prints/raw and prints/truth. */
export function scoresIn(folder: string): ReadonlyMap<string, Score> | undefined {
  const truth = join(folder, 'prints', 'truth');
  if (!existsSync(truth)) return undefined;
  const names = readdirSync(truth).flatMap((file) => (file.endsWith('.json') ? [file.slice(0, -5)] : []));
  return new Map(
    names.sort().map((name) => {
      const text = readFileSync(join(folder, 'prints', 'raw', `${name}.txt`), 'utf8');
      const printed = JSON.parse(readFileSync(join(truth, `${name}.json`), 'utf8')) as PrintedKeys;
      return [name, scoreOf(text, printed)];
    }),
  );
}

/** The sum of scores. */
export function sumOf(scores: Iterable<Score>): Score {
  const sum: Score = {
    ends: 0,
    right: 0,
    silent: 0,
    flagged: 0,
    lost: 0,
    sure: { clear: { all: 0, right: 0 }, likely: { all: 0, right: 0 }, doubtful: { all: 0, right: 0 } },
    wrong: [],
  };
  for (const score of scores) {
    for (const field of ['ends', 'right', 'silent', 'flagged', 'lost'] as const) sum[field] += score[field];
    for (const level of ['clear', 'likely', 'doubtful'] as const) {
      sum.sure[level].all += score.sure[level].all;
      sum.sure[level].right += score.sure[level].right;
    }
    sum.wrong.push(...score.wrong);
  }
  return sum;
}

/** A line a text, and the sum. */
export function tableOf(scores: ReadonlyMap<string, Score>): string {
  const rows = [...scores, ['all', sumOf(scores.values())] as const].map(([name, s]) => {
    const sure = (['clear', 'likely', 'doubtful'] as const).map((l) => `${s.sure[l].right}/${s.sure[l].all}`);
    return [name, `${s.right}/${s.ends}`, ...[s.silent, s.flagged, s.lost].map(String), ...sure];
  });
  const head = [
    'print',
    'ends right',
    'silent',
    'flagged',
    'lost',
    'clear right',
    'likely right',
    'doubtful right',
  ];
  const widths = head.map((title, i) => Math.max(title.length, ...rows.map((r) => (r[i] as string).length)));
  return [head, ...rows]
    .map((row) =>
      row
        .map((cell, i) => (i === 0 ? cell.padEnd(widths[i] as number) : cell.padStart(widths[i] as number)))
        .join('  '),
    )
    .join('\n');
}
