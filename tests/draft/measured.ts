/** What a drafted key makes of individuals, through the program's own engine, beside the table itself. */
import { type Preference, preferences } from '../../src/commands/draft/choose.js';
import { STANDARD } from '../../src/commands/draft/draft.js';
import { determine } from '../../src/engine/determine.js';
import { Walk } from '../../src/engine/walk.js';
import { find, observed, open } from '../support/open.js';
import type { OpenTable } from './open-tables.js';
import { drafted } from './support.js';

/** How finds come down. */
export interface Score {
  readonly finds: number;
  /** The own taxon is among those possible. */
  readonly kept: number;
  /** One taxon is possible; and it is not the own one. */
  readonly single: number;
  readonly wrong: number;
}

interface DraftScore extends Score {
  readonly couplets: number;
  readonly effort: number;
}

/** By brute force: every taxon whose description nothing that the find shows is against. Shares no code with the program. */
export function byTable({ table, finds }: OpenTable): Score {
  const taxa = Object.entries(table.taxa).map(([id, { traits }]) => ({
    id,
    traits: new Map<string, ReadonlySet<string> | readonly [number, number]>(
      Object.entries(traits).map(([c, written]) => {
        if (Array.isArray(written)) return [c, new Set(written)] as const;
        const [low, high] = written.split('-').map(Number);
        return [c, [low as number, high as number]] as const;
      }),
    ),
  }));
  return scoreOf(finds, (shows) =>
    taxa
      .filter(({ traits }) =>
        Object.entries(shows).every(([c, value]) => {
          const described = traits.get(c);
          if (described === undefined) return true;
          if ('has' in described) return described.has(value);
          return described[0] <= Number(value) && Number(value) <= described[1];
        }),
      )
      .map((t) => t.id),
  );
}

/** With the key that is drafted of the table. */
export function byDraft(
  { table, finds }: OpenTable,
  options: { readonly prefer?: readonly Preference[]; readonly mostCouplets?: number } = {},
): DraftScore {
  const { text, account } = drafted(table, { prefer: STANDARD, ...options });
  const key = open(text);
  const walk = new Walk(key);
  const score = scoreOf(finds, (shows) =>
    determine(key, find(observed(key, shows)), {}, walk).candidates.map((c) => c.taxon.id),
  );
  return { ...score, couplets: account.couplets, effort: account.effort };
}

function scoreOf(
  finds: OpenTable['finds'],
  possible: (shows: Readonly<Record<string, string>>) => readonly string[],
): Score {
  const score = { finds: finds.length, kept: 0, single: 0, wrong: 0 };
  for (const { own, shows } of finds) {
    const left = possible(shows);
    if (left.includes(own)) score.kept++;
    if (left.length !== 1) continue;
    score.single++;
    if (left[0] !== own) score.wrong++;
  }
  return score;
}

/** Whether nothing among others is at least as good in size, right names, wrong names and effort, and better in one. */
export function onTheFront(one: DraftScore, others: readonly DraftScore[]): boolean {
  const costs = (s: DraftScore) => [s.couplets, s.wrong - s.single, s.wrong, Number(s.effort.toFixed(9))];
  return !others.some((other) => {
    const [a, b] = [costs(one), costs(other)];
    return b.every((cost, i) => cost <= (a[i] as number)) && b.some((cost, i) => cost < (a[i] as number));
  });
}

/** A line for the table itself, for a draft with default options, and for each preference. */
export function measuredLines(name: string, table: OpenTable): string[] {
  const itself = byTable(table);
  const drafts = [STANDARD, ...preferences.map((p) => [p])].map((prefer, i) => ({
    called: i === 0 ? 'default' : `--prefer ${prefer.join()}`,
    score: byDraft(table, { prefer }),
  }));
  const scores = drafts.map((d) => d.score);
  const line = (called: string, s: Score, ...more: string[]) =>
    [
      called.padEnd(22),
      ...more.slice(0, 2).map((m) => m.padStart(8)),
      `${((100 * s.kept) / s.finds).toFixed(2)} %`.padStart(10),
      String(s.single).padStart(8),
      String(s.wrong).padStart(7),
      ...more.slice(2),
    ]
      .join(' ')
      .trimEnd();
  return [
    `${name}: ${Object.keys(table.table.taxa).length} taxa, ${itself.finds} finds`,
    `${''.padEnd(22)} couplets   effort       kept      one   wrong  on the front`,
    line('table, by brute force', itself, '-', '-', ''),
    ...drafts.map(({ called, score }) =>
      line(
        called,
        score,
        String(score.couplets),
        score.effort.toFixed(2),
        ` ${onTheFront(score, scores) ? 'yes' : 'no'}`,
      ),
    ),
    '',
  ];
}
