/**
 * Holds what `import` makes of published prints against their structure as a careful reader sees it: which line of the print
 * begins which lead, and where that lead ends. Words are compared letter by letter, spaces, stops and capitals aside.
 */
import { parse } from 'yaml';
import { type Imported, importText } from '../../../src/commands/import/print.js';

/** Where a lead of the print ends; any one of several may be meant. */
interface PrintedTarget {
  readonly couplet?: string;
  readonly taxa?: readonly string[];
  readonly key?: string;
  readonly none?: boolean;
  readonly any?: boolean;
}

export interface PrintedLead {
  readonly line: number;
  readonly to: readonly PrintedTarget[];
  /** The print itself leaves open where it ends. */
  readonly unsure?: boolean;
}

export interface PrintedCouplet {
  readonly id: string;
  readonly leads: readonly PrintedLead[];
}

/** The structure of a printed text. */
export interface PrintedKeys {
  readonly keys: readonly { readonly couplets: readonly PrintedCouplet[] }[];
}

type Sureness = 'clear' | 'likely' | 'doubtful';

export interface ReadLead {
  readonly couplet: string;
  readonly id: string;
  readonly text: string;
  readonly when: unknown;
  readonly usually: unknown;
  readonly sure: Sureness;
  readonly lines: ReadonlySet<number>;
  readonly to: { readonly couplet?: string; readonly taxa?: readonly string[]; readonly key?: string };
  warned: boolean;
  line?: number;
  /** How many letters of that line, and of the one above with it, are before its words. */
  offset: number;
  above: number;
  match?: { readonly couplet: PrintedCouplet; readonly lead: PrintedLead };
}

/** What became of a text. */
export interface Score {
  /** Leads of the print, and those that end where it says. */
  ends: number;
  right: number;
  /** Wrong, though the couplet is called clear or likely and no finding names the lead. */
  silent: number;
  /** Wrong, and said to be so. */
  flagged: number;
  /** No lead was read there. */
  lost: number;
  /** Couplets by what they are called, and how many of those are right. */
  readonly sure: Record<Sureness, { all: number; right: number }>;
  /** Which ends are wrong, for looking into. */
  readonly wrong: string[];
}

/** Reads a text, and says which lead that was read is which of the print. */
export function readAndMatched(
  text: string,
  printed: PrintedKeys,
): {
  readonly result: Imported;
  readonly leads: readonly ReadLead[];
  readonly couplets: readonly PrintedCouplet[];
  readonly got: ReadonlyMap<PrintedLead, ReadLead>;
} {
  const result = importText(text, { file: 'print.txt' });
  const leads = readLeads(result);
  place(leads, text.split('\n'));
  const couplets = printed.keys.flatMap((k) => k.couplets);
  return { result, leads, couplets, got: matched(leads, couplets) };
}

/** Reads a text and scores it. */
export function scoreOf(text: string, printed: PrintedKeys): Score {
  const { leads, couplets, got } = readAndMatched(text, printed);
  const names = coupletNames(couplets, got);
  const single = new Map(couplets.filter((c) => c.leads.length === 1).map((c) => [c.id, c]));
  const score: Score = {
    ends: 0,
    right: 0,
    silent: 0,
    flagged: 0,
    lost: 0,
    sure: {
      clear: { all: 0, right: 0 },
      likely: { all: 0, right: 0 },
      doubtful: { all: 0, right: 0 },
    },
    wrong: [],
  };
  const wrong = new Set<PrintedLead>();
  for (const couplet of couplets)
    for (const lead of couplet.leads) {
      const read = got.get(lead);
      // A lead alone under another may be joined with it.
      if (lead.unsure === true || (couplet.leads.length === 1 && read === undefined)) continue;
      score.ends++;
      const targets = lead.to.flatMap((t) => [t, ...(single.get(t.couplet ?? '')?.leads[0]?.to ?? [])]);
      if (read !== undefined && targets.some((t) => agrees(t, read, names))) {
        score.right++;
        continue;
      }
      wrong.add(lead);
      const kind =
        read === undefined ? 'lost' : read.sure === 'doubtful' || read.warned ? 'flagged' : 'silent';
      score[kind]++;
      score.wrong.push(`line ${lead.line}, ${kind}: ${JSON.stringify(read?.to ?? {})}`);
    }
  rateCouplets(score, leads, wrong);
  return score;
}

