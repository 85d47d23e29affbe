"""Which station of an online history serves a course best, variable by variable, and why."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pandas as pd

from winterrisk.science.faults import Fault
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import VARIABLES

KM_PER_POINT, METRES_PER_POINT, GAPS_PER_POINT = 25.0, 100.0, 0.15
"""Distance [km], height difference [m] and missing share [1] that weigh the same (judged: a degree in cold
nights)."""
UNKNOWN_HEIGHT: Final = 100.0
"""Height difference taken where a station does not tell its height [m] (judged)."""
FARTHEST_KM, GREATEST_HEIGHT = 50.0, 500.0
"""Distance [km] and height difference [m] beyond which a station is not chosen (judged: another weather)."""
STALE: Final = dt.timedelta(days=45)
"""A station that has reported nothing for so long is not chosen (judged)."""
LEAST_COMPLETE: Final = 0.6
"""Share of values below which a station is not chosen for a variable [1] (judged)."""
NEEDED: Final = {
    "hourly": ("air_temperature", "precipitation"),
    "daily": ("air_temperature_max", "air_temperature_min", "precipitation"),
}
BESIDE: Final = {
    "relative_humidity": "air_temperature",
    "freezing_rain": "precipitation",
    "air_temperature_min": "air_temperature_max",
}
"""Taken from the station of another variable where that has it: humidity means nothing at another temperature,
freezing rain is a share of the same water, and both ends of a day are one thermometer's."""
ONLY_BESIDE: Final = ("freezing_rain", "air_temperature_min")
MOST_TOLD: Final = 3
"""Nearer stations that a reason names."""


@dataclass(frozen=True)
class Choice:
    """A station chosen for one variable, and the reason in a sentence."""

    variable: str
    id: str
    name: str
    latitude: float
    longitude: float
    elevation: float | None
    distance_km: float
    completeness: float
    step: str
    reason: str


def nearness(table: pd.DataFrame, elevation: float) -> "pd.Series[float]":
    """Points against a station for its distance and height: less is better."""
    height = (table["elevation"] - elevation).abs().fillna(UNKNOWN_HEIGHT)
    return table["distance_km"] / KM_PER_POINT + height / METRES_PER_POINT


def chosen_stations(table: pd.DataFrame, elevation: float, today: dt.date) -> tuple[Choice, ...]:
    """The station for each variable: near, of like height, complete and still reporting; hourly before daily.

    Points are counted against a station, one for 25 km, for 100 m of height and for 15 % that lacks; the
    fewest win. All variables come by the hour where temperature and precipitation do, else all by the day.

    Args:
        table: of `get_station_table`, or better of `get_completeness`. elevation [m]: of the course.
        today: for stations that ceased.
    Raises:
        WeatherError: no station within 50 km has what a night needs; what each lacks.
    """
    table = table.assign(
        unfit=[_unfit(row, elevation, today) for row in table.to_dict("records")],
        cost=nearness(table, elevation) + (1.0 - table["completeness"].fillna(0.0)) / GAPS_PER_POINT,
    ).sort_values(["cost", "id"])
    for step in NEEDED:
        of_step = table[table["step"] == step]
        fit = of_step[of_step["unfit"] == ""]
        if step == "daily":
            fit = _with_both_extremes(fit)
        if not all((fit["variable"] == name).any() for name in NEEDED[step]):
            continue
        best: dict[str, Mapping[str, Any]] = {}
        for name in sorted(set(fit["variable"]), key=lambda n: (n in BESIDE, list(VARIABLES).index(n))):
            rows = fit[fit["variable"] == name]
            beside = best[BESIDE[name]]["id"] if BESIDE.get(name) in best else None
            if (rows["id"] == beside).any():
                rows = rows[rows["id"] == beside]
            elif name in ONLY_BESIDE:
                continue
            best[name] = rows.iloc[0].to_dict()
        return tuple(_choice(name, best[name], of_step, elevation) for name in VARIABLES if name in best)
    raise WeatherError(_nothing_fits(table))


