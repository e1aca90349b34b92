import { createHash } from 'node:crypto';
import type { Finding, Place } from '../diagnostic/finding.js';
import type { End, Key, Lead } from '../key/key.js';

/**
 * By what each finding is known again in a later run: a hash of its rule and of what its places are called, without
 * line numbers, couplet numbers and letters, so that it survives moved lines and renumbered couplets. A lead is called
 * by its text and the taxa or the key it ends at, a couplet by its leads, everything else by the ids on the way to it.
 * What several findings would share is told apart by counting them in file order. The name of the key's file and the
 * words of the message do not count.
 */
export function fingerprints(
  findings: readonly Finding[],
  keys: ReadonlyMap<string, Key>,
): ReadonlyMap<Finding, string> {
  const seen = new Map<string, number>();
  const marks = new Map<Finding, string>();
  for (const finding of findings) {
    const places = (finding.related ?? []).map((r) => called(r.place, keys)).sort();
    const mark = hashed([finding.rule, called(finding.place, keys), ...places]);
    const count = (seen.get(mark) ?? 0) + 1;
    seen.set(mark, count);
    marks.set(finding, count === 1 ? mark : `${mark}:${count}`);
  }
  return marks;
}

function called(place: Place, keys: ReadonlyMap<string, Key>): string {
  const key = keys.get(place.file);
  if (key === undefined) return [nameOf(place.file), ...place.path].join('\0');
  const [section, id, index, ...rest] = place.path;
  const couplet = section === 'couplets' ? key.couplets.get(String(id)) : undefined;
  if (couplet === undefined) return [key.id, ...place.path].join('\0');
  const lead = index === undefined ? undefined : couplet.leads[Number(index)];
  const name = lead === undefined ? couplet.leads.map(leadCalled).join('\0') : leadCalled(lead);
  return [key.id, lead === undefined ? 'couplet' : 'lead', name, ...rest].join('\0');
}

function leadCalled({ text, end }: Lead): string {
  return `${text.replace(/\s+/g, ' ').trim()}\0${endCalled(end)}`;
}

function endCalled(end: End): string {
  if (end.kind === 'taxa') return end.taxa.join(' ');
  return end.kind === 'key' ? `in ${end.key}` : '';
}

function nameOf(file: string): string {
  return file.split(/[/\\]/).pop() ?? file;
}

function hashed(parts: readonly string[]): string {
  return createHash('sha256').update(parts.join('\0\0')).digest('hex').slice(0, 16);
}
