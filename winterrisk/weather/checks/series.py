"""One variable of a record as a check sees it."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

HOUR: Final = np.timedelta64(1, "h")
DAY: Final = np.timedelta64(1, "D")
TEMPERATURES: Final = ("air_temperature", "air_temperature_max", "air_temperature_min")
DIGITS: Final = 1e-6
"""Slack in comparisons for the digits lost in a change of units."""


@dataclass(frozen=True)
class Series:
    """Values (time) of one variable, NaN where missing, on a regular axis of hours or days."""

    name: str
    times: NDArray[np.datetime64]
    values: Array
    step: np.timedelta64

    @property
    def daily(self) -> bool:
        """Whether the steps are days."""
        return bool(self.step == DAY)

    @property
    def known(self) -> NDArray[np.int64]:
        """Positions of the values that are not missing."""
        return np.flatnonzero(np.isfinite(self.values))

    def until(self, last: int | np.integer) -> np.datetime64:
        """Past-the-end label of a stretch that ends with position `last`."""
        return np.datetime64(self.times[last] + self.step)


def is_daily(raw: xr.Dataset) -> bool:
    """Whether a record's steps are local days."""
    return raw.attrs.get("step") == "daily"


def series(raw: xr.Dataset, name: str) -> Series | None:
    """A variable of a record, or None where the record has no value of it."""
    if name not in raw:
        return None
    values = raw[name].to_numpy().astype(np.float64)
    if not np.isfinite(values).any():
        return None
    return Series(name, raw["time"].to_numpy(), values, DAY if is_daily(raw) else HOUR)


def nearby(values: Array, shift: int) -> Array:
    """The value `shift` steps later (earlier where negative) at each time, NaN past the ends."""
    out = np.full(len(values), np.nan)
    if shift >= 0:
        out[: len(values) - shift] = values[shift:]
    else:
        out[-shift:] = values[:shift]
    return out


def finest_step(values: Array) -> float:
    """The smallest change a record shows (its rounding), 0 where it cannot tell.

    The 5 % quantile of the changes that are not zero: 0.1 for tenths, 0.56 K for whole degF.
    """
    changes = np.abs(np.diff(values))
    changes = changes[np.isfinite(changes) & (changes > DIGITS)]
    return float(np.quantile(changes, 0.05)) if len(changes) else 0.0
