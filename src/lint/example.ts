/** An example on the page of a rule, good or bad. */
export interface Example {
  /** What the page shows: the sections of a key that matter, or a sentence where no small key can show it. */
  readonly part: string;
  /** The whole key, which can be run; undefined when one small key cannot show it. */
  readonly key: string | undefined;
}

// A sound key, in its sections; what an example does not state is taken from here.
const HEAD = `keywright: 1
id: caps
title: Caps
version: 1.0.0
`;
const CHARACTERS = [
  '  ring: {name: ring, states: [present, absent]}\n',
  '  width: {name: width of the cap, kind: measure, unit: cm}\n',
];
const COUPLETS = `couplets:
  1:
    - {lead: Ring present, when: {ring: present}, taxon: aa}
    - {lead: Ring absent, when: {ring: absent}, to: 2}
  2:
    - {lead: Cap under 4 cm wide, when: {width: < 4}, taxon: bb}
    - {lead: Cap 4 cm wide or more, when: {width: ">= 4"}, taxon: cc}
`;

/**
 * An example that states only the sections of a key that matter, as they stand in a file: `couplets:` and what is below
 * it, or `title: Caps`. The rest is that of a sound key: its head and its couplets, those of its characters (`ring`, with
 * the states present and absent, and `width` in cm) that the couplets ask, and a taxon `Aa aa` for every `taxon: aa`.
 */
export function example(text: string): Example {
  const part = `${text.trim()}\n`;
  const key = new Map([...sectionsOf(HEAD), ...sectionsOf(part)]);
  const couplets = key.get('couplets') ?? COUPLETS;
  const characters = key.get('characters') ?? charactersFor(couplets);
  const taxa = key.get('taxa') ?? taxaFor(couplets);
  for (const name of ['characters', 'couplets', 'taxa']) key.delete(name);
  return { part, key: [...key.values(), characters, couplets, taxa].join('') };
}

/** What no small key can show, said in a sentence. */
export function toldOnly(sentence: string): Example {
  return { part: `# ${sentence}\n`, key: undefined };
}

/** The whole key of an example, or the sentence that stands for it. */
export function wholeText({ key, part }: Example): string {
  return key ?? part;
}

/** The sections of a key by name, each with its lines. */
function sectionsOf(text: string): Map<string, string> {
  const sections = text.split(/^(?=[a-z])/m).filter((section) => section !== '');
  return new Map(sections.map((section) => [section.slice(0, section.indexOf(':')), section]));
}

function charactersFor(couplets: string): string {
  const asked = CHARACTERS.filter((line) => couplets.includes(`{${line.trimStart().split(':', 1)[0]}: `));
  return asked.length === 0 ? '' : `characters:\n${asked.join('')}`;
}

function taxaFor(couplets: string): string {
  const ids = new Set([...couplets.matchAll(/\btaxon: ([a-z]+)/g)].map(([, id]) => id as string));
  const lines = [...ids].sort().map((id) => `  ${id}: {name: ${id[0]?.toUpperCase()}${id.slice(1)} ${id}}\n`);
  return `taxa:\n${lines.join('')}`;
}
