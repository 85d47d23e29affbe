"""A simple map of tonight's plugs: each zone as a square, seen from its low edge, one cross a plug."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from winterrisk.sampling.spots import place_of

COLUMNS = 3
SIDE = 2.6
"""Zones beside each other, and inches of each."""


def write_field_map(night: Mapping[str, Any], path: Path) -> Path | None:
    """Write the map of a night's PULL calls as PNG or PDF by the file's ending; None without any.

    The squares are no survey of the green: thirds count from the low edge, sides as seen from it.
    """
    from matplotlib.figure import Figure

    pulls = [c for c in night["calls"] if c["kind"] == "pull"]
    if not pulls:
        return None
    rows = -(-len(pulls) // COLUMNS)
    figure = Figure(figsize=(SIDE * COLUMNS + 0.6, (SIDE + 0.9) * rows + 0.6), layout="constrained")
    for place, call in enumerate(pulls, 1):
        axes = figure.add_subplot(rows, COLUMNS, place)
        for third in (1 / 3, 2 / 3):
            axes.axhline(third, color="0.8", lw=0.8)
            axes.axvline(third, color="0.8", lw=0.8)
        for number, spot in enumerate(call["spots"], 1):
            if (at := place_of(spot)) is not None:
                axes.plot(*at, "x", color="black", ms=8, mew=2)
                axes.annotate(f"{number}", at, xytext=(6, 4), textcoords="offset points", fontsize=11)
        axes.set(xlim=(0, 1), ylim=(0, 1), xticks=[], yticks=[], aspect="equal")
        axes.set_xlabel("low edge", fontsize=9)
        axes.set_title(f"{call['zone']}: {call['number']} plugs by {call['by']}", fontsize=10)
    figure.suptitle(f"{night['course']}, {night['on']}. One plug a cross; no map of the green.", fontsize=10)
    figure.savefig(path, dpi=110)
    return path
