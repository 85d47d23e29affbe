"""Fetches the last winters of the stations near a course, to see what they really have."""

from typing import Final

import numpy as np
import pandas as pd

from winterrisk.science.faults import Fault
from winterrisk.weather.get_meteostat import TIMEOUT, get_history
from winterrisk.weather.history_sources import OnlineStation
from winterrisk.weather.station_choice import nearness
from winterrisk.weather.station_completeness import winter_completeness, winters_begin

WINTERS: Final = 3
"""Winters that are counted (judged)."""
MOST: Final = 5
"""Stations of each step that are fetched: the best by distance and height (judged)."""


def get_completeness(
    table: pd.DataFrame,
    elevation: float,
    now: np.datetime64,
    *,
    timezone: str,
    winters: int = WINTERS,
    timeout: float = TIMEOUT,
) -> tuple[pd.DataFrame, tuple[Fault, ...]]:
    """The table of stations with measured completeness and dates in place of the history's own list, and what
    could not be fetched.

    The list behind `get_station_table` is of all years, counts forecasts and lags behind. Where nothing could
    be fetched at all the table comes back as it is.

    Args:
        table: of `get_station_table`. elevation [m]: of the course. now: UTC. timezone: of the course.
    Returns:
        The table of the stations that were fetched, with a column `counted`: what completeness is a share of.
    """
    first_year = int(str(winters_begin(now, winters))[:4])
    rows: list[pd.DataFrame] = []
    faults: list[Fault] = []
    for step, group in table.groupby("step", sort=False):
        stations = group.drop_duplicates("id").assign(cost=lambda g: nearness(g, elevation))
        for row in stations.sort_values(["cost", "id"]).head(MOST).to_dict("records"):
            height = None if np.isnan(row["elevation"]) else row["elevation"]
            station = OnlineStation(
                row["id"], row["name"], row["latitude"], row["longitude"], height, str(step)
            )
            fetched = get_history(station, first_year, now, timezone=timezone, timeout=timeout)
            if fetched.raw is None:
                faults += fetched.faults
                continue
            has = winter_completeness(fetched.raw, now, winters)
            where = {n: row[n] for n in ("id", "name", "latitude", "longitude", "elevation", "distance_km")}
            rows.append(has.assign(**where, step=str(step)))
    if not rows:
        return table, tuple(faults)
    measured = pd.concat(rows, ignore_index=True)
    unit = measured["step"].map({"hourly": "winter hours", "daily": "winter days"})
    return measured.assign(counted=unit), tuple(faults)
