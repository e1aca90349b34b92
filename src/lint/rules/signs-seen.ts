import type { Path } from '../../diagnostic/finding.js';
import { saidTexts } from '../../key/said-texts.js';
import { hiddenIn, looksLike, quoted } from '../../text/harmless.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const signsSeen = rule({
  id: 'signs-seen',
  group: 'terms and names',
  level: 'warning',
  what: 'Names and words contain no invisible signs, and no two names differ only by such signs.',
  why: 'Two taxa would look like one; a name is not found in lists and records; words can be hidden or reversed.',
  source:
    'Unicode Standard, Default_Ignorable_Code_Point, and Unicode Technical Report 36, Unicode Security Considerations (single signs: from memory)',
  fix: 'Remove the sign: retype the word instead of pasting it. Joiners in Indic and Persian words, and the signs that make an emoji, are allowed.',
  good: example(`
couplets:
  1:
    - {lead: Cap red, taxon: aa}
    - {lead: Cap brown, taxon: bb}
taxa:
  aa: {name: Aa aa, common: [نیم‌سرخ]}
  bb: {name: Bb bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: "Cap \\u202ered", taxon: aa} #! signs-seen
    - {lead: Cap brown, taxon: bb}
taxa:
  aa: {name: Aa aa}
  bb: {name: "Aa a\\u00ada"} #! signs-seen
`),
  check({ key, report }) {
    const names = new Map<string, { readonly text: string; readonly path: Path }>();
    for (const { path, text, kind } of saidTexts(key.yaml.data)) {
      const side = kind === 'text' || path.length === 1 ? 'value' : 'name';
      const isName = (path[0] === 'taxa' && path[2] === 'name') || kind !== 'text';
      const mark = `${isName && kind !== 'text' ? path.slice(0, -1).join('\0') : 'name'}\0${looksLike(text)}`;
      const first = isName ? names.get(mark) : undefined;
      if (isName && first === undefined) names.set(mark, { text, path });
      if (first !== undefined && first.text !== text) {
        report(path, {
          side,
          level: 'error',
          message: `${quoted(text)} looks just like ${quoted(first.text)}: they differ only by invisible signs`,
          found: text,
          expected: 'another name',
          related: [{ message: 'the other one', place: key.yaml.place(first.path, side) }],
        });
        continue;
      }
      const sign = hiddenIn(text);
      if (sign === undefined) continue;
      report(path, {
        side,
        message: `${quoted(text)} contains an invisible sign, ${sign}`,
        found: sign,
        expected: 'visible signs',
      });
    }
  },
});
