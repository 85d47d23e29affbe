"""What the page wears as a PDF beyond its print style: page numbers, sizes, and what may break where."""

PDF_STYLE = """
@page { size: A4; margin: 15mm 15mm 16mm;
  @bottom-left { content: string(title); font: 7.5pt "Liberation Sans", Arial, sans-serif; color: #444; }
  @bottom-right { content: "page " counter(page) " of " counter(pages);
    font: 7.5pt "Liberation Sans", Arial, sans-serif; color: #444; } }
html { font-size: 10pt; }
body { font: 10pt/1.4 "Liberation Sans", Arial, "DejaVu Sans", sans-serif; overflow-wrap: normal; }
bdi { overflow-wrap: anywhere; }
h1 { string-set: title content(); font-size: 16pt; margin: 0 0 6pt; }
h2 { font-size: 12.5pt; margin: 14pt 0 5pt; }
h3 { font-size: 11pt; margin: 10pt 0 4pt; }
h4 { font-size: 10pt; margin: 9pt 0 3pt; }
h2, h3, h4, summary, .lead { break-after: avoid; }
p, ul, ol { margin: 4pt 0; }
ul, ol { list-style-position: inside; padding-left: 6pt; }
.lead { font-size: 11.5pt; }
table { font-size: 8.5pt; }
small, td small { font-size: .92em; }
th, td { padding: 1.5pt 4pt; }
article { break-inside: auto !important; }
figure { margin: 4pt 0; padding: 0; max-width: 100mm !important; break-after: avoid; }
figcaption { font-size: 8.5pt; }
details { margin: 3pt 0; }
summary { list-style: none; font-size: 8.5pt; font-weight: 600; margin-top: 5pt; }
details .wide { columns: 2; column-gap: 6mm; }
details table { font-size: 7.5pt; }
details th, details td { padding: 1pt 3pt; } details td:first-child { white-space: nowrap; }
"""
"""Style sheet of the print edition (A4). Marks of lists stand inside the line: with marks outside it,
WeasyPrint 70 breaks a first line after its first word where names set apart follow. Only what people wrote
may be broken within a word, for it breaks the word before a link too."""
