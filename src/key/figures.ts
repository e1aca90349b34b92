import type { Path } from '../diagnostic/finding.js';
import { defined } from '../text/optional.js';
import type { Figure } from '../traits/character.js';
import type { Data } from './document.js';
import { asEntries, asList, asMap, asText } from './fields.js';

const NONE: readonly Figure[] = [];

/** The `figures` of a lead, a character or a taxon, as far as they are well-formed. */
export function readFigures(data: Data | undefined): readonly Figure[] {
  if (data === undefined) return NONE;
  return asList(data).flatMap((item) => {
    const fields = asMap(item);
    const file = asText(fields.file);
    const caption = asText(fields.caption);
    if (file === undefined || caption === undefined) return [];
    return [defined({ file, caption, by: asText(fields.by) })];
  });
}

/** A figure, and where its file is named. */
interface PlacedFigure {
  readonly figure: Figure;
  readonly path: Path;
}

/** Every figure that a key file or a terms file names, in the order of characters, couplets and taxa. */
export function figuresIn(data: Data | undefined): PlacedFigure[] {
  const root = asMap(data);
  const of = (owner: Data, path: Path): PlacedFigure[] =>
    asList(asMap(owner).figures).flatMap((item, i) =>
      readFigures([item]).map((figure) => ({ figure, path: [...path, 'figures', i, 'file'] })),
    );
  return [
    ...asEntries(root.characters).flatMap(([id, c]) => of(c, ['characters', id])),
    ...asEntries(root.couplets).flatMap(([id, leads]) =>
      asList(leads).flatMap((lead, i) => of(lead, ['couplets', id, i])),
    ),
    ...asEntries(root.taxa).flatMap(([id, t]) => of(t, ['taxa', id])),
  ];
}
