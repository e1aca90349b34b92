/**
 * What the engine should say, worked out the slow and obvious way: every path walked on its own, every condition
 * judged from the author's data. Shares no code with the engine.
 */
import { characters, type KeyData, type LeadData, type When } from './random-keys.js';

export type Written = Record<string, string>;
type Truth = 'fits' | 'open' | 'fails';
type NumberTest = (n: number) => boolean;

const swap: Record<Truth, Truth> = { fits: 'fails', open: 'open', fails: 'fits' };
const order: Truth[] = ['fails', 'open', 'fits'];
const least = (truths: Truth[]) =>
  truths.reduce((a, b) => (order.indexOf(a) < order.indexOf(b) ? a : b), 'fits');
const most = (truths: Truth[]) =>
  truths.reduce((a, b) => (order.indexOf(a) > order.indexOf(b) ? a : b), 'fails');

// All numbers in the random keys are multiples of 0.25, so a grid of eighths meets every interval and every gap.
const GRID = Array.from({ length: 8 * 20 + 1 }, (_, i) => i / 8);

function numberTest(text: string): NumberTest {
  const parts = text.split(' or ');
  if (parts.length > 1) return (n) => parts.some((part) => numberTest(part)(n));
  const [first = '', second = ''] = text.split(' ');
  if (first === '<') return (n) => n < Number(second);
  if (first === '>=') return (n) => n >= Number(second);
  const [low = '', high = low] = text.split('-');
  return (n) => n >= Number(low) && n <= Number(high);
}

function judgeOne(name: string, allowed: unknown, written: Written): Truth {
  if (name === 'texture' && judgeOne('ring', 'present', written) === 'fails') return 'fails';
  const whole = written[name] ?? '';
  if (whole === '' || whole === '?') return 'open';
  if (whole === '-') return 'fails';
  // Wanting on some specimens: what the others show does not fit for all.
  const text = whole.replace(' | -', '');
  const partly = text !== whole;
  const negated = typeof allowed === 'object' && allowed !== null && 'not' in allowed;
  const inner = negated ? (allowed as { not: unknown }).not : allowed;
  let possible: unknown[];
  let inside: (x: unknown) => boolean;
  if (name === 'width' || name === 'spots') {
    const shown = numberTest(text);
    possible = GRID.filter((n) => shown(n) && (name === 'width' || Number.isInteger(n)));
    const test = numberTest(String(inner));
    inside = (n) => test(n as number);
  } else {
    possible = text.split(' | ');
    inside = (state) => (inner as string[]).includes(state as string) || inner === state;
  }
  const hits = possible.filter((x) => inside(x) !== negated).length;
  return hits === possible.length ? (partly ? 'open' : 'fits') : hits === 0 ? 'fails' : 'open';
}

export function judgeWhen(when: When, written: Written): Truth {
  return least(
    Object.entries(when).map(([name, value]) => {
      if (name === 'any') return most((value as When[]).map((w) => judgeWhen(w, written)));
      if (name === 'all') return least((value as When[]).map((w) => judgeWhen(w, written)));
      if (name === 'not') return swap[judgeWhen(value as When, written)];
      return judgeOne(name, value, written);
    }),
  );
}

function judgeLead(leads: readonly LeadData[], index: number, written: Written): Truth {
  const lead = leads[index] as LeadData;
  if (!lead.otherwise) return lead.when === undefined ? 'open' : judgeWhen(lead.when, written);
  const others = leads
    .filter((l) => l !== lead)
    .map((l) => (l.when === undefined ? 'open' : judgeWhen(l.when, written)));
  return others.includes('fits') ? 'fails' : others.every((t) => t === 'fails') ? 'fits' : 'open';
}

/** The fewest characters to forget so that the lead is no longer ruled out; one at least when it is. */
function slips(leads: readonly LeadData[], index: number, written: Written): number {
  if (judgeLead(leads, index, written) !== 'fails') return 0;
  const names = Object.keys(characters);
  let fewest = Number.POSITIVE_INFINITY;
  for (let bits = 1; bits < 1 << names.length; bits++) {
    const forgotten = names.filter((_, i) => bits & (1 << i));
    if (forgotten.length >= fewest) continue;
    const rest = { ...written };
    for (const name of forgotten) delete rest[name];
    // What is recorded as not applying is forgotten with what it depends on.
    if (forgotten.includes('ring') && rest.texture === '-') delete rest.texture;
    if (judgeLead(leads, index, rest) !== 'fails') fewest = forgotten.length;
  }
  return fewest;
}

export interface Reached {
  slips: number;
  firm: boolean;
}

/** What is seen of a ring says that there is one, unless it was seen that there is none. */
export function closed(written: Written): Written {
  const { ring = '', texture = '' } = written;
  if (['', '?', '-'].includes(texture) || texture.includes('-')) return written;
  const mayBe = ['', '?'].includes(ring) || ring.split(' | ').includes('present');
  return mayBe && !ring.split(' | ').includes('-') ? { ...written, ring: 'present' } : written;
}

/** Every path of the key, one at a time: the fewest slips to each taxon, and whether some slipless path fits throughout. */
export function walkEveryPath(key: KeyData, asWritten: Written): Map<string, Reached> {
  const written = closed(asWritten);
  const reached = new Map<string, Reached>();
  const walk = (couplet: string, cost: number, firm: boolean) => {
    const leads = key.couplets[couplet] as LeadData[];
    leads.forEach((lead, i) => {
      const total = cost + slips(leads, i, written);
      const fits = firm && judgeLead(leads, i, written) === 'fits';
      if (lead.to !== undefined) {
        walk(lead.to, total, fits);
        return;
      }
      for (const taxon of [lead.taxon ?? []].flat()) {
        const known = reached.get(taxon);
        reached.set(taxon, {
          slips: Math.min(total, known?.slips ?? total),
          firm: (known?.firm ?? false) || (total === 0 && fits),
        });
      }
    });
  };
  walk('1', 0, true);
  return reached;
}
