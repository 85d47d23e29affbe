"""Pictures of a season: the chance of a zone night by night under lanes of what was said, done and found."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, Final

import matplotlib.dates as mdates
from matplotlib import rc_context, rcParamsDefault
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from winterrisk.science.day_words import MONTHS

INK, LINE, BAND, GRID = "#1c2320", "#1f4e79", "#b9cfe4", "#d9dcd6"
STYLE: Final[dict[str, Any]] = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 9.0,
    "svg.fonttype": "none",
    "svg.hashsalt": "winterrisk",
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
}
"""What differs from the library's own defaults."""
SETTINGS: Final[Any] = {**{k: v for k, v in rcParamsDefault.items() if k != "backend"}, **STYLE}
"""All settings of a picture, so that nobody's own come in and the same record gives the same bytes."""
WIDTH, HEIGHT = 4.0, 2.1
LANES: Final = {"found": 0.0, "done": 1.0, "said": 2.0}
OPEN: Final = {"facecolor": "white", "edgecolor": INK}
FILLED: Final = {"facecolor": INK, "edgecolor": INK}
THIN: Final = {"color": INK}
MARKS: Final[dict[str, tuple[str, str, dict[str, Any]]]] = {
    "look": ("said", "o", OPEN),
    "pull": ("said", "v", FILLED),
    "act": ("said", "s", FILLED),
    "cannot say": ("said", "x", THIN),
    "seen": ("done", "|", THIN),
    "work": ("done", "P", FILLED),
    "cut": ("done", "s", OPEN),
    "alive": ("found", "^", OPEN),
    "dead": ("found", "X", FILLED),
    "likely dead": ("found", "X", OPEN),
    "open": ("found", "$?$", FILLED),
    "void": ("found", "_", THIN),
    "survey": ("found", "D", OPEN),
}
"""Lane, shape and filling of each mark: told apart by shape, never by colour."""


def marks_of_zone(zone: Mapping[str, Any]) -> list[tuple[str, str]]:
    """What is marked in a zone's picture: (ISO date, name of the mark).

    A call that is repeated is marked on its first and its last night.
    """
    marks = [(row[end], row["kind"]) for row in zone["said"] for end in ("first", "last")]
    marks += [(row["date"], row["sort"]) for row in zone["done"]]
    for row in zone["plugs"]:
        marks.append((row["cut"], "cut"))
        if row["settled"]:
            marks.append((row["settled"], row["state"]))
    if zone["survey"]:
        marks.append((zone["survey"]["date"], "survey"))
    return sorted(set(marks))


def season_span(zones: Sequence[Mapping[str, Any]]) -> tuple[str, str] | None:
    """First and last date (ISO) of anything in the pictures; None where there is nothing."""
    dates = [date for zone in zones for date, _ in marks_of_zone(zone)]
    dates += [row["on"] for zone in zones for row in zone["chances"]]
    return (min(dates), max(dates)) if dates else None


def chance_figure(zone: Mapping[str, Any], span: tuple[str, str]) -> Figure:
    """The chance that more than a quarter of a zone is dead, night by night with its range; marks above it.

    Args:
        zone: record of one zone: said, done, plugs, survey, chances. span: first and last date of the axis.
    """
    with rc_context(SETTINGS):
        figure = Figure(figsize=(WIDTH, HEIGHT))
        lanes, chance = figure.subplots(2, 1, sharex=True, height_ratios=(1.0, 1.7))
        figure.subplots_adjust(left=0.135, right=0.985, top=0.985, bottom=0.115, hspace=0.08)
        _draw_lanes(lanes, marks_of_zone(zone))
        _draw_chances(chance, zone["chances"])
        first, last = (dt.date.fromisoformat(date) for date in span)
        chance.set_xlim(_number(first - dt.timedelta(days=4)), _number(last + dt.timedelta(days=4)))
        chance.xaxis.set_major_locator(mdates.MonthLocator())
        chance.xaxis.set_major_formatter(FuncFormatter(_month))
        return figure


def _month(position: float, _: int | None = None) -> str:
    return MONTHS[mdates.num2date(position).month - 1]


def _number(date: dt.date) -> float:
    return float(mdates.date2num(date))


def _draw_lanes(axes: Axes, marks: Sequence[tuple[str, str]]) -> None:
    for name, (lane, shape, filling) in MARKS.items():
        days = [_number(dt.date.fromisoformat(date)) for date, mark in marks if mark == name]
        if days:
            axes.scatter(days, [LANES[lane]] * len(days), s=26, marker=shape, linewidth=0.9, **filling)
    axes.set_ylim(-0.6, 2.6)
    axes.set_yticks(list(LANES.values()), list(LANES))
    axes.tick_params(axis="both", length=0)
    axes.tick_params(axis="x", labelbottom=False)
    axes.grid(axis="y", color=GRID, linewidth=0.7)
    axes.set_axisbelow(True)
    axes.spines[["top", "right", "bottom"]].set_visible(False)


def _draw_chances(axes: Axes, chances: Sequence[Mapping[str, Any]]) -> None:
    for run in _unbroken(chances):
        days = [_number(dt.date.fromisoformat(row["on"])) for row in run]
        low, mean, high = ([100.0 * row[name] for row in run] for name in ("low", "chance", "high"))
        if len(run) == 1:
            axes.vlines(days, low, high, color=BAND, linewidth=3)
            axes.scatter(days, mean, s=7, color=LINE)
            continue
        axes.fill_between(days, low, high, color=BAND, linewidth=0)
        axes.plot(days, mean, color=LINE, linewidth=1.5)
    axes.set_ylim(0, 100)
    axes.set_yticks([0, 25, 50, 75, 100], ["0", "25", "50", "75", "100 %"])
    axes.grid(color=GRID, linewidth=0.7)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)


def _unbroken(chances: Sequence[Mapping[str, Any]]) -> list[list[Mapping[str, Any]]]:
    """Nights in a row without a night missing: a line is drawn over none that was not worked."""
    runs: list[list[Mapping[str, Any]]] = []
    for row in chances:
        day = dt.date.fromisoformat(row["on"])
        if runs and (day - dt.date.fromisoformat(runs[-1][-1]["on"])).days == 1:
            runs[-1].append(row)
        else:
            runs.append([row])
    return runs
