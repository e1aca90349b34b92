import { count } from '../../text/words.js';
import { example } from '../example.js';
import { reviewMarks, waiting } from '../review-marks.js';
import { rule } from '../rule.js';

export const importReviewed = rule({
  id: 'import-reviewed',
  group: 'comments',
  level: 'warning',
  what: 'What "keywright import" read with doubt, or proposed, was looked at by a person.',
  why: 'A lead that was misread sends a find to another taxon, and nothing else in the key shows it. Doubtful couplets are a warning; couplets that are likely right, and proposals, are a note.',
  source: 'derivable (the comments are those that the program itself writes)',
  fix: 'Walk through them with "keywright import KEY --review", or set the comment above the couplet to "reviewed" and remove those that begin with "review:".',
  good: example(`
couplets:
  # lines 3-4: reviewed
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
`),
  bad: example(`
couplets: #! import-reviewed
  # lines 3-4: doubtful
  # review: lead 1b: its name stands among the words
  1:
    - {lead: Ring present, taxon: aa}
    - {lead: Ring absent, taxon: bb}
`),
  check({ key, report }) {
    const open = [...reviewMarks(key).values()].flatMap((marks) => waiting(marks) ?? []);
    if (open.length === 0) return;
    const doubtful = open.filter((sure) => sure === 'doubtful').length;
    const is = open.length === 1 ? 'is' : 'are';
    report(['couplets'], {
      side: 'name',
      level: doubtful > 0 ? 'warning' : 'note',
      message: `${open.length} of ${count(key.couplets.size, 'couplet')} ${is} still to be reviewed${doubtful === 0 ? '' : `, ${doubtful} of them doubtful`}`,
    });
  },
});
