import type { Key } from '../../key/key.js';
import { escaped } from '../../printed/markup.js';
import { imprint, scopeEntries } from '../../printed/words.js';
import { cautions } from '../../words/cautions.js';
import { hashOf, headOf } from './html.js';

/** A page that was made, and the key on it. */
export interface MadePage {
  /** The name of its file, beside the index. */
  readonly file: string;
  readonly key: Key;
}

const STYLE = `:root{color-scheme:light dark;font-size:112.5%}
body{max-width:40rem;margin:0 auto;padding:.75rem 1rem 3rem;line-height:1.4;overflow-wrap:break-word;
font-family:"Iowan Old Style","Palatino Linotype",Palatino,"Book Antiqua","URW Palladio L",Georgia,serif;background:#fdfcf7;color:#15110b}
@media (prefers-color-scheme:dark){body{background:#14110d;color:#f3eee2}}
h1{font-size:1.5rem;line-height:1.2;border-bottom:3px double;padding-bottom:.4rem}
ul{list-style:none;padding:0}
li{border-bottom:1px solid;padding:.6rem 0}
a{color:inherit;font-size:1.1rem;display:block;padding:.4rem 0}
p{margin:.2rem 0}
`;

/** A page that names the pages of several keys: what each is for, whose it is, how old. It has no script. */
export function indexPage(pages: readonly MadePage[], made: string): string {
  const policy = `default-src 'none'; style-src ${hashOf(STYLE)}; base-uri 'none'; form-action 'none'`;
  const items = pages.map(({ file, key }) => {
    const scope = scopeEntries(key).filter(([heading]) => heading === 'Group' || heading === 'Regions');
    return `<li><a href="${escaped(encodeURIComponent(file))}">${escaped(key.title)}</a>
${scope.map(([heading, text]) => `<p>${escaped(`${heading}: ${text}`)}</p>\n`).join('')}<p><small>${escaped(imprint(key))}</small></p></li>`;
  });
  return `${headOf('en', 'Identification keys', policy)}<style>${STYLE}</style>
</head>
<body>
<main>
<h1>Identification keys</h1>
<p>Made on ${escaped(made)}. Each page works without a network, also when it is kept alone.</p>
<ul>
${items.join('\n')}
</ul>
<h2>Cautions</h2>
${cautions(undefined)
  .map((text) => `<p>${escaped(text)}</p>`)
  .join('\n')}
</main>
</body>
</html>
`;
}
