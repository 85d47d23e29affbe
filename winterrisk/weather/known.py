"""What of a record was known at an instant."""

from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.faults import Fault
from winterrisk.weather.day_ends import day_ends_of
from winterrisk.weather.local_days import day_end_hours
from winterrisk.weather.refused import WeatherError

DELAY: Final = np.timedelta64(1, "h")
"""Time after its interval until a value is taken as received, where the file has no receipt times (a
convention)."""
HOUR = np.timedelta64(1, "h")


def interval_ends(raw: xr.Dataset) -> NDArray[np.datetime64]:
    """UTC at which the interval of each value of a record ends (time): its hour, or its day of readings.

    Args:
        raw (time): hourly (start of the hour, UTC) or daily (local day, attrs step, timezone and day_ends).
    """
    times = raw["time"].to_numpy()
    if raw.attrs.get("step") == "daily":
        return day_end_hours(times, str(raw.attrs["timezone"]), day_ends_of(raw))
    return np.asarray(times + HOUR)


def known_by(raw: xr.Dataset, instant: np.datetime64) -> xr.Dataset:
    """The part of a record (time) that was known at an instant: values are known 1 h after their interval
    ends.

    Args:
        raw (time): as for `interval_ends`; a morning observer's day is known an hour after the reading.
        instant: UTC.
    Raises:
        WeatherError: nothing was known yet: the record begins later.
    """
    times = raw["time"].to_numpy()
    known = interval_ends(raw) + DELAY <= np.datetime64(instant)
    if not known.any():
        found = f"a record that begins {str(times[0])[:10]}" if len(times) else "no rows"
        expected = f"weather known by {str(np.datetime64(instant))[:16]} UTC"
        move = "choose a later night or an earlier record"
        raise WeatherError(Fault(str(raw.attrs.get("station", "weather")), found, expected, move))
    return raw.isel(time=np.flatnonzero(known)).assign_attrs(known_by=str(np.datetime64(instant))[:16])
