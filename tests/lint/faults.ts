/** Single mistakes, sown into a sound key line by line. */

/** One mistake in a key: what it is, and the text with it. */
export interface Sown {
  readonly fault: string;
  /** The line, from 1, that was changed. */
  readonly line: number;
  readonly text: string;
}

interface Fault {
  readonly fault: string;
  /** The part of the file whose lines are tried. */
  readonly part: string;
  /** The line with the mistake, or what stands for it; undefined when it cannot be made there. */
  readonly make: (line: string, all: readonly string[]) => string | undefined;
}

const change = (pattern: RegExp, by: string) => (line: string) =>
  pattern.test(line) ? line.replace(pattern, by) : undefined;

const FAULTS: readonly Fault[] = [
  { fault: 'a couplet that is not there', part: 'couplets', make: change(/^( {6}to:) .*/, '$1 222') },
  {
    fault: 'a taxon that is not there',
    part: 'couplets',
    make: change(/^( {6}taxon:) .*/, '$1 nobody-knows'),
  },
  { fault: 'a misspelt taxon', part: 'couplets', make: change(/^( {6}taxon: [a-z]+)(.*)/, '$1x$2') },
  { fault: 'no end', part: 'couplets', make: change(/^ {6}(?:to|taxon|key): .*/, '') },
  { fault: 'two ends', part: 'couplets', make: change(/^( {6}to: .*)/, '$1\n      key: another') },
  {
    fault: 'a circle',
    part: 'couplets',
    make: (line, all) =>
      change(
        /^( {6})(?:taxon|key): .*/,
        `$1to: ${all
          .find((l) => /^ {2}\d+:/.test(l))
          ?.trim()
          .slice(0, -1)}`,
      )(line),
  },
  {
    fault: 'an unquoted sign',
    part: 'couplets',
    make: change(/^( {6}when: \{(?!any)[a-z-]+:) [^,}]*([,}].*)/, '$1 >= 5$2'),
  },
  {
    fault: 'an unquoted sign in a line',
    part: 'couplets',
    make: change(/^( {6}when:) \{([a-z-]+): .*/, '$1\n        $2: >= 5'),
  },
  {
    fault: 'an unknown state',
    part: 'couplets',
    make: change(/^( {6}when: \{[a-z-]+:) [a-z-]+([,}])/, '$1 pruple$2'),
  },
  {
    fault: 'an unknown character',
    part: 'couplets',
    make: change(/^( {6}when: \{)[a-z-]+(: [a-z-]+[,}])/, '$1nosuch$2'),
  },
  {
    fault: 'a range that ends before it begins',
    part: 'couplets',
    make: change(/^( {6}when: \{[a-z-]+:) [^,}]*[0-9][^,}]*([,}].*)/, '$1 9-2$2'),
  },
  { fault: 'a misspelt condition', part: 'couplets', make: change(/^( {6})when: /, '$1whne: ') },
  { fault: 'an empty condition', part: 'couplets', make: change(/^( {6}when:) .*/, '$1') },
  {
    fault: 'a condition and otherwise',
    part: 'couplets',
    make: change(/^( {6}when: .*)/, '$1\n      otherwise: true'),
  },
  { fault: 'a lead without words', part: 'couplets', make: change(/^( {4}-) lead: .*/, '$1') },
  {
    fault: 'an unknown line in a lead',
    part: 'couplets',
    make: change(/^( {4}- lead: .*)/, '$1\n      colour: red'),
  },
  {
    fault: 'a couplet that stands twice',
    part: 'couplets',
    make: (line, all) =>
      /^ {2}[1-9]\d*:/.test(line)
        ? line.replace(
            /[1-9]\d*/,
            all
              .filter((l) => l !== line)
              .find((l) => /^ {2}\d+:/.test(l))
              ?.trim()
              .slice(0, -1) ?? '',
          )
        : undefined,
  },
  { fault: 'a couplet that is no list', part: 'taxa', make: change(/^taxa:$/, '  999: none\ntaxa:') },
  { fault: 'a taxon without name', part: 'taxa', make: change(/^ {4}name: .*/, '') },
  {
    fault: 'a taxon that stands twice',
    part: 'taxa',
    make: change(/^( {2}([a-z-]+):)$/, '  $2: {name: Xus xus}\n$1'),
  },
  {
    fault: 'an unknown line in a taxon',
    part: 'taxa',
    make: change(/^( {4}name: .*)/, '$1\n    colour: red'),
  },
  { fault: 'a concern of no level', part: 'taxa', make: change(/level: [a-z-]+/, 'level: dangerous') },
  {
    fault: 'an unknown state in a description',
    part: 'taxa',
    make: change(/^( {6}[a-z-]+:) [a-z-]+$/, '$1 pruple'),
  },
  {
    fault: 'an unknown character in a description',
    part: 'taxa',
    make: change(/^( {6})[a-z-]+(: [a-z-]+)$/, '$1nosuch$2'),
  },
  { fault: 'a taxon within none', part: 'taxa', make: change(/^( {4}within:) .*/, '$1 nobody-knows') },
  { fault: 'a character of no kind', part: 'characters', make: change(/^( {4}kind:) .*/, '$1 colour') },
  {
    fault: 'a character that stands twice',
    part: 'characters',
    make: change(/^( {2}([a-z-]+):)$/, '  $2: {name: x, states: [a, b]}\n$1'),
  },
  { fault: 'no such unit', part: 'characters', make: change(/^( {4}unit:) .*/, '$1 furlong') },
  {
    fault: 'limits that end before they begin',
    part: 'characters',
    make: change(/^( {4}limits:) .*/, '$1 9-2'),
  },
  {
    fault: 'an unknown line in a character',
    part: 'characters',
    make: change(/^( {4}name: .*)/, '$1\n    colour: red'),
  },
  {
    fault: 'a gate of no such state',
    part: 'characters',
    make: change(/^( {4}applies-when: \{[a-z-]+:).*/, '$1 pruple}'),
  },
  { fault: 'no title', part: 'title', make: () => '' },
  { fault: 'an unknown line', part: 'title', make: (line) => `${line}\nname: x` },
  { fault: 'a date of no form', part: 'date', make: () => 'date: 3 May' },
  { fault: 'terms that are not there', part: 'uses', make: () => 'uses: [none.terms.yaml]' },
  { fault: 'a misspelt list of characters', part: 'characters', make: change(/^characters:$/, 'character:') },
  { fault: 'a misspelt list of taxa', part: 'taxa', make: change(/^taxa:$/, 'taxon:') },
];

/** Every mistake at every line of a key at which it can be made, `most` of each kind. */
export function faultsIn(key: string, most: number): Sown[] {
  const lines = key.split('\n');
  const parts = lines.map(() => '');
  lines.forEach((line, i) => {
    const own = /^([a-z-]+):/.exec(line)?.[1];
    parts[i] = own ?? (i === 0 ? '' : (parts[i - 1] as string));
  });
  return FAULTS.flatMap(({ fault, part, make }) => {
    const sown = lines.flatMap((line, i): Sown[] => {
      const made = parts[i] === part ? make(line, lines) : undefined;
      if (made === undefined || made === line) return [];
      return [{ fault, line: i + 1, text: [...lines.slice(0, i), made, ...lines.slice(i + 1)].join('\n') }];
    });
    const step = Math.max(1, Math.floor(sown.length / most));
    return sown.filter((_, i) => i % step === 0).slice(0, most);
  });
}
