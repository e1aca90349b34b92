import type { Path } from '../../diagnostic/finding.js';
import { namesOf } from '../../key/document.js';
import { asMap } from '../../key/fields.js';
import type { Key } from '../../key/key.js';
import { saidTexts } from '../../key/said-texts.js';
import { STAND_IN } from '../../key/stand-ins.js';
import { quoted } from '../../text/harmless.js';
import { commentsOf } from '../comments.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const standInsReplaced = rule({
  id: 'stand-ins-replaced',
  group: 'scope',
  level: 'warning',
  what: 'What "keywright new" or "draft" put into a key in place of words of its author is replaced.',
  why: 'A key for region ZZ that ends at Exemplum primum says nothing about any find, and it is neither bundled nor made a page until this is changed.',
  source: 'derivable (the words are those that the program itself writes)',
  fix: 'Write your own words, and remove the comment STAND-IN. What is not known yet can be left out.',
  good: example(`
scope: {group: caps, regions: [GB-CMA]}
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
`),
  bad: example(`
licence: CC-BY-4.0 # STAND-IN: the terms on which others may pass it on #! stand-ins-replaced
scope:
  group: caps # STAND-IN: what the key is for #! stand-ins-replaced
  regions: [ZZ] #! stand-ins-replaced
couplets:
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
taxa:
  aa: {name: Exemplum primum} #! stand-ins-replaced
  # STAND-IN
  bb: {name: Bb bb} #! stand-ins-replaced
`),
  check({ key, report }) {
    const marked = markedLines(key);
    for (const { path, text, kind } of saidTexts(key.yaml.data)) {
      const side = kind === 'text' || path.length === 1 ? 'value' : 'name';
      const { line } = key.yaml.place(path, side).start;
      const isOne = isStandIn(path, text);
      if (!isOne && !marked.has(line)) continue;
      marked.delete(line);
      report(path, {
        side,
        message: isOne
          ? `${quoted(text)} still stands in for words of your own`
          : `${quoted(text)} is marked ${STAND_IN.mark}: replace it, or remove the mark`,
        found: text,
        expected: 'words of your own',
      });
    }
    // What is not text for people, such as a licence, has only its mark.
    for (const name of namesOf(asMap(key.yaml.data))) {
      if (!marked.has(key.yaml.place([name], 'name').start.line)) continue;
      report([name], {
        side: 'name',
        message: `${name} is marked ${STAND_IN.mark}: replace it, or remove the mark`,
        found: name,
        expected: 'words of your own',
      });
    }
  },
});

function isStandIn(path: Path, text: string): boolean {
  const [section, second, third] = path;
  if (section === 'authors') return text === STAND_IN.author;
  if (section === 'taxa') return third === 'name' && STAND_IN.names.some((n) => n === text);
  if (section !== 'scope') return false;
  return (
    (second === 'group' && (text === STAND_IN.group || text === STAND_IN.groupOfDraft)) ||
    (second === 'regions' && text === STAND_IN.region)
  );
}

/** The lines that a mark is beside, or above. */
function markedLines(key: Key): Set<number> {
  const { lines } = key.yaml;
  if (!lines.text.includes(STAND_IN.mark)) return new Set();
  const own = new RegExp(`^#+\\s*${STAND_IN.mark}\\b`);
  return new Set(
    commentsOf(lines)
      .filter((c) => own.test(c.text))
      .map((c) => (c.alone ? c.start.line + 1 : c.start.line)),
  );
}
