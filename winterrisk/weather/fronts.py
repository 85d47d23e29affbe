"""Fronts at midnight: a day's lowest or highest that says nothing of its sunrise or its afternoon."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.local_days import LocalDays

Array = NDArray[np.float64]

DRAWN: Final = 0.5
"""Share of the way to the day's other midnight that a sunrise or an afternoon lies from an extreme which was a
midnight's [1] (judged): 0.5 and 0.7 are alike, the hours of an alpine and a boreal winter lie 2 and 6 % closer than
without."""


@dataclass(frozen=True)
class Fronts:
    """Days (day) whose low or high was reached at the midnight they begin or end with."""

    low_first: NDArray[np.bool_]
    high_first: NDArray[np.bool_]
    low_last: NDArray[np.bool_]
    high_last: NDArray[np.bool_]

    @classmethod
    def of(cls, low: Array, high: Array, turn: Array) -> "Fronts":
        """Args: low, high (day) [degC]; turn (day) [degC]: temperature at the midnight that ends the day."""
        before = _before(turn)
        return cls(before <= low, before >= high, turn <= low, turn >= high)

    @property
    def at_end(self) -> NDArray[np.bool_]:
        """Days (day) that end at an extreme of their own or the next day's."""
        ends = self.low_last | self.high_last
        ends[:-1] |= (self.low_first | self.high_first)[1:]
        return ends

    def extremes(self, low: Array, high: Array, turn: Array) -> tuple[Array, Array]:
        """Temperature (day) [degC] at sunrise and in the afternoon: an extreme that was a midnight's is drawn towards
        the day's other midnight."""
        begins, ends = np.clip(_before(turn), low, high), np.clip(turn, low, high)
        begins = np.where(np.isfinite(begins), begins, ends)
        sunrise = np.where(self.low_last, low + DRAWN * (begins - low), low)
        sunrise = np.where(self.low_first & ~self.low_last, low + DRAWN * (ends - low), sunrise)
        afternoon = np.where(self.high_last, high + DRAWN * (begins - high), high)
        afternoon = np.where(self.high_first & ~self.high_last, high + DRAWN * (ends - high), afternoon)
        return sunrise, np.fmax(sunrise, afternoon)

    def reach(self, curve: Array, low: Array, high: Array, hours: LocalDays) -> None:
        """Puts the extremes of those midnights into the first and last hours of `curve` (time) [degC]."""
        last = hours.first + hours.length - 1
        for days, hour, value in (
            (self.low_first, hours.first, low),
            (self.high_first, hours.first, high),
            (self.low_last, last, low),
            (self.high_last, last, high),
        ):
            curve[hour[days]] = value[days]


def _before(values: Array) -> Array:
    return np.append(np.nan, values[:-1])
