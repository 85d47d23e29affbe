"""The history's list of stations as a table of ours: one row a station, step and variable."""

from collections.abc import Mapping
from typing import Any

import pandas as pd

from winterrisk.weather.history_values import COLUMNS, WEATHER_CODE


def station_table(near: pd.DataFrame, kept: pd.DataFrame, steps: Mapping[str, str]) -> pd.DataFrame:
    """Columns id, name, latitude, longitude, elevation, distance_km, step, variable, first, last, completeness.

    Args:
        near: stations by number, as the history lists them. kept: what each has (station, provider, parameter,
            start, end, completeness). steps: hourly or daily, by provider.
    """
    kept = kept[kept["station"].isin(near.index)].assign(step=kept["provider"].map(steps))
    rows = []
    for (number, step), had in kept[kept["step"].isin(list(COLUMNS))].groupby(["station", "step"]):
        theirs = dict(tuple(had.groupby("parameter")))
        named = {name: theirs[p] for name, (p, _) in COLUMNS[str(step)].items() if p in theirs}
        if step == "hourly" and WEATHER_CODE in theirs and "precipitation" in named:
            named["freezing_rain"] = theirs[WEATHER_CODE]
        station: dict[str, Any] = {str(k): v for k, v in near.loc[str(number)].items()}
        for name, of in named.items():
            share = pd.to_numeric(of["completeness"], errors="coerce").max()
            rows.append(
                {
                    "id": str(number),
                    "name": str(station["name"]),
                    "latitude": float(station["latitude"]),
                    "longitude": float(station["longitude"]),
                    "elevation": float(pd.to_numeric(station["elevation"], errors="coerce")),
                    "distance_km": float(station["distance"]) / 1000.0,
                    "step": str(step),
                    "variable": name,
                    "first": str(of["start"].min())[:10],
                    "last": str(of["end"].max())[:10],
                    "completeness": float(share) / (100.0 if share > 1.0 else 1.0),
                }
            )
    return pd.DataFrame(rows)
