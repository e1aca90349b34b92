/**
 * The style of a printed key as HTML. On paper a page break never divides a couplet, nor a lead in any layout, and a
 * heading stays with what follows; the type gets smaller on paper of the size A5, which is narrower than 160 mm.
 */
export const PRINT_STYLE = `:root { color-scheme: light; }
* { box-sizing: border-box; }
html { background: #fff; color: #111; }
body {
  margin: 0 auto;
  padding: 1.5em 1em 3em;
  max-width: 46em;
  font: 1rem/1.4 "Iowan Old Style", "Palatino Linotype", Palatino, "Book Antiqua", "Liberation Serif", Georgia, serif;
  overflow-wrap: break-word;
}
h1 { font-size: 1.5em; line-height: 1.2; margin: 0 0 .3em; text-wrap: balance; }
h2 { font-size: 1.15em; line-height: 1.2; margin: 1.8em 0 .5em; }
p { margin: 0; }
a { color: inherit; text-decoration: none; }
a:hover, a:focus { text-decoration: underline; }
.imprint, footer { font-size: .85em; color: #444; }
.scope { display: grid; grid-template-columns: max-content 1fr; gap: .1em .8em; margin: .8em 0; font-size: .92em; }
.scope dt { color: #444; }
.scope dd { margin: 0; }
.note { margin: .6em 0; }
.remark { margin: .8em 0; font-size: .92em; }
.remark a { text-decoration: underline; }
header { margin-bottom: 1.4em; border-bottom: 1px solid #111; padding-bottom: .6em; }
article.key + article.key { margin-top: 2.5em; }
.couplet { margin-bottom: .75em; }
.lead { display: grid; grid-template-columns: var(--label) 1fr; }
.label { padding-right: .5em; }
.label b { font-weight: 600; }
.lead.long .label { grid-column: 1 / -1; }
.lead.long .text { grid-column: 2; }
.back { font-size: .85em; color: #444; }
.text > p, .taxa .name { overflow: hidden; }
.text > p { text-indent: 0; }
.dots { position: relative; }
.dots::after {
  content: "${'. '.repeat(120)}";
  position: absolute;
  left: .4em;
  white-space: nowrap;
  letter-spacing: .12em;
  color: #777;
}
.text > p, .name { position: relative; }
.end {
  float: right;
  position: relative;
  z-index: 1;
  max-width: 85%;
  padding-left: .4em;
  background: #fff;
  text-align: right;
  -webkit-print-color-adjust: exact;
  print-color-adjust: exact;
}
.lead-note { font-size: .85em; color: #444; }
.indented .lead { grid-template-columns: max-content 1fr; margin-left: calc(var(--level) * 1.1em); margin-bottom: .15em; }
.indented .label { min-width: 2.6em; }
.block { margin-bottom: 1.2em; padding-top: .5em; }
.block + .block { border-top: 1px solid #bbb; }
.taxa ul, .sources ul, .cautions ul { margin: 0; padding: 0; list-style: none; }
.taxa li { margin-bottom: .5em; }
.taxa li > p + p { padding-left: 1.4em; font-size: .92em; }
.terms dl { margin: 0; }
.terms div { margin-bottom: .25em; padding-left: 1.4em; text-indent: -1.4em; }
.terms dt { display: inline; font-weight: 600; }
.terms dt::after { content: ": "; }
.terms dd { display: inline; margin: 0; }
.sources li { margin-bottom: .3em; }
.cautions { border: 2px solid #111; padding: .2em 1em .8em; margin: 2em 0 1.2em; }
.cautions h2 { margin-top: .6em; }
.cautions li { margin-bottom: .4em; }
@page { margin: 15mm 13mm 16mm; }
@media print {
  body { max-width: none; padding: 0; font-size: 10.5pt; line-height: 1.3; }
  .couplet, .lead, .taxa li, .terms div, .sources li, .cautions { break-inside: avoid; }
  h1, h2, header { break-after: avoid; }
  p { orphans: 2; widows: 2; }
  article.key + article.key { break-before: page; margin-top: 0; }
}
@media print and (max-width: 160mm) {
  body { font-size: 9pt; line-height: 1.25; }
  h1 { font-size: 1.35em; }
  .couplet { margin-bottom: .55em; }
  .indented .lead { margin-left: calc(var(--level) * .8em); }
}
`;
