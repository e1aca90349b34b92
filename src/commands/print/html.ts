import { type IndentedBlock, indentedBlocks } from '../../printed/indented-blocks.js';
import type { Printed, PrintedCouplet, PrintedEnd, PrintedKey, PrintedLead } from '../../printed/key.js';
import { escaped, htmlSpans } from '../../printed/markup.js';
import {
  endSpans,
  harmSentences,
  imprint,
  scopeEntries,
  sourceText,
  taxonEntry,
  upright,
} from '../../printed/words.js';
import { PRINT_STYLE } from './style.js';
import type { PrintSetting } from './text.js';

/** The sizes of paper that can be asked for; without one the person's printer decides. */
const paperSizes = ['a5', 'a4'] as const;
export type PaperSize = (typeof paperSizes)[number];

/** How a key is set as HTML. */
interface HtmlSetting extends PrintSetting {
  readonly paper: PaperSize | undefined;
}

/**
 * A printed key as one HTML page for the screen and for paper. Nothing is loaded from elsewhere and nothing is run. The
 * page is well-formed XML as well.
 */
export function printHtml(printed: Printed, setting: HtmlSetting): string {
  const [first] = printed.keys;
  const main = first?.key;
  const lang = /^[A-Za-z]{2,3}(-[A-Za-z0-9]{1,8})*$/.exec(main?.language ?? '')?.[0] ?? 'en';
  const paper = setting.paper === undefined ? '' : `@page { size: ${setting.paper.toUpperCase()}; }\n`;
  const title = escaped(main?.title ?? '');
  const parts = [
    '<!DOCTYPE html>',
    `<html lang="${lang}">`,
    '<head>',
    '<meta charset="utf-8" />',
    '<meta name="viewport" content="width=device-width, initial-scale=1" />',
    `<meta name="generator" content="${escaped(setting.signature)}" />`,
    `<title>${title}</title>`,
    `<style>\n${PRINT_STYLE}${paper}</style>`,
    '</head>',
    '<body>',
    ...printed.keys.map((key, i) => keySection(key, printed, setting, i === 0)),
    ...harmSentences(printed).map((text) => `<p class="remark">${escaped(text)}</p>`),
    ...(setting.brief ? [] : endMatter(printed)),
    section(
      'cautions',
      'Cautions',
      `<ul>${setting.cautions.map((t) => `<li>${escaped(t)}</li>`).join('')}</ul>`,
    ),
    `<footer>${escaped(setting.signature)}</footer>`,
    '</body>',
    '</html>',
  ];
  return `${parts.join('\n')}\n`;
}

function section(name: string, heading: string, body: string): string {
  return `<section class="${name}" id="${name}">\n<h2>${heading}</h2>\n${body}\n</section>`;
}

function keySection(key: PrintedKey, printed: Printed, setting: HtmlSetting, first: boolean): string {
  const { title } = key.key;
  const level = first ? 'h1' : 'h2';
  const body =
    setting.layout === 'bracketed'
      ? key.couplets.map((c) => coupletHtml(c, key, printed, setting))
      : indentedBlocks(key, setting.levels).map((b) => blockHtml(b, key, printed, setting));
  return [
    `<article class="key ${setting.layout}" id="${keyAnchor(key.key.id)}" style="--label: ${labelWidth(key)}em">`,
    `<header><${level}>${escaped(title)}</${level}>`,
    `<p class="imprint">${escaped(imprint(key.key))}</p>`,
    ...(setting.brief ? [] : headHtml(key)),
    '</header>',
    ...body,
    '</article>',
  ].join('\n');
}

// A label with many back-references gets a line of its own rather than pushing all leads to the right.
const WIDEST_LABEL = 12;

/** How wide the labels of a bracketed key are set, in the size of its type: a letter takes about half of it. */
function labelWidth({ couplets }: PrintedKey): number {
  const lengths = couplets.flatMap(({ leads, from }) =>
    leads.map(({ label }, i) => label.length + (i > 0 || from.length === 0 ? 0 : 2 + from.join(', ').length)),
  );
  const widest = lengths.filter((n) => n <= WIDEST_LABEL).reduce((most, n) => Math.max(most, n), 3);
  return Math.round((widest * 0.52 + 0.7) * 10) / 10;
}

function headHtml({ key, names }: PrintedKey): string[] {
  const entries = scopeEntries(key).map(
    ([heading, text]) => `<dt>${heading}</dt><dd>${htmlSpans(names.spans(text))}</dd>`,
  );
  return [
    ...(entries.length === 0 ? [] : [`<dl class="scope">${entries.join('')}</dl>`]),
    ...(key.note === undefined ? [] : [`<p class="note">${htmlSpans(names.spans(key.note))}</p>`]),
    '<p class="remark"><a href="#cautions">Read the cautions at the end</a> before you decide about a find.</p>',
  ];
}

