import { compareFindings, type Finding, type Level, levels } from '../../diagnostic/finding.js';
import { harmless } from '../../text/harmless.js';
import { defined } from '../../text/optional.js';
import { count } from '../../text/words.js';
import { type LintResult, levelCounts, slashed } from './result.js';

// GitHub shows ten annotations of each level per step and silently drops the rest.
const MOST_SHOWN = 10;
const COMMANDS: Readonly<Record<Level, string>> = { error: 'error', warning: 'warning', note: 'notice' };
/** Workflow commands that GitHub turns into annotations: worst first, ten of each level, then the total. */
export function lintGithub(result: LintResult): string {
  const lines = result.unreadable.map(
    (u) => `::error file=${property(slashed(u.file))},title=unreadable::${data(u.problem)}`,
  );
  for (const level of levels) {
    const own = result.findings.filter((f) => f.level === level).sort(compareFindings);
    lines.push(...own.slice(0, MOST_SHOWN).map(annotation));
  }
  if (result.findings.length > 0) lines.push(total(result.findings));
  return lines.map((line) => `${line}\n`).join('');
}

function annotation({ rule, level, message, witness, place }: Finding): string {
  const { file, start, end } = place;
  const properties = {
    file: slashed(file),
    line: start.line,
    endLine: end.line,
    col: start.column,
    // GitHub rejects an end column when the end is on another line.
    ...defined({
      endColumn: end.line === start.line && end.column > start.column ? end.column : undefined,
    }),
    title: rule,
  };
  const written = Object.entries(properties).map(([name, value]) => `${name}=${property(String(value))}`);
  const example = witness === undefined ? '' : `\nfor example: ${witness}`;
  return `::${COMMANDS[level]} ${written.join(',')}::${data(message + example)}`;
}

function total(findings: readonly Finding[]): string {
  const counts = levelCounts(findings);
  const parts = levels.flatMap((level) => {
    const n = counts[level];
    if (n === 0) return [];
    return [`${count(n, level)}${n > MOST_SHOWN ? ` (${MOST_SHOWN} shown)` : ''}`];
  });
  return `keywright lint: ${parts.join(', ')}`;
}

/** The text of a command, which must stay on one line. An intended line break is escaped, not made harmless. */
function data(text: string): string {
  return text
    .split('\n')
    .map((line) => harmless(line).replaceAll('%', '%25'))
    .join('%0A');
}

function property(text: string): string {
  return data(text).replaceAll(':', '%3A').replaceAll(',', '%2C');
}
