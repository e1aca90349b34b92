import { figuresIn } from '../../key/figures.js';
import { quoted } from '../../text/harmless.js';
import { example } from '../example.js';
import { sharedCharacters } from '../places.js';
import { rule } from '../rule.js';

export const figureExists = rule({
  id: 'figure-exists',
  group: 'scope',
  level: 'error',
  what: 'Every figure that a key names is there, beside the key or in a folder below it.',
  why: 'Readers would see the caption of a picture that cannot be shown, and a bundle cannot include it.',
  source: 'derivable',
  fix: 'Put the file there, correct its name, or remove the figure. A picture may have at most 20 MB.',
  good: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa, figures: [{file: figures/ring.png, caption: Ring seen from below}]}
    - {lead: Ring absent, taxon: bb}
`),
  bad: example(`
couplets:
  1:
    - {lead: Ring present, taxon: aa, figures: [{file: figures/rign.png, caption: Ring}]} #! figure-exists
    - {lead: Ring absent, taxon: bb}
`),
  check({ key, lacking, report }) {
    const say = (file: string, problem: string) => ({
      message: `figure ${quoted(file)} cannot be shown: ${problem}`,
      found: file,
      expected: 'a picture file beside the key',
    });
    for (const { figure, path } of figuresIn(key.yaml.data)) {
      const problem = lacking(key.file, figure.file);
      if (problem !== undefined) report(path, say(figure.file, problem));
    }
    // Figures of shared terms are beside the terms.
    for (const [{ figures }, place] of sharedCharacters(key)) {
      for (const { file } of figures) {
        const problem = lacking(place.file, file);
        if (problem !== undefined)
          report(['uses'], { ...say(file, problem), related: [{ message: 'named here', place }] });
      }
    }
  },
});
