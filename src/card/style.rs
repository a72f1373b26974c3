//! The card's look: a working timetable beside a mounted slide. May not enter: words, numbers.

/// Inline style sheet. Sizes are for one sheet of A4 or Letter, whichever is in the printer: the page is as
/// wide as A4 and as high as Letter, less the margins.
pub const STYLE: &str = "
@page { margin: 8mm 10mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; width: 190mm; color: #22303a; background: #fff;
  font: 8pt/1.2 Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif;
  font-variant-numeric: tabular-nums; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
@media screen { body { margin: 8mm auto; } }
@media print { body.bears { zoom: 0.9; } }
header { display: flex; justify-content: space-between; align-items: flex-end;
  border-bottom: 1px solid #22303a; padding-bottom: 1.2mm; }
h1 { font-size: 17pt; line-height: 1.05; margin: 0; font-weight: 700; }
header p { margin: 0; }
h2 { font-size: 8.4pt; margin: 0 0 0.6mm; font-weight: 700; border-bottom: 1px solid #22303a; }
.when { text-align: right; font-size: 11pt; line-height: 1.2; }
.when b { font-size: 14pt; }
.warning { border: 2px solid #8e3b2e; padding: 1mm 2mm; margin: 1.5mm 0 0; font-size: 10pt; font-weight: 700; }
.freeing { border: 1px solid #22303a; padding: 1mm 1.6mm; margin: 1.5mm 0 0; }
.key { margin: 0.4mm 0 0; color: #4e6778; font-size: 7pt; }
.row { display: flex; gap: 4mm; margin-top: 2mm; align-items: flex-start; }
.wide { flex: 0 0 90mm; }
.narrow { flex: 1; min-width: 0; }
.slide { background: #8a8a8a; padding: 2.5mm; margin-bottom: 2mm; }
.mount { background: #fff; padding: 1.6mm 1.6mm 0; }
.mount img { display: block; width: 100%; }
.mount p { display: flex; justify-content: space-between; margin: 0; padding: 0.7mm 0 0.9mm; }
table { border-collapse: collapse; width: 100%; }
td, th { padding: 0.25mm 1mm; vertical-align: top; text-align: left; border-bottom: 1px solid #b9b4a8; font-weight: 400; }
td + td, th + th { border-left: 1px solid #b9b4a8; }
td.n, th.n { text-align: right; white-space: nowrap; }
td.u { white-space: nowrap; }
.unit { color: #4e6778; }
ul { list-style: none; margin: 0; padding: 0; }
li { margin: 0 0 0.5mm; padding-left: 5mm; position: relative; }
li svg { position: absolute; left: 0; top: 0.3mm; width: 3.4mm; height: 3.4mm; }
li.plain { padding-left: 0; }
.verdict { font-variant: small-caps; font-size: 14pt; line-height: 1; font-weight: 700; }
.verdict svg { width: 4mm; height: 4mm; vertical-align: -0.3mm; }
.cautions { border: 1px solid #22303a; padding: 1mm 1.6mm; }
.cautions { margin: 0; }
.cautions h2 { border: 0; }
.cautions ul { columns: 2; column-gap: 4mm; }
.cautions li { break-inside: avoid; }
.drawing svg { display: block; width: 100%; }
section { break-inside: avoid; margin-bottom: 1.2mm; }
footer { margin-top: 1.5mm; color: #4e6778; font-size: 7pt; border-top: 1px solid #b9b4a8; }
";
