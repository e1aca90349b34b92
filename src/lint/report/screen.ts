import { compareFindings, type Finding, type Level, levels } from '../../diagnostic/finding.js';
import type { Key } from '../../key/key.js';
import { harmless } from '../../text/harmless.js';
import { byCodeUnit, count } from '../../text/words.js';
import { displayWidth, wrapLines } from '../../text/wrap.js';
import { type LintResult, levelCounts } from './result.js';
import type { FindingsSetting } from './text.js';

/**
 * What an author wants to know about a whole key: how often each rule is broken, then the findings by couplet in the
 * order of the key, then taxa and characters, then the rest of the file.
 */
export function lintScreen(result: LintResult, setting: FindingsSetting): string {
  const byFile = new Map<string, Finding[]>();
  for (const finding of result.findings) {
    const { file } = finding.place;
    byFile.set(file, [...(byFile.get(file) ?? []), finding]);
  }
  const blocks = [...byFile].map(([file, findings]) => {
    const key = result.keys.get(file);
    return [
      ...heading(file, key, findings, setting),
      '',
      ...ruleCounts(findings),
      ...sections(findings, key, setting),
    ].join('\n');
  });
  return blocks.map((block) => `${block}\n`).join('\n');
}

function heading(
  file: string,
  key: Key | undefined,
  findings: readonly Finding[],
  { paint, width }: FindingsSetting,
): string[] {
  const counts = levelCounts(findings);
  const said = levels.flatMap((level) => (counts[level] === 0 ? [] : count(counts[level], level))).join(', ');
  const text = `${key === undefined ? '' : `${harmless(key.title)} `}(${harmless(file)}): ${said}`;
  return wrapLines(paint.strong(text), width ?? Number.MAX_SAFE_INTEGER, '', '  ');
}

/** How often each rule is broken: the worst first, then the most frequent. */
function ruleCounts(findings: readonly Finding[]): string[] {
  const counts = new Map<string, { level: Level; rule: string; n: number }>();
  for (const { rule, level } of findings) {
    const mark = `${level} ${rule}`;
    const before = counts.get(mark)?.n ?? 0;
    counts.set(mark, { level, rule, n: before + 1 });
  }
  const rows = [...counts.values()].sort(
    (a, b) => levels.indexOf(a.level) - levels.indexOf(b.level) || b.n - a.n || byCodeUnit(a.rule, b.rule),
  );
  const digits = Math.max(...rows.map((r) => String(r.n).length));
  const words = Math.max(...rows.map((r) => r.level.length));
  return rows.map((r) => `  ${String(r.n).padStart(digits)}  ${r.level.padEnd(words)}  ${r.rule}`);
}

function sections(findings: readonly Finding[], key: Key | undefined, setting: FindingsSetting): string[] {
  const groups = new Map<string, Finding[]>();
  for (const finding of findings) {
    const [section, id] = finding.place.path;
    const name =
      id !== undefined && (section === 'couplets' || section === 'taxa' || section === 'characters')
        ? `${section}\0${id}`
        : '';
    groups.set(name, [...(groups.get(name) ?? []), finding]);
  }
  const order = [
    ...[...(key?.couplets.keys() ?? [])].map((id) => [`couplets\0${id}`, `Couplet ${id}`] as const),
    ...[...(key?.taxa.keys() ?? [])].map((id) => [`taxa\0${id}`, `Taxon ${id}`] as const),
    ...[...(key?.characters.keys() ?? [])].map((id) => [`characters\0${id}`, `Character ${id}`] as const),
  ];
  const lines: string[] = [];
  const show = (title: string, own: readonly Finding[]) => {
    lines.push('', setting.paint.strong(harmless(title)));
    for (const finding of [...own].sort(compareFindings)) lines.push(...entry(finding, setting));
  };
  for (const [name, title] of order) {
    const own = groups.get(name);
    if (own === undefined) continue;
    groups.delete(name);
    show(title, own);
  }
  const rest = [...groups.values()].flat();
  if (rest.length > 0) show('Elsewhere in the file', rest);
  return lines;
}

function entry(
  { level, message, rule, place, witness }: Finding,
  { width, paint }: FindingsSetting,
): string[] {
  const first = `  ${place.start.line}:${place.start.column}  `;
  const rest = ' '.repeat(displayWidth(first));
  const most = width ?? Number.MAX_SAFE_INTEGER;
  const word = level === 'error' ? paint.alarm(level) : level;
  return [
    ...wrapLines(`${word}: ${message} ${paint.faint(`[${rule}]`)}`, most, first, rest),
    ...(witness === undefined ? [] : wrapLines(`for example: ${witness}`, most, rest)),
  ];
}
