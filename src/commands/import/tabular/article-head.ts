/** What the head of an article says: whose it is, how it is cited, and on what terms it may be used. */
import type { About } from './table.js';
import { licenceOf } from './terms.js';

/** The elements whose text is kept for the head of the article. */
export interface Front {
  title: string;
  journal: string;
  volume: string;
  issue: string;
  first: string;
  last: string;
  elocation: string;
  doi: string;
  year: string;
  terms: string;
  link: string;
  line: number;
  language: string | undefined;
  readonly authors: { given: string; surname: string; whole: string }[];
}

/** A head of which nothing is known. */
export function emptyFront(): Front {
  return {
    title: '',
    journal: '',
    volume: '',
    issue: '',
    first: '',
    last: '',
    elocation: '',
    doi: '',
    year: '',
    terms: '',
    link: '',
    line: 1,
    language: undefined,
    authors: [],
  };
}

/** The article as the source of a key. */
export function aboutOf(f: Front): About {
  const authors = f.authors
    .map(({ given, surname, whole }) => `${given} ${surname}`.trim() || whole)
    .filter((a) => a !== '');
  const cited = f.authors
    .map(({ given, surname, whole }) => (surname === '' ? whole : `${surname} ${initials(given)}`.trim()))
    .filter((a) => a !== '');
  const doi = f.doi.replace(/^(?:https?:\/\/(?:dx\.)?doi\.org\/|doi:\s*)/i, '');
  const number = f.volume !== '' ? `${f.volume}${f.issue === '' ? '' : `(${f.issue})`}` : f.issue;
  const pages =
    f.first === '' ? f.elocation : f.last === '' || f.last === f.first ? f.first : `${f.first}–${f.last}`;
  const where = [f.journal, number].filter((t) => t !== '').join(' ');
  const cite = [
    [cited.join(', '), f.year === '' ? '' : `(${f.year})`].filter((t) => t !== '').join(' '),
    f.title.replace(/\.$/, ''),
    [where, pages].filter((t) => t !== '').join(': '),
  ]
    .filter((t) => t !== '')
    .join('. ')
    .replace(/\)\. /, ') ');
  const terms = f.terms === '' ? undefined : f.terms;
  return {
    authors,
    cite: cite === '' ? undefined : cite,
    url: /^10\.\d{3,9}\/\S+$/.test(doi) ? `https://doi.org/${doi}` : undefined,
    licence: licenceOf(f.link, f.terms),
    terms: terms ?? (f.link === '' ? undefined : f.link),
    line: f.line,
    language: f.language,
  };
}

function initials(given: string): string {
  return given
    .split(/[\s.]+/)
    .filter((n) => n !== '')
    .map((n) =>
      n
        .split('-')
        .map((p) => p.slice(0, 1).toUpperCase())
        .join('-'),
    )
    .join('');
}
