import type { Path } from '../diagnostic/finding.js';
import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { defined } from '../text/optional.js';
import { inShort } from '../text/words.js';
import type { Character, State } from '../traits/character.js';
import { charactersIn, testsIn } from '../traits/condition.js';
import { readNumbers } from '../traits/notation.js';
import type { NumberSet } from '../traits/number-set.js';
import { findUnit, ONE, type Unit, unitNames } from '../traits/units.js';
import { readCondition, reserved } from './conditions.js';
import type { Data, DataMap } from './document.js';
import { asEntries, asList, asMap, asNumber, asText, asTexts, type Reporter } from './fields.js';
import { readFigures } from './figures.js';
import { cyclicGroups, forwardOrder, shortestCycle } from './graph.js';

/**
 * Reads the `characters` of a key or a terms file. `shared` are those that are already known from terms files; a
 * character of the same id is reported by the caller, who knows both places.
 */
export function readCharacters(
  data: Data | undefined,
  shared: ReadonlyMap<string, Character>,
  report: Reporter,
): Map<string, Character> {
  const own = new Map<string, Character>();
  for (const [id, fields] of asEntries(data)) {
    if (reserved.includes(id)) {
      report.add('character-name', `${id} joins conditions and cannot name a character`, ['characters', id], {
        side: 'name',
        found: id,
        expected: 'another name',
      });
      continue;
    }
    own.set(id, readCharacter(id, asMap(fields), ['characters', id], report));
  }
  const known = new Map([...shared, ...own]);
  for (const [id, fields] of asEntries(data)) {
    const character = own.get(id);
    const gate = asMap(fields)['applies-when'];
    if (character === undefined || gate === undefined) continue;
    const appliesWhen = readCondition(gate, ['characters', id, 'applies-when'], known, report);
    if (appliesWhen === undefined) continue;
    own.set(id, { ...character, appliesWhen });
  }
  cutCircles(own, report);
  boundGates(own, shared, report);
  markUnread(own, shared, report);
  return own;
}

/** Marks the characters that are defined wrongly, and those that depend on one. */
function markUnread(
  own: Map<string, Character>,
  shared: ReadonlyMap<string, Character>,
  report: Reporter,
): void {
  const unread = new Set<string>();
  for (const [id, character] of shared) if (character.unread) unread.add(id);
  for (const id of own.keys()) if (report.touched(['characters', id])) unread.add(id);
  let before = -1;
  while (before !== unread.size) {
    before = unread.size;
    for (const [id, { appliesWhen }] of own)
      if (appliesWhen !== undefined && charactersIn(appliesWhen).some((c) => unread.has(c))) unread.add(id);
  }
  for (const id of unread) {
    const character = own.get(id);
    if (character !== undefined) own.set(id, { ...character, unread: true });
  }
}

// The texture of a ring depends on the ring, and that on little else. A condition that depends on hundreds of others
// was
// made to overload the evaluation, which follows each of them.
const MOST_GATES = 1000;

/** Removes, and reports, an `applies-when` that rests on more tests than any real character needs. */
function boundGates(
  own: Map<string, Character>,
  shared: ReadonlyMap<string, Character>,
  report: Reporter,
): void {
  const all = new Map([...shared, ...own]);
  const ids = [...all.keys()];
  const numbers = new Map(ids.map((id, i) => [id, i]));
  const tests = ids.map((id) => {
    const gate = all.get(id)?.appliesWhen;
    return gate === undefined ? [] : testsIn(gate).flatMap((t) => numbers.get(t.character) ?? []);
  });
  const costs = new Array<number>(ids.length).fill(0);
  for (const n of forwardOrder(tests)?.reverse() ?? []) {
    const cost = (tests[n] ?? []).reduce((sum, t) => sum + 1 + (costs[t] as number), 0);
    const id = ids[n] as string;
    const character = own.get(id);
    if (cost > MOST_GATES && character !== undefined) {
      report.add(
        'character-depends',
        `whether ${id} applies depends on too many other characters, one through another`,
        ['characters', id, 'applies-when'],
      );
      own.set(id, withoutGate(character));
    } else costs[n] = cost;
  }
}

