import { has, valueAt } from './data-path.js';
import { MOST_MISTAKES } from './document.js';
import { type SchemaName, schemaAt } from './schema-place.js';
import { explanations, type ShapeProblem, type ShapeRule, targets } from './shape-mistakes.js';

export type { SchemaName } from './schema-place.js';
export type { ShapeProblem, ShapeRule } from './shape-mistakes.js';

/** What a validator made by ajv reports of one failed keyword. */
interface ShapeError {
  readonly keyword: string;
  readonly instancePath: string;
  readonly schemaPath: string;
  readonly params: Readonly<Record<string, unknown>>;
}

/**
 * Says in plain words what is wrong with the shape of a file, one problem for each mistake: the several errors that
 * one mistake causes in a validator are drawn together.
 */
export function explainShape(errors: readonly ShapeError[], data: unknown, name: SchemaName): ShapeProblem[] {
  const problems = new Map<string, ShapeProblem>();
  for (const error of errors) {
    if (problems.size >= MOST_MISTAKES) break;
    const explain = explanations[error.keyword];
    // Errors of the parts of a condition say nothing that the condition's own error does not.
    if (explain === undefined || /\/(if|oneOf|anyOf)\//.test(error.schemaPath)) continue;
    const path = steps(error.instancePath);
    const place = schemaAt(name, path, data);
    if (place === undefined) continue;
    const problem = explain({ name, data, path, value: valueAt(data, path), place, params: error.params });
    if (problem === undefined) continue;
    const id = JSON.stringify([problem.path, problem.at, TOGETHER[problem.rule] ?? problem.message]);
    if (!problems.has(id)) problems.set(id, problem);
  }
  return withoutEchoes([...problems.values()], data, name);
}

/** Problems that are one when they are of the same place: all that can be said of one value, or of one lead's end. */
const TOGETHER: Partial<Record<ShapeRule, string>> = {
  'property-known': 'name',
  'id-form': 'name',
  'value-needed': 'value',
  'value-kind': 'value',
  'value-allowed': 'value',
  'value-form': 'value',
  'value-range': 'value',
  'one-target': 'target',
};

/**
 * A mistyped property is missed under its right name as well, and a lead with `at` alone has no end either: only the
 * more exact of the two is kept.
 */
function withoutEchoes(problems: readonly ShapeProblem[], data: unknown, name: SchemaName): ShapeProblem[] {
  const mistyped = new Map<string, (string | undefined)[]>();
  for (const { rule, path, nearest } of problems) {
    if (rule !== 'property-known') continue;
    const owner = JSON.stringify(path.slice(0, -1));
    const known = mistyped.get(owner);
    if (known === undefined) mistyped.set(owner, [nearest]);
    else known.push(nearest);
  }
  // A section indented under the couplets is read as one of them, and missed at the top.
  const astray = new Set(
    problems.filter((p) => p.rule === 'value-kind' && p.path.length === 2).map((p) => p.path[1]),
  );
  return problems.filter(({ rule, path, found, expected }) => {
    if (rule === 'one-target' && found === 'nothing') {
      const meant = mistyped.get(JSON.stringify(path)) ?? [];
      return !has(valueAt(data, path), 'at') && !meant.some((m) => m !== undefined && targets.includes(m));
    }
    if (rule !== 'property-needed') return true;
    if (path.length === 0 && astray.has(expected)) return false;
    const meant = mistyped.get(JSON.stringify(path)) ?? [];
    // Where only one property may stand, whatever else stands there was meant to be it.
    const only = Object.keys(schemaAt(name, path, data)?.shape.properties ?? {}).length === 1;
    return !meant.some((m) => only || m === expected);
  });
}

function steps(pointer: string): string[] {
  return pointer
    .split('/')
    .slice(1)
    .map((s) => s.replaceAll('~1', '/').replaceAll('~0', '~'));
}
