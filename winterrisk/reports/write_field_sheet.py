"""Draws the field sheet on one page of paper."""

import io
import textwrap
from pathlib import Path
from typing import Any, Final

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from winterrisk.reports.field_sheet import FieldSheet
from winterrisk.reports.figures import SETTINGS
from winterrisk.reports.write_night import FolderError
from winterrisk.science.faults import Fault

A4, LETTER = (8.27, 11.69), (8.5, 11.0)
"""Width and height of the page [inch]."""
MARGIN, LINE, ROW = 0.5, 0.145, 0.27
INK, GREY, PALE = "#1c2320", "#8a918c", "#eef1ee"
WIDTHS: Final = (0.28, 1.55, 1.6, 0.48, 0.42, 0.42, 0.72, 0.5, 0.6)
"""Widths of the columns before the last [inch]; the last takes what is left."""
LABEL_COLUMNS, LABEL_HEIGHT = 3, 0.36
DATE_LEFT_OUT: Final[dict[str, Any]] = {"CreationDate": None, "ModDate": None, "Producer": None}


def page(sheet: FieldSheet) -> Figure:
    """The sheet as one page."""
    width, height = LETTER if sheet.letter else A4
    figure = Figure(figsize=(width, height))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    axes.axis("off")
    y = _heading(axes, sheet, width)
    y = _table(axes, sheet, y, width)
    y = _words(axes, sheet, y + 0.1, width)
    _labels(axes, sheet, y + 0.08, width, height)
    return figure


def _text(axes: Axes, x: float, y: float, words: str, **style: Any) -> None:
    axes.text(x, y, words, **{"va": "top", "color": INK, "fontsize": 8.0, **style})


def _cut(words: str, letters: int) -> str:
    return words if len(words) <= letters else f"{words[: letters - 2].rstrip()}.."


def _heading(axes: Axes, sheet: FieldSheet, width: float) -> float:
    _text(axes, MARGIN, 0.42, _cut(sheet.heading, 62), fontsize=13.0, fontweight="bold")
    more = (
        f" {sheet.left_out} more plugs do not fit: name fewer zones for a second sheet."
        if sheet.left_out
        else ""
    )
    _text(axes, MARGIN, 0.68, _cut(f"{sheet.why}.{more}", 130), color=GREY)
    _text(axes, width - MARGIN, 0.45, "who: ______________________", ha="right", fontsize=9.0)
    return 0.92


def _table(axes: Axes, sheet: FieldSheet, top: float, width: float) -> float:
    names = ("", "zone and mark", "where in the zone", *sheet.boxes)
    edges = [MARGIN]
    for column in WIDTHS:
        edges.append(edges[-1] + column)
    edges.append(width - MARGIN)
    bottom = top + ROW * (len(sheet.rows) + 1)
    axes.fill_between([MARGIN, width - MARGIN], top, top + ROW, color=PALE, linewidth=0)
    for edge in edges:
        axes.plot([edge, edge], [top, bottom], color=GREY, linewidth=0.6)
    for number in range(len(sheet.rows) + 2):
        y = top + ROW * number
        axes.plot([MARGIN, width - MARGIN], [y, y], color=GREY, linewidth=0.6)
    for edge, name in zip(edges[:-1], names, strict=True):
        _text(axes, edge + 0.04, top + ROW / 2, _two_lines(name), fontsize=6.4, va="center", linespacing=1.0)
    bold: dict[str, Any] = {"va": "center", "fontweight": "bold", "fontsize": 7.4}
    for number, row in enumerate(sheet.rows, start=1):
        y = top + ROW * (number + 0.5)
        _text(axes, edges[0] + 0.06, y, str(number), va="center", color=GREY)
        _text(axes, edges[1] + 0.04, y, f"{_cut(row.zone, 21)} {row.mark}".strip(), **bold)
        where = "\n".join(textwrap.wrap(row.where, 32)[:2])
        _text(axes, edges[2] + 0.04, y, where, va="center", fontsize=6.4, linespacing=1.0)
        _text(axes, edges[6] + 0.1, y, "clear  white", va="center", fontsize=6.4, color=GREY)
        _text(axes, edges[8] + 0.1, y, "yes   no", va="center", fontsize=6.4, color=GREY)
    return bottom


def _two_lines(name: str) -> str:
    return name.replace("clear or white", "clear or\nwhite").replace("plug deep ", "plug\ndeep ").replace(
        "crowns on?", "crowns\non?"
    ).replace("smell, colour, water", "smell,\ncolour")  # fmt: skip


def _column(axes: Axes, x: float, y: float, title: str, points: tuple[str, ...], letters: int) -> float:
    _text(axes, x, y, title, fontsize=9.0, fontweight="bold")
    y += 0.19
    for point in points:
        lines = textwrap.wrap(point, letters)
        _text(axes, x, y, "-", fontsize=7.2)
        _text(axes, x + 0.1, y, "\n".join(lines), fontsize=7.2, linespacing=1.15)
        y += LINE * len(lines) - 0.012 * (len(lines) - 1) + 0.012
    return y


def _words(axes: Axes, sheet: FieldSheet, top: float, width: float) -> float:
    middle = width / 2 + 0.1
    letters = int((width / 2 - MARGIN - 0.15) / 0.053)
    left = _column(axes, MARGIN, top, "How", sheet.how, letters)
    right = _column(axes, middle, top, "Care", sheet.care, letters)
    right = _column(
        axes,
        middle,
        right + 0.05,
        "Afterwards",
        (f"Type or send a line for each plug: {sheet.typed}", "Then, on its day: look P1 day5 growth 60 poa"),
        letters,
    )
    return max(left, right)


def _labels(axes: Axes, sheet: FieldSheet, top: float, width: float, height: float) -> None:
    """Labels to cut out, one a plug."""
    _text(axes, MARGIN, top, "Labels to cut out", fontsize=7.2, color=GREY)
    top += 0.16
    step = (width - 2 * MARGIN) / LABEL_COLUMNS
    rows = -(-len(sheet.rows) // LABEL_COLUMNS)
    tall = min(LABEL_HEIGHT, (height - MARGIN - top) / max(1, rows))
    for number, row in enumerate(sheet.rows):
        x = MARGIN + step * (number % LABEL_COLUMNS)
        y = top + tall * (number // LABEL_COLUMNS)
        axes.plot(
            [x, x + step, x + step, x, x], [y, y, y + tall, y + tall, y],
            color=GREY, linewidth=0.5, linestyle=(0, (3, 3)),
        )  # fmt: skip
        words = "\n".join(textwrap.wrap(row.label(sheet.day) + (" CONTROL" if row.control else ""), 38)[:2])
        _text(axes, x + 0.06, y + tall / 2, words, va="center", fontsize=7.2, linespacing=1.05)


def write_field_sheet(sheet: FieldSheet, path: Path | str) -> Path:
    """Write the sheet as a PDF of one page; the same sheet gives the same bytes. The file.

    Raises:
        FolderError: a place that cannot be written.
    """
    target, content = Path(path), io.BytesIO()
    with rc_context(SETTINGS), PdfPages(content, metadata=DATE_LEFT_OUT) as pages:
        pages.savefig(page(sheet))
    staging = target.with_name(f".{target.name}.writing")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        staging.write_bytes(content.getvalue())
        staging.replace(target)
    except OSError as fault:
        found = f"a place that cannot be written ({fault.strerror})"
        raise FolderError(Fault(str(target), found, "a writable folder", "name another file")) from None
    return target
