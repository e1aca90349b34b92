import type { CompiledCouplet, CompiledKey } from '../engine/compile.js';
import { evaluate, evaluateLeads, FAILS, FITS, OPEN } from '../engine/evaluate.js';
import type { Evidence } from '../engine/evidence.js';
import { addImplied, dependentsOf } from '../engine/implied.js';
import type { Visit } from '../engine/walk.js';
import type { NumberSet } from '../traits/number-set.js';
import { statesApart } from '../traits/state-set.js';
import type { Value } from '../traits/value.js';
import { descriptionOf } from './description.js';
import { askedAt, type PossibleStates } from './possible-states.js';

/**
 * By character and taxon, which of the possible states the taxon can show (1 or 0): by its description, and
 * where that is silent, by which of them still lead to it.
 */
export function showableStates(
  key: CompiledKey,
  evidence: Evidence,
  visits: readonly Visit[],
  among: readonly number[],
  classes: readonly PossibleStates[],
): Uint8Array[][] {
  const described = classes.map((own) => among.map((taxon) => byDescription(key, taxon, own)));
  const silent = classes.filter((_, i) => described[i]?.includes(undefined));
  const led = byLeads(key, evidence, visits, silent);
  return classes.map((own, i) =>
    among.map(
      (taxon, t) => described[i]?.[t] ?? led(own, taxon) ?? new Uint8Array(own.values.length).fill(1),
    ),
  );
}

/** What a description says that a taxon can show; undefined when it is silent. */
function byDescription(key: CompiledKey, taxon: number, own: PossibleStates): Uint8Array | undefined {
  const { values } = descriptionOf(key, taxon);
  const described = values[own.index];
  const gate = key.gates[own.index];
  const structure = gate === undefined ? FITS : evaluate(gate, values, key.gates);
  if (described === undefined && structure !== FAILS) return undefined;
  const none = described === undefined || described.kind === 'inapplicable' || structure === FAILS;
  const mayLack = none || described.partly || structure !== FITS;
  const shown = Uint8Array.from(own.values, (value) =>
    value.kind === 'inapplicable' ? Number(mayLack) : Number(!none && sharesValue(described, value)),
  );
  return shown.includes(1) ? shown : undefined;
}

function sharesValue(described: Value, value: Value): boolean {
  if (described.kind === 'states' && value.kind === 'states') return !statesApart(described.set, value.set);
  if (described.kind === 'numbers' && value.kind === 'numbers') return shareNumber(described.set, value.set);
  return false;
}

/** Whether two sets share a number. Both are one interval as a rule. */
function shareNumber(a: NumberSet, b: NumberSet): boolean {
  for (const x of a.intervals) {
    for (const y of b.intervals) {
      const starts = x.low < y.high || (x.low === y.high && !x.lowOpen && !y.highOpen);
      const ends = y.low < x.high || (y.low === x.high && !y.lowOpen && !x.highOpen);
      if (starts && ends) return true;
    }
  }
  return false;
}

/**
 * Follows every possible answer for every silent character at once: for each couplet on a path, the answers under
 * which it is
 * still reached. One pass over the leads, whatever the number of paths.
 */
function byLeads(
  key: CompiledKey,
  evidence: Evidence,
  visits: readonly Visit[],
  silent: readonly PossibleStates[],
): (own: PossibleStates, taxon: number) => Uint8Array | undefined {
  const offsets = new Map<number, number>();
  let width = 0;
  for (const own of silent) {
    offsets.set(own.index, width);
    width += own.values.length;
  }
  const byIndex = new Map(silent.map((own) => [own.index, own]));
  const arrived = new Map<number, Uint8Array>([[key.start, new Uint8Array(width).fill(1)]]);
  const ended = new Map<number, Uint8Array>();
  for (const { couplet, truths } of width === 0 ? [] : visits) {
    const here = arrived.get(couplet.index);
    if (here === undefined) continue;
    const refused = couplet.leads.map(() => new Set<number>());
    if (truths.includes(OPEN)) {
      for (const own of decidingAt(key, couplet, byIndex)) {
        const c = own.index;
        own.values.forEach((value, j) => {
          const known = [...evidence.known];
          known[c] = value;
          addImplied(key, known);
          const then = evaluateLeads(couplet, known, key.gates, evidence.chosen.get(couplet.index));
          for (let l = 0; l < then.length; l++)
            if (then[l] === FAILS) refused[l]?.add((offsets.get(c) as number) + j);
        });
      }
    }
    couplet.leads.forEach((lead, l) => {
      if (truths[l] === FAILS) return;
      const targets =
        lead.next >= 0 ? [[arrived, lead.next] as const] : lead.taxa.map((t) => [ended, t] as const);
      for (const [where, number] of targets) {
        const there = where.get(number) ?? new Uint8Array(width);
        for (let b = 0; b < width; b++) if (here[b] === 1 && refused[l]?.has(b) !== true) there[b] = 1;
        where.set(number, there);
      }
    });
  }
  return (own, taxon) => {
    const offset = offsets.get(own.index);
    const all = ended.get(taxon);
    if (offset === undefined || all === undefined) return undefined;
    return all.slice(offset, offset + own.values.length);
  };
}

/** The characters that may decide a couplet: those that it asks, and those that cannot be seen without one of them. */
function decidingAt(
  key: CompiledKey,
  couplet: CompiledCouplet,
  silent: ReadonlyMap<number, PossibleStates>,
): PossibleStates[] {
  const asked = askedAt(key, couplet);
  const implying = dependentsOf(key).flatMap(({ character, facts }) =>
    facts.some((f) => asked.includes(f.character)) ? [character] : [],
  );
  return [...new Set([...asked, ...implying])].flatMap((c) => silent.get(c) ?? []);
}
