import type { CharacterUse } from '../../analysis/key-characters.js';
import type { Measures } from '../../analysis/key-measures.js';
import type { Chain } from '../../key/chain.js';
import { imprint, levelsIn, scopeEntries, shortConcern } from '../../printed/words.js';
import { harmless } from '../../text/harmless.js';
import type { Paint } from '../../text/paint.js';
import { count, figure, inShort, listed } from '../../text/words.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';

/** What is shown of a key. */
export interface ShownKey {
  readonly chain: Chain;
  /** Of the key alone. */
  readonly own: Measures;
  /** With the keys it continues in; undefined when there are none. */
  readonly whole: Measures | undefined;
}

/** How it is set. */
interface ShowSetting {
  readonly width: number;
  readonly paint: Paint;
}

/** How many uneven couplets are listed. */
const MOST_UNEVEN = 5;
/** How many leads of a way are written; of a longer one the middle is only counted. */
const LONGEST_WAY = 20;

/** What a key is like, for people. */
export function showText({ chain, own, whole }: ShownKey, setting: ShowSetting): string {
  const { width, paint } = setting;
  const { main } = chain;
  const lines: string[] = [
    ...wrapLines(paint.strong(harmless(main.title)), width),
    ...wrapLines(harmless(imprint(main)), width),
  ];
  const heading = (text: string) => lines.push('', ...wrapLines(paint.strong(text), width));
  const say = (text: string, first = '  ', rest = '    ') =>
    lines.push(...wrapLines(harmless(text), width, first, rest));

  const scope = scopeEntries(main);
  heading('Scope');
  if (scope.length === 0) say('Its authors do not say what it is for.');
  for (const [name, text] of scope) say(`${name}: ${text}`);

  heading('Size');
  for (const text of sizeTexts(own)) say(text);

  heading('Depth, in couplets from the start to an end');
  lines.push(...depthTable(own, setting));
  for (const text of depthNotes(own)) say(text);

  heading('Balance');
  for (const text of balanceTexts(own)) say(text);

  heading('Reticulation');
  say(
    own.reticulation === 0
      ? 'Index 0: a tree, each couplet and taxon is reached by one lead.'
      : `Index ${own.reticulation}: that many more leads than a tree would need.`,
  );
  for (const { name, kind, from } of own.joined)
    say(`${kind === 'couplet' ? `couplet ${name}` : name}: from ${listed(from)}`);

  if (whole !== undefined) {
    heading('Chain');
    for (const text of chainTexts(chain, whole)) say(text);
  }

  const characters = own.characters.filter((c) => c.asked.length > 0);
  if (characters.length > 0) {
    heading('Characters, by use');
    lines.push(
      ...table(
        [
          ['character', 'couplets', 'first at', 'after', 'effort', 'taxa described'],
          ...characters.map((c) => [
            c.character.name,
            String(c.asked.length),
            c.asked[0] ?? '',
            String(c.first ?? ''),
            String(c.character.effort),
            String(c.described),
          ]),
        ],
        setting,
      ),
    );
  }
  if (characters.length > 0)
    say('First at: the couplet that asks it first. After: how many couplets come before that one.');
  for (const text of silentTexts(own.characters)) say(text, '  ', '    ');

  if (own.ways.length > 0) {
    heading('Taxa, and the shortest way to each');
    lines.push(
      ...table(
        [
          ['taxon', 'couplets', 'effort', 'way'],
          ...own.ways.map(({ taxon, couplets, longest, effort, path }) => [
            taxon.name,
            couplets === longest ? String(couplets) : `${couplets}-${longest}`,
            String(effort),
            path(LONGEST_WAY).join(' '),
          ]),
        ],
        setting,
      ),
    );
    say('Effort: the sum of the efforts of the characters asked on the way, each once; 1 is a glance.');
    const levels = levelsIn(own.ways.map(({ taxon }) => ({ taxon, at: [] })));
    const counts = levels.map((level) => {
      const n = own.ways.filter((w) => w.taxon.concern.level === level).length;
      return `${shortConcern(level)} ${n}`;
    });
    say(`Harm recorded: ${listed(counts)}. What is not recorded proves nothing.`);
  }
  return `${lines.join('\n')}\n`;
}

