import type { DrawnCouplet, Rectangle } from '../../drawn/drawing.js';
import { drawing } from '../../drawn/layout.js';
import { boxInSvg, drawSvg, svgSize } from '../../drawn/svg.js';
import type { CompiledKey } from '../../engine/compile.js';
import { toPrinted } from '../../printed/key.js';
import { cautions, concernWords } from '../../words/cautions.js';
import type { OpenFind } from './find.js';

/** The picture of a key, and where a find stands in it. */
export interface PictureView {
  /** As SVG, to be shown as a picture, so that nothing in it can act. */
  readonly svg: string;
  readonly width: number;
  readonly height: number;
  readonly couplets: number;
  /** The couplet that is asked. */
  readonly here: { readonly number: string; readonly box: Rectangle } | undefined;
}

/** Draws a key with the way of a find through it; without a find, the key alone. */
export function pictureView(key: CompiledKey, open: OpenFind | undefined, signature: string): PictureView {
  const printed = toPrinted(key.chain, { chain: key.chain.keys.length > 1 });
  const drawn = drawing(printed, { concernWords });
  const [caution = ''] = cautions(undefined);
  const couplets = drawn.keys.flatMap((k) => k.couplets.map((couplet) => ({ key: k.key.key, couplet })));
  const ask = open?.keying.standing.ask?.couplet;
  const node = ask === undefined ? undefined : key.chain.nodes[ask.index];
  const here = couplets.find((c) => c.key === node?.key && c.couplet.couplet.id === node.couplet.id)?.couplet;
  const taken = new Set(
    open?.keying.visited().flatMap((v) => (v.decided === 'open' ? [] : v.going.map((l) => l.lead))),
  );
  const way = couplets
    .flatMap((c) => c.couplet.leads)
    .filter((l) => taken.has(l.lead.lead))
    .map((l) => l.box);
  const setting = { caution, signature, outlined: here === undefined ? way : [...way, withNumber(here)] };
  return {
    svg: drawSvg(drawn, setting),
    ...svgSize(drawn, setting),
    couplets: couplets.length,
    here:
      here === undefined
        ? undefined
        : { number: here.couplet.number, box: boxInSvg(here.box, drawn, setting) },
  };
}

/** A couplet with its number, which stands on its left edge. */
function withNumber({ box, number }: DrawnCouplet): Rectangle {
  return { ...box, x: number.x, width: box.x + box.width - number.x };
}
