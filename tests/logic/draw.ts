/** Random characters, conditions, couplets and keys, as an author would write them, for proofs about the trait logic. */
import fc from 'fast-check';
import type { KeyData, LeadData, When } from '../support/random-keys.js';

type Characters = KeyData['characters'];

/** How much is drawn. */
export interface Size {
  /** The units that measures are written in; `''` alone for measures that have none. */
  readonly units: readonly string[];
  /** The largest number of a count; the numbers of a measure are halves up to half of it. */
  readonly most: number;
  /** The most states of a choice. */
  readonly states: number;
}

/** Numbers of a measure (`half`) or a count in one of the notations of keys. */
function written(half: boolean, { units, most }: Size): fc.Arbitrary<string> {
  const number = fc.integer({ min: 0, max: most });
  const form = fc.constantFrom('range', 'dash', '<', '<=', '>', '>=', 'one', 'or', 'extremes');
  const unit = half ? fc.constantFrom(...units) : fc.constant('');
  return fc.tuple(number, number, number, form, unit).map(([a, b, c, f, u]) => {
    const [low, mid, high] = [a, b, c].sort((x, y) => x - y).map((n) => valueIn(half ? n / 2 : n, u));
    return `${inForm(f, low as string, mid as string, high as string)}${u === '' ? '' : ` ${u}`}`;
  });
}

/** A number as written in a unit: the same length in mm; another, which is short, in inches. */
function valueIn(n: number, unit: string): string {
  return unit === 'mm' ? String(n * 10) : unit === 'in' ? String(n / 2) : String(n);
}

function inForm(form: string, low: string, mid: string, high: string): string {
  if (form === 'range') return `${low}-${high}`;
  if (form === 'dash') return `${low}–${mid}`;
  if (form === 'one') return mid;
  if (form === 'or') return `${low} or ${high}`;
  if (form === 'extremes') return `(${low}-)${mid}(-${high})`;
  return `${form} ${mid}`;
}

/** A test of one character. */
function test(id: string, data: Record<string, unknown>, size: Size): fc.Arbitrary<When> {
  const states = data.states as readonly string[] | undefined;
  const allowed: fc.Arbitrary<unknown> =
    states === undefined
      ? fc.oneof(
          { arbitrary: written(data.kind === 'measure', size), weight: 4 },
          {
            arbitrary: fc.array(written(data.kind === 'measure', size), { minLength: 2, maxLength: 2 }),
            weight: 1,
          },
        )
      : fc.subarray([...states], { minLength: 1 }).map((s) => (s.length === 1 ? s[0] : s));
  return fc
    .tuple(allowed, fc.integer({ min: 0, max: 3 }))
    .map(([value, n]): When => ({ [id]: n === 0 ? { not: value } : value }));
}

/** Conditions over some characters, as people write them and some that they would not. */
export function conditions(
  characters: Characters,
  size: Size,
  ids: readonly string[] = Object.keys(characters),
): fc.Arbitrary<When> {
  const tests = ids.map((id) => test(id, characters[id] as Record<string, unknown>, size));
  return fc.letrec<{ when: When; plain: When }>((tie) => ({
    plain: fc
      .array(fc.oneof(...tests), { minLength: 1, maxLength: 3 })
      .map((all): When => Object.assign({}, ...all)),
    when: fc.oneof(
      { maxDepth: 3, depthSize: 'small' },
      { arbitrary: tie('plain'), weight: 6 },
      { arbitrary: fc.array(tie('when'), { minLength: 1, maxLength: 3 }).map((any) => ({ any })), weight: 1 },
      { arbitrary: fc.array(tie('when'), { minLength: 1, maxLength: 2 }).map((all) => ({ all })), weight: 1 },
      { arbitrary: tie('when').map((not) => ({ not })), weight: 1 },
    ),
  })).when;
}

/**
 * Two choices, a measure and a count; a choice that depends on some of them; and a character of any kind that depends
 * on that one too.
 */
