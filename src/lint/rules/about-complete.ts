import { listed } from '../../text/words.js';
import { example } from '../example.js';
import { rule } from '../rule.js';

export const aboutComplete = rule({
  id: 'about-complete',
  group: 'scope',
  level: 'warning',
  what: 'The key says who wrote it, when, under which licence, and from which sources.',
  why: 'Names and scope change; a determination must cite the key it was made with, and anyone who passes a key on must know that they may.',
  source:
    'common practice, no source; Darwin Core, nameAccordingTo and identificationReferences, for the record',
  fix: 'Add `authors`, `date`, `licence` (an SPDX name such as CC-BY-4.0, or LicenseRef- and a word) and `sources`.',
  good: example(`
date: 2026-09-02
licence: CC-BY-4.0
authors: [Tarn Hollow recorders]
sources:
  own: {cite: "finds of the Tarn Hollow recorders"}
`),
  bad: example(`
title: Caps #! about-complete
date: 2026-09-02
`),
  check({ key, report }) {
    const missing = [
      ...(key.authors.length === 0 ? ['its authors'] : []),
      ...(key.date === undefined ? ['its date'] : []),
      ...(key.licence === undefined ? ['its licence'] : []),
      ...(key.sources.length === 0 ? ['its sources'] : []),
    ];
    if (missing.length === 0) return;
    report(['title'], {
      side: 'name',
      message: `the key does not say ${listed(missing)}`,
      expected: missing.map((m) => m.replace('its ', '')).join(', '),
    });
  },
});
