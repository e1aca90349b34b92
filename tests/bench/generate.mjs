/**
 * Makes keys and tables of any size for measuring speed, the same ones for the same numbers. The keys are sound: every
 * couplet parts what can arrive at it completely and without overlap, every lead can be taken, every taxon is keyed
 * out, and about a tenth of the couplets are reached by more than one path.
 */

/** A small generator of pseudo-random numbers in [0, 1) (mulberry32), so that every run measures the same. */
export function randomNumbers(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Twenty characters: thirteen chosen (one that exists only where another is present), four measured, three counted. */
const CHARACTERS = [
  choice('stem-position', 'central lateral'),
  choice('cap-surface', 'smooth scaly fibrillose'),
  choice('gill-attachment', 'free adnate sinuate decurrent'),
  choice('spore-print', 'white pink rust purple-brown black'),
  choice('wood', 'broadleaf conifer'),
  choice('flesh', 'soft brittle leathery'),
  choice('habit', 'solitary scattered tufted rings'),
  choice('smell', 'none mealy radish aniseed garlic fishy'),
  choice('cap-edge', 'even striate inrolled'),
  choice('stem-surface', 'smooth scaly powdered netted'),
  choice('cap-colour', 'white yellow olive brown lilac'),
  choice('ring', 'present absent'),
  { ...choice('ring-form', 'membranous fibrous double zone'), needs: { ring: 'present' } },
  ...[
    ['cap-width', 5, 300],
    ['stem-length', 10, 400],
    ['spore-length', 20, 200],
    ['gill-depth', 5, 150],
  ].map(([id, low, high]) => ({ id, kind: 'measure', unit: id === 'spore-length' ? 'um' : 'cm', low, high })),
  ...['gills-per-cm', 'warts', 'rings-of-hairs'].map((id) => ({ id, kind: 'count', low: 0, high: 40 })),
];

const RING = CHARACTERS.find((c) => c.id === 'ring');

function choice(id, states) {
  return { id, kind: 'choice', states: states.split(' ') };
}

/** What a find can still show on arriving at a place of the key: by character, states or the ends of a range. */
function everything() {
  return new Map(CHARACTERS.map((c) => [c.id, c.kind === 'choice' ? [...c.states] : [c.low, c.high]]));
}

/**
 * A key with that many couplets: its text, and what its rows are made from (the box of each path to an end).
 * Options: couplets, seed, id, and whether the taxa are described, which identifying does not need; a number: the first so many.
 */
export function generateKey({
  couplets: size = 200,
  seed = 1,
  id = `generated-${size}`,
  described = true,
} = {}) {
  const random = randomNumbers(seed);
  const pick = (list) => list[Math.floor(random() * list.length)];
  const couplets = [];
  /** Leads without an end yet, the oldest first, so that the key grows in breadth. */
  let open = [];
  const grow = (lead, box, used) => {
    const characters = CHARACTERS.filter((c) => canPart(c, box));
    const character = pick(characters);
    const couplet = { number: couplets.length + 1, character, leads: [], whole: isWhole(character, box) };
    couplets.push(couplet);
    if (lead !== undefined) lead.to = couplet;
    const parts = part(character, box.get(character.id), random);
    parts.forEach((values, i) => {
      const next = { couplet, values, otherwise: i === parts.length - 1 && random() < 0.1 };
      next.box = new Map(box).set(character.id, values);
      next.used = new Set(used).add(character.id);
      couplet.leads.push(next);
      open.push(next);
    });
  };
  grow(undefined, everything(), new Set());
  while (couplets.length < size) {
    const [lead] = open.splice(Math.floor(random() * Math.min(open.length, 8)), 1);
    grow(lead, lead.box, lead.used);
  }
  joinBranches(couplets, open, random);
  open = open.filter((lead) => lead.to === undefined);
  open.forEach((lead, i) => {
    lead.taxon = `taxon-${i + 1}`;
  });
  const taxa = collectTaxa(couplets);
  return { id, text: keyText(id, couplets, taxa, described), taxa, characters: CHARACTERS.map((c) => c.id) };
}

function canPart(character, box) {
  for (const [id, state] of Object.entries(character.needs ?? {}))
    if (box.get(id).length !== 1 || box.get(id)[0] !== state) return false;
  const values = box.get(character.id);
  return character.kind === 'choice' ? values.length > 1 : values[1] - values[0] >= 4;
}

/** Whether a find can still show anything at all of a character. */
function isWhole(character, box) {
  const all = everything().get(character.id);
  return box.get(character.id).join() === all.join();
}

/** Two parts, or three at times. */
function part(character, values, random) {
  if (character.kind !== 'choice') {
    const [low, high] = values;
    const cut = low + 1 + Math.floor((0.3 + 0.4 * random()) * (high - low - 1));
    return [
      [low, cut],
      [cut + 1, high],
    ];
  }
  if (values.length >= 3 && random() < 0.1) return [values.slice(0, 1), values.slice(1, 2), values.slice(2)];
  const cut = 1 + Math.floor(random() * (values.length - 1));
  return [values.slice(0, cut), values.slice(cut)];
}

/** Lets about a tenth as many leads as there are couplets go to couplets that are reached already. */
function joinBranches(couplets, open, random) {
  const below = new Map();
  const charactersBelow = (couplet) => {
    if (!below.has(couplet)) {
      const all = new Set([couplet.character.id]);
      for (const lead of couplet.leads)
        if (lead.to !== undefined) for (const c of charactersBelow(lead.to)) all.add(c);
      below.set(couplet, all);
    }
    return below.get(couplet);
  };
  // What a couplet divides is all that a find on another path can show.
  const isWholeBelow = (couplet) =>
    couplet.whole && couplet.leads.every((lead) => lead.to === undefined || isWholeBelow(lead.to));
  const targets = couplets.filter(
    (c) => charactersBelow(c).size <= 3 && c.character.needs === undefined && isWholeBelow(c),
  );
  const frozen = new Set();
  const joined = new Set();
  const holds = (couplet, set) =>
    set.has(couplet) || couplet.leads.some((lead) => lead.to !== undefined && holds(lead.to, set));
  const freeze = (couplet) => {
    frozen.add(couplet);
    for (const lead of couplet.leads) if (lead.to !== undefined) freeze(lead.to);
  };
  let wanted = Math.round(couplets.length / 10);
  for (let tries = 0; wanted > 0 && tries < 40 * couplets.length; tries++) {
    const lead = open[Math.floor(random() * open.length)];
    const target = targets[Math.floor(random() * targets.length)];
    // Each end of the joined branch must still be possible, and nothing in it be settled before.
    if (target === undefined || lead.to !== undefined || frozen.has(lead.couplet) || holds(target, joined))
      continue;
    if ([...charactersBelow(target)].some((c) => lead.used.has(c))) continue;
    if ([...charactersBelow(target)].some((c) => c === 'ring-form')) continue;
    lead.to = target;
    joined.add(lead.couplet);
    freeze(target);
    wanted--;
  }
}

/** By taxon, the boxes of all paths that end at it. */
function collectTaxa(couplets) {
  const taxa = new Map();
  const walk = (couplet, box) => {
    for (const lead of couplet.leads) {
      const next = new Map(box).set(couplet.character.id, lead.values);
      if (lead.to !== undefined) walk(lead.to, next);
      else taxa.set(lead.taxon, [...(taxa.get(lead.taxon) ?? []), next]);
    }
  };
  walk(couplets[0], everything());
  return taxa;
}

const tenths = (n) => `${Math.floor(n / 10)}.${n % 10}`;

/** What a lead asks in the notation of keys. A range was cut in two: below the cut, and from it on. */
function asked(character, lead) {
  const first = lead === lead.couplet.leads[0];
  const { values } = lead;
  if (character.kind === 'choice') return values.length === 1 ? values[0] : `[${values.join(', ')}]`;
  if (character.kind === 'count') return first ? `"<= ${values[1]}"` : `">= ${values[0]}"`;
  return first ? `"< ${tenths(values[1] + 1)}"` : `">= ${tenths(values[0])}"`;
}

function inWords(character, lead) {
  const first = lead === lead.couplet.leads[0];
  const name = capital(character.id.replaceAll('-', ' '));
  const { values } = lead;
  if (character.kind === 'choice') return `${name} ${values.join(' or ')}`;
  if (character.kind === 'count')
    return first ? `${name} at most ${values[1]}` : `${name} at least ${values[0]}`;
  const [cut, unit] = [tenths(first ? values[1] + 1 : values[0]), character.unit];
  return first ? `${name} less than ${cut} ${unit}` : `${name} ${cut} ${unit} or more`;
}

const capital = (text) => text[0].toUpperCase() + text.slice(1);

/** A few deadly and severe taxa, some that upset, and many of which nothing is known, as in keys of fungi. */
function concern(i) {
  if (i % 20 === 0) return i % 40 === 0 ? 'deadly' : 'severe';
  if (i % 20 === 10) return 'upset';
  return i % 3 === 0 ? 'unknown' : 'none-recorded';
}

function keyText(id, couplets, taxa, described) {
  const lines = [
    'keywright: 1',
    `id: ${id}`,
    `title: Generated key of ${couplets.length} couplets`,
    'version: 1.0.0',
    'date: 2026-11-25',
    'licence: CC0-1.0',
    'authors: [the generator]',
    'sources: {made: {cite: made up for measuring}}',
    'scope: {group: generated taxa, regions: [GB-CMA], complete: true}',
    'characters:',
  ];
  for (const c of CHARACTERS) {
    // A colour without a stated reliability is weak evidence, and lint says so where harm hangs on it.
    lines.push(`  ${c.id}:`, `    name: ${c.id.replaceAll('-', ' ')}`, '    reliability: 0.95');
    if (c.kind === 'choice')
      lines.push(`    states: {${c.states.map((s) => `${s}: ${s.replaceAll('-', ' ')}`).join(', ')}}`);
    else lines.push(`    kind: ${c.kind}`, ...(c.kind === 'measure' ? [`    unit: ${c.unit}`] : []));
    if (c.kind === 'measure') lines.push(`    limits: ${tenths(c.low)}-${tenths(c.high)}`);
    if (c.kind === 'count') lines.push(`    limits: ${c.low}-${c.high}`);
    if (c.needs !== undefined) lines.push(`    applies-when: {ring: ${c.needs.ring}}`);
  }
  lines.push('couplets:');
  for (const { number, character, leads } of couplets) {
    lines.push(`  ${number}:`);
    for (const lead of leads) {
      lines.push(`    - lead: ${inWords(character, lead)}`);
      lines.push(
        lead.otherwise ? '      otherwise: true' : `      when: {${character.id}: ${asked(character, lead)}}`,
      );
      lines.push(lead.to !== undefined ? `      to: ${lead.to.number}` : `      taxon: ${lead.taxon}`);
    }
  }
  lines.push('taxa:');
  let i = 0;
  for (const [taxon, boxes] of taxa) {
    lines.push(
      `  ${taxon}:`,
      `    name: ${capital(madeUp('gen', Math.floor(i / 8)))} ${madeUp('spec', i)}`,
      '    rank: species',
    );
    lines.push(`    concern: {level: ${concern(i)}, source: made up for measuring}`);
    if (described === true || i < described) lines.push(`    traits: {${traitsOf(boxes).join(', ')}}`);
    i++;
  }
  lines.push(
    'glossary:',
    ...['adnate', 'decurrent', 'sinuate', 'fibrillose', 'striate', 'inrolled'].map(
      (term) => `  ${term}: explained elsewhere`,
    ),
  );
  return `${lines.join('\n')}\n`;
}

/** A word that is one letter row longer for each power of 26: names have no digits. */
function madeUp(stem, number) {
  let letters = '';
  for (let rest = number + 1; rest > 0; rest = Math.floor((rest - 1) / 26))
    letters = String.fromCharCode(97 + ((rest - 1) % 26)) + letters;
  return `${stem}${letters}us`;
}

/**
 * What a taxon shows: what all paths to it say, of the characters that they restrict. Where paths differ in several
 * characters, states joined one by one would describe finds of other taxa too.
 */
function traitsOf(boxes) {
  const [first, ...others] = boxes;
  return CHARACTERS.flatMap((c) => {
    const values = first.get(c.id);
    if (isWhole(c, first)) return [];
    if (others.some((b) => b.get(c.id).join() !== values.join())) return [];
    if (c.kind === 'choice')
      return [`${c.id}: ${values.length === 1 ? values[0] : `[${values.join(', ')}]`}`];
    const [low, high] = values;
    return [`${c.id}: ${c.kind === 'count' ? `${low}-${high}` : `${tenths(low)}-${tenths(high)}`}`];
  });
}

/** The header of a table for a generated key. */
export function tableHeader(key) {
  return `id,date,place,region,by,${key.characters.join(',')}\n`;
}

/**
 * Rows for a generated key, as text in pieces of about a thousand: finds of its taxa with a tenth of the characters not
 * looked at, a few not told, and a few read wrongly.
 */
export function* tableRows(key, rows, seed = 7) {
  const random = randomNumbers(seed);
  const boxes = [...key.taxa.values()].flat();
  let lines = [];
  for (let n = 1; n <= rows; n++) {
    const box = boxes[Math.floor(random() * boxes.length)];
    const day = String(1 + (n % 28)).padStart(2, '0');
    // One place in ten needs quotes.
    const place = n % 10 === 0 ? `"Lower Plantation, ride ${n % 7}"` : 'Lower Plantation';
    const cells = [`TH-2026-${String(n).padStart(6, '0')}`, `2026-10-${day}`, place, 'GB-CMA', 'E. Marlow'];
    const ring = shown(RING, box.get('ring'), random);
    for (const c of CHARACTERS) {
      const luck = random();
      if (luck < 0.1) cells.push('');
      else if (luck < 0.12) cells.push('?');
      else if (c.id === 'ring') cells.push(ring);
      else if (c.needs !== undefined && ring !== c.needs.ring) cells.push('-');
      else if (luck < 0.13) cells.push(shown(c, everything().get(c.id), random));
      else cells.push(shown(c, box.get(c.id), random));
    }
    lines.push(cells.join(','));
    if (lines.length === 1000 || n === rows) {
      yield `${lines.join('\n')}\n`;
      lines = [];
    }
  }
}

function shown(character, values, random) {
  if (character.kind === 'choice') {
    const first = values[Math.floor(random() * values.length)];
    if (values.length < 2 || random() > 0.03) return first;
    const second = values[Math.floor(random() * values.length)];
    return second === first ? first : `${first} | ${second}`;
  }
  const [low, high] = values;
  const n = low + Math.floor(random() * (high - low + 1));
  return character.kind === 'count' ? String(n) : `${tenths(n)} ${character.unit}`;
}
