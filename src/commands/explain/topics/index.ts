import bundle from './bundle.md';
import correspondences from './correspondences.md';
import darwinCore from './darwin-core.md';
import diff from './diff.md';
import draft from './draft.md';
import exitCodes from './exit-codes.md';
import files from './files.md';
import importing from './import.md';
import key from './key.md';
import keys from './keys.md';
import lint from './lint.md';
import page from './page.md';
import record from './record.md';
import run from './run.md';
import table from './table.md';
import test from './test.md';
import trim from './trim.md';
import verdict from './verdict.md';

/** A page of the manual: the text of a Markdown file in this folder, which begins with its title. */
export interface Topic {
  readonly name: string;
  readonly title: string;
  readonly markdown: string;
}

const texts: Readonly<Record<string, string>> = {
  run,
  page,
  verdict,
  key,
  table,
  'darwin-core': darwinCore,
  record,
  bundle,
  lint,
  test,
  correspondences,
  diff,
  draft,
  trim,
  import: importing,
  keys,
  files,
  'exit-codes': exitCodes,
};

/** The pages of the manual that are not about one rule, in the order in which they are listed. */
export const topics: readonly Topic[] = Object.entries(texts).map(([name, markdown]) => ({
  name,
  title: /^# (.*)/.exec(markdown)?.[1] ?? name,
  markdown,
}));
