"""Which station of an online history serves a course best, variable by variable, and why."""

import datetime as dt
from dataclasses import dataclass
from typing import Any, Final

import pandas as pd

from winterrisk.science.faults import Fault
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import VARIABLES

KM_PER_POINT, METRES_PER_POINT, GAPS_PER_POINT = 25.0, 100.0, 0.15
"""Distance [km], height difference [m] and missing share [1] that weigh the same (judged: a degree in cold
nights)."""
STALE: Final = dt.timedelta(days=45)
"""A station that has reported nothing for so long is not chosen (judged)."""
LEAST_COMPLETE: Final = 0.6
"""Share of values below which a station is not chosen for a variable [1] (judged)."""
NEEDED: Final = {
    "hourly": ("air_temperature", "precipitation"),
    "daily": ("air_temperature_max", "air_temperature_min", "precipitation"),
}


@dataclass(frozen=True)
class Choice:
    """A station chosen for one variable, and the reason in a sentence."""

    variable: str
    id: str
    name: str
    latitude: float
    longitude: float
    elevation: float
    distance_km: float
    completeness: float
    step: str
    reason: str


def chosen_stations(table: pd.DataFrame, elevation: float, today: dt.date) -> tuple[Choice, ...]:
    """The station for each variable: near, of like height, complete and still reporting; hourly before daily.

    Args:
        table: of `get_station_table`. elevation [m]: of the course. today: for stations that ceased.
    Raises:
        WeatherError: no station has what a night needs.
    """
    for step in NEEDED:
        rows = _suitable(table[table["step"] == step], elevation, today)
        if all((rows["variable"] == name).any() for name in NEEDED[step]):
            names = [n for n in VARIABLES if (rows["variable"] == n).any()]
            if step == "daily":
                rows = _same_for_both_extremes(rows)
            return tuple(_best(rows[rows["variable"] == name], elevation) for name in names)
    have = ", ".join(sorted(set(table["variable"]))) if len(table) else "nothing"
    found = f"stations near the course with {have}"
    expected = "one with temperature and one with precipitation that still report"
    move = 'use a file of your own (station.source = "file")'
    raise WeatherError(Fault("online history", found, expected, move))


def _suitable(table: pd.DataFrame, elevation: float, today: dt.date) -> pd.DataFrame:
    recent = table["last"] >= (today - STALE).isoformat()
    rows = table[recent & (table["completeness"] >= LEAST_COMPLETE)].copy()
    rows["cost"] = (
        rows["distance_km"] / KM_PER_POINT
        + (rows["elevation"] - elevation).abs() / METRES_PER_POINT
        + (1.0 - rows["completeness"]) / GAPS_PER_POINT
    )
    return rows.sort_values(["cost", "id"])


def _same_for_both_extremes(rows: pd.DataFrame) -> pd.DataFrame:
    """Highest and lowest of a day from one thermometer: only stations that have both."""
    both = NEEDED["daily"][:2]
    having = [set(rows.loc[rows["variable"] == name, "id"]) for name in both]
    return rows[~rows["variable"].isin(both) | rows["id"].isin(having[0] & having[1])]


def _best(rows: pd.DataFrame, elevation: float) -> Choice:
    best: dict[str, Any] = rows.iloc[0].to_dict()
    height = best["elevation"] - elevation
    where = (
        "at the course's height"
        if abs(height) < 5
        else f"{abs(height):.0f} m {'above' if height > 0 else 'below'}"
    )
    complete = f"{best['completeness']:.0%} of its values since {best['first'][:4]}"
    reason = f"{best['distance_km']:.0f} km away, {where}, {complete}"
    nearer = rows[rows["distance_km"] < best["distance_km"]]
    if len(nearer):
        other = nearer.sort_values("distance_km").iloc[0]
        reason += f"; {other['name']} is nearer ({other['distance_km']:.0f} km) but less complete or of another height"
    kept = {n: best[n] for n in Choice.__dataclass_fields__ if n != "reason"}
    return Choice(**kept, reason=reason)