function sizeTexts(m: Measures): string[] {
  const many = m.polytomies.map(({ leads, couplets }) => `${couplets} with ${leads} leads`);
  const over =
    m.handOvers === 0
      ? ''
      : `, ${m.handOvers} of them in ${m.handOvers === 1 ? 'another key' : 'other keys'}`;
  const texts = [
    `${count(m.couplets, 'couplet')}${many.length === 0 ? ', each with two leads' : `, ${listed(many)}`}; ${count(m.leads, 'lead')}`,
    `${count(m.ends, 'end')}${over}; ${count(m.taxa, 'taxon', 'taxa')} keyed out; ${count(m.answers, 'answer')} told apart`,
  ];
  if (m.unreached.length > 0)
    texts.push(`nothing leads to ${count(m.unreached.length, 'couplet')}: ${listed(inShort(m.unreached))}`);
  return texts;
}

function depthTable({ depth, bounds, weighted }: Measures, setting: ShowSetting): string[] {
  const { ladder } = bounds;
  const rows = [
    ['', 'this key', 'at best', 'as a ladder'],
    ['shortest', String(depth.least), '', '1'],
    ['mean', figure(depth.mean), figure(bounds.mean), figure(ladder.mean)],
    ['deepest', String(depth.greatest), String(bounds.greatest), String(ladder.greatest)],
  ];
  if (weighted !== undefined)
    rows.push(['mean, by frequency', figure(weighted.mean), figure(weighted.huffman), '']);
  return table(rows, setting);
}

function depthNotes({ bounds, weighted, polytomies }: Measures): string[] {
  const { answers, bits } = bounds;
  const notes = [
    `At best: what ${count(answers, 'answer')} need if every lead could separate them as wanted (${figure(bits)} bits). Keys that use real characters are longer; nothing here says how much.`,
  ];
  if (polytomies.length > 0)
    notes.push('The best is that of couplets with two leads; those with more can go below it.');
  if (weighted !== undefined)
    notes.push(
      `By frequency: over the ${weighted.answers} answers whose frequency is given; their entropy is ${figure(weighted.entropy)} bits.`,
    );
  return notes;
}

function balanceTexts({ balance, divisions, ladder, longFirst }: Measures): string[] {
  const texts = [
    `A couplet settles ${figure(balance)} bit on average; two leads that split evenly settle 1.`,
    ladder.length < 3
      ? 'No ladder of three couplets or more.'
      : `Longest ladder: ${count(ladder.length, 'couplet')} that split off one end after another, ${ladder[0] ?? ''} to ${ladder[ladder.length - 1] ?? ''}.`,
  ];
  const uneven = divisions.filter((d) => d.evenness < 0.7).slice(0, MOST_UNEVEN);
  if (uneven.length > 0)
    texts.push(`Most uneven: ${listed(uneven.map((d) => `${d.couplet} (${d.beyond.join(' : ')})`))}.`);
  if (longFirst.length > 0)
    texts.push(
      `The longer branch stands first in ${count(longFirst.length, 'couplet')}: ${listed(inShort(longFirst))}.`,
    );
  return texts;
}

function chainTexts({ main, keys, nodes }: Chain, whole: Measures): string[] {
  const others = keys.filter((k) => k !== main);
  const { couplets, ends, taxa, depth, bounds } = whole;
  return [
    ...others.map((key) => {
      const from = nodes.flatMap((n) =>
        n.couplet.leads.flatMap((lead, l) => {
          const target = nodes[n.next[l] ?? -1];
          if (target?.key !== key || n.key === key) return [];
          return [`${n.key === main ? '' : `${n.key.id} `}${lead.label}`];
        }),
      );
      return `${key.id}, ${count(key.couplets.size, 'couplet')}, from ${listed(from)}: ${key.title}`;
    }),
    `All together: ${count(couplets, 'couplet')}, ${count(ends, 'end')}, ${count(taxa, 'taxon', 'taxa')}; depth ${depth.least} to ${depth.greatest}, mean ${figure(depth.mean)} (at best ${figure(bounds.mean)}).`,
  ];
}

