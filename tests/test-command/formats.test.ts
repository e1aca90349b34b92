/**
 * The forms for build servers, read by general parsers: TAP by tap-parser, in strict mode, against version 14 of the
 * specification (testanything.org/tap-version-14-specification.html); JUnit by saxes, as XML 1.0.
 */
import { SaxesParser } from 'saxes';
import { Parser, type Result } from 'tap-parser';
import { describe, expect, it } from 'vitest';
import { tested } from './run.js';

const HEAD = 'id,expect,print,ring,texture,width\n';
const ROWS = [
  'A,funebris,rust,present,membranous,',
  '"B # SKIP me \\ <&""]]>",funebris,rust,absent,-,',
  'C,mutata,rust,,,',
  'D,,dark,,,',
  'E,atra,drak,,,',
  '"F\u0001\uffff",magna,white,,,30',
].join('\n');

function tap(text: string) {
  const asserts: Result[] = [];
  const comments: string[] = [];
  const problems: unknown[] = [];
  const parser = new Parser({ strict: true });
  parser.on('assert', (a: Result) => asserts.push(a));
  parser.on('comment', (c: string) => comments.push(c));
  // In strict mode everything that is no TAP is a failure of its own.
  parser.on('extra', (e: unknown) => problems.push(e));
  let complete: { count?: number; bailout?: unknown; failures?: { tapError?: string | null }[] } = {};
  parser.on('complete', (c: typeof complete) => {
    complete = c;
  });
  parser.end(text);
  return { asserts, comments, problems, complete };
}

interface Element {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  text: string;
}

function xml(text: string): Element[] {
  const elements: Element[] = [];
  const open: Element[] = [];
  const parser = new SaxesParser();
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', ({ name, attributes }) => {
    const element = { name, attributes, text: '' };
    elements.push(element);
    open.push(element);
  });
  parser.on('text', (t) => {
    const last = open.at(-1);
    if (last !== undefined) last.text += t;
  });
  parser.on('closetag', () => {
    open.pop();
  });
  parser.write(text).close();
  return elements;
}

describe('TAP', () => {
  it('is of version 14: a point a row, in the order of the table, and the plan', async () => {
    const { code, out } = await tested(`${HEAD}${ROWS}\n`, { format: 'tap', keepGoing: true });
    expect([code, out.split('\n')[0]]).toEqual([1, 'TAP version 14']);
    const { asserts, comments, problems, complete } = tap(out);
    expect(problems).toEqual([]);
    expect(complete.failures?.filter((f) => f.tapError)).toEqual([]);
    expect(asserts.map((a) => [a.id, a.ok, a.skip !== false])).toEqual([
      [1, true, false],
      [2, false, false],
      [3, true, false],
      [4, true, true],
      [5, false, false],
      [6, false, false],
    ]);
    expect(asserts[1]?.name).toMatch(/^B # SKIP me \\ <&"\]\]>: wrong; recorded as deadly/);
    expect(asserts[1]?.diag).toMatchObject({
      result: 'wrong',
      line: 3,
      left: { couplet: '2', lead: '2a', slips: 1 },
    });
    expect(comments.join('')).toContain('# couplet 2: 1 x Galera funebris came out as Galera mutata');
    expect(comments.join('')).toContain('leads that none took at the other couplets: 1c');
  });

  it('gives up in its own words when a table cannot be read, and plans nothing for an empty one', async () => {
    const { code, out } = await tested(`${HEAD}A,atra,dark,,,\nB,atra,drak,,,\n`, { format: 'tap' });
    const { asserts, complete } = tap(out);
    expect([code, asserts.length, complete.bailout]).toEqual([2, 1, '1 error in the tables']);
    const empty = await tested(HEAD, { format: 'tap' });
    expect(empty.out).toMatch(/^TAP version 14\n1\.\.0 # SKIP no collections\n/);
    expect(tap(empty.out).problems).toEqual([]);
  });
});

describe('JUnit', () => {
  it('is well-formed XML with the right counts', async () => {
    const { code, out } = await tested(`${HEAD}${ROWS}\n`, { format: 'junit', keepGoing: true });
    expect(code).toBe(1);
    const elements = xml(out);
    const of = (name: string) => elements.filter((e) => e.name === name);
    const counts = { tests: '6', failures: '2', errors: '1', skipped: '1' };
    expect(of('testsuites')[0]?.attributes).toMatchObject(counts);
    expect(of('testsuite')[0]?.attributes).toMatchObject({ ...counts, name: 'tufts 1.0.0' });
    expect(of('testcase').map((e) => e.attributes.name)).toEqual([
      'A',
      'B # SKIP me \\ <&"]]>',
      'C',
      'D',
      'E',
      'F\\u{1}\ufffd',
    ]);
    expect(of('failure').map((e) => e.attributes.type)).toEqual(['wrong', 'nothing']);
    expect(of('failure')[0]?.text).toContain('left the way to Galera funebris at couplet 2: 2a is ruled out');
    expect(of('error')[0]?.text).toContain('"drak" is not a state of print; did you mean dark?');
    expect(of('skipped')).toHaveLength(1);
    expect(of('system-out').at(-1)?.text).toContain('leads that none took at the other couplets: 1c');
  });

  it('of no rows is well-formed, too', async () => {
    const { code, out } = await tested(HEAD, { format: 'junit' });
    expect([code, xml(out)[0]?.attributes.tests]).toEqual([0, '0']);
  });

  it('counts among several as a failure under --strict', async () => {
    const { out } = await tested(`${HEAD}C,mutata,rust,,,\n`, { format: 'junit', strict: true });
    expect(xml(out).filter((e) => e.name === 'failure')[0]?.attributes.type).toBe('among');
  });
});
