import type { PrintedCouplet, PrintedKey, PrintedLead } from './key.js';

/** How deep couplets are set below each other before the key continues in a block of its own. */
export const DEEPEST = 8;

/** Where the couplet that a lead leads to stands: right below the lead, in a block further down, or further up. */
export type BlockPosition = 'here' | 'below' | 'above';

/** One lead of an indented key. */
interface IndentedRow {
  /** 0 at the left margin. */
  readonly level: number;
  readonly couplet: PrintedCouplet;
  readonly lead: PrintedLead;
  /** undefined where the lead ends at a taxon or in another key. */
  readonly beyond: BlockPosition | undefined;
}

/**
 * A part of an indented key that begins at the left margin: the start of the key, a couplet that lies too deep to be
 * indented further, or one that nothing leads to.
 */
export interface IndentedBlock {
  readonly root: PrintedCouplet;
  readonly rows: readonly IndentedRow[];
}

/**
 * A key in the order of the indented layout: each lead is followed by everything under it. A couplet that several leads
 * lead to is set once, under the first of them. Where a couplet would lie more than `deepest` levels deep, it continues in
 * a block of its own, unless nothing but ends lies beyond it; so do the couplets `apart`.
 */
export function indentedBlocks(
  key: PrintedKey,
  deepest = DEEPEST,
  apart: ReadonlySet<PrintedCouplet> = new Set(),
): IndentedBlock[] {
  const { byId, couplets, start } = key;
  const set = new Set<PrintedCouplet>();
  const waiting: PrintedCouplet[] = start === undefined ? [] : [start];
  const queued = new Set(waiting);
  const blocks: IndentedBlock[] = [];
  let unreached = 0;
  for (let n = 0; ; n++) {
    if (n === waiting.length) {
      while (unreached < couplets.length && set.has(couplets[unreached] as PrintedCouplet)) unreached++;
      const next = couplets[unreached];
      if (next === undefined) return blocks;
      waiting.push(next);
      queued.add(next);
    }
    const root = waiting[n] as PrintedCouplet;
    set.add(root);
    const rows: IndentedRow[] = [];
    const open = [{ couplet: root, level: 0, lead: 0 }];
    for (let top = open.at(-1); top !== undefined; top = open.at(-1)) {
      const { couplet, level } = top;
      const lead = couplet.leads[top.lead++];
      if (lead === undefined) {
        open.pop();
        continue;
      }
      const target = lead.end.kind === 'couplet' ? byId.get(lead.end.id) : undefined;
      let beyond: BlockPosition | undefined;
      if (target !== undefined) {
        if (set.has(target)) beyond = 'above';
        else if (queued.has(target)) beyond = 'below';
        else if (!apart.has(target) && (level + 1 < deepest || endsHere(target))) {
          beyond = 'here';
          set.add(target);
          open.push({ couplet: target, level: level + 1, lead: 0 });
        } else {
          beyond = 'below';
          queued.add(target);
          waiting.push(target);
        }
      }
      rows.push({ level, couplet, lead, beyond });
    }
    blocks.push({ root, rows });
  }
}

function endsHere(couplet: PrintedCouplet): boolean {
  return couplet.leads.every((l) => l.end.kind !== 'couplet');
}

/**
 * Couplets at which to part a key so that no part has many more couplets than `most`: where a branch has more, its
 * largest branches are taken off.
 */
export function splitPoints(key: PrintedKey, most: number): Set<PrintedCouplet> {
  const apart = new Set<PrintedCouplet>();
  // More blocks than one where couplets cannot be reached.
  const rows = indentedBlocks(key, Infinity).flatMap((block) => block.rows);
  // The rows come lead by lead from the start; read from their end, every branch is known before what leads to it.
  const sizes = new Map<PrintedCouplet, number>();
  const branches = new Map<PrintedCouplet, PrintedCouplet[]>();
  const measure = (couplet: PrintedCouplet): void => {
    const own = (branches.get(couplet) ?? []).sort((a, b) => (sizes.get(a) ?? 0) - (sizes.get(b) ?? 0));
    let size = own.reduce((sum, b) => sum + (sizes.get(b) ?? 0), 1);
    // A branch of two or three couplets is better left where it is.
    while (size > most && (sizes.get(own.at(-1) as PrintedCouplet) ?? 0) > 3) {
      const largest = own.pop() as PrintedCouplet;
      apart.add(largest);
      size -= sizes.get(largest) ?? 0;
    }
    sizes.set(couplet, size);
  };
  for (let i = rows.length - 1; i >= 0; i--) {
    const { couplet, lead, beyond } = rows[i] as IndentedRow;
    const below = lead.end.kind === 'couplet' ? key.byId.get(lead.end.id) : undefined;
    if (beyond === 'here' && below !== undefined) {
      const known = branches.get(couplet);
      if (known === undefined) branches.set(couplet, [below]);
      else known.push(below);
    }
    if (lead === couplet.leads[0]) measure(couplet);
  }
  return apart;
}
