import { compareFindings, type Finding, type Level } from '../diagnostic/finding.js';
import type { Printed, PrintedLead } from '../printed/key.js';

/** A finding of lint as it is marked in a picture. */
export interface FindingMark {
  /** `E1`, `W2`, `N3`: stands at the place and before the sentence in the list. */
  readonly sign: string;
  readonly level: Level;
  readonly rule: string;
  readonly message: string;
  /** What it is about: `couplet 7`, `7b`, the name of a taxon or character; empty for the whole file. */
  readonly about: string;
}

/** Findings and where in a picture they are marked. */
export interface Marks {
  readonly all: readonly FindingMark[];
  /** By couplet, then by lead; a couplet is known by the id of its key and its own, with a slash between. */
  readonly atCouplet: ReadonlyMap<string, readonly FindingMark[]>;
  readonly atLead: ReadonlyMap<PrintedLead, readonly FindingMark[]>;
}

/** No marks. */
export const NO_MARKS: Marks = { all: [], atCouplet: new Map(), atLead: new Map() };

/** Finds the places in a picture for what lint found in the keys that are drawn. */
export function marksFor(findings: readonly Finding[], { keys }: Printed): Marks {
  const atCouplet = new Map<string, FindingMark[]>();
  const atLead = new Map<PrintedLead, FindingMark[]>();
  const all: FindingMark[] = [];
  const byFile = new Map(keys.map((k) => [k.key.file, k]));
  const counts = { error: 0, warning: 0, note: 0 };
  for (const { level, rule, message, place } of [...findings].sort(compareFindings)) {
    const key = byFile.get(place.file);
    if (key === undefined) continue;
    const [part, id, index] = place.path;
    const couplet = part === 'couplets' ? key.byId.get(String(id)) : undefined;
    const lead = couplet?.leads[Number(index ?? -1)];
    const taxon = part === 'taxa' ? key.key.taxa.get(String(id)) : undefined;
    const about =
      lead?.label ??
      (couplet === undefined
        ? (taxon?.name ?? (id === undefined ? '' : String(id)))
        : `couplet ${couplet.number}`);
    const sign = `${level[0]?.toUpperCase()}${++counts[level]}`;
    const mark = {
      sign,
      level,
      rule,
      message,
      about: keys.length > 1 ? `${key.key.id} ${about}`.trim() : about,
    };
    all.push(mark);
    if (lead !== undefined) put(atLead, lead, mark);
    else if (couplet !== undefined) put(atCouplet, `${key.key.id}/${couplet.id}`, mark);
    else if (taxon !== undefined)
      for (const l of key.couplets.flatMap((c) => c.leads))
        if (l.end.kind === 'taxa' && l.end.taxa.some((t) => t.id === taxon.id)) put(atLead, l, mark);
  }
  return { all, atCouplet, atLead };
}

function put<K>(map: Map<K, FindingMark[]>, key: K, mark: FindingMark): void {
  const known = map.get(key);
  if (known === undefined) map.set(key, [mark]);
  else known.push(mark);
}
