"""A page taken apart: its headings, paragraphs, tables and pictures in order, as plain text."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser

HEADINGS = {"h1": 1, "h2": 2, "h3": 3, "h4": 4}
UNSEEN = ("head", "script", "template")


@dataclass
class Text:
    """A heading (level 1-4), a paragraph (level 0) or an item of a list (with its mark)."""

    words: str
    level: int = 0
    strong: bool = False
    mark: str = ""


@dataclass
class Table:
    """Rows of cells; the first `heads` rows are headings of the columns."""

    rows: list[list[str]] = field(default_factory=list)
    heads: int = 0


@dataclass
class Picture:
    """A picture by its title and description."""

    title: str
    description: str


Block = Text | Table | Picture


class _Page(HTMLParser):
    """Collects blocks; words that stand in no block of their own make a paragraph."""

    def __init__(self) -> None:
        super().__init__()
        self.blocks: list[Block] = []
        self._unseen = 0
        self._drawing: dict[str, str] | None = None
        self._in_drawing = ""
        self._words: list[str] = []
        self._kind: tuple[int, bool, str] = (0, False, "")
        self._lists: list[int | None] = []
        self._table: Table | None = None
        self._head = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        if tag in UNSEEN:
            self._unseen += 1
        elif self._drawing is not None:
            self._in_drawing = tag if tag in ("title", "desc") and not self._drawing[tag] else ""
        elif tag == "svg":
            self._end()
            self._drawing = {"title": "", "desc": "", "label": values.get("aria-label", "")}
        elif tag == "br":
            self._words.append("\n")
        elif tag == "table":
            self._end()
            self._table = Table()
        elif tag in ("thead", "tbody"):
            self._head = tag == "thead"
        elif tag == "tr" and self._table is not None:
            self._table.rows.append([])
            self._table.heads += self._head
        elif tag in ("td", "th") and self._table is not None:
            self._words = []
        elif tag in ("ul", "ol"):
            self._end()
            self._lists.append(0 if tag == "ol" else None)
        elif tag in ("p", "li", "figcaption", "summary", "div", "section", "article", *HEADINGS):
            self._begin(tag, values)

    def handle_endtag(self, tag: str) -> None:
        if tag in UNSEEN:
            self._unseen -= 1
        elif self._drawing is not None:
            self._in_drawing = ""
            if tag == "svg":
                title = self._drawing["title"].strip() or self._drawing["label"]
                self.blocks.append(Picture(title, self._drawing["desc"].strip()))
                self._drawing = None
        elif self._table is not None:
            if tag in ("td", "th"):
                self._table.rows[-1].append(_tidy(self._words))
                self._words = []
            elif tag == "table":
                self.blocks.append(self._table)
                self._table = None
        elif tag in ("ul", "ol"):
            self._end()
            self._lists.pop()
        elif tag in ("p", "li", "figcaption", "summary", "div", "section", "article", *HEADINGS):
            self._end()

    def handle_data(self, data: str) -> None:
        if self._in_drawing and self._drawing is not None:
            self._drawing[self._in_drawing] += data
        elif not self._unseen and self._drawing is None:
            self._words.append(" ".join(f"_{data}_".split())[1:-1])

    def close(self) -> None:
        super().close()
        self._end()

    def _begin(self, tag: str, values: dict[str, str]) -> None:
        self._end()
        mark = ""
        if tag == "li" and self._lists:
            count = self._lists[-1]
            if count is not None:
                self._lists[-1] = count + 1
            mark = "•" if count is None else f"{count + 1}."
        strong = tag in HEADINGS or tag == "summary" or values.get("class") == "lead"
        self._kind = (HEADINGS.get(tag, 0), strong, mark)

    def _end(self) -> None:
        if self._table is not None:
            return
        words = _tidy(self._words)
        level, strong, mark = self._kind
        if words:
            self.blocks.append(Text(words, level, strong, mark))
        self._words, self._kind = [], (0, False, "")


def _tidy(words: Sequence[str]) -> str:
    """Words as lines: spaces single, none at the ends of a line."""
    lines = "".join(words).split("\n")
    return "\n".join(line for line in (" ".join(text.split()) for text in lines) if line)


def page_blocks(page: str) -> list[Block]:
    """Headings, paragraphs, items, tables and pictures of an HTML page, in order, all its words kept."""
    reader = _Page()
    reader.feed(page)
    reader.close()
    return reader.blocks