export function characterSets(size: Size): fc.Arbitrary<Characters> {
  const choice = (id: string) =>
    fc
      .integer({ min: 2, max: size.states })
      .map((n): Record<string, unknown> => ({ name: id, states: ['a', 'b', 'c', 'd'].slice(0, n) }));
  const unit = size.units.some((u) => u !== '') ? { unit: 'cm' } : {};
  const limited = (most: number, data: Record<string, unknown>) =>
    fc
      .constantFrom(undefined, undefined, `1-${most}`, `0-${most - 1}`, '>= 1', `0-1 or 2-${most}`)
      .map((limits): Record<string, unknown> => ({ ...data, ...(limits === undefined ? {} : { limits }) }));
  const measure = (id: string) => limited(size.most / 2, { name: id, kind: 'measure', ...unit });
  const count = (id: string) => limited(size.most, { name: id, kind: 'count' });
  return fc
    .record({ cap: choice('cap'), ring: choice('ring'), width: measure('width'), spots: count('spots') })
    .chain((roots) =>
      fc
        .tuple(fc.constant(roots), choice('texture'), conditions(roots, size))
        .map(([r, texture, gate]): Characters => ({ ...r, texture: { ...texture, 'applies-when': gate } })),
    )
    .chain((known) =>
      fc
        .tuple(
          fc.constant(known),
          fc.oneof(choice('edge'), measure('edge'), count('edge')),
          conditions(known, size),
          conditions(known, size, ['texture']),
          fc.boolean(),
        )
        .map(([k, edge, gate, deep, both]): Characters => {
          // Half of them depend on the dependent character for certain.
          const when = both ? { all: [gate, deep] } : deep;
          return { ...k, edge: { ...edge, 'applies-when': when } };
        }),
    );
}

/** A key of that many couplets over some characters; every lead goes to a later couplet or ends at a taxon. */
export function keys(least: number, most: number, size: Size): fc.Arbitrary<KeyData> {
  return fc.tuple(characterSets(size), fc.integer({ min: least, max: most })).chain(([characters, n]) => {
    const when = conditions(characters, size);
    const lead = fc.record({
      when: fc.oneof({ arbitrary: when, weight: 12 }, { arbitrary: fc.constant(undefined), weight: 1 }),
      jump: fc.integer({ min: 0, max: 3 }),
      taxon: fc.integer({ min: 1, max: 4 }),
    });
    const couplet = fc.tuple(
      fc.array(lead, { minLength: 2, maxLength: most === 1 ? 5 : 3 }),
      fc.integer({ min: 0, max: 4 }),
      fc.option(fc.oneof(contrast(characters, size), nested(characters, size)), { freq: 1 }),
    );
    return fc
      .tuple(
        fc.array(couplet, { minLength: n, maxLength: n }),
        fc.array(descriptions(characters, size), { minLength: 4, maxLength: 4 }),
      )
      .map(([couplets, described]) => keyOf(characters, couplets, described));
  });
}

/** Leads that divide one character between them, now and then badly, so that sound couplets are met too. */
function contrast(characters: Characters, size: Size): fc.Arbitrary<When[]> {
  return fc.constantFrom(...Object.keys(characters)).chain((id) => {
    const data = characters[id] as Record<string, unknown>;
    const states = data.states as string[] | undefined;
    const more = fc.option(conditions(characters, size), { freq: 2, nil: undefined });
    const both = (parts: readonly unknown[]) =>
      fc.tuple(more, more).map((extra) => parts.map((p, i): When => ({ ...(extra[i] ?? {}), [id]: p })));
    if (states !== undefined)
      return fc
        .subarray(states, { minLength: 1, maxLength: states.length - 1 })
        .chain((s) => both([s, states.filter((x) => !s.includes(x))]));
    return fc
      .integer({ min: 1, max: data.kind === 'measure' ? size.most / 2 : size.most })
      .chain((cut) => both([`< ${cut}`, `>= ${cut}`]));
  });
}

