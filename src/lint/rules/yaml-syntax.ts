import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const yamlSyntax = rule({
  id: 'yaml-syntax',
  group: 'the file',
  level: 'error',
  what: 'The file can be read as YAML.',
  why: 'Nothing else can be checked until it can.',
  source: FILE_FORMAT,
  fix: 'Check the indentation, the closing brackets, and whether text with ":" or "#" needs quotes.',
  good: example(`
title: Caps
`),
  bad: example(`
title: Caps: small ones #! yaml-syntax
`),
});
