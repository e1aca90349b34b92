import { describe, expect, it } from 'vitest';
import { readMeta } from '../../src/tables/dwc/meta.js';

describe('the description of an archive', () => {
  it('is left as soon as it is nested deeper than any description, however deep it goes on', () => {
    const text = `<archive xmlns="http://rs.tdwg.org/dwc/text/">${'<x>'.repeat(40_000)}`;
    const { meta, findings } = readMeta(text, 'finds.zip/meta.xml');
    expect(meta).toBeUndefined();
    expect(findings.map((f) => f.rule)).toEqual(['xml-syntax']);
    expect(findings[0]?.message).toMatch(/nested more than 20 deep at "x"/);
    // What follows the twentieth element was not looked at.
    expect(findings[0]?.place.start.offset).toBeLessThan(200);
  });
});