function rateCouplets(score: Score, leads: readonly ReadLead[], wrong: ReadonlySet<PrintedLead>): void {
  const byCouplet = new Map<string, ReadLead[]>();
  for (const lead of leads) byCouplet.set(lead.couplet, [...(byCouplet.get(lead.couplet) ?? []), lead]);
  for (const own of byCouplet.values()) {
    const [first] = own;
    if (first === undefined) continue;
    const printed = first.match?.couplet;
    const right =
      printed !== undefined &&
      own.every((l) => l.match?.couplet === printed) &&
      own.length >= printed.leads.filter((l) => l.unsure !== true).length &&
      printed.leads.every((l) => !wrong.has(l));
    const at = score.sure[first.sure];
    at.all++;
    if (right) at.right++;
  }
}

/** The leads of all keys that were read, with what their comments and the findings say. */
function readLeads({ keys, findings }: Imported): ReadLead[] {
  const leads: ReadLead[] = [];
  keys.forEach(({ text }, n) => {
    const { couplets, taxa } = parse(text, { schema: 'failsafe' }) as {
      couplets: Record<string, Record<string, string | string[]>[]>;
      taxa?: Record<string, { name?: string } | string>;
    };
    const sure = surenessOf(text);
    const nameOf = (id: string) => {
      const taxon = taxa?.[id];
      return typeof taxon === 'object' ? (taxon.name ?? id) : (taxon ?? id);
    };
    for (const [id, list] of Object.entries(couplets))
      list.forEach((lead, k) => {
        const own = sure.get(id);
        const taxon = lead.taxon;
        const [to, key] = [lead.to, lead.key];
        leads.push({
          couplet: `${n}/${id}`,
          id: `${id}${String.fromCharCode(97 + k)}`,
          text: String(lead.lead ?? ''),
          when: lead.when,
          usually: lead.usually,
          sure: own?.sure ?? 'doubtful',
          lines: own?.lines ?? new Set(),
          to: {
            ...(typeof to === 'string' && to !== '' ? { couplet: `${n}/${to}` } : {}),
            ...(taxon === undefined ? {} : { taxa: [taxon].flat().map(nameOf) }),
            ...(key === undefined ? {} : { key: String(key) }),
          },
          warned: false,
          offset: 0,
          above: 0,
        });
      });
  });
  for (const { level, message } of findings) {
    if (level === 'note') continue;
    for (const [, id] of message.matchAll(/lead (\w+)/g))
      for (const lead of leads) if (lead.id === id) lead.warned = true;
    for (const [, id] of message.matchAll(/couplet (\w+)/g))
      for (const lead of leads) if (lead.couplet.endsWith(`/${id}`)) lead.warned = true;
  }
  return leads;
}

