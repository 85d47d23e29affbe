"""Plain pages of a report: its blocks set one under another in one typeface."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, Final
from unicodedata import bidirectional

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont
from matplotlib.ft2font import FT2Font
from matplotlib.lines import Line2D

from winterrisk.reports.page_blocks import Block, Picture, Table, Text

POINTS: Final = 72.0
WIDTH, HEIGHT, MARGIN, FOOT = 595.0, 842.0, 43.0, 48.0
"""A4 and its margins [pt]."""
BODY, SMALL = 9.0, 7.5
SIZES: Final = {0: BODY, 1: 15.0, 2: 12.0, 3: 10.5, 4: 9.5}
LEADING: Final = 1.35
PICTURE_WIDTH: Final = 290.0
PICTURE_DOTS: Final = 200
FEW_LINES: Final = 60.0
PAD: Final = 4.0
INDENT: Final = 14.0
FAMILY: Final = "DejaVu Sans"
LEFT_TO_RIGHT: Final = "\u200e"
"""Begins a line with words of right-to-left writing, so that the words around them keep their order."""
INK, LINE = "#1c2320", "#8a9188"


@lru_cache(maxsize=2)
def _font(strong: bool) -> FT2Font:
    return FT2Font(findfont(FontProperties(family=FAMILY, weight="bold" if strong else "normal")))


@lru_cache(maxsize=4096)
def _advance(letter: str, strong: bool) -> float:
    font = _font(strong)
    if not font.get_char_index(ord(letter)):
        return 1.0  # a letter the typeface does not have takes its box, an em at most
    font.set_size(100.0, POINTS)
    return float(font.load_char(ord(letter)).linearHoriAdvance) / 65536.0 / 100.0


def width(words: str, size: float, strong: bool = False) -> float:
    """Width of a line of words [pt]."""
    return size * sum(_advance(letter, strong) for letter in words)


def wrapped(words: str, size: float, room: float, strong: bool = False) -> list[str]:
    """The words in lines no wider than the room [pt]; a word too long for a line is cut."""
    lines: list[str] = []
    for paragraph in words.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            longer = f"{line} {word}" if line else word
            if width(longer, size, strong) <= room:
                line = longer
                continue
            if line:
                lines.append(line)
            while len(word) > 1 and width(word, size, strong) > room:
                fits = next(
                    n for n in range(len(word) - 1, 0, -1) if n == 1 or width(word[:n], size, strong) <= room
                )
                lines.append(word[:fits])
                word = word[fits:]
            line = word
        lines.append(line)
    return lines


def column_widths(rows: Sequence[Sequence[str]], size: float, room: float) -> list[float]:
    """Widths of a table's columns [pt]: as wide as their words where there is room, the widest narrowed."""
    columns = max((len(row) for row in rows), default=0)
    wanted = [2 * PAD + 1.0] * columns
    for row in rows:
        for i, cell in enumerate(row):
            wanted[i] = max(
                wanted[i], *(2 * PAD + 1.0 + width(line, size, True) for line in cell.split("\n"))
            )
    widths, left = [0.0] * columns, room
    narrow_first = sorted(range(columns), key=lambda i: wanted[i])
    for done, i in enumerate(narrow_first):
        widths[i] = min(wanted[i], left / (columns - done))
        left -= widths[i]
    return [w + left / columns for w in widths]


class _Pages:
    """The page being set, and the pages that are full."""

    def __init__(self, footer: str) -> None:
        self.full: list[Figure] = []
        self.footer = footer
        self._open()

    def _open(self) -> None:
        self.page = Figure(figsize=(WIDTH / POINTS, HEIGHT / POINTS))
        self.full.append(self.page)
        self.left = HEIGHT - MARGIN
        self.number = len(self.full)

    def room_for(self, height: float) -> bool:
        """Whether so much fits on the page; where not, a new one is begun."""
        if self.left - height >= FOOT or self.left == HEIGHT - MARGIN:
            return True
        self._open()
        return False

    def words(self, words: str, x: float, size: float, *, strong: bool = False, down: float = 0.0) -> None:
        y = self.left - down - size
        if any(bidirectional(letter) in ("R", "AL") for letter in words):
            words = LEFT_TO_RIGHT + words
        self.page.text(
            x / WIDTH, y / HEIGHT, words, fontsize=size, weight="bold" if strong else "normal", color=INK,
            family=FAMILY, parse_math=False, va="baseline",
        )  # fmt: skip

    def rule(self) -> None:
        across = [MARGIN / WIDTH, (WIDTH - MARGIN) / WIDTH]
        self.page.add_artist(Line2D(across, [self.left / HEIGHT] * 2, color=LINE, linewidth=0.5))