/** Reports each circle of `applies-when` once, by its shortest cycle, and removes the conditions in it. */
function cutCircles(own: Map<string, Character>, report: Reporter): void {
  const ids = [...own.keys()];
  const numbers = new Map(ids.map((id, i) => [id, i]));
  const next = ids.map((id) => {
    const gate = own.get(id)?.appliesWhen;
    return gate === undefined ? [] : charactersIn(gate).flatMap((c) => numbers.get(c) ?? []);
  });
  for (const group of cyclicGroups(next)) {
    const names = shortestCycle(group, next).map((n) => ids[n] as string);
    const [first = '', ...others] = names;
    report.add(
      'character-depends',
      others.length === 0
        ? `${first} applies only when ${first} itself is known`
        : `${[...inShort(names), first].join(' → ')}: whether these apply depends on each other in a circle`,
      ['characters', first, 'applies-when'],
    );
    for (const n of group) report.touch(['characters', ids[n] as string]);
    for (const n of group) own.set(ids[n] as string, withoutGate(own.get(ids[n] as string) as Character));
  }
}

function withoutGate(character: Character): Character {
  const { appliesWhen: _dropped, ...rest } = character;
  return rest;
}

function readCharacter(id: string, fields: DataMap, path: Path, report: Reporter): Character {
  const states = readStates(fields.states);
  const kind = readKind(fields, states.length > 0);
  const unit = kind === 'measure' ? readUnit(asText(fields.unit), [...path, 'unit'], report) : ONE;
  if (kind === 'choice' && states.length === 0 && fields.kind === 'choice') {
    report.add('character-states', `${id} is chosen from states but has none`, path, {
      side: 'name',
      expected: 'states',
    });
  }
  if (kind !== 'choice' && states.length > 0) {
    report.add('character-states', `${id} is a ${kind} and cannot have states`, [...path, 'states'], {
      side: 'name',
      found: 'states',
      expected: `numbers, or kind: choice`,
    });
  }
  if (kind !== 'measure' && fields.unit !== undefined) {
    const problem =
      kind === 'count' ? `${id} is a count and has no unit` : `${id} is chosen from states and has no unit`;
    report.add('unit-fits', problem, [...path, 'unit'], {
      side: 'name',
      found: asText(fields.unit) ?? 'unit',
      expected: 'kind: measure',
    });
  }
  return defined({
    id,
    name: asText(fields.name) ?? id.replaceAll('-', ' '),
    kind,
    states: kind === 'choice' ? states : [],
    stateIndex: new Map(kind === 'choice' ? states.map((s, i) => [s.id, i]) : []),
    unit,
    limits:
      kind === 'choice'
        ? undefined
        : readLimits(asText(fields.limits), kind === 'count', unit, [...path, 'limits'], report),
    look: asText(fields.look),
    wait: asText(fields.wait),
    tools: asTexts(fields.tools),
    effort: asNumber(fields.effort) ?? 1,
    reliability: asNumber(fields.reliability),
    perishable: fields.perishable === true,
    stages: asTexts(fields.stages),
    figures: readFigures(fields.figures),
  });
}

function readKind(fields: DataMap, hasStates: boolean): Character['kind'] {
  const kind = fields.kind;
  if (kind === 'measure' || kind === 'count' || kind === 'choice') return kind;
  return hasStates || fields.unit === undefined ? 'choice' : 'measure';
}

function readStates(data: Data | undefined): State[] {
  if (Array.isArray(data))
    return [...new Set(asTexts(asList(data)))].map((id) => ({ id, meaning: id.replaceAll('-', ' ') }));
  return asEntries(data).map(([id, meaning]) => ({
    id,
    meaning: asText(meaning) ?? id.replaceAll('-', ' '),
  }));
}

function readUnit(name: string | undefined, path: Path, report: Reporter): Unit {
  if (name === undefined) return ONE;
  const unit = findUnit(name);
  if (unit !== undefined) return unit;
  const near = nearest(name, unitNames);
  report.unknown(
    'unit-known',
    `${quoted(name)} is not a unit`,
    name,
    near === undefined ? unitNames : [near],
    path,
  );
  return ONE;
}

function readLimits(
  written: string | undefined,
  whole: boolean,
  unit: Unit,
  path: Path,
  report: Reporter,
): NumberSet | undefined {
  if (written === undefined) return undefined;
  const read = readNumbers(written, { whole, unit });
  if (read.ok) return read.value.possible;
  report.add('number-form', `limits: ${read.problem}`, path, {
    found: written,
    expected: 'a range, such as 0.2-60',
  });
  return undefined;
}