/** The comment above each couplet: its lines in the print, and how surely it was read. */
function surenessOf(text: string): Map<string, { sure: Sureness; lines: ReadonlySet<number> }> {
  const found = new Map<string, { sure: Sureness; lines: ReadonlySet<number> }>();
  let last: { sure: Sureness; lines: ReadonlySet<number> } | undefined;
  for (const line of text.slice(text.indexOf('\ncouplets:')).split('\n')) {
    const head = /^ {2}# (?:printed .*, )?lines? ([\d, and-]+): (clear|likely|doubtful)\b/.exec(line);
    if (head !== null) {
      const lines = new Set<number>();
      for (const [, from, to] of (head[1] as string).matchAll(/(\d+)(?:-(\d+))?/g))
        for (let n = Number(from); n <= Number(to ?? from); n++) lines.add(n);
      last = { sure: head[2] as Sureness, lines };
    }
    const id = /^ {2}(['"]?)([\w.-]+)\1:\s*$/.exec(line)?.[2];
    if (id !== undefined && last !== undefined) {
      found.set(id, last);
      last = undefined;
    }
  }
  return found;
}

function plain(text: string): string {
  return (
    text
      .normalize('NFC')
      .toLowerCase()
      .match(/[\p{L}\p{N}]/gu) ?? []
  ).join('');
}

/** The place of the first letter of a line, looked for before another place; that place when the line has no letters. */
function beginOf(lineAt: readonly number[], line: number, before: number): number {
  let start = before;
  let found = -1;
  while (start >= 0 && (lineAt[start] as number) >= line) {
    if (lineAt[start] === line) found = start;
    start--;
  }
  return found < 0 ? before - FAR : found;
}

/** Within so many letters. */
const NEAR = 12;
const FAR = 1000;

/** Finds the line of the print at which each lead begins, by its words. */
function place(leads: readonly ReadLead[], raws: readonly string[]): void {
  let all = '';
  const lineAt: number[] = [];
  raws.forEach((raw, i) => {
    const own = plain(raw);
    all += own;
    for (let k = 0; k < own.length; k++) lineAt.push(i + 1);
  });
  const used = new Set<number>();
  for (const lead of leads) {
    const words = plain(lead.text);
    for (const length of [40, 24, 14, 8, 5, 3]) {
      const begin = words.slice(0, length);
      if (begin.length < Math.min(length, 3)) continue;
      let at = -1;
      for (let p = all.indexOf(begin); p >= 0 && at < 0; p = all.indexOf(begin, p + 1))
        if (!used.has(p) && (lead.lines.size === 0 || lead.lines.has(lineAt[p] as number))) at = p;
      if (at < 0) continue;
      used.add(at);
      lead.line = lineAt[at] as number;
      lead.offset = at - beginOf(lineAt, lead.line, at);
      lead.above = at - beginOf(lineAt, lead.line - 1, at);
      break;
    }
  }
}

function matched(
  leads: readonly ReadLead[],
  couplets: readonly PrintedCouplet[],
): ReadonlyMap<PrintedLead, ReadLead> {
  const starts = new Map(
    couplets.flatMap((couplet) => couplet.leads.map((lead) => [lead.line, { couplet, lead }])),
  );
  const got = new Map<PrintedLead, ReadLead>();
  for (const read of leads)
    for (const near of [0, -1, 1]) {
      const at = read.line === undefined ? undefined : starts.get(read.line + near);
      if (at === undefined || got.has(at.lead)) continue;
      // A lead begins near the beginning of its line; one that was read may begin a line before it.
      if (near < 1 && (near === 0 ? read.offset : read.above) > NEAR) continue;
      got.set(at.lead, read);
      read.match = at;
      break;
    }
  return got;
}

/** Which couplet that was read stands for which of the print: the one that has most of its leads. */
function coupletNames(
  couplets: readonly PrintedCouplet[],
  got: ReadonlyMap<PrintedLead, ReadLead>,
): ReadonlyMap<string, string> {
  const names = new Map<string, string>();
  for (const { id, leads } of couplets) {
    const counts = new Map<string, number>();
    for (const lead of leads) {
      const own = got.get(lead)?.couplet;
      if (own !== undefined) counts.set(own, (counts.get(own) ?? 0) + 1);
    }
    const [most] = [...counts].sort((a, b) => b[1] - a[1]);
    if (most !== undefined) names.set(id, most[0]);
  }
  return names;
}

function agrees(printed: PrintedTarget, { to }: ReadLead, names: ReadonlyMap<string, string>): boolean {
  if (printed.any === true) return true;
  if (printed.none === true) return to.couplet === undefined && to.taxa === undefined && to.key === undefined;
  if (printed.couplet !== undefined)
    return to.couplet !== undefined && names.get(printed.couplet) === to.couplet;
  if (printed.taxa !== undefined)
    return (
      to.taxa?.length === printed.taxa.length &&
      printed.taxa.every((t) => to.taxa?.some((own) => sameName(t, own)) === true)
    );
  const [a, b] = [plainWords(printed.key ?? '').join(''), plainWords(to.key ?? '').join('')];
  return to.key !== undefined && (a.includes(b) || b.includes(a));
}

function plainWords(text: string): string[] {
  const bare = text
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/æ/g, 'ae')
    .replace(/œ/g, 'oe');
  return bare.match(/[a-z0-9ß]+/g) ?? [];
}

/** The same name; a genus may be shortened to a letter. */
function sameName(a: string, b: string): boolean {
  const [left, right] = [plainWords(a), plainWords(b)];
  if (left.join(' ') === right.join(' ')) return left.length > 0;
  const short = left[0]?.length === 1 || right[0]?.length === 1;
  return (
    short &&
    left.length > 1 &&
    left[0]?.[0] === right[0]?.[0] &&
    left.slice(1).join(' ') === right.slice(1).join(' ')
  );
}
