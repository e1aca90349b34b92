import { createHash } from 'node:crypto';
import { deflateSync } from 'node:zlib';
import type { Key } from '../../key/key.js';
import { base91 } from '../../page/base91.js';
import type { PageData } from '../../page/data.js';
import { messages } from '../../page/messages.js';
import { escaped } from '../../printed/markup.js';
import { CONCERN_INKS } from '../../words/harm-inks.js';
import { parts } from './parts.generated.js';

/**
 * The page as one text. Its policy names its scripts and its style by their hashes and allows pictures that are in it;
 * everything else is forbidden, so nothing is ever fetched or sent.
 */
export function pageHtml(
  data: PageData,
  { title, language = 'en' }: Pick<Key, 'title' | 'language'>,
): string {
  const style = `${inkRules()}${parts.style}`;
  const policy = [
    "default-src 'none'",
    `script-src ${hashOf(parts.boot)} 'sha256-${parts.programHash}'`,
    `style-src ${hashOf(style)}`,
    'img-src data: blob:',
    "connect-src 'none'",
    "form-action 'none'",
    "base-uri 'none'",
  ].join('; ');
  const { figures, ...key } = data;
  return `${headOf(language, title, policy)}<meta name="generator" content="${escaped(data.program)}">
</head>
<body>
<div id="page"><main><h1>${escaped(title)}</h1><noscript><p>This page asks a key, for which it needs JavaScript; it is all in this file.</p></noscript><p id="failed" hidden>${escaped(`${messages.startFailed} ${messages.startFailedText}`)}</p></main></div>
${inSigns('style', deflated(style))}
${inSigns('program', Buffer.from(parts.program, 'base64'))}
${inSigns('key', deflated(JSON.stringify(key)))}
<script type="application/json" id="figures">${JSON.stringify(figures).replaceAll('<', '\\u003c')}</script>
<script>${parts.boot}</script>
</body>
</html>
`;
}

/** What is unpacked when the page is opened, in printable signs. */
function inSigns(id: string, bytes: Uint8Array): string {
  return `<script type="text/plain" id="${id}" data-bytes="${bytes.length}">${base91(bytes)}</script>`;
}

function deflated(text: string): Uint8Array {
  return deflateSync(text, { level: 9 });
}

/** How a page begins, up to where its head may go on. */
export function headOf(language: string, title: string, policy: string): string {
  return `<!doctype html>
<html lang="${escaped(language)}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<title>${escaped(title)}</title>
`;
}

/** What a content security policy calls a script or a style by. */
export function hashOf(text: string): string {
  return `'sha256-${createHash('sha256').update(text).digest('base64')}'`;
}

/** The inks of harm, as the style takes them. */
function inkRules(): string {
  return Object.entries(CONCERN_INKS)
    .map(([level, { fill, text, edge }]) => `.harm.${level}{--fill:${fill};--text:${text};--edge:${edge}}`)
    .join('');
}
