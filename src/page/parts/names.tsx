import type { Taxon } from '../../key/key.js';
import { nameSpans } from '../../printed/names.js';

/** The name of a taxon, its scientific words in italics, with its first common name. */
export function TaxonName({ taxon, common = true }: { taxon: Taxon; common?: boolean }) {
  const [first] = taxon.common;
  return (
    <>
      {nameSpans(taxon).map(({ text, italic }) =>
        italic ? (
          <i key={text} lang="la">
            {text}
          </i>
        ) : (
          text
        ),
      )}
      {common && first !== undefined ? ` (${first})` : ''}
    </>
  );
}