def _unfit(row: Mapping[Any, Any], elevation: float, today: dt.date) -> str:
    """Why a station cannot be taken for a variable, or an empty text."""
    height = row["elevation"] - elevation
    if row["distance_km"] > FARTHEST_KM:
        return f"is {row['distance_km']:.0f} km away"
    if abs(height) > GREATEST_HEIGHT:
        return f"lies {_apart(height)}"
    if row["last"] < (today - STALE).isoformat():
        return f"has reported nothing since {row['last']}"
    if not row["completeness"] >= LEAST_COMPLETE:
        known = row["completeness"] == row["completeness"]
        return f"has only {_percent(row['completeness'])} of it" if known else "does not tell how much it has"
    return ""


def _with_both_extremes(rows: pd.DataFrame) -> pd.DataFrame:
    """Highest and lowest of a day from one thermometer: only stations that have both."""
    both = NEEDED["daily"][:2]
    having = [set(rows.loc[rows["variable"] == name, "id"]) for name in both]
    return rows[~rows["variable"].isin(both) | rows["id"].isin(having[0] & having[1])]


def _choice(name: str, best: Mapping[str, Any], table: pd.DataFrame, elevation: float) -> Choice:
    height = best["elevation"] - elevation
    where = "at the course's height"
    if np.isnan(height):
        where = "of unknown height"
    elif abs(height) >= 5:
        where = _apart(height)
    share = (
        f"{_percent(best['completeness'])} of {best.get('counted', 'its values')} since {best['first'][:4]}"
    )
    reason = f"{best['distance_km']:.0f} km away, {where}, {share}"
    stations = table.sort_values("distance_km").drop_duplicates("id")
    nearer = stations[stations["distance_km"] < best["distance_km"]].head(MOST_TOLD)
    told = [_against(row, name, table) for row in nearer.to_dict("records")]
    if told:
        reason += "; nearer: " + ", ".join(told)
    kept = {n: best[n] for n in Choice.__dataclass_fields__ if n not in ("reason", "elevation")}
    return Choice(
        **kept, elevation=None if np.isnan(best["elevation"]) else float(best["elevation"]), reason=reason
    )


def _against(station: Mapping[str, Any], name: str, table: pd.DataFrame) -> str:
    """What speaks against a nearer station for a variable."""
    here = table[(table["id"] == station["id"]) & (table["variable"] == name)]
    said = f"{station['name']} ({station['distance_km']:.0f} km) "
    if not len(here):
        return said + f"has no {_words(name)}"
    if here["unfit"].iloc[0]:
        return said + str(here["unfit"].iloc[0])
    if name in BESIDE:
        return said + f"is not where {_words(BESIDE[name])} is taken from"
    return said + f"weighs less by height and gaps ({_percent(here['completeness'].iloc[0])} there)"


def _nothing_fits(table: pd.DataFrame) -> Fault:
    stations = table.sort_values("distance_km").drop_duplicates("id").head(MOST_TOLD)
    told = []
    for row in stations.to_dict("records"):
        here = table[table["id"] == row["id"]]
        had = here[here["variable"].isin([n for names in NEEDED.values() for n in names])]
        unfit = [u for u in had["unfit"] if u]
        lacks = unfit[0] if unfit else "has not all of temperature and precipitation"
        told.append(f"{row['name']} ({row['distance_km']:.0f} km) {lacks}")
    found = "no station that serves: " + ", ".join(told) if told else "no station"
    expected = f"temperature and precipitation that still come, within {FARTHEST_KM:.0f} km"
    move = 'use a file of your own (station.source = "file")'
    return Fault("online history", found, expected, move)


def _apart(height: float) -> str:
    return f"{abs(height):.0f} m {'above' if height > 0 else 'below'}"


def _percent(share: float) -> str:
    return f"{int(100 * share + 1e-9)} %"


def _words(name: str) -> str:
    return name.replace("_", " ")
