import type { Collapsed } from '../../engine/pruning.js';
import type { Taxon } from '../../key/key.js';
import { harmless, quoted } from '../../text/harmless.js';
import { count, inShort, listed } from '../../text/words.js';
import { wrapLines } from '../../text/wrap.js';
import { withHarm } from '../../words/cautions.js';
import type { AstrayTaxon } from './astray.js';
import type { Understood } from './listed.js';
import type { Likeness, OffListLookAlike } from './lookalikes.js';
import type { Trimmed } from './trim.js';

/** What lint says of a key before and after. */
export interface LintChange {
  readonly before: { readonly errors: number; readonly warnings: number };
  readonly after: { readonly errors: number; readonly warnings: number };
}

/** More of a kind than this are counted, not named. */
const MOST = 40;

/** What trimming did and what to bear in mind, in lines of at most `width` cells. */
export function trimReport(trimmed: Trimmed, list: string, lint: LintChange, width: number): string[] {
  const { before, after, ends, gone, out, plan } = trimmed;
  const { main } = before.chain;
  const lines: string[] = [];
  const say = (text: string) => lines.push(...wrapLines(harmless(text), width));
  const head = (text: string) => lines.push('', ...wrapLines(harmless(text), width));
  const item = (text: string) => lines.push(...wrapLines(harmless(text), width, '  ', '      '));
  const items = (texts: readonly string[]) => {
    for (const text of texts.slice(0, MOST)) item(text);
    if (texts.length > MOST) item(`(${texts.length - MOST} more)`);
  };
  say(
    `${main.id} ${main.version}, trimmed to ${list}: ${ends.length} of ${count(ends.length + gone.length, 'taxon', 'taxa')} and ${after.chain.main.couplets.size} of ${count(main.couplets.size, 'couplet')} are left. Couplets and leads have their old numbers below.`,
  );
  strangeNames(trimmed.list, head, items);
  if (trimmed.stayed.length > 0) {
    head('Harmful look-alikes stay although they are not on the list (--drop-harmful leaves them out):');
    items(trimmed.stayed.map((l) => `${withHarm(l.taxon)}: ${reasons(l)}`));
  }
  const astray = trimmed.astray.filter((a) => a.as.length > 0);
  if (astray.length > 0) {
    head('No longer in this key. A find of it would get the name of another:');
    items(astray.map((a) => `${withHarm(a.taxon)} would key out as ${names(a.as)}${proof(a)}`));
  }
  const maybe = trimmed.astray.filter((a) => a.as.length === 0);
  if (maybe.length > 0) {
    head('No longer in this key. A find of it may get the name of another:');
    items(maybe.map((a) => `${withHarm(a.taxon)} may key out as ${names(a.maybe)}${proof(a)}`));
  }
  if (trimmed.fitNothing > 0)
    head(
      `${count(trimmed.fitNothing, 'taxon', 'taxa')} removed: finds of ${trimmed.fitNothing === 1 ? 'it' : 'them'} fit nothing in this key, as they should.`,
    );
  if (trimmed.toKnow.length > 0) {
    head('Look-alikes that were removed, still to be known:');
    items(trimmed.toKnow.map((l) => `${withHarm(l.taxon)}: ${reasons(l)}`));
  }
  if (trimmed.nearer.length > 0) {
    head('Harmful taxa that are less well separated than before:');
    items(
      trimmed.nearer.map(
        ({ taxon, to, before: was, after: now, lost }) =>
          `${withHarm(taxon)}: ${looks(now)} from ${to.name} (before: ${was === Number.POSITIVE_INFINITY ? 'more than three' : was})${lost.length === 0 ? '' : `; no longer asked on the way: ${lost.join(', ')}`}`,
      ),
    );
  }
  if (plan.collapsed.length > 0) {
    head('Couplets with nothing left to choose:');
    items(plan.collapsed.map(collapsedLine));
  }
  if (plan.cut.length > 0) head(`Couplets beyond which nothing was left: ${inShort(plan.cut).join(', ')}.`);
  if (out.writtenOut.length > 0) {
    head('"Otherwise" is written out as a condition, so that it does not take the finds of removed leads:');
    items(out.writtenOut.map((w) => `${w.lead}, for ${listed(w.gone)}`));
  }
  if (out.openGone.length > 0)
    head(
      `${listed(out.openGone)} says "otherwise", and a lead beside it that only a person can judge was removed: keep in mind there what that lead said.`,
    );
  chained(trimmed, head);
  unused(trimmed, head);
  if (trimmed.notNumbered !== undefined)
    head(`The couplets keep their numbers because ${trimmed.notNumbered}.`);
  else if (trimmed.numbers !== undefined) {
    const moved = [...trimmed.numbers].filter(([old, now]) => old !== now);
    if (moved.length > 0)
      head(`New numbers: ${inShort(moved.map(([old, now]) => `${old} is ${now}`)).join(', ')}.`);
  }
  head(
    `Lint finds ${count(lint.after.errors, 'error')} and ${count(lint.after.warnings, 'warning')} in it (before: ${lint.before.errors} and ${lint.before.warnings}).`,
  );
  return lines;
}

