/** Random keys and finds for property tests, as the plain data an author would write. */
import fc from 'fast-check';

export type When = { [name: string]: unknown };
export interface LeadData {
  lead: string;
  when?: When;
  otherwise?: boolean;
  to?: string;
  taxon?: string | string[];
}
export interface KeyData {
  keywright: 1;
  id: string;
  title: string;
  version: string;
  characters: Record<string, Record<string, unknown>>;
  couplets: Record<string, LeadData[]>;
  taxa: Record<string, { name: string; rank?: string; within?: string; concern?: { level: string } }>;
}

/** Two choices, a choice that depends on one of them, a measure and a count. */
export const characters = {
  gills: { name: 'gills', states: ['free', 'adnate', 'decurrent'] },
  ring: { name: 'ring', states: ['present', 'absent'] },
  texture: {
    name: 'texture of the ring',
    states: ['membranous', 'fibrous'],
    'applies-when': { ring: 'present' },
  },
  width: { name: 'width of the cap', kind: 'measure', unit: 'cm' },
  spots: { name: 'number of spots', kind: 'count' },
} as const;

const stateTest = (name: keyof typeof characters & ('gills' | 'ring' | 'texture')) =>
  fc
    .tuple(fc.subarray([...characters[name].states], { minLength: 1 }), fc.boolean())
    .map(([states, except]): When => ({ [name]: except ? { not: states } : states }));

const number = fc.integer({ min: 0, max: 8 });
const range = (name: string, half: boolean) =>
  fc.tuple(number, number, fc.constantFrom('range', '<', '>=', 'not')).map(([a, b, form]): When => {
    const [low, high] = [Math.min(a, b), Math.max(a, b)].map((n) => (half ? n / 2 : n));
    if (form === '<') return { [name]: `< ${high}` };
    if (form === '>=') return { [name]: `>= ${low}` };
    return { [name]: form === 'not' ? { not: `${low}-${high}` } : `${low}-${high}` };
  });

const test = fc.oneof(
  stateTest('gills'),
  stateTest('ring'),
  stateTest('texture'),
  range('width', true),
  range('spots', false),
);

/** Conditions as people write them, and some that they would not. */
export const when: fc.Arbitrary<When> = fc.letrec<{ when: When; plain: When }>((tie) => ({
  plain: fc.array(test, { minLength: 1, maxLength: 3 }).map((tests) => Object.assign({}, ...tests)),
  when: fc.oneof(
    { depthSize: 'small', withCrossShrink: true },
    { arbitrary: tie('plain'), weight: 5 },
    { arbitrary: fc.array(tie('when'), { minLength: 1, maxLength: 3 }).map((any) => ({ any })), weight: 1 },
    { arbitrary: fc.array(tie('when'), { minLength: 1, maxLength: 2 }).map((all) => ({ all })), weight: 1 },
    { arbitrary: tie('when').map((not) => ({ not })), weight: 1 },
  ),
})).when;

const taxonIds = ['t1', 't2', 't3', 't4', 't5', 't6'];
const levels = ['deadly', 'severe', 'upset', 'unknown', 'none-recorded'];

/** Keys of up to `most` couplets; every lead goes to a later couplet or a taxon, so that branches meet again. */
export function keyData(most: number, shape: 'tree' | 'reticulate'): fc.Arbitrary<KeyData> {
  return fc.integer({ min: 1, max: most }).chain((n) =>
    fc
      .tuple(
        fc.array(
          fc.array(
            fc.record({
              condition: fc.oneof(
                { arbitrary: when, weight: 6 },
                { arbitrary: fc.constant(undefined), weight: 1 },
              ),
              jump: fc.integer({ min: 0, max: n }),
              taxa: fc.subarray(taxonIds, { minLength: 1, maxLength: 2 }),
            }),
            { minLength: 2, maxLength: 3 },
          ),
          { minLength: n, maxLength: n },
        ),
        fc.array(fc.boolean(), { minLength: n, maxLength: n }),
        fc.array(fc.constantFrom(...levels), { minLength: taxonIds.length, maxLength: taxonIds.length }),
      )
      .map(([drawn, otherwise, concerns]): KeyData => {
        const couplets: Record<string, LeadData[]> = {};
        const pointedAt = new Set<number>();
        drawn.forEach((leads, i) => {
          couplets[String(i + 1)] = leads.map((lead, l): LeadData => {
            const last = l === leads.length - 1;
            const target = i + 1 + lead.jump;
            const free = shape === 'reticulate' || !pointedAt.has(target);
            const goesOn = lead.jump > 0 && target < n && free;
            if (goesOn) pointedAt.add(target);
            return {
              lead: `lead ${l}`,
              ...(last && otherwise[i]
                ? { otherwise: true }
                : lead.condition === undefined
                  ? {}
                  : { when: lead.condition }),
              ...(goesOn ? { to: String(target + 1) } : { taxon: lead.taxa }),
            };
          });
        });
        return {
          keywright: 1,
          id: 'random',
          title: 'Random',
          version: '1',
          characters: characters as unknown as KeyData['characters'],
          couplets,
          taxa: Object.fromEntries(
            taxonIds.map((id, i) => [
              id,
              { name: `Genus ${id}`, concern: { level: concerns[i] ?? 'unknown' } },
            ]),
          ),
        };
      }),
  );
}

/** One specimen: what each character really is; `-` where it does not exist. */
export interface Specimen {
  gills: string;
  ring: string;
  texture: string;
  width: number;
  spots: number;
}

export const specimen: fc.Arbitrary<Specimen> = fc
  .record({
    gills: fc.constantFrom(...characters.gills.states),
    ring: fc.constantFrom(...characters.ring.states),
    texture: fc.constantFrom(...characters.texture.states),
    width: fc.integer({ min: 0, max: 16 }).map((n) => n / 4),
    spots: fc.integer({ min: 0, max: 9 }),
  })
  .map((s) => (s.ring === 'present' ? s : { ...s, texture: '-' }));

/** What may be written of one character of a specimen: nothing, the truth, or a wider answer that holds it. */
export function seen(s: Specimen): fc.Arbitrary<Record<string, string>> {
  const states = (name: 'gills' | 'ring' | 'texture') =>
    s[name] === '-'
      ? fc.constantFrom('', '-')
      : fc.oneof(
          fc.constantFrom('', '?', s[name]),
          fc
            .constantFrom(...characters[name].states)
            .map((other) => [...new Set([s[name], other])].join(' | ')),
        );
  const numbers = (value: number, step: number) =>
    fc.oneof(
      fc.constantFrom('', String(value)),
      fc
        .tuple(fc.integer({ min: 0, max: 3 }), fc.integer({ min: 0, max: 3 }))
        .map(([down, up]) => `${Math.max(0, value - down * step)}-${value + up * step}`),
      // Not made out which of several: these numbers, and none between them.
      fc
        .tuple(
          fc.array(fc.integer({ min: 0, max: 12 }), { minLength: 1, maxLength: 2 }),
          fc.integer({ min: 0, max: 2 }),
        )
        .map(([others, up]) =>
          [up === 0 ? String(value) : `${value}-${value + up * step}`, ...others.map((n) => n * step)].join(
            ' or ',
          ),
        ),
    );
  return fc.record({
    gills: states('gills'),
    ring: states('ring'),
    texture: states('texture'),
    width: numbers(s.width, 0.25),
    spots: numbers(s.spots, 1),
  });
}
