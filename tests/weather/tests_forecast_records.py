"""Nights of real winters, each with a forecast made of what came, its paths, and what came."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.weather.forecast_of_truth import forecast_of_truth, usuals_of
from winterrisk.weather.forecast_paths import forecast_paths

HOUR = np.timedelta64(1, "h")
YEAR = 8766
LENT = 8 * YEAR
"""Hours of the record before a night that lend rain and the climatology [h]."""
DAYS = (1, 3, 7)
NIGHT = 12
"""Hours from local midnight in which a day's lowest temperature is looked for [h]: hours made of a record of days
have it there always, real ones and paths sometimes late in the evening, which would count as a cold bias."""


@dataclass(frozen=True)
class Cases:
    """One quantity of one day ahead: paths (case, member), what came (case), same dates of other years (case, year)."""

    paths: NDArray[np.float64]
    came: NDArray[np.float64]
    usual: NDArray[np.float64]


def nights(
    weather: xr.Dataset, name: str, *, every: int, members: int, utc_hours: int
) -> dict[tuple[str, int], Cases]:
    """Lowest temperature, highest temperature and precipitation of local days 1, 3 and 7 after each night.

    Args:
        weather: a whole record, complete; name: key; every: days between nights, November to March.
        utc_hours: hours from local midnight to UTC midnight; the night speaks at four.
    """
    times = weather["time"].to_numpy()
    usuals = usuals_of(weather)
    values = {n: weather[n].to_numpy() for n in ("air_temperature", "precipitation")}
    first, last = pd.Timestamp(times[0]).year + 9, pd.Timestamp(times[-1]).year - 1
    rows: dict[tuple[str, int], list[tuple[NDArray[np.float64], float, list[float]]]] = {}
    for year in range(first, last):
        for day in pd.date_range(f"{year}-11-05", f"{year + 1}-03-20", freq=f"{every}D"):
            issued = np.datetime64(day + pd.Timedelta(hours=utc_hours + 4), "h")
            ends = int((issued - 4 * HOUR - times[0]) / HOUR)
            key = (name, year, int(day.day_of_year))
            told = forecast_of_truth(weather.isel(time=slice(0, ends + 220)), issued, usuals=usuals, key=key)
            known = weather.isel(time=slice(ends - LENT, ends))
            measured = known.isel(time=slice(-1000, None))
            paths = forecast_paths(told, measured, members=members, key=key, now=issued, past=known)
            begins = int((paths["time"].to_numpy()[0] - times[0]) / HOUR)
            for ahead in DAYS:
                at = ends + 24 * ahead
                years = [at - 24 * round(365.2425 * k) for k in range(1, 9)]
                for what, column, reduce, length in (
                    ("lowest", "air_temperature", np.min, NIGHT),
                    ("highest", "air_temperature", np.max, 24),
                    ("water", "precipitation", np.sum, 24),
                ):
                    own = paths[column].to_numpy()[at - begins : at - begins + length]
                    rows.setdefault((what, ahead), []).append(
                        (
                            reduce(own, axis=0),
                            float(reduce(values[column][at : at + length])),
                            [float(reduce(values[column][k : k + length])) for k in years],
                        )
                    )
    return {
        kind: Cases(
            np.array([r[0] for r in found]), np.array([r[1] for r in found]), np.array([r[2] for r in found])
        )
        for kind, found in rows.items()
    }
