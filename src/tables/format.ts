/** The forms in which a table of collections may be written: in one text. */
export const tableFormats = ['csv', 'tsv', 'ndjson', 'yaml'] as const;
/** One of the forms. */
export type TableFormat = (typeof tableFormats)[number];

/** The forms in which finds may stand in one text: also as the record of one find. */
export const textFormats = [...tableFormats, 'record'] as const;
/** The form of a table of finds that is text, or a record. */
export type TextFormat = (typeof textFormats)[number];

/** The forms in which finds may be given to a command: also as a Darwin Core archive, which is no one text. */
export const givenFormats = [...textFormats, 'dwc'] as const;
export type GivenFormat = (typeof givenFormats)[number];

const ENDINGS: Readonly<Record<string, TableFormat>> = {
  csv: 'csv',
  tsv: 'tsv',
  tab: 'tsv',
  ndjson: 'ndjson',
  jsonl: 'ndjson',
  yaml: 'yaml',
  yml: 'yaml',
  // JSON is YAML.
  json: 'yaml',
};

/** The form of a table by the ending of its file's name, or undefined when that says nothing. */
export function formatByName(file: string): TableFormat | undefined {
  const ending = /\.([a-z]+)$/i.exec(file)?.[1]?.toLowerCase() ?? '';
  return Object.hasOwn(ENDINGS, ending) ? ENDINGS[ending] : undefined;
}

/** The form of finds by the name of their file and how their text begins. */
export function formatOf(file: string, start: string): TextFormat {
  const named = formatByName(file);
  const isRecord = (named ?? 'yaml') === 'yaml' && /^\ufeff?keywright-record[ \t]*:/m.test(start);
  return isRecord ? 'record' : (named ?? formatByText(start));
}

/** The form of a table by how its text begins. */
export function formatByText(start: string): TableFormat {
  const text = start.replace(/^\ufeff/, '').trimStart();
  if (text.startsWith('{')) {
    const line = text.split('\n', 1)[0] ?? '';
    return /\}\s*$/.test(line) ? 'ndjson' : 'yaml';
  }
  if (/^(#|%YAML|---|keywright-collections\s*:|collections\s*:)/.test(text)) return 'yaml';
  return (text.split('\n', 1)[0] ?? '').includes('\t') ? 'tsv' : 'csv';
}
