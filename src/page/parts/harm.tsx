import type { ConcernLevel } from '../../key/key.js';
import { concernBriefly } from '../../words/cautions.js';
import { PATTERNS } from '../../words/harm-inks.js';

/** The harm of a taxon, or behind a lead: in words first, then the pattern and the darkness of `draw`. */
export function Harm({ level, words = concernBriefly(level) }: { level: ConcernLevel; words?: string }) {
  return (
    <span class={`harm ${level}`}>
      <svg class="swatch" viewBox="0 0 16 16" aria-hidden="true" focusable="false">
        {[0, 8]
          .flatMap((x) => [0, 8].map((y) => [x, y]))
          .map(([x, y]) => (
            <path key={`${x} ${y}`} d={PATTERNS[level]} transform={`translate(${x} ${y})`} />
          ))}
      </svg>
      {words}
    </span>
  );
}
