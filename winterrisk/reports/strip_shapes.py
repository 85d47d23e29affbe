"""Where the lines and bars of a zone's strips lie, in the units of the picture: numbers only, no markup."""

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from winterrisk.reports.strip_series import Strip
from winterrisk.reports.units import INCH_MM, fahrenheit
from winterrisk.science.day_words import MONTHS

WIDTH: Final = 360
LEFT, RIGHT, EDGE = 32.0, 326.0, 343.0
"""First and last day, and where the chance of the last day spoken of stands (x)."""
PANELS: Final = {
    "temperature": (16.0, 100.0),
    "snow": (118.0, 150.0),
    "ice": (168.0, 194.0),
    "wet": (212.0, 232.0),
    "chance": (250.0, 308.0),
}
"""Top and bottom (y) of each strip."""
HEIGHT: Final = 326
HOURS: Final = 24.0
LEAST_TOP: Final = {"metric": {"snow": 10.0, "ice": 10.0}, "us": {"snow": 4.0, "ice": 0.4}}
"""Least upper end of an axis, so that a trace does not look like a flood (judged)."""
STEP: Final = {"metric": 10.0, "us": 20.0}
"""Between two lines of the temperature axis [degC, degF]."""
CM: Final = 100.0

Said = Mapping[str, Any]
Shapes = dict[str, Any]


