"""Draws docs/pictures/hazard_*.svg: `python tests/docs/hazard_pictures.py` writes them anew.

Same matplotlib, same bytes: no date, a fixed salt for ids, text left as text.
"""

import io
import sys
from pathlib import Path
from xml.sax.saxutils import escape

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
from hazard_curves import pictures
from hazard_lines import Picture, description

FOLDER = Path(__file__).parents[2] / "docs" / "pictures"
LOOKS = {
    "svg.fonttype": "none",
    "svg.hashsalt": "winterrisk",
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 10,
    "axes.spines.top": False,
    "axes.spines.right": False,
}


def drawn(picture: Picture) -> plt.Figure:
    """The picture as a figure."""
    figure, axes = plt.subplots(figsize=(7.0, 4.2), layout="constrained")
    for line in picture.lines:
        axes.plot(line.x, line.y, line.dash, color=line.colour, linewidth=1.8, label=line.label)
    for ranges in picture.ranges:
        for x, low, high in ranges.bars():
            axes.plot(
                [x, x], [low, high], color=ranges.colour, linewidth=5, alpha=0.35, solid_capstyle="butt"
            )
        axes.plot([], [], color=ranges.colour, linewidth=5, alpha=0.35, label=ranges.label)
    if picture.y_label == "dead share":
        axes.set_ylim(-0.03, 1.03)
    axes.set_title(picture.title, fontsize=11, loc="left")
    axes.set_xlabel(picture.x_label)
    axes.set_ylabel(picture.y_label)
    axes.grid(color="#dddddd", linewidth=0.6)
    figure.legend(loc="outside lower center", ncols=2, frameon=False, fontsize=9)
    return figure


def svg(picture: Picture) -> str:
    """The picture as SVG text with a title and a description for screen readers."""
    with plt.rc_context(LOOKS):
        figure = drawn(picture)
        buffer = io.StringIO()
        figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None})
        plt.close(figure)
    head, tag, rest = buffer.getvalue().partition("<svg ")
    inside, end, body = rest.partition(">")
    words = f"\n <title>{escape(picture.title)}</title>\n <desc>{escape(description(picture))}</desc>"
    lines = (head + tag + 'role="img" ' + inside + end + words + body).splitlines()
    return "\n".join(line.rstrip() for line in lines) + "\n"


def main(folder: Path) -> None:
    """Write every picture."""
    folder.mkdir(parents=True, exist_ok=True)
    for picture in pictures():
        (folder / f"hazard_{picture.hazard}.svg").write_text(svg(picture), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
