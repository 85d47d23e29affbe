"""Lines and ranges of the hazard pictures, worked by the hazards and read from the published cases."""

import dataclasses
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "published"))
import turf_scores
from turf_cases import Case, read_cases

from winterrisk import hazards
from winterrisk.thresholds import Thresholds

BLUEGRASS, BENT, OTHER, PALE = "#c8500a", "#0b62a4", "#3d7a2f", "#8a8a8a"
"""Colours that stay apart for colour-blind readers; line styles tell the same."""
Part = Mapping[str, float]


@dataclass(frozen=True)
class Line:
    """One worked curve."""

    label: str
    x: np.ndarray
    y: np.ndarray
    colour: str
    dash: str = "-"


@dataclass(frozen=True)
class Ranges:
    """Published ranges: ids of cases, each at its place on the x axis."""

    label: str
    at: Mapping[str, float]
    colour: str

    def bars(self) -> list[tuple[float, float, float]]:
        """x, low, high of each case."""
        return [(x, cases()[name].low, cases()[name].high) for name, x in self.at.items()]


@dataclass(frozen=True)
class Picture:
    """What one picture shows."""

    hazard: str
    title: str
    said: str
    x_label: str
    y_label: str
    lines: tuple[Line, ...]
    ranges: tuple[Ranges, ...]


@cache
def cases() -> dict[str, Case]:
    """The shipped cases by id."""
    return {case.id: case for case in read_cases(turf_scores.SHIPPED)[0]}


def with_series(name: str, series: Iterable[Part]) -> Case:
    """The named case with another series."""
    return dataclasses.replace(cases()[name], series=tuple(series))


def dead_by_day(case: Case, only: str = "") -> np.ndarray:
    """Dead share after each day of the case, by all hazards or by the one named; central thresholds."""
    harm, values = turf_scores.harm_of(case), Thresholds.defaults().values
    chances = {
        name: np.asarray(
            hazards.chance(name, hazards.cumulative(harm[f"dose_{name}"].to_numpy()), values, case.species)
        )
        for name in ((only,) if only else hazards.HAZARDS)
    }
    return np.maximum.accumulate(hazards.combine(chances))


def over_days(label: str, case: Case, colour: str, dash: str = "-", only: str = "") -> Line:
    """A curve of the dead share over the days of one case."""
    dead = dead_by_day(case, only)
    return Line(label, np.arange(1.0, len(dead) + 1.0), dead, colour, dash)


def swept(
    label: str, x: np.ndarray, case_at: Callable[[float], Case], colour: str, dash: str = "-", only: str = ""
) -> Line:
    """A curve of the dead share after the last day, over cases that change with x."""
    return Line(label, x, np.array([dead_by_day(case_at(float(v)), only)[-1] for v in x]), colour, dash)


def half_at(line: Line) -> float | None:
    """Where a curve of dead shares first crosses a half, straight between its points."""
    above = line.y >= 0.5
    crossed = np.flatnonzero(above[1:] != above[:-1])
    if not len(crossed):
        return None
    i = int(crossed[0])
    part = (0.5 - line.y[i]) / (line.y[i + 1] - line.y[i])
    return float(line.x[i] + part * (line.x[i + 1] - line.x[i]))


def said_of(line: Line) -> str:
    """What the curve shows in words: where half is dead, or how far it goes."""
    y = line.y
    if y.min() < 0.0:
        return f"{line.label}: {y[0]:.1f} at first, lowest {y.min():.1f}, {y[-1]:.1f} at the end"
    place = half_at(line)
    return f"{line.label}: at most {y.max():.2f}" if place is None else f"{line.label}: half at {place:.1f}"


def description(picture: Picture) -> str:
    """The picture in words, for those who do not see it; made of the plotted numbers."""
    bars = sum(len(r.at) for r in picture.ranges)
    curves = "; ".join(said_of(line) for line in picture.lines)
    shown = picture.y_label[0].upper() + picture.y_label[1:]
    return f"{picture.said} {shown} over {picture.x_label}. {curves}. {bars} ranges from reports."
