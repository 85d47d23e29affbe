"""One picture of a winter's weather as it is known: warmth, water and snow, and where each hour comes from."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import matplotlib.dates as mdates
import numpy as np
import pandas as pd
import xarray as xr
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from winterrisk.reports.figures import BAND, GRID, INK, LINE, MONTHS, SETTINGS
from winterrisk.weather import REQUIRED, VARIABLES
from winterrisk.weather.gaps import runs

WIDTH, HEIGHT = 8.0, 6.4
HOUR: Final = np.timedelta64(1, "h")
LOOKS: Final[dict[int, tuple[str, str, str]]] = {
    0: ("measured", LINE, ""),
    1: ("other station", "#7fa3c7", "//"),
    2: ("model", "#b9cfe4", ".."),
    3: ("filled or worked out", "white", "xx"),
}
"""Origin -> words, colour, hatching: told apart without colour too."""


def weather_figure(
    winter: xr.Dataset, found: Sequence[Mapping[str, Any]], *, title: str, timezone: str
) -> Figure:
    """Air temperature by day, precipitation with snow depth, and the origin of every hour, on one time axis.

    Args:
        winter (time): this winter so far, as `complete` gives it. found: rows of the checks, with local times.
        title: of the picture. timezone: of the course; days and the axis are its own.
    """
    winter = winter.assign_coords(time=_local(winter["time"].to_numpy(), timezone))
    times = winter["time"].to_numpy()
    with rc_context(SETTINGS):
        figure = Figure(figsize=(WIDTH, HEIGHT))
        warmth, water, lanes = figure.subplots(3, 1, sharex=True, height_ratios=(1.5, 1.0, 1.5))
        warmth.margins(y=0.05)
        figure.subplots_adjust(left=0.17, right=0.90, top=0.92, bottom=0.12, hspace=0.12)
        figure.suptitle(title, x=0.17, y=0.97, ha="left", fontsize=10, fontweight="bold")
        days, low, high, rain = _by_day(winter)
        warmth.fill_between(days, low, high, step="post", color=BAND, linewidth=0)
        warmth.axhline(0.0, color=INK, linewidth=0.8)
        warmth.set_ylabel("air, degC\nlow to high")
        water.bar(days, rain, width=1.0, align="edge", color=LINE)
        water.set_ylabel("precipitation\nmm a day")
        _snow(water, winter)
        _lanes(lanes, winter)
        _marks(lanes, found)
        lanes.set_xlim(mdates.date2num(times[0]), mdates.date2num(times[-1] + HOUR))
        lanes.xaxis.set_major_locator(mdates.MonthLocator())
        lanes.xaxis.set_major_formatter(FuncFormatter(lambda x, _=None: MONTHS[mdates.num2date(x).month - 1]))
        for axes in (warmth, water):
            axes.grid(color=GRID, linewidth=0.7)
            axes.set_axisbelow(True)
            axes.spines[["top", "right"]].set_visible(False)
        _legend(figure)
        return figure


def _local(times: Any, timezone: str) -> Any:
    """Times as the course's clock shows them; the picture does not mind the two hours of a clock change."""
    return pd.DatetimeIndex(times).tz_localize("UTC").tz_convert(timezone).tz_localize(None).to_numpy()


def _by_day(winter: xr.Dataset) -> tuple[Any, Any, Any, Any]:
    day = winter["time"].to_numpy().astype("datetime64[D]")
    days, begins = np.unique(day, return_index=True)
    air, water = winter["air_temperature"].to_numpy(), winter["precipitation"].to_numpy()
    low, high = np.minimum.reduceat(air, begins), np.maximum.reduceat(air, begins)
    return mdates.date2num(days), low, high, np.add.reduceat(water, begins)


def _snow(axes: Axes, winter: xr.Dataset) -> None:
    if "snow_depth" not in winter or not np.isfinite(winter["snow_depth"]).any():
        return
    beside = axes.twinx()
    at = mdates.date2num(winter["time"].to_numpy())
    beside.plot(at, 100.0 * winter["snow_depth"].to_numpy(), color=INK, linewidth=1.0, linestyle="--")
    beside.set_ylabel("snow, cm (dashed)")
    beside.set_ylim(bottom=0)
    beside.spines[["top", "left"]].set_visible(False)


def _lanes(axes: Axes, winter: xr.Dataset) -> None:
    times = mdates.date2num(winter["time"].to_numpy())
    step = 1.0 / 24.0
    for lane, name in enumerate(REQUIRED):
        origin = winter[f"{name}_origin"].to_numpy()
        for code, (_, colour, hatch) in LOOKS.items():
            spans = [(times[first], step * length) for first, length in runs(origin == code)]
            axes.broken_barh(
                spans, (lane - 0.36, 0.72), facecolor=colour, hatch=hatch, edgecolor=INK, linewidth=0.0
            )
    names = [VARIABLES[n].long_name.split(" on ")[0].removesuffix(" of the hour") for n in REQUIRED]
    axes.set_yticks(range(len(REQUIRED)), [_short(n) for n in names])
    axes.set_ylim(len(REQUIRED) - 0.4, -1.2)
    axes.tick_params(axis="y", length=0)
    axes.spines[["top", "right", "left"]].set_visible(False)


def _short(name: str) -> str:
    return {
        "dew point over water": "dew point",
        "wind speed at 10 m": "wind",
        "air pressure at the station": "air pressure",
        "sun and sky radiation": "sun",
        "heat radiation from the sky": "heat of the sky",
    }.get(name, name)


def _marks(axes: Axes, found: Sequence[Mapping[str, Any]]) -> None:
    days = [mdates.datestr2num(str(row["time"])) for row in found if row["time"] and row["verdict"] != "note"]
    if days:
        axes.scatter(days, [-0.8] * len(days), marker="v", s=16, color=INK, clip_on=True)


def _legend(figure: Figure) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    patches = [
        Patch(facecolor=c, hatch=h, edgecolor=INK, linewidth=0.5, label=w) for w, c, h in LOOKS.values()
    ]
    mark = Line2D([], [], marker="v", color=INK, linestyle="", label="a check fired")
    figure.legend(
        handles=[*patches, mark], loc="lower left", bbox_to_anchor=(0.16, 0.0), ncols=5, frameon=False
    )
