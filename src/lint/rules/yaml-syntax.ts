import { example } from '../example.js';
import { FILE_FORMAT, rule } from '../rule.js';

export const yamlSyntax = rule({
  id: 'yaml-syntax',
  group: 'the file',
  level: 'error',
  what: 'The file can be read as YAML.',
  why: 'Nothing else can be looked at before.',
  source: FILE_FORMAT,
  fix: 'Look at the indentation, at closing brackets, and whether a text with ":" or "#" needs quotes.',
  good: example(`
title: Caps
`),
  bad: example(`
title: Caps: small ones #! yaml-syntax
`),
});
