/** Faults put into a sound generated key, each with the couplet and the rule that must find it. */
import { randomNumbers } from './generate.mjs';

/** The lines of each couplet, by its number: first line, and one past the last. */
function blocksOf(lines) {
  const blocks = new Map();
  const from = lines.indexOf('couplets:');
  const to = lines.indexOf('taxa:');
  let open;
  for (let i = from + 1; i <= to; i++) {
    const number = /^ {2}(\d+):$/.exec(lines[i])?.[1];
    if (number === undefined && i < to) continue;
    if (open !== undefined) open.end = i;
    if (number === undefined) break;
    open = { start: i, end: to };
    blocks.set(number, open);
  }
  return blocks;
}

/** A choice lead of the block with at least that many states: the line of its `when`, character and states. */
function choiceLeads(lines, { start, end }) {
  const found = [];
  for (let i = start; i < end; i++) {
    const match = /^ {6}when: \{([a-z-]+): (?:\[([^\]]+)\]|([a-z-]+))\}$/.exec(lines[i]);
    if (match !== null)
      found.push({ line: i, character: match[1], states: (match[2] ?? match[3]).split(', ') });
  }
  return found;
}

const written = (character, states) => `      when: {${character}: [${states.join(', ')}]}`;

const KINDS = [
  {
    // Both leads take a state that only the second had.
    rule: 'leads-exclusive',
    sow(lines, block) {
      const [a, b] = choiceLeads(lines, block);
      if (b === undefined || a.character !== b.character) return false;
      lines[a.line] = written(a.character, [...a.states, b.states[0]]);
      return true;
    },
  },
  {
    // A state that the second lead had is taken by none.
    rule: 'leads-exhaustive',
    sow(lines, block) {
      const [a, b] = choiceLeads(lines, block);
      if (b === undefined || a.character !== b.character || b.states.length < 2) return false;
      lines[b.line] = written(b.character, b.states.slice(1));
      return true;
    },
  },
  {
    // Two states at once.
    rule: 'lead-possible',
    sow(lines, block) {
      const [a, b] = choiceLeads(lines, block);
      if (b === undefined || a.character !== b.character) return false;
      lines[b.line] =
        `      when: {all: [{${b.character}: ${b.states[0]}}, {${a.character}: ${a.states[0]}}]}`;
      return true;
    },
  },
  {
    rule: 'target-exists',
    sow(lines, { start, end }) {
      for (let i = start; i < end; i++) {
        if (!/^ {6}to: \d+$/.test(lines[i])) continue;
        lines[i] = '      to: 999999';
        return true;
      }
      return false;
    },
  },
  {
    // The range of the second lead begins before that of the first ends.
    rule: 'ranges-meet',
    sow(lines, { start, end }) {
      for (let i = start; i < end; i++) {
        const match = /^ {6}when: \{([a-z-]+): "<= (\d+)"\}$/.exec(lines[i]);
        if (match === null) continue;
        for (let j = i + 1; j < end; j++) {
          if (!/: ">= \d+"\}$/.test(lines[j])) continue;
          lines[j] = `      when: {${match[1]}: ">= ${match[2]}"}`;
          return true;
        }
      }
      return false;
    },
  },
];

/**
 * The text of a key with faults in one couplet of a hundred, of each kind in turn, and where they were put: the number
 * of the couplet and the rule that must speak of it. No two stand in couplets that lead to each other, since a fault
 * above can hide one below.
 */
export function sowFaults(text, seed = 5) {
  const random = randomNumbers(seed);
  const lines = text.split('\n');
  const blocks = blocksOf(lines);
  const numbers = [...blocks.keys()];
  const wanted = Math.max(KINDS.length, Math.round(numbers.length / 100));
  const sown = [];
  const taken = new Set();
  for (let tries = 0; sown.length < wanted && tries < 400 * wanted; tries++) {
    // Couplets near the ends have little below them that a fault could hide.
    const number = numbers[Math.floor(numbers.length * (0.5 + random() / 2))];
    const kind = KINDS[sown.length % KINDS.length];
    const block = blocks.get(number);
    const near = [
      number,
      ...lines.slice(block.start, block.end).flatMap((l) => /^ {6}to: (\d+)$/.exec(l)?.[1] ?? []),
    ];
    if (near.some((n) => taken.has(n)) || !kind.sow(lines, block)) continue;
    for (const n of near) taken.add(n);
    sown.push({ couplet: number, rule: kind.rule });
  }
  return { text: lines.join('\n'), sown };
}

/** Those of the sown faults that a report of lint (`--format json`) says nothing of. */
export function missed(sown, findings) {
  return sown.filter(
    ({ couplet, rule }) =>
      !findings.some((f) => f.rule === rule && f.path[0] === 'couplets' && String(f.path[1]) === couplet),
  );
}
