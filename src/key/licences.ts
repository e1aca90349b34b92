/** Licences by their SPDX names: what an expression names, and the legal texts of the common ones. */
import parse, { type Info } from 'spdx-expression-parse';
import deprecated from 'spdx-license-ids/deprecated.json' with { type: 'json' };
import ids from 'spdx-license-ids/index.json' with { type: 'json' };
import { quoted } from '../text/harmless.js';
import { nearest } from '../text/nearest.js';
import { defined } from '../text/optional.js';

/** The licences that an expression names, each once; or what is wrong with it. */
type ReadLicence =
  | { readonly ok: true; readonly ids: readonly string[] }
  | { readonly ok: false; readonly problem: string; readonly nearest?: string };

/** Reads an SPDX expression, such as `CC-BY-4.0` or `MIT OR LicenseRef-our-terms`. */
export function readLicence(expression: string): ReadLicence {
  const found = new Set<string>();
  const visit = (info: Info): void => {
    if ('license' in info) found.add(info.license);
    else {
      visit(info.left);
      visit(info.right);
    }
  };
  try {
    visit(parse(expression));
    return { ok: true, ids: [...found] };
  } catch {
    const words = expression.split(/[\s()]+/).filter((w) => w !== '' && !/^(AND|OR|WITH)$/.test(w));
    const known = new Set([...ids, ...deprecated]);
    const unknown = words.find((w) => !known.has(w.replace(/\+$/, '')) && !w.startsWith('LicenseRef-'));
    if (unknown === undefined)
      return { ok: false, problem: `${quoted(expression)} is not a valid SPDX expression` };
    const near = nearest(unknown, known);
    return {
      ok: false,
      problem: `${quoted(unknown)} is not on the SPDX licence list`,
      ...defined({ nearest: near }),
    };
  }
}

/** A licence with its legal text. */
interface LicenceText {
  readonly id: string;
  readonly name: string;
  readonly text: string;
}

type Loader = () => Promise<{ readonly default: { readonly name: string; readonly licenseText: string } }>;

/** The texts that are carried along, as the SPDX list has them; the others can be read at spdx.org. */
const TEXTS: Readonly<Record<string, Loader>> = {
  'Apache-2.0': () => import('spdx-license-list/licenses/Apache-2.0.json', { with: { type: 'json' } }),
  'BSD-3-Clause': () => import('spdx-license-list/licenses/BSD-3-Clause.json', { with: { type: 'json' } }),
  'CC-BY-3.0': () => import('spdx-license-list/licenses/CC-BY-3.0.json', { with: { type: 'json' } }),
  'CC-BY-4.0': () => import('spdx-license-list/licenses/CC-BY-4.0.json', { with: { type: 'json' } }),
  'CC-BY-NC-4.0': () => import('spdx-license-list/licenses/CC-BY-NC-4.0.json', { with: { type: 'json' } }),
  'CC-BY-NC-ND-4.0': () =>
    import('spdx-license-list/licenses/CC-BY-NC-ND-4.0.json', { with: { type: 'json' } }),
  'CC-BY-NC-SA-4.0': () =>
    import('spdx-license-list/licenses/CC-BY-NC-SA-4.0.json', { with: { type: 'json' } }),
  'CC-BY-ND-4.0': () => import('spdx-license-list/licenses/CC-BY-ND-4.0.json', { with: { type: 'json' } }),
  'CC-BY-SA-3.0': () => import('spdx-license-list/licenses/CC-BY-SA-3.0.json', { with: { type: 'json' } }),
  'CC-BY-SA-4.0': () => import('spdx-license-list/licenses/CC-BY-SA-4.0.json', { with: { type: 'json' } }),
  'CC0-1.0': () => import('spdx-license-list/licenses/CC0-1.0.json', { with: { type: 'json' } }),
  MIT: () => import('spdx-license-list/licenses/MIT.json', { with: { type: 'json' } }),
  'ODbL-1.0': () => import('spdx-license-list/licenses/ODbL-1.0.json', { with: { type: 'json' } }),
  'PDDL-1.0': () => import('spdx-license-list/licenses/PDDL-1.0.json', { with: { type: 'json' } }),
};

/** The legal text of a licence; undefined where it is not among those carried along. */
export async function licenceText(id: string): Promise<LicenceText | undefined> {
  if (!Object.hasOwn(TEXTS, id)) return undefined;
  const { name, licenseText } = (await (TEXTS[id] as Loader)()).default;
  return { id, name, text: licenseText };
}
