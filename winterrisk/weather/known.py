"""What of a record was known at an instant."""

from typing import Final

import numpy as np
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.weather.local_days import midnights
from winterrisk.weather.refused import WeatherError

DELAY: Final = np.timedelta64(1, "h")
"""Time after its interval until a value is taken as received, where the file has no receipt times (a
convention)."""
HOUR = np.timedelta64(1, "h")
DAY = np.timedelta64(1, "D")


def known_by(raw: xr.Dataset, instant: np.datetime64) -> xr.Dataset:
    """The part of a record (time) that was known at an instant: values are known 1 h after their interval
    ends.

    Args:
        raw (time): hourly (start of the hour, UTC) or daily (local day, attrs step and timezone).
        instant: UTC.
    Raises:
        WeatherError: nothing was known yet: the record begins later.
    """
    times = raw["time"].to_numpy()
    if raw.attrs.get("step") == "daily":
        ends = midnights(times + DAY, str(raw.attrs["timezone"]))
    else:
        ends = times + HOUR
    known = ends + DELAY <= np.datetime64(instant)
    if not known.any():
        found = f"a record that begins {str(times[0])[:10]}" if len(times) else "no rows"
        expected = f"weather known by {str(np.datetime64(instant))[:16]} UTC"
        move = "choose a later night or an earlier record"
        raise WeatherError(Fault(str(raw.attrs.get("station", "weather")), found, expected, move))
    return raw.isel(time=np.flatnonzero(known)).assign_attrs(known_by=str(np.datetime64(instant))[:16])
