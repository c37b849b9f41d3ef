"""How the page looks: on a desk, on a phone (rows become cards), in print."""

from __future__ import annotations

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { font: 17px/1.5 system-ui, sans-serif; color: #1c1c1c; background: #fff; margin: 0 auto;
  max-width: 62rem; padding: 1.5rem 1.25rem 3rem; overflow-wrap: break-word; }
h1 { font-size: 2rem; line-height: 1.2; margin: 0 0 .25rem; }
h2 { font-size: 1.35rem; margin: 2.4rem 0 .6rem; border-bottom: 2px solid #1c1c1c; padding-bottom: .2rem; }
h3 { font-size: 1.08rem; margin: 1.6rem 0 .4rem; }
p, ul, ol { margin: 0 0 .8rem; }
ul { padding-left: 1.4rem; }
ol { padding-left: 2.4rem; }
a { color: #00508c; }
.about { color: #444; }
.load { font-size: 1.5rem; font-weight: 700; margin: 1.2rem 0 .3rem; }
.aloud { font-size: 1.25rem; font-weight: 700; line-height: 1.35; margin: .6rem 0; }
.cautions { border: 3px solid #8a3c00; background: #fff6ea; padding: .8rem 1rem; margin: 1.2rem 0; }
.cautions p { margin: 0 0 .3rem; }
.cautions strong { display: block; }
table { border-collapse: collapse; width: 100%; margin: 0 0 1rem; font-size: .94rem; }
caption { text-align: left; font-weight: 600; padding: .3rem 0; }
th, td { text-align: left; vertical-align: top; padding: .35rem .6rem .35rem 0;
  border-bottom: 1px solid #bbb; }
thead th { border-bottom: 2px solid #555; }
.pairs { table-layout: fixed; }
.pairs th { width: 38%; font-weight: 400; color: #444; }
.pairs td { overflow-wrap: anywhere; }
.frame { overflow-x: auto; }
figure { margin: 0 0 1.8rem; }
figure img { display: block; max-width: 100%; height: auto; }
figcaption { color: #444; font-size: .94rem; margin-top: .3rem; }
.first { margin: .8rem 0 .6rem; }
summary { cursor: pointer; font-size: 1.1rem; font-weight: 600; padding: .55rem 0;
  border-top: 1px solid #bbb; }
.folded h3:first-child { margin-top: .2rem; }
.photo img { max-height: 34rem; width: auto; }
.beside { display: flex; flex-wrap: wrap; gap: 1rem; align-items: flex-start; }
.beside figure { flex: 1 1 18rem; min-width: 0; margin-bottom: .6rem; }
.sources { font-size: .9rem; }
.foot { color: #444; font-size: .9rem; margin-top: 2.5rem; }
@media screen {
  .handle:not([open]) + .folded { display: none; }
}
@media screen and (max-width: 44rem) {
  body { padding: 1rem .9rem 2rem; }
  h1 { font-size: 1.6rem; }
  .load { font-size: 1.25rem; }
  .pairs th { width: 45%; }
  .cards, .cards tbody, .cards tr, .cards td, .cards caption { display: block; width: 100%; }
  .cards thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .cards tr { border: 1px solid #888; border-radius: .4rem; padding: .4rem .7rem; margin: 0 0 .7rem; }
  .cards td { border: 0; padding: .12rem 0; display: flex; gap: .6rem; }
  .cards td::before { content: attr(data-label); flex: 0 0 44%; color: #555; }
  .cards td::before, .cards td { min-width: 0; overflow-wrap: anywhere; }
  .wide { overflow-x: auto; }
  .wide img { width: 44rem; max-width: none; }
  .wide + figcaption::after { content: " Move the picture sideways to see all of it."; }
  .cards td:empty { display: none; }
  .cards td:first-child { font-weight: 600; }
}
@page { margin: 15mm; }
@media print {
  body { font-size: 10pt; max-width: none; padding: 0; }
  h1 { font-size: 18pt; }
  h2 { font-size: 13pt; margin-top: 7mm; }
  h2, h3, caption { break-after: avoid; }
  tr, figure, .cautions { break-inside: avoid; }
  thead { display: table-header-group; }
  figure img { max-height: 215mm; }
  table { font-size: 8.8pt; line-height: 1.3; }
  th, td { padding-top: .18rem; padding-bottom: .18rem; }
  .frame { overflow-x: visible; }
  summary { font-size: 11pt; list-style: none; padding: 3mm 0 1mm; break-after: avoid; }
  .photo img { max-height: 90mm; }
  .foot { margin-top: 4mm; break-before: avoid; }
  a { color: inherit; text-decoration: none; }
}
"""
