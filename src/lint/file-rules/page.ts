import { type Rule, rule } from '../rule.js';

/** A small key that nothing is wrong with; pages about the file show it and say what of it is broken. */
export const SOUND = `keywright: 1
id: caps
title: Caps
version: 1.0.0
characters:
  ring: {name: ring, states: [present, absent]}
  width: {name: width of the cap, kind: measure, unit: cm}
couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, to: 2}
  2:
    - {lead: Cap under 4 cm wide, when: {width: < 4}, taxon: bb}
    - {lead: Cap 4 cm wide or more, when: {width: ">= 4"}, taxon: cc}
taxa:
  aa: {name: Aa aa}
  bb: {name: Bb bb}
  cc: {name: Cc cc}
`;

/** What a page of this kind says for itself. */
interface FilePage {
  readonly id: string;
  readonly what: string;
  readonly why: string;
  readonly mend: string;
  /** The lines of the sound key that are replaced: each by one or more. */
  readonly broken: Readonly<Record<string, string>>;
}

/** The page of a rule that is kept while a key is read. */
export function page({ id, what, why, mend, broken }: FilePage): Rule {
  let bad = SOUND;
  for (const [line, other] of Object.entries(broken)) bad = bad.replace(line, other);
  return rule({
    id,
    group: 'the file',
    level: 'error',
    what,
    why,
    source: 'common practice, no source (the file format of this program)',
    mend,
    good: SOUND,
    bad,
  });
}