def plain_pages(blocks: Sequence[Block], drawings: Mapping[str, Figure], footer: str) -> list[Figure]:
    """Pages (A4) of a report, its blocks in order, a foot line with the page number on each.

    Args:
        drawings: figures by the title of their picture; a picture without one is told in words.
        footer: name of the report.
    """
    pages = _Pages(footer)
    for i, block in enumerate(blocks):
        if isinstance(block, Text):
            _set_text(pages, block, _room_after(blocks[i + 1 :], drawings) if _leads(block) else 0.0)
        elif isinstance(block, Table):
            _set_table(pages, block)
        else:
            _set_picture(pages, block, drawings.get(block.title))
    for number, page in enumerate(pages.full, start=1):
        foot = f"{footer}  ·  page {number} of {len(pages.full)}"
        page.text(MARGIN / WIDTH, 26 / HEIGHT, foot, fontsize=7, color=INK, family=FAMILY, parse_math=False)
    return pages.full


def _leads(block: Block) -> bool:
    return isinstance(block, Text) and bool(block.level or block.strong)


def _room_after(blocks: Sequence[Block], drawings: Mapping[str, Figure]) -> float:
    """What a heading needs below it [pt]: its picture, or a few lines, with the headings in between."""
    needed = 0.0
    for block in blocks:
        if not _leads(block):
            drawing = drawings.get(block.title) if isinstance(block, Picture) else None
            return needed + (_picture_height(drawing) + 30.0 if drawing is not None else FEW_LINES)
        needed += FEW_LINES / 2
    return needed


def _picture_height(drawing: Figure) -> float:
    wide, high = drawing.get_size_inches()
    return float(PICTURE_WIDTH * high / wide)


def _set_text(pages: _Pages, text: Text, after: float = 0.0) -> None:
    size = SIZES[text.level]
    x = MARGIN + (INDENT if text.mark else 0.0)
    lines = wrapped(text.words, size, WIDTH - MARGIN - x, text.strong)
    above = 0.8 * size if text.level else 0.35 * size
    pages.room_for(above + size * LEADING * min(len(lines), 2) + after)
    pages.left -= above
    for i, line in enumerate(lines):
        pages.room_for(size * LEADING)
        if i == 0 and text.mark:
            pages.words(text.mark, MARGIN + 2.0, size)
        pages.words(line, x, size, strong=text.strong)
        pages.left -= size * LEADING
    if text.level == 2:
        pages.rule()
    pages.left -= 2.0


def _set_table(pages: _Pages, table: Table) -> None:
    widths = column_widths(table.rows, SMALL, WIDTH - 2 * MARGIN)
    heads = table.rows[: table.heads]
    pages.left -= PAD
    for i, row in enumerate(table.rows):
        lines = _cells(row, widths, i < table.heads)
        if not pages.room_for(_height(lines)) and i >= table.heads:
            for head in heads:
                _set_row(pages, _cells(head, widths, True), widths, True)
        _set_row(pages, lines, widths, i < table.heads)
    pages.left -= 2 * PAD


def _cells(row: Sequence[str], widths: Sequence[float], strong: bool) -> list[list[str]]:
    return [
        wrapped(cell, SMALL, room - 2 * PAD + 0.1, strong) for cell, room in zip(row, widths, strict=False)
    ]


def _height(lines: Sequence[Sequence[str]]) -> float:
    return SMALL * LEADING * max((len(cell) for cell in lines), default=1) + PAD


def _set_row(pages: _Pages, lines: Sequence[Sequence[str]], widths: Sequence[float], strong: bool) -> None:
    x = MARGIN
    for cell, room in zip(lines, widths, strict=False):
        for i, line in enumerate(cell):
            pages.words(line, x + PAD, SMALL, strong=strong, down=PAD / 2 + i * SMALL * LEADING)
        x += room
    pages.left -= _height(lines)
    pages.rule()


def _set_picture(pages: _Pages, picture: Picture, drawing: Figure | None) -> None:
    if drawing is None:
        words = ": ".join(part for part in (picture.title, picture.description) if part)
        _set_text(pages, Text(f"Picture, in words: {words}" if words else "A picture without words."))
        return
    height = _picture_height(drawing)
    pages.room_for(height + 30.0)
    pages.left -= height
    place = (MARGIN / WIDTH, pages.left / HEIGHT, PICTURE_WIDTH / WIDTH, height / HEIGHT)
    axes = pages.page.add_axes(place)
    axes.imshow(_dots(drawing), aspect="auto", interpolation="none")
    axes.set_axis_off()
    pages.left -= PAD


def _dots(drawing: Figure) -> Any:
    drawing.set_dpi(PICTURE_DOTS)
    canvas = FigureCanvasAgg(drawing)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[:, :, :3].copy()