function keyAnchor(key: string): string {
  return `key-${escaped(key)}`;
}

function anchor(key: PrintedKey, couplet: string): string {
  return `${keyAnchor(key.key.id)}-${escaped(couplet)}`;
}

function coupletHtml(
  couplet: PrintedCouplet,
  key: PrintedKey,
  printed: Printed,
  setting: HtmlSetting,
): string {
  const leads = couplet.leads.map((lead, i) =>
    leadHtml(lead, i === 0 ? couplet : undefined, endHtml(lead.end, key, printed), setting, ''),
  );
  return `<div class="couplet" id="${anchor(key, couplet.id)}">\n${leads.join('\n')}\n</div>`;
}

/** What a lead leads to, linked where it stands on this page. */
function endHtml(end: PrintedEnd, key: PrintedKey, printed: Printed): string {
  const spans = endSpans(end, printed);
  if (end.kind === 'couplet') return `<a href="#${anchor(key, end.id)}">${htmlSpans(spans)}</a>`;
  if (end.kind === 'key' && end.printed) return `<a href="#${keyAnchor(end.keyId)}">${htmlSpans(spans)}</a>`;
  return htmlSpans(spans);
}

function leadHtml(
  lead: PrintedLead,
  backOf: PrintedCouplet | undefined,
  end: string,
  { brief }: HtmlSetting,
  attributes: string,
): string {
  const back =
    backOf === undefined || backOf.from.length === 0
      ? ''
      : ` <span class="back">(${backOf.from.map(escaped).join(', ')})</span>`;
  const note = lead.note === undefined || brief ? '' : `<p class="lead-note">${htmlSpans(lead.note)}</p>`;
  const figures = brief ? '' : lead.figures.map((f) => `<p class="lead-note">${htmlSpans(f)}</p>`).join('');
  const long =
    back.length > 0 && lead.label.length + 2 + (backOf?.from.join(', ').length ?? 0) > WIDEST_LABEL;
  const target = end === '' ? '' : `<span class="dots"></span> <span class="end">${end}</span>`;
  return (
    `<div class="lead${long ? ' long' : ''}"${attributes}><div class="label"><b>${escaped(lead.label)}</b>${back}</div>` +
    `<div class="text"><p>${htmlSpans(lead.words)}${target}</p>${note}${figures}</div></div>`
  );
}

function blockHtml(block: IndentedBlock, key: PrintedKey, printed: Printed, setting: HtmlSetting): string {
  const { root, rows } = block;
  const parts = rows.map(({ level, couplet, lead, beyond }) => {
    const first = lead === couplet.leads[0];
    const back = first && (couplet === root || couplet.from.length > 1);
    const link = beyond === 'here' ? '' : endHtml(lead.end, key, printed);
    const end = beyond === undefined || beyond === 'here' ? link : `${link}, ${beyond}`;
    const id = first ? ` id="${anchor(key, couplet.id)}"` : '';
    return leadHtml(lead, back ? couplet : undefined, end, setting, `${id} style="--level: ${level}"`);
  });
  return `<div class="block">\n${parts.join('\n')}\n</div>`;
}

function endMatter(printed: Printed): string[] {
  const parts: string[] = [];
  if (printed.taxa.length > 0) {
    const entries = printed.taxa.map((taxon) => {
      const { head, at, facts } = taxonEntry(taxon, printed);
      const more = facts.length === 0 ? '' : `<p>${facts.map(htmlSpans).join(' ')}</p>`;
      return `<li><p class="name">${htmlSpans(head)}<span class="dots"></span> <span class="end">${htmlSpans([upright(at)])}</span></p>${more}</li>`;
    });
    parts.push(section('taxa', 'Taxa', `<ul>\n${entries.join('\n')}\n</ul>`));
  }
  if (printed.glossary.length > 0) {
    const entries = printed.glossary.map(
      ([term, meaning]) =>
        `<div><dt>${escaped(term)}</dt><dd>${htmlSpans(printed.names.spans(meaning))}</dd></div>`,
    );
    parts.push(section('terms', 'Terms', `<dl>\n${entries.join('\n')}\n</dl>`));
  }
  if (printed.sources.length > 0) {
    const entries = printed.sources.map((source) => {
      const { url } = source;
      const link =
        url === undefined
          ? ''
          : /^https?:\/\//.test(url)
            ? `, <a href="${escaped(url)}">${escaped(url)}</a>`
            : `, ${escaped(url)}`;
      return `<li>${escaped(sourceText(source))}${link}</li>`;
    });
    parts.push(section('sources', 'Sources', `<ul>\n${entries.join('\n')}\n</ul>`));
  }
  return parts;
}
