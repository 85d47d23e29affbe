"""Pictures of a preview: a zone under both thresholds night by night, its calls, and what spring showed."""

from typing import Final

import matplotlib.dates as mdates
import pandas as pd
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, PercentFormatter

from winterrisk.calibration.preview import SIDES, WARNINGS, Preview, spoken
from winterrisk.reports.figures import GRID, INK, LINE, MONTHS, SETTINGS

MOST: Final = 12
"""Zones drawn: those that changed first, then those with the highest chance."""
ACROSS: Final = 3
WIDTH, HEIGHT, HEAD = 3.4, 2.0, 1.0
LOOKS: Final = {
    "now": {"color": INK, "linestyle": "-", "marker": "v"},
    "then": {"color": LINE, "linestyle": "--", "marker": "^"},
}
"""Line and mark of each side: told apart by dash and shape too."""


def drawn_zones(preview: Preview) -> pd.DataFrame:
    """Rows of zones that are drawn (winter, zone)."""
    rest = preview.zones.drop(preview.changed.index).sort_values("highest_now", ascending=False)
    return pd.concat([preview.changed, rest]).head(MOST)


def preview_figure(preview: Preview, title: str) -> Figure:
    """One panel a zone and winter: chance that more than a quarter is dead by spring, under both; warnings as marks;
    the surveyed class of dead share as a hatched band."""
    rows = drawn_zones(preview)
    down = max(-(-len(rows) // ACROSS), 1)
    with rc_context(SETTINGS):
        figure = Figure(figsize=(WIDTH * ACROSS, HEIGHT * down + HEAD), layout="constrained")
        figure.suptitle(title, ha="left", x=0.01, fontsize=10, fontweight="bold")
        panels = figure.subplots(down, ACROSS, squeeze=False, sharey=True).ravel()
        for panel, (_, row) in zip(panels, rows.iterrows(), strict=False):
            _panel(panel, preview, row)
        for panel in panels[len(rows) :]:
            panel.set_visible(False)
        handles, labels = panels[0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside lower left", ncols=3, frameon=False)
    return figure


def _panel(axes: Axes, preview: Preview, row: pd.Series) -> None:
    for side, nights in zip(SIDES, preview.nights, strict=True):
        own = nights.zones[(nights.zones["winter"] == row["winter"]) & (nights.zones["zone"] == row["zone"])]
        chance = pd.Series(own["chance"].to_numpy(), pd.to_datetime(own["on"]))
        look = LOOKS[side]
        axes.plot(
            mdates.date2num(chance.index), chance, color=look["color"], linestyle=look["linestyle"],
            label=f"chance {side}", linewidth=1.4,
        )  # fmt: skip
        calls = spoken(nights.calls)
        warned = calls[(calls["winter"] == row["winter"]) & (calls["zone"] == row["zone"])]
        days = pd.to_datetime(warned.loc[warned["kind"].isin(WARNINGS), "on"])
        axes.plot(
            mdates.date2num(days), chance.reindex(days).to_numpy(), linestyle="", color=look["color"],
            marker=look["marker"], markersize=6, label=f"pull {side}",
        )  # fmt: skip
    if not pd.isna(row["dead_low"]):
        axes.axhspan(row["dead_low"], row["dead_high"], facecolor="none", edgecolor=INK, hatch="////", alpha=0.35,
                     label="dead in the spring survey")  # fmt: skip
    axes.set_title(f"{row['zone']}, {row['winter']}: {row['now']} -> {row['then']}", loc="left", fontsize=8.5)
    axes.set_ylim(0, 1)
    axes.yaxis.set_major_formatter(PercentFormatter(1.0))
    axes.xaxis.set_major_locator(mdates.MonthLocator())
    axes.xaxis.set_major_formatter(FuncFormatter(lambda x, _=None: MONTHS[mdates.num2date(x).month - 1]))
    axes.grid(color=GRID, linewidth=0.7)
    axes.spines[["top", "right"]].set_visible(False)
