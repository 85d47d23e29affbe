"""What the page wears as a PDF beyond its print style: page numbers, sizes, and what may break where."""

import re

PDF_STYLE = """
@page { size: A4; margin: 13mm 15mm 15mm;
  @bottom-left { content: string(title); font: 7.5pt "Liberation Sans", Arial, sans-serif; color: #444; }
  @bottom-right { content: "page " counter(page) " of " counter(pages);
    font: 7.5pt "Liberation Sans", Arial, sans-serif; color: #444; } }
html { font-size: 10pt; }
body { font: 9.5pt/1.35 "Liberation Sans", Arial, "DejaVu Sans", sans-serif; overflow-wrap: normal; }
h1 { string-set: title content(); font-size: 15pt; margin: 0 0 6pt; }
h2 { font-size: 12pt; margin: 10pt 0 4pt; }
h3 { font-size: 11pt; margin: 10pt 0 4pt; }
h4 { font-size: 10pt; margin: 9pt 0 3pt; }
h2, h3, h4, summary, .lead { break-after: avoid; }
p, ul, ol { margin: 3pt 0; }
ul, ol { list-style-position: inside; padding-left: 6pt; }
.lead { font-size: 11pt; }
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
WeasyPrint 70 breaks a first line after its first word where names set apart follow. No word breaks by itself,
for it breaks the word before a link then too: `with_breaks` says where long ones may."""

LONGEST_WORD, PART = 40, 20
"""Letters from which a word may be broken, and letters between breaks: no such word fits a narrow column."""
MAY_BREAK = "\u200b"


def with_breaks(page: str) -> str:
    """The page's HTML with places to break in words too long for a line; tags and drawings are left alone."""
    long = re.compile(rf"[^\s&;]{{{LONGEST_WORD},}}")
    return re.sub(r"(?<=>)[^<]+(?=<)", lambda text: long.sub(_broken, text[0]), page)


def _broken(word: re.Match[str]) -> str:
    letters = word[0]
    return MAY_BREAK.join(letters[i : i + PART] for i in range(0, len(letters), PART))