/** Leads of which all but the first agree in a state and divide another character between them, with or without a gap. */
function nested(characters: Characters, size: Size): fc.Arbitrary<When[]> {
  const more = fc.option(conditions(characters, size), { freq: 5, nil: undefined });
  const inner = fc
    .tuple(
      fc.integer({ min: 1, max: size.most / 2 }),
      fc.integer({ min: 0, max: 2 }),
      fc.integer({ min: 0, max: 2 }),
    )
    .map(([cut, gap, width]) => [`< ${cut}`, `${cut + gap}-${cut + gap + width}`, `> ${cut + gap + width}`]);
  const outer = fc.constantFrom<readonly [When, When]>(
    [{ cap: 'a' }, { cap: { not: 'a' } }],
    [{ cap: ['a', 'b'] }, { cap: 'a' }],
    [{ texture: 'a' }, { texture: 'b' }],
    [{ ring: 'a' }, { texture: { not: 'a' } }],
  );
  return fc
    .tuple(outer, fc.constantFrom('width', 'spots'), inner, fc.tuple(more, more, more, more), fc.boolean())
    .map(([[first, second], id, parts, extra, all]): When[] => [
      { ...extra[0], ...first },
      ...(all ? parts : [parts[0], parts[2]]).map((p, i): When => ({ ...extra[i + 1], ...second, [id]: p })),
    ]);
}

interface Lead {
  readonly when: When | undefined;
  readonly jump: number;
  readonly taxon: number;
}

type Drawn = [Lead[], number, When[] | null];

function keyOf(
  characters: Characters,
  drawn: readonly Drawn[],
  described: readonly (When | undefined)[],
): KeyData {
  const couplets: Record<string, LeadData[]> = {};
  drawn.forEach(([leads, otherwise, contrasting], i) => {
    const own = contrasting === null ? leads : contrasting.map((_, l) => leads[l % leads.length] as Lead);
    couplets[String(i + 1)] = own.map((lead, l): LeadData => {
      const target = i + 1 + lead.jump;
      const when = contrasting?.[l] ?? lead.when;
      return {
        lead: `lead ${l}`,
        ...(l === own.length - 1 && otherwise === 0
          ? { otherwise: true }
          : when === undefined
            ? {}
            : { when }),
        ...(lead.jump > 0 && target <= drawn.length ? { to: String(target) } : { taxon: `t${lead.taxon}` }),
      };
    });
  });
  return {
    keywright: 1,
    id: 'random',
    title: 'Random',
    version: '1',
    characters,
    couplets,
    taxa: Object.fromEntries(
      described.map((traits, i) => [
        `t${i + 1}`,
        { name: `Genus t${i + 1}`, ...(traits === undefined ? {} : { traits }) },
      ]),
    ),
  };
}

/** What a taxon is described to show: states, numbers, or `-` where a character does not apply. */
function descriptions(characters: Characters, size: Size): fc.Arbitrary<Record<string, unknown> | undefined> {
  const trait = (id: string): fc.Arbitrary<[string, unknown]> => {
    const data = characters[id] as Record<string, unknown>;
    const states = data.states as string[] | undefined;
    const shown: fc.Arbitrary<unknown[]> =
      states === undefined
        ? written(data.kind === 'measure', size).map((w) => [w])
        : fc.subarray(states, { minLength: 1 });
    const dependent = data['applies-when'] !== undefined;
    return fc.tuple(shown, fc.integer({ min: 0, max: 5 })).map(([values, n]): [string, unknown] => {
      if (dependent && n === 0) return [id, '-'];
      return [id, dependent && n === 1 ? [...values, '-'] : values];
    });
  };
  return fc.option(
    fc
      .subarray(Object.keys(characters), { minLength: 1 })
      .chain((ids) => fc.tuple(...ids.map(trait)))
      .map((traits) => Object.fromEntries(traits)),
    { freq: 4, nil: undefined },
  );
}
