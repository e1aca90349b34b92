/** What a page does with a find, without its views: a test puts this into a browser. */
import { openPageKey, type PageData } from '../../src/page/data.js';
import { OpenFind } from '../../src/page/model/find.js';
import { recordText } from '../../src/page/record-file.js';

/** What a person does with a find, one number a step. */
export interface Steps {
  readonly data: PageData;
  readonly steps: readonly number[];
}

/** The time at the nth look at the clock. */
export function timeAt(n: number): Date {
  return new Date(Date.UTC(2026, 9, 18, 16, 0, n));
}

/** What is done at a step: which of the leads that are not ruled out, can't tell, back, a doubt, or another specimen. */
export type Step =
  | { readonly kind: 'lead'; readonly nth: number }
  | { readonly kind: 'cannot-tell' | 'back' | 'doubt' | 'specimen' };

/** A number as a step. */
export function stepOf(n: number): Step {
  const kind = n % 12;
  if (kind < 8) return { kind: 'lead', nth: n };
  return { kind: (['cannot-tell', 'back', 'doubt', 'specimen'] as const)[kind - 8] ?? 'cannot-tell' };
}

/** Keys a find out as the page does, leaves the page and comes back at every step, and gives the record that the page hands out. */
export function keyedByPage({ data, steps }: Steps): string {
  const key = openPageKey(data);
  let looks = 0;
  const now = () => timeAt(looks++);
  let open = OpenFind.begin(key, data.program, { id: 'x', called: 'TH-1' }, now);
  for (const n of steps) {
    const step = stepOf(n);
    const { ask } = open.keying.standing;
    if (ask === undefined) break;
    const leads = ask.couplet.leads.flatMap((_, i) => (ask.ruledOut[i] === undefined ? [i] : []));
    const at = now();
    if (step.kind === 'lead')
      open.act({ kind: 'answer', lead: leads[step.nth % leads.length] as number }, at);
    else if (step.kind === 'cannot-tell') open.act({ kind: 'answer' }, at);
    else if (step.kind === 'back') open.act({ kind: 'back' }, at);
    else if (step.kind === 'doubt') open.act({ kind: 'doubt', text: `seen in poor light ${n}` }, at);
    else open.act({ kind: 'read-from', from: { specimen: `s${n % 3}`, stage: 'young' } }, at);
    // What is kept goes through the store, which copies it.
    open = OpenFind.resume(key, data.program, structuredClone(open.kept), now);
  }
  open.act({ kind: 'finish' }, now());
  return recordText(open);
}

Object.assign(globalThis, { keyedByPage });
