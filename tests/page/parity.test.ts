/** The page and the command line come to the same: random keys and finds, in a browser and here. */
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { browserScript } from '../../.config/page.mjs';
import { contentsOf } from '../../src/commands/page/contents.js';
import { compile } from '../../src/engine/compile.js';
import { determine } from '../../src/engine/determine.js';
import { emptyShelf } from '../../src/key/load.js';
import type { PageData } from '../../src/page/data.js';
import { evidenceOfRecord } from '../../src/record/evidence.js';
import { recordFind } from '../../src/record/find.js';
import { keyMark } from '../../src/record/key-mark.js';
import { Keying } from '../../src/record/keying.js';
import { readRecord } from '../../src/record/read.js';
import { newFrame, writeRecord } from '../../src/record/write.js';
import { chromiumPath, newDevice, startBrowser } from '../support/browser.js';
import { find } from '../support/open.js';
import { keyData } from '../support/random-keys.js';
import { type Steps, stepOf, timeAt } from './keyed-in-browser.js';

const PROGRAM = 'keywright 0.0.0-test';
const MANY = 1000;
const AT_ONCE = 100;

type Browser = Awaited<ReturnType<typeof startBrowser>>;
let browser: Browser | undefined;
beforeAll(async () => {
  if (chromiumPath !== undefined) browser = await startBrowser();
});
afterAll(() => browser?.close());

/** The key of a text, as the command line opens it, and as a page holds it. */
function opened(text: string) {
  const contents = contentsOf(text, 'random.key.yaml', emptyShelf);
  if (contents === undefined) throw new Error('the key is not sound');
  const { chain, files } = contents;
  const data: PageData = {
    program: PROGRAM,
    made: '2026-10-18',
    mark: keyMark(chain),
    main: 'random.key.yaml',
    files,
    figures: {},
  };
  return { key: compile(chain), data };
}

/** The record that `run --record` writes for the same steps. */
function keyedHere({ key, steps }: { key: ReturnType<typeof compile>; steps: readonly number[] }) {
  const now = () => timeAt(0);
  const start = { started: now().toISOString(), find: recordFind(find([], { id: 'TH-1' }), key.chain) };
  const keying = new Keying(key, find([], { id: 'TH-1' }), start, PROGRAM, now);
  for (const n of steps) {
    const step = stepOf(n);
    const { ask } = keying.standing;
    if (ask === undefined) break;
    const leads = ask.couplet.leads.flatMap((_, i) => (ask.ruledOut[i] === undefined ? [i] : []));
    if (step.kind === 'lead') keying.answer(leads[step.nth % leads.length] as number);
    else if (step.kind === 'cannot-tell') keying.answer(undefined);
    else if (step.kind === 'back') keying.back();
    else if (step.kind === 'doubt') keying.setDoubt(`seen in poor light ${n}`);
    else keying.readFromNow({ specimen: `s${n % 3}`, stage: 'young' });
  }
  const found = keying.finish();
  return { found, text: writeRecord(newFrame(keying.record().collection), keying.record()) };
}

/** Without the times: the page looks at its clock more often. */
const withoutTimes = (text: string) => text.replace(/2026-10-18T16:\d\d:\d\d\.000Z/g, 'T');

describe.skipIf(chromiumPath === undefined)('the page in a browser', () => {
  it(`comes to the same record, candidates and verdict as the command line, for ${MANY} random keys and finds`, async () => {
    const { outputFiles } = await browserScript('tests/page/keyed-in-browser.ts');
    const device = await newDevice(browser as Browser);
    const page = await device.newPage();
    await page.evaluate(outputFiles[0]?.text ?? '');
    const drawn = fc.sample(
      fc.tuple(
        fc.oneof(keyData(12, 'reticulate'), keyData(12, 'tree')),
        fc.array(fc.nat(1000), { maxLength: 12 }),
      ),
      { numRuns: MANY, seed: 20261018 },
    );
    const seen = { verdicts: new Set<string>(), answers: 0, many: 0, further: 0 };
    for (let at = 0; at < drawn.length; at += AT_ONCE) {
      const some = drawn
        .slice(at, at + AT_ONCE)
        .map(([data, steps]) => ({ ...opened(JSON.stringify(data)), steps }));
      const given = some.map(({ data, steps }): Steps => ({ data, steps }));
      const texts = await page.evaluate((all) => {
        const { keyedByPage } = globalThis as unknown as { keyedByPage(one: Steps): string };
        return (JSON.parse(all) as Steps[]).map((one) => keyedByPage(one));
      }, JSON.stringify(given));
      some.forEach(({ key, steps }, i) => {
        const text = texts[i] ?? '';
        const here = keyedHere({ key, steps });
        expect(withoutTimes(text)).toBe(withoutTimes(here.text));
        const read = readRecord(text, 'record.yaml');
        if (!read.ok) throw new Error(read.problem);
        const { result, answers = [] } = read.record.determinations[0] ?? {};
        // The engine of `identify`, from what the record of the page holds.
        const again = determine(key, evidenceOfRecord(read.record, key.chain).collection);
        expect(again.verdict.word).toBe(result?.verdict.word);
        const ids = (taxa: readonly { readonly taxon: { readonly id: string } }[]) =>
          taxa.map((c) => c.taxon.id).sort();
        expect(ids(again.candidates)).toEqual(result?.candidates.map((c) => c.taxon).sort());
        seen.verdicts.add(`${result?.verdict.word} ${result?.verdict.worst}`);
        seen.answers += answers.length;
        seen.many += (result?.candidates.length ?? 0) > 1 ? 1 : 0;
        seen.further += result?.further === undefined ? 0 : 1;
      });
    }
    // The draw has something of everything.
    expect(seen.verdicts.size).toBeGreaterThan(4);
    expect(seen.answers).toBeGreaterThan(MANY);
    expect(seen.many).toBeGreaterThan(MANY / 10);
    expect(seen.further).toBeGreaterThan(MANY / 100);
    await device.close();
  });
});
