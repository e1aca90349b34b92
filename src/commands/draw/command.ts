import { UsageError } from '../../diagnostic/usage-error.js';
import { drawing, TOGETHER } from '../../drawn/layout.js';
import { marksFor, NO_MARKS } from '../../drawn/marks.js';
import { drawSvg } from '../../drawn/svg.js';
import { SettingsOfFiles } from '../../inputs/lint-inputs.js';
import { openReadableKey, type ReadableKey } from '../../inputs/readable-key.js';
import { lintKey } from '../../lint/lint.js';
import { rules } from '../../lint/rules/index.js';
import { KnownRules } from '../../lint/settings.js';
import { DEEPEST } from '../../printed/indented-blocks.js';
import { type Printed, toPrinted } from '../../printed/key.js';
import type { World } from '../../terminal/world.js';
import { cautions, concernWords } from '../../words/cautions.js';
import { checkOut, codeDespite, writeOut } from '../output.js';
import { drawDot } from './dot.js';
import { drawMermaid } from './mermaid.js';

/** The options of `draw`. */
interface DrawFlags {
  readonly format: 'svg' | 'dot' | 'mermaid';
  readonly leads: 'full' | 'short';
  readonly findings: 'error' | 'warning' | 'note' | 'none';
  readonly levels?: number;
  readonly together?: number;
  readonly chain?: boolean;
  readonly renumber?: boolean;
  readonly out?: string;
  readonly overwrite?: boolean;
  readonly keys?: readonly string[];
}

/** Draws a key. 0 = drawn, 1 = drawn though the key has errors, 2 = not drawn. */
export async function action(
  [reference = '']: readonly string[],
  flags: DrawFlags,
  world: World,
): Promise<number> {
  checkOut(flags, 'draw');
  for (const [flag, value] of [
    ['--levels', flags.levels],
    ['--together', flags.together],
  ])
    if (value !== undefined && flags.format !== 'svg')
      throw new UsageError(`${flag} is for --format svg; the other formats are laid out elsewhere`, 'draw');
  const opened = await openReadableKey(reference, flags.keys, world);
  if (opened === undefined) return 2;
  const { chain, file, errors } = opened;
  const key = toPrinted(chain, { renumber: flags.renumber === true, chain: flags.chain === true });
  const marks = flags.findings === 'none' ? NO_MARKS : marksOf(opened, key, flags.findings, world);
  const [caution = ''] = cautions(undefined);
  const signature = `Drawn by keywright ${world.version} from ${chain.main.id} ${chain.main.version}.`;
  const text = {
    svg: () => {
      const options = { leads: flags.leads, marks, concernWords };
      const { levels = DEEPEST, together = TOGETHER } = flags;
      return drawSvg(drawing(key, { ...options, levels, together }), { caution, signature });
    },
    dot: () => drawDot(key, { marks, caution, signature, leads: flags.leads }),
    mermaid: () => drawMermaid(key, { marks, caution, signature, leads: flags.leads }),
  }[flags.format]();
  writeOut(text, flags, world);
  return codeDespite(errors, file, 'was drawn', world);
}

/** What lint finds in the keys that are drawn, as far down as the level asked for. */
function marksOf(
  { file, text, shelf }: ReadableKey,
  key: Printed,
  level: 'error' | 'warning' | 'note',
  world: World,
) {
  const wanted = { error: ['error'], warning: ['error', 'warning'], note: ['error', 'warning', 'note'] }[
    level
  ];
  const settings = new SettingsOfFiles([], new KnownRules(rules), world);
  const { findings } = lintKey(text, file, {
    shelf,
    rules,
    settings: (name) => settings.of(name),
    lacking: (from, figure) => shelf.lacking(from, figure),
  });
  return marksFor(
    findings.filter((f) => wanted.includes(f.level)),
    key,
  );
}