function strangeNames(
  list: Understood,
  head: (text: string) => void,
  items: (texts: readonly string[]) => void,
): void {
  if (list.unclear.length > 0) {
    head(
      `${count(list.unclear.length, 'name')} on the list that may mean several taxa; all of them are kept:`,
    );
    items(
      list.unclear.map(
        ({ name, taxa }) =>
          `line ${name.line}: ${quoted(name.written)} may be ${listed(
            taxa.map((t) => `${t.name} (${t.id})`),
            'or',
          )}`,
      ),
    );
  }
  if (list.strange.length === 0) return;
  head(`${count(list.strange.length, 'name')} on the list that the key does not know:`);
  items(
    list.strange.map(
      ({ name, nearest }) =>
        `line ${name.line}: ${quoted(name.written)}${nearest === undefined ? '' : `; did you mean ${nearest}?`}`,
    ),
  );
}

function names(taxa: readonly Taxon[]): string {
  return listed(inShort(taxa.map(withHarm), 6), 'or');
}

function proof({ by }: AstrayTaxon): string {
  return by === 'description' ? '' : ' (by the way to it in the key; it is not described)';
}

function looks(n: number): string {
  return n === 0 ? 'no wrong observation' : count(n, 'wrong observation');
}

const MOST_REASONS = 3;

function reasons({ of, parted }: OffListLookAlike): string {
  const said = of.slice(0, MOST_REASONS).map(({ kept, likeness }) => reason(kept, likeness));
  const more = of.length > MOST_REASONS ? [`and ${of.length - MOST_REASONS} more reasons`] : [];
  const where = parted === undefined ? '' : ` (separated at ${parted[0]} and ${parted[1]})`;
  return `${[said[0] + where, ...said.slice(1), ...more].join('; ')}`;
}

function reason(kept: Taxon, likeness: Likeness): string {
  if (likeness.kind === 'alike') return `recorded as looking like ${kept.name}`;
  if (likeness.kind === 'couplet') return `stands beside ${kept.name} in couplet ${likeness.couplet}`;
  return likeness.characters.length === 0
    ? `what is described of ${kept.name} does not rule it out`
    : `one slip from ${kept.name}: ${listed(likeness.characters)}`;
}

function collapsedLine({ id, left, gone }: Collapsed): string {
  const removed = gone.length === 0 ? '' : `, ${listed(gone.map((l) => l.label))} removed`;
  return left === undefined
    ? `${id}: all its leads now end at the same place${removed}`
    : `${id}: only ${left.label} (${left.lead.text}) was left${removed}; what it says is no longer asked`;
}

function chained({ goesOnIn }: Trimmed, head: (text: string) => void): void {
  for (const { key, ends, kept } of goesOnIn)
    head(
      `It continues in ${key.id}, which is not changed: ${kept} of the ${count(ends, 'taxon', 'taxa')} there ${kept === 1 ? 'is' : 'are'} kept. Trim that key by itself if it is to be shorter.`,
    );
}

function unused({ out }: Trimmed, head: (text: string) => void): void {
  const parts = [
    ['characters', out.characters],
    ['terms of the glossary', out.glossary],
    ['sources', out.sources],
  ] as const;
  const said = parts.flatMap(([what, ids]) =>
    ids.length === 0 ? [] : [`${what} ${inShort(ids).join(', ')}`],
  );
  if (said.length > 0)
    head(`Also removed, since nothing uses them any longer: ${said.join('; ')} (--keep-unused keeps them).`);
}

/** The same for programs. */
export function trimData(trimmed: Trimmed, list: string, lint: LintChange): object {
  const { before, after } = trimmed;
  const id = (t: Taxon) => ({ id: t.id, name: t.name, concern: t.concern.level });
  const alike = (l: OffListLookAlike) => ({
    ...id(l.taxon),
    alike: l.of.map(({ kept, likeness }) => ({ to: kept.id, ...likeness })),
    parted: l.parted ?? null,
  });
  return {
    key: { id: before.chain.main.id, version: before.chain.main.version },
    trimmed: {
      id: after.chain.main.id,
      title: after.chain.main.title,
      couplets: after.chain.main.couplets.size,
    },
    list,
    kept: trimmed.ends.map(id),
    gone: trimmed.gone.map(id),
    unknownNames: trimmed.list.strange.map(({ name, nearest }) => ({
      line: name.line,
      written: name.written,
      nearest: nearest ?? null,
    })),
    unclearNames: trimmed.list.unclear.map(({ name, taxa }) => ({
      line: name.line,
      written: name.written,
      mayBe: taxa.map((t) => t.id),
    })),
    harmfulKept: trimmed.stayed.map(alike),
    lookAlikesGone: trimmed.toKnow.map(alike),
    astray: trimmed.astray.map((a) => ({
      ...id(a.taxon),
      by: a.by,
      keysOutAs: a.as.map((t) => t.id),
      mayKeyOutAs: a.maybe.map((t) => t.id),
    })),
    fitNothing: trimmed.fitNothing,
    nearer: trimmed.nearer.map((n) => ({
      ...id(n.taxon),
      to: n.to.id,
      before: n.before === Number.POSITIVE_INFINITY ? null : n.before,
      after: n.after,
      lost: n.lost,
    })),
    collapsed: trimmed.plan.collapsed.map((c) => ({
      couplet: c.id,
      left: c.left?.label ?? null,
      gone: c.gone.map((l) => l.label),
    })),
    cut: trimmed.plan.cut,
    otherwiseWrittenOut: trimmed.out.writtenOut,
    unused: {
      characters: trimmed.out.characters,
      glossary: trimmed.out.glossary,
      sources: trimmed.out.sources,
    },
    numbers: trimmed.numbers === undefined ? null : Object.fromEntries(trimmed.numbers),
    lint,
  };
}
