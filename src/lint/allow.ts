import type { Finding, Path, Place } from '../diagnostic/finding.js';
import type { YamlText } from '../key/document.js';
import { asMap } from '../key/fields.js';
import { harmless } from '../text/harmless.js';
import { defined } from '../text/optional.js';
import { type Comment, commentsOf } from './comments.js';
import type { KnownRules } from './settings.js';

/** A comment `# allow RULE: reason`, and what it covers. */
export interface Allowance {
  readonly rules: readonly string[];
  readonly reason: string;
  /** Where the comment stands. */
  readonly place: Place;
  /** The line whose findings it allows. */
  readonly line: number;
  /** The couplet, taxon or character whose id stands on that line: everything inside it is allowed too. */
  readonly inside: Path | undefined;
}

/** What a file allows, and what is wrong with its comments. */
export interface Allowances {
  readonly all: readonly Allowance[];
  readonly findings: readonly Finding[];
}

const NONE: Allowances = { all: [], findings: [] };
const LIKELY = /#\s*allow\b/;
const ALLOW = /^#+\s*allow\s+([^:]*?)\s*(?::\s*(.*))?$/;
const ID = /^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$/;
const SECTIONS = ['couplets', 'taxa', 'characters'] as const;

/** Reads the comments of a file that allow findings. */
export function readAllowances(yaml: YamlText, known: KnownRules): Allowances {
  // Most files allow nothing, and finding comments costs another reading of the whole text.
  if (yaml.data === undefined || !LIKELY.test(yaml.lines.text)) return NONE;
  const all: Allowance[] = [];
  const findings: Finding[] = [];
  const comments = commentsOf(yaml.lines);
  const alone = new Set(comments.filter((c) => c.alone).map((c) => c.start.line));
  const owners = ownersByLine(yaml);
  for (const comment of comments) {
    const read = readComment(comment.text, known);
    if (read === undefined) continue;
    const line = comment.alone ? lineBelow(comment.start.line, alone, yaml) : comment.start.line;
    const inside = owners.get(line);
    const place = placeOf(comment, yaml, inside ?? []);
    if ('problem' in read)
      findings.push({ rule: 'allow-reason', level: 'error', place, ...read.detail, message: read.problem });
    else all.push({ ...read, place, line, inside });
  }
  return { all, findings };
}

/** Whether an allowance covers a finding of the same file. */
export function covers(allowance: Allowance, finding: Finding): boolean {
  if (!allowance.rules.includes(finding.rule)) return false;
  if (finding.place.start.line === allowance.line) return true;
  const { inside } = allowance;
  return inside?.every((step, i) => finding.place.path[i] === step) === true;
}

type Read =
  | { readonly rules: readonly string[]; readonly reason: string }
  | { readonly problem: string; readonly detail: { readonly found?: string; readonly expected?: string } };

function readComment(text: string, known: KnownRules): Read | undefined {
  const [, named = '', said] = ALLOW.exec(text.replace(/\s+#!.*$/, '')) ?? [];
  const rules = named.split(/\s*,\s*/).filter((word) => word !== '');
  // "# allow the gills to dry" is a remark and allows nothing.
  if (rules.length === 0 || rules.some((word) => /\s/.test(word))) return undefined;
  const meant = (word: string) => ID.test(word) && (word.includes('-') || known.get(word) !== undefined);
  if (said === undefined && !rules.every(meant)) return undefined;
  for (const word of rules) {
    const problem = known.problem(word);
    if (problem === undefined) continue;
    const expected = known.get(word) === undefined ? (known.nearest(word) ?? 'the id of a rule') : undefined;
    return { problem, detail: { found: word, ...defined({ expected }) } };
  }
  const reason = harmless((said ?? '').trim());
  if (reason !== '') return { rules, reason };
  return {
    problem: `the reason is missing; it is written "# allow ${rules.join(', ')}: why this may stand"`,
    detail: { expected: 'a reason' },
  };
}

/** The next line below a comment that is neither a comment nor empty. */
function lineBelow(line: number, comments: ReadonlySet<number>, yaml: YamlText): number {
  const last = yaml.lines.at(yaml.lines.text.length).line;
  let below = line + 1;
  while (below <= last && (comments.has(below) || yaml.lines.line(below).trim() === '')) below++;
  return below;
}

function ownersByLine(yaml: YamlText): Map<number, Path> {
  const owners = new Map<number, Path>();
  const root = asMap(yaml.data);
  for (const section of SECTIONS) {
    for (const id of Object.keys(asMap(root[section]))) {
      const path = [section, id];
      const { line } = yaml.place(path, 'name').start;
      if (!owners.has(line)) owners.set(line, path);
    }
  }
  return owners;
}

function placeOf({ start, text }: Comment, yaml: YamlText, path: Path): Place {
  return { file: yaml.file, path, start, end: yaml.lines.at(start.offset + text.length) };
}