@dataclass(frozen=True)
class Axis:
    """A straight scale: `low` lies at y `bottom`, `high` at y `top`."""

    low: float
    high: float
    top: float
    bottom: float

    def y(self, value: float) -> float:
        """Height (y) of a value, held within the strip."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return round(self.bottom - share * (self.bottom - self.top), 1)


def strip_shapes(strip: Strip, said: Sequence[Said], units: str) -> Shapes:
    """Paths, bars, ticks and marks of one zone's picture, 360 wide and 326 high.

    Args:
        said: rows on (ISO date of the night), chance, low, high: what nights up to this one said was dead
            by then. units: "metric" or "us".
    """
    step = (RIGHT - LEFT) / max(1, len(strip.days))
    starts = [LEFT + i * step for i in range(len(strip.days) + 1)]
    middles = [x + step / 2 for x in starts[:-1]]
    degrees = fahrenheit if units == "us" else float
    warmth = _temperature_axis(strip, degrees, units)

    def height(values: Sequence[float]) -> list[float]:
        return [warmth.y(degrees(v)) for v in values]

    return {
        "today": round(starts[strip.measured], 1),
        "months": _months(strip.days, starts),
        "ticks": [(warmth.y(v), f"{v:g}") for v in _lines(warmth, STEP[units])],
        "zero": warmth.y(degrees(0.0)),
        "air": _bars(middles, height(strip.air_low), height(strip.air_high)),
        "crown": _line(middles, height(strip.crown)),
        "crown_range": _band(middles, height(strip.crown_low), height(strip.crown_high)),
        "kill": _line(middles, height(strip.kill)),
        "bar": round(max(0.8, 0.55 * step), 2),
        **_amounts(strip, middles, units),
        **_chances(strip, said, starts),
    }


def _temperature_axis(strip: Strip, degrees: Callable[[float], float], units: str) -> Axis:
    every = [v for v in (*strip.air_low, *strip.air_high, *strip.crown, *strip.kill) if math.isfinite(v)]
    step = STEP[units] / 2
    low = step * math.floor(degrees(min(every, default=-step)) / step)
    high = step * math.ceil(degrees(max(every, default=step)) / step)
    return Axis(low, max(high, low + step), *PANELS["temperature"])


def _lines(axis: Axis, step: float) -> list[float]:
    first = math.ceil(axis.low / step)
    return [step * i for i in range(first, math.floor(axis.high / step) + 1)]


def _amounts(strip: Strip, middles: Sequence[float], units: str) -> Shapes:
    """Snow, ice and wet hours as bars from the floor of their strips, with the upper end of each axis."""
    depth, thick = (CM / 2.54, 1 / INCH_MM) if units == "us" else (CM, 1.0)
    rows = {"snow": [depth * v for v in strip.snow], "ice": [thick * v for v in strip.ice], "wet": strip.wet}
    shapes: Shapes = {}
    for name, values in rows.items():
        least = HOURS if name == "wet" else LEAST_TOP[units][name]
        most = max((v for v in values if math.isfinite(v)), default=0.0)
        axis = Axis(0.0, max(least, _round_up(most)), *PANELS[name])
        floor = [axis.bottom] * len(values)
        shapes[name] = _bars(middles, floor, [axis.y(v) for v in values], least=0.05)
        shapes[f"{name}_top"] = f"{axis.high:g}"
    return shapes


def _round_up(value: float) -> float:
    """The next of 1, 2, 5, 10, 20, 50 …"""
    if value <= 0:
        return 0.0
    ten = 10.0 ** math.floor(math.log10(value))
    return next(ten * n for n in (1, 2, 5, 10) if ten * n >= value - 1e-9)


def _chances(strip: Strip, said: Sequence[Said], starts: Sequence[float]) -> Shapes:
    """Nights behind as a line with its range, broken where a night is missing; days ahead as dots."""
    axis = Axis(0.0, 1.0, *PANELS["chance"])
    place = {day: starts[i] for i, day in enumerate(strip.days)}
    place[_after(strip.days[-1])] = starts[-1]
    runs: list[list[Said]] = []
    for row in said:
        if row["on"] not in place:
            continue
        if runs and _after(runs[-1][-1]["on"]) == row["on"]:
            runs[-1].append(row)
        else:
            runs.append([row])

    def across(name: str, run: Sequence[Said]) -> list[float]:
        return [axis.y(row[name]) for row in run]

    lines, bands, dots = [], [], []
    for run in runs:
        x = [place[row["on"]] for row in run]
        if len(run) == 1:
            dots.append((round(x[0], 1), *(across(n, run)[0] for n in ("chance", "low", "high"))))
            continue
        lines.append(_line(x, across("chance", run)))
        bands.append(_band(x, across("low", run), across("high", run)))
    ahead = [(place[_after(d)], c, lo, hi) for d, c, lo, hi in strip.later[1:-1] if _after(d) in place]
    last = strip.later[-1:]
    return {
        "chance_lines": lines,
        "chance_bands": bands,
        "chance_dots": dots,
        "chance_ahead": [(round(x, 1), axis.y(c), axis.y(lo), axis.y(hi)) for x, c, lo, hi in ahead],
        "chance_last": [(EDGE, axis.y(c), axis.y(lo), axis.y(hi)) for _, c, lo, hi in last],
        "half": axis.y(0.5),
    }


def _after(day: str) -> str:
    return (dt.date.fromisoformat(day) + dt.timedelta(days=1)).isoformat()


def _months(days: Sequence[str], starts: Sequence[float]) -> list[tuple[float, str]]:
    return [
        (round(x, 1), MONTHS[int(day[5:7]) - 1])
        for day, x in zip(days, starts, strict=False)
        if day.endswith("-01")
    ]


def _pieces(x: Sequence[float], y: Sequence[float]) -> list[list[tuple[float, float]]]:
    """Points in unbroken rows: a value that is missing breaks the line."""
    rows: list[list[tuple[float, float]]] = [[]]
    for point in zip(x, y, strict=True):
        if math.isfinite(point[1]):
            rows[-1].append(point)
        elif rows[-1]:
            rows.append([])
    return [row for row in rows if row]


def _line(x: Sequence[float], y: Sequence[float]) -> str:
    return "".join("M" + "L".join(f"{a:.1f} {b:g}" for a, b in row) for row in _pieces(x, y))


def _band(x: Sequence[float], low: Sequence[float], high: Sequence[float]) -> str:
    there = [(a, b, c) for a, b, c in zip(x, low, high, strict=True) if math.isfinite(b + c)]
    if len(there) < 2:
        return ""
    edge = [f"{a:.1f} {c:g}" for a, _, c in there] + [f"{a:.1f} {b:g}" for a, b, _ in reversed(there)]
    return "M" + "L".join(edge) + "Z"


def _bars(x: Sequence[float], low: Sequence[float], high: Sequence[float], least: float = -1.0) -> str:
    """Upright strokes in one path; those not taller than `least` are left out."""
    rows = zip(x, low, high, strict=True)
    return "".join(f"M{a:.1f} {b:g}V{c:g}" for a, b, c in rows if math.isfinite(b + c) and b - c > least)