function silentTexts(characters: readonly CharacterUse[]): string[] {
  const names = (uses: readonly CharacterUse[]) => listed(inShort(uses.map((c) => c.character.name)));
  const silent = characters.filter((c) => c.asked.length === 0);
  const supporting = silent.filter((c) => c.supports.length > 0);
  const described = silent.filter((c) => c.supports.length === 0 && c.described > 0);
  const idle = silent.filter((c) => c.supports.length === 0 && c.described === 0);
  return [
    ...(supporting.length === 0 ? [] : [`Named as support only, never asked: ${names(supporting)}.`]),
    ...(described.length === 0 ? [] : [`Described and never asked: ${names(described)}.`]),
    ...(idle.length === 0 ? [] : [`Neither asked nor described: ${names(idle)}.`]),
  ];
}

/** The least width of the first and the last column of a table. */
const [NARROWEST_FIRST, NARROWEST_LAST] = [14, 12];

/**
 * A small table: numbers stand to the right, the first column gives way before the last. In a window too
 * narrow for that, each row is a sentence.
 */
function table(rows: readonly (readonly string[])[], { width, paint }: ShowSetting): string[] {
  const [heads = [], ...body] = rows.map((row) => row.map(harmless));
  const last = heads.length - 1;
  const numeric = heads.map((_, c) => c > 0 && body.every((r) => /^[\d.-]*$/.test(r[c] ?? '')));
  const wide = heads.map((head, c) =>
    Math.max(displayWidth(head), ...body.map((r) => displayWidth(r[c] ?? ''))),
  );
  const tight = heads.map((head, c) =>
    Math.max(...head.split(' ').map(displayWidth), ...body.map((r) => displayWidth(r[c] ?? ''))),
  );
  const room = width - 2 * heads.length;
  const total = (widths: readonly number[]) => widths.reduce((sum, w) => sum + w, 0);
  const leastOf = (widths: readonly number[]) =>
    widths.map((w, c) =>
      Math.min(w, c === 0 ? NARROWEST_FIRST : c === last && !numeric[c] ? NARROWEST_LAST : w),
    );
  // Headings take several lines only where there is no room.
  const natural = total(leastOf(wide)) + 12 <= room ? wide : tight;
  const least = leastOf(natural);
  if (total(least) > room)
    return body.flatMap(([first = '', ...others]) => {
      const facts = others.flatMap((cell, c) => (cell === '' ? [] : [`${heads[c + 1] ?? ''} ${cell}`]));
      return wrapLines(`${first}: ${facts.join('; ')}`, width, '  ', '    ');
    });
  const widths = [...natural];
  widths[last] = Math.max(
    least[last] as number,
    Math.min(natural[last] as number, room - total(natural.slice(0, -1))),
  );
  widths[0] = Math.max(least[0] as number, Math.min(natural[0] as number, room - total(widths.slice(1))));
  if (total(widths) > room) widths[last] = Math.max(least[last] as number, room - total(widths.slice(0, -1)));
  return [heads, ...body].flatMap((row, r) => {
    const parts = widths.map((w, c) => wrapLines(row[c] ?? '', w));
    const height = Math.max(...parts.map((p) => p.length));
    return Array.from({ length: height }, (_, l) => {
      const text = parts.map((part, c) => {
        const cell = part[l] ?? '';
        const space = ' '.repeat(Math.max(0, (widths[c] as number) - displayWidth(cell)));
        return numeric[c] ? space + cell : cell + space;
      });
      const line = `  ${text.join('  ')}`.trimEnd();
      return r === 0 ? paint.faint(line) : line;
    });
  });
}
