import type { Edit, Finding, Place } from '../../diagnostic/finding.js';
import { defined, filled } from '../../text/optional.js';
import { wholeText } from '../example.js';
import type { AllowedFinding } from '../lint.js';
import type { Rule } from '../rule.js';
import { harmlessJson, type LintResult, logicalOf, slashed } from './result.js';

const SCHEMA = 'https://json.schemastore.org/sarif-2.1.0.json';
/** The name of our fingerprint; the number changes whenever the way it is made does. */
const FINGERPRINT = 'keywrightPlace/v1';

/** Everything as one SARIF 2.1.0 log (OASIS). */
export function lintSarif(result: LintResult): string {
  const rules = result.rules.map(ruleSarif);
  const index = new Map(result.rules.map((r, i) => [r.id, i]));
  const one = (finding: Finding, suppressed?: object) => resultSarif(finding, result, index, suppressed);
  const suppression = (kind: 'inSource' | 'external') => (a: AllowedFinding) =>
    one(a.finding, { kind, status: 'accepted', justification: a.reason });
  return harmlessJson({
    $schema: SCHEMA,
    version: '2.1.0',
    runs: [
      {
        tool: { driver: { name: 'keywright', version: result.version, rules } },
        columnKind: 'utf16CodeUnits',
        invocations: [
          {
            executionSuccessful: result.unreadable.length === 0,
            toolExecutionNotifications: notifications(result),
          },
        ],
        results: [
          ...result.findings.map((f) => one(f)),
          ...result.allowed.map(suppression('inSource')),
          ...result.accepted.map(suppression('external')),
        ],
      },
    ],
  });
}

function ruleSarif(rule: Rule): object {
  const help = [rule.what, rule.why, `Fix: ${rule.fix}`, `Source: ${rule.source}`];
  return {
    id: rule.id,
    shortDescription: { text: rule.what },
    fullDescription: { text: rule.why },
    help: {
      text: help.join('\n\n'),
      markdown: [
        ...help,
        `Not so:\n\n\`\`\`yaml\n${wholeText(rule.bad)}\`\`\``,
        `But:\n\n\`\`\`yaml\n${wholeText(rule.good)}\`\`\``,
      ].join('\n\n'),
    },
    defaultConfiguration: {
      level: rule.level,
      ...defined({ enabled: rule.optional === true ? false : undefined }),
    },
    properties: { tags: [rule.group] },
  };
}

function resultSarif(
  finding: Finding,
  result: LintResult,
  index: ReadonlyMap<string, number>,
  suppression: object | undefined,
): object {
  const { rule, level, message, witness, related, fix, place } = finding;
  const logical = logicalOf(finding, result.keys);
  const mark = result.fingerprints.get(finding);
  const ruleIndex = index.get(rule);
  return {
    ruleId: rule,
    ...defined({ ruleIndex }),
    level,
    message: { text: witness === undefined ? message : `${message}\nFor example: ${witness}` },
    locations: [
      {
        physicalLocation: physical(place),
        ...defined({
          logicalLocations: logical && [
            { name: logical.name, fullyQualifiedName: logical.whole, kind: logical.kind },
          ],
        }),
      },
    ],
    ...filled({
      relatedLocations: (related ?? []).map((r, id) => ({
        id,
        message: { text: r.message },
        physicalLocation: physical(r.place),
      })),
    }),
    ...defined({
      partialFingerprints: mark === undefined ? undefined : { [FINGERPRINT]: mark },
      fixes: fix && [fixSarif(fix, place, result)],
      suppressions: suppression && [suppression],
      properties: witness === undefined ? undefined : { witness },
    }),
  };
}

function physical({ file, start, end }: Place): object {
  return {
    artifactLocation: { uri: uriOf(file) },
    region: {
      startLine: start.line,
      startColumn: start.column,
      endLine: end.line,
      endColumn: end.column,
      charOffset: start.offset,
      charLength: end.offset - start.offset,
    },
  };
}

function fixSarif(fix: NonNullable<Finding['fix']>, { file }: Place, result: LintResult): object {
  const lines = result.source(file);
  const replacement = ({ start, end, text }: Edit) => {
    const [from, to] = [lines?.at(start), lines?.at(end)];
    const region =
      from === undefined || to === undefined
        ? { charOffset: start, charLength: end - start }
        : { startLine: from.line, startColumn: from.column, endLine: to.line, endColumn: to.column };
    return { deletedRegion: region, insertedContent: { text } };
  };
  return {
    description: { text: fix.title },
    artifactChanges: [{ artifactLocation: { uri: uriOf(file) }, replacements: fix.edits.map(replacement) }],
  };
}

function notifications(result: LintResult): object[] {
  const at = (file: string) => [{ physicalLocation: { artifactLocation: { uri: uriOf(file) } } }];
  return [
    ...result.unreadable.map((u) => ({
      level: 'error',
      message: { text: u.problem },
      locations: at(u.file),
    })),
    ...result.notRun.map((n) => ({
      level: 'note',
      message: { text: `Not run: ${n.rules.join(', ')}. ${n.because}` },
      locations: at(n.file),
    })),
  ];
}

/** A path as a URI: relative to the folder of the run when it is below that. */
function uriOf(file: string): string {
  const path = slashed(file);
  const drive = /^[A-Za-z]:\//.test(path);
  const encoded = path
    .split('/')
    .map((step, i) => (drive && i === 0 ? step : encodeURIComponent(step)))
    .join('/');
  if (drive) return `file:///${encoded}`;
  return path.startsWith('/') ? `file://${encoded}` : encoded;
}
