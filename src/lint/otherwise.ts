import type { Finding } from '../diagnostic/finding.js';
import type { Couplet, Key, Lead } from '../key/key.js';

// The whole lead must say it: "not as above; spores white" says more.
const EVERYTHING_ELSE =
  /^(?:otherwise|not (?:as|like) (?:above|a)|not so|not with (?:this|that|the above) combination|without (?:this|that) combination|none of (?:these|the above)|nicht (?:wie (?:oben|vorige|vorstehend|bei a)|so)|anders|andernfalls|sonst|keines davon|sans ces caractères|autrement)\.?$/i;

/** Whether a lead says in words that it takes what the others do not, but has neither `when` nor `otherwise`. */
export function meansOtherwise(lead: Lead, couplet: Couplet): boolean {
  return (
    lead.when === undefined &&
    !lead.otherwise &&
    EVERYTHING_ELSE.test(lead.text.trim()) &&
    couplet.leads.some((l) => l.when !== undefined) &&
    !couplet.leads.some((l) => l.otherwise)
  );
}

/** The fix that adds `otherwise: true` below, or in a lead of one line after, the words of a lead. */
export function otherwiseFix(key: Key, lead: Lead): Finding['fix'] {
  const { yaml } = key;
  const { text } = yaml.lines;
  const name = yaml.place([...lead.path, 'lead'], 'name').start;
  const value = yaml.place([...lead.path, 'lead']).end.offset;
  const end = text.slice(0, value).trimEnd().length;
  const flow = text.slice(yaml.place(lead.path).start.offset).startsWith('{');
  if (flow)
    return { title: 'add "otherwise: true"', edits: [{ start: end, end, text: ', otherwise: true' }] };
  const lineEnd = end + (/\r?\n|$/.exec(text.slice(end))?.index ?? 0);
  const ending = text.startsWith('\r\n', lineEnd) ? '\r\n' : '\n';
  const indented = `${ending}${' '.repeat(name.column - 1)}otherwise: true`;
  return { title: 'add "otherwise: true"', edits: [{ start: lineEnd, end: lineEnd, text: indented }] };
}
