"""The looks of a report: on screens light and dark, wide and narrow, and on paper of either common size."""

from __future__ import annotations

#: contrast of text is at least 4.5 : 1 on its ground in both themes (WCAG 2.2, success criterion 1.4.3)
STYLE = """
:root { color-scheme: light dark; --page: #ffffff; --text: #262a31; --quiet: #555c66; --line: #d5d9df;
  --band: #f3f6f8; --accent: #0f6a94; --care: #8a4b00; --care-ground: #fff6e8; }
@media (prefers-color-scheme: dark) { :root { --page: #14171c; --text: #e8ebef; --quiet: #a9b0ba;
  --line: #3a414b; --band: #1d2229; --accent: #7cc4ea; --care: #f0b968; --care-ground: #2b2316; } }
* { box-sizing: border-box; }
html { font: 16px/1.5 system-ui, -apple-system, "Segoe UI", Helvetica, Arial, "Liberation Sans", sans-serif;
  -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0; background: var(--page); color: var(--text); overflow-wrap: anywhere; }
main, header, footer { max-width: 48rem; margin: 0 auto; padding: 0 1.25rem; }
header { padding-top: 2rem; }
footer { padding-top: 1rem; padding-bottom: 3rem; color: var(--quiet); font-size: .875rem; }
h1 { font-size: 2rem; line-height: 1.2; margin: 0; letter-spacing: -.01em; }
h2 { font-size: 1.375rem; line-height: 1.25; margin: 2.75rem 0 .75rem; padding-top: .75rem;
  border-top: 2px solid var(--accent); }
h3 { font-size: 1.0625rem; line-height: 1.3; margin: 1.75rem 0 .5rem; }
p { margin: .5rem 0; }
ul { margin: .5rem 0; padding-left: 1.25rem; }
li { margin: .25rem 0; }
a { color: var(--accent); }
.kind { color: var(--quiet); margin: 0 0 .25rem; }
.answer { background: var(--band); border-left: 4px solid var(--accent); border-radius: 4px; margin: 1.25rem 0;
  padding: .75rem 1rem; font-size: 1.0625rem; }
.answer p { margin: .25rem 0; }
.note, .part ul:not(.care) { color: var(--quiet); font-size: .875rem; }
nav ul { display: flex; flex-wrap: wrap; gap: .25rem 1rem; list-style: none; padding: 0; font-size: .9375rem; }
nav li { margin: 0; }
nav a { display: inline-block; padding: .25rem 0; }
.care { background: var(--care-ground); border: 1px solid var(--care); border-radius: 4px; margin: .75rem 0;
  padding: .625rem 1rem; }
.care h3 { margin: 0 0 .25rem; color: var(--care); }
.care ul { margin: 0; font-size: .9375rem; }
table { border-collapse: collapse; min-width: 24rem; max-width: 100%; margin: .5rem 0;
  font-variant-numeric: tabular-nums; overflow-wrap: break-word; }
th, td { text-align: left; vertical-align: baseline; padding: .375rem .75rem .375rem 0; font-weight: 400;
  border-top: 1px solid var(--line); }
th:last-child, td:last-child { padding-right: 0; }
.slim tbody th { overflow-wrap: anywhere; }
.right { text-align: right; padding-left: .75rem; white-space: nowrap; }
.right.long { white-space: normal; }
.right:first-child { width: 2.25rem; padding-left: 0; }
thead th, thead td { border-top: 0; border-bottom: 1px solid var(--quiet); color: var(--quiet);
  font-size: .875rem; vertical-align: bottom; line-height: 1.25; }
tr.more > * { border-top-color: transparent; }
tr.total > * { border-top: 1px solid var(--quiet); font-weight: 600; }
.fill { min-width: 6rem; }
td.fill { border-bottom: 1px solid var(--quiet); }
.scroll { overflow-x: auto; margin: .5rem 0; }
.scroll table { margin: 0; width: 100%; }
.scroll:focus-visible, a:focus-visible { outline: 2px solid var(--accent); outline-offset: 2px; }
figure { margin: 1rem 0; }
.card { background: #ffffff; border: 1px solid var(--line); border-radius: 6px; padding: .5rem; text-align: center; }
.card img { display: block; margin: 0 auto; }
figcaption { color: var(--quiet); font-size: .875rem; margin-top: .375rem; }
.hidden { position: absolute; width: 1px; height: 1px; margin: -1px; overflow: hidden; clip-path: inset(50%);
  white-space: nowrap; }
@media screen and (max-width: 40rem) {
  .fill { display: none; }
  header { padding-top: 1.25rem; }
  h1 { font-size: 1.625rem; }
  main, header, footer { padding-left: 1rem; padding-right: 1rem; }
  th, td { padding-right: .25rem; }
  table { min-width: 0; width: 100%; }
  table { font-size: .875rem; }
  thead th, .note, figcaption { font-size: .8125rem; }
  .right { padding-left: 0; }
  th.right { white-space: normal; }
  .card { padding: .25rem; }
}
@page { margin: 16mm 15mm; }
@media print {
  :root { color-scheme: light; --page: #ffffff; --text: #000000; --quiet: #333333; --line: #bbbbbb;
    --band: #ffffff; --accent: #000000; --care: #000000; --care-ground: #ffffff; }
  html { font-size: 10.5pt; line-height: 1.35; }
  main, header, footer { max-width: none; padding: 0; }
  footer { margin-top: 10pt; }
  nav { display: none; }
  h1 { font-size: 20pt; }
  h2 { font-size: 14pt; margin-top: 16pt; padding-top: 6pt; border-top-width: 1pt; }
  h3 { margin-top: 12pt; }
  h1, h2, h3 { break-after: avoid; }
  tr, li, figure, .scroll, .care, .answer { break-inside: avoid; }
  thead { display: table-header-group; }
  .part { break-inside: avoid; }
  #hang, #look { break-before: page; }
  th, td { padding-top: 2.5pt; padding-bottom: 2.5pt; }
  figure { margin: 6pt 0; }
  .scroll { overflow: visible; }
  .card { border: 0; padding: 0; }
  .card img { max-height: 112mm; width: auto !important; max-width: 100% !important; }
  .bars img { max-height: 80mm; }
  td.fill { height: 8mm; }
  p, li { orphans: 3; widows: 3; }
}
"""
