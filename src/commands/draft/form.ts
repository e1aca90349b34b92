import type { TaxaForm } from './table.js';

const ENDINGS: Readonly<Record<string, 'yaml' | '\t' | ','>> = {
  yaml: 'yaml',
  yml: 'yaml',
  json: 'yaml',
  tsv: '\t',
  tab: '\t',
  csv: ',',
};

/** How a table is written: by the ending of its file, or else by its first line. */
export function formOf(name: string, text: string): TaxaForm {
  const first =
    text
      .replace(/^\ufeff/, '')
      .trimStart()
      .split('\n', 1)[0] ?? '';
  const ending = ENDINGS[/\.([a-z]+)$/i.exec(name)?.[1]?.toLowerCase() ?? ''];
  const yaml = /^(#|%YAML|---|\{|keywright|[a-z-]+:(\s|$))/.test(first);
  const form = ending ?? (yaml ? 'yaml' : first.includes('\t') ? '\t' : ',');
  // Where the comma is the decimal sign, spreadsheets separate cells by semicolons.
  return form === ',' && first.includes(';') && !first.includes(',') ? ';' : form;
}
