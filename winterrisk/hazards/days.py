"""Winter days as plain arrays for the loop, refused where a number is missing."""

from typing import NamedTuple

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.faults import Fault, Refused

VARIABLES = (
    "crown_temperature_min",
    "crown_temperature_mean",
    "crown_temperature_max",
    "hours_wet",
    "cooling_at_freeze",
    "hours_sealed",
    "air_store",
    "reaerated",
    "swings",
    "snow_depth_mean",
    "hours_snow_on_unfrozen",
    "drying",
)
"""What the hazards read of winter_days."""
HOURS_A_DAY = 24.0


class WinterDaysError(Refused):
    """Winter days that hazards cannot work with: a missing number is never taken as safe."""


class DayArrays(NamedTuple):
    """values (variable, zone, member, day) in the order of VARIABLES; day_of_year (day)."""

    values: NDArray[np.float32]
    day_of_year: NDArray[np.float64]


def day_arrays(winter_days: xr.Dataset) -> DayArrays:
    """The variables of `VARIABLES` by (zone, member, day), hours as shares of the day.

    Raises:
        WinterDaysError: a variable is absent, a number is missing, or minimum, mean and maximum are out of
            order.
    """
    faults = [
        Fault(
            f"winter_days.{name}",
            "no such variable",
            "a daily value for every zone and member",
            "run the column with output='days'",
        )
        for name in VARIABLES
        if name not in winter_days
    ]
    if faults:
        raise WinterDaysError(faults)
    sizes = {dim: winter_days.sizes.get(dim, 1) for dim in ("zone", "member", "day")}
    values = np.empty((len(VARIABLES), *sizes.values()), dtype=np.float32)
    for index, name in enumerate(VARIABLES):
        array = winter_days[name]
        missing = [dim for dim in sizes if dim not in array.dims]
        array = array.expand_dims(missing).transpose("zone", "member", "day")
        values[index] = _in_unit(name, array)
    for index, name in enumerate(VARIABLES):
        bad = np.argwhere(~np.isfinite(values[index]))
        if len(bad):
            faults.append(_gap(winter_days, name, bad))
    low, mean, high = values[0], values[1], values[2]
    if not faults and np.any((low > mean + 0.01) | (mean > high + 0.01)):
        faults.append(
            Fault(
                "winter_days.crown_temperature",
                "minimum, mean and maximum out of order",
                "minimum <= mean <= maximum on each day",
                "check the source of these days",
            )
        )
    if faults:
        raise WinterDaysError(faults)
    return DayArrays(values, np.asarray(winter_days["day"].dt.dayofyear, dtype=np.float64))


def _in_unit(name: str, array: xr.DataArray) -> NDArray[np.float32]:
    values: NDArray[np.float32] = array.to_numpy().astype(np.float32)
    if name.startswith("hours_") or (name == "reaerated" and _in_hours(array, values)):
        return np.asarray(np.clip(values / np.float32(HOURS_A_DAY), 0.0, 1.0))
    if name == "reaerated":
        return np.asarray(np.clip(values, 0.0, 1.0))
    return values


def _in_hours(array: xr.DataArray, values: NDArray[np.float32]) -> bool:
    """Whether re-aeration comes in hours; a source that names no unit may give a share of the day."""
    return array.attrs.get("units") == "h" or bool(np.any(values > 1.0))


def _gap(winter_days: xr.Dataset, name: str, bad: NDArray[np.intp]) -> Fault:
    zone, _, day = bad[0]
    label = str(winter_days["zone"].to_numpy()[zone]) if "zone" in winter_days.coords else "the zone"
    when = np.datetime_as_string(winter_days["day"].to_numpy()[day], unit="D")
    return Fault(
        f"winter_days.{name}",
        f"{len(bad)} missing values, the first on {when} in {label}",
        "a number on every day",
        "fill the weather (weather.possible) before working hazards",
    )
