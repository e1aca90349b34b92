import type { Path } from '../diagnostic/finding.js';
import type { Chain } from '../key/chain.js';
import type { Key, Lead } from '../key/key.js';
import { defined } from '../text/optional.js';
import { commentsOf } from './comments.js';
import { isMark } from './review-marks.js';

/** The lines of a key's text that stand below a mark, with comments between. */
const linesOf = new WeakMap<Key, ReadonlySet<number>>();

function markedLines(key: Key): ReadonlySet<number> {
  let marked = linesOf.get(key);
  if (marked === undefined) {
    const { lines } = key.yaml;
    // Finding comments costs another reading of the whole text.
    const comments = lines.text.includes('review:') ? commentsOf(lines).filter((c) => c.alone) : [];
    const alone = new Set(comments.map((c) => c.start.line));
    marked = new Set(
      comments
        .filter((c) => isMark(c))
        .map((c) => {
          let below = c.start.line + 1;
          while (alone.has(below)) below++;
          return below;
        }),
    );
    linesOf.set(key, marked);
  }
  return marked;
}

/** Whether a line of a key, by its path, is marked for review. */
export function isMarked(key: Key, path: Path): boolean {
  const marked = markedLines(key);
  return marked.size > 0 && marked.has(key.yaml.place(path, 'name').start.line);
}

const proposed = new WeakMap<Key, ReadonlySet<Lead>>();

/** The leads of a key whose condition was proposed and is not reviewed: it may not be what the author means. */
export function proposedLeads(key: Key): ReadonlySet<Lead> {
  let leads = proposed.get(key);
  if (leads === undefined) {
    const all = markedLines(key).size === 0 ? [] : [...key.couplets.values()].flatMap((c) => c.leads);
    leads = new Set(all.filter((l) => l.when !== undefined && isMarked(key, [...l.path, 'when'])));
    proposed.set(key, leads);
  }
  return leads;
}

/**
 * A chain in which proposed conditions are as little known as those that cannot be read, so that nothing is
 * claimed that rests on one of them. The same chain when there are none.
 */
export function withoutProposals(chain: Chain): Chain {
  if (chain.keys.every((key) => markedLines(key).size === 0)) return chain;
  const known = new Map(chain.keys.map((key) => [key, withoutThem(key)]));
  const of = (key: Key) => known.get(key) ?? key;
  return {
    ...chain,
    main: of(chain.main),
    keys: chain.keys.map(of),
    nodes: chain.nodes.map((node) => ({
      ...node,
      key: of(node.key),
      couplet: of(node.key).couplets.get(node.couplet.id) ?? node.couplet,
    })),
  };
}

function withoutThem(key: Key): Key {
  const marked = proposedLeads(key);
  if (markedLines(key).size === 0) return key;
  const unknown = (lead: Lead): Lead => {
    const { when, usually, ...rest } = lead;
    return {
      ...rest,
      ...(marked.has(lead) ? { unread: true } : defined({ when })),
      ...(isMarked(key, [...lead.path, 'usually']) ? {} : defined({ usually })),
    };
  };
  const couplets = [...key.couplets].map(([id, couplet]) => {
    return [id, { ...couplet, leads: couplet.leads.map(unknown) }] as const;
  });
  return { ...key, couplets: new Map(couplets) };
}
