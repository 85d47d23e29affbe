"""Stations of the online history chosen for a course: what the list says, what the last winters had, and why."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from meteostat_server import PLACE, Asked, running_server
from tests_weather_files import Place

from winterrisk.weather import WeatherError
from winterrisk.weather.get_completeness import get_completeness
from winterrisk.weather.get_meteostat import get_station_table
from winterrisk.weather.station_choice import Choice, chosen_stations
from winterrisk.weather.station_completeness import winter_completeness, winters_begin

NOW = np.datetime64("2025-02-25T10:00:00")
TODAY = dt.date(2025, 2, 25)
WAIT = 1.0


@pytest.fixture
def served() -> Asked:
    asked = running_server()
    asked.stations = "good"
    return asked


def listed(*rows: tuple[str, float, float, str, float], step: str = "hourly", last: str = "2025-02-24"):
    """A table of (id, km, m, variable, completeness)."""
    return pd.DataFrame(
        [
            {"id": i, "name": f"{i} Moor", "latitude": 46.6, "longitude": -95.0, "elevation": height,
             "distance_km": km, "step": step, "variable": name, "first": "2015-01-01", "last": last,
             "completeness": share}
            for i, km, height, name, share in rows
        ]
    )  # fmt: skip


def both(number: str, km: float, height: float, share: float = 0.95):
    return [(number, km, height, "air_temperature", share), (number, km, height, "precipitation", share)]


def chosen(table: pd.DataFrame, elevation: float = 380.0, today: dt.date = TODAY) -> dict[str, Choice]:
    return {c.variable: c for c in chosen_stations(table, elevation, today)}


def test_stations_are_chosen_by_distance_height_and_completeness(served: Asked) -> None:
    table = get_station_table(Place(), timeout=WAIT)
    assert set(table["id"]) == {"NEAR", "GOOD1", "OLD", "HIGH", "BLANK"}
    best = chosen(table, PLACE[2], dt.datetime.now(dt.UTC).date())
    assert best["air_temperature"].id == "NEAR"
    assert best["precipitation"].id == "GOOD1", "the near one has none, one has ceased, one stands far up"
    assert best["precipitation"].reason == (
        "18 km away, 11 m above, 97 % of its values since 2015; nearer: Old Moor (1 km) has reported nothing "
        "since 2019-05-01, High Moor (2 km) lies 520 m above, Near Moor (6 km) has no precipitation"
    )
    assert best["freezing_rain"].id == "GOOD1", "a share of the same water"
    assert all(c.step == "hourly" for c in best.values())


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("S500", "the server answered with an error 500"),
        ("HANG", "the server did not answer in time"),
        ("HTML", "what came could not be read"),
    ],
)
def test_a_list_of_stations_that_cannot_be_had_is_told(served: Asked, kind: str, words: str) -> None:
    served.stations = kind
    with pytest.raises(WeatherError, match=f"found that {words}, expected its table of stations; try again"):
        get_station_table(Place(), timeout=WAIT)
    served.stations = "good"


def test_no_station_near_is_told(served: Asked) -> None:
    with pytest.raises(WeatherError, match="no station with weather within 50 km"):
        get_station_table(Place(latitude=60.0), timeout=WAIT)


def test_the_last_winters_count_and_not_the_list(served: Asked) -> None:
    table = get_station_table(Place(), timeout=WAIT)
    table.loc[table["id"] == "NEAR", "id"] = "STOPS"
    measured, faults = get_completeness(table, PLACE[2], NOW, timezone="America/Winnipeg", timeout=WAIT)
    assert [str(fault.where) for fault in faults] == ["Old Moor, 2022 to 2025"], "it has ceased"
    air = measured[measured["variable"] == "air_temperature"].set_index("id")
    assert air.loc["GOOD1", "completeness"] == 1.0
    assert air.loc["STOPS", "last"] == "2025-02-20", "a forecast is no report"
    best = chosen(measured, PLACE[2], TODAY)
    assert "99 % of winter hours since 2022" in best["precipitation"].reason
    far = chosen(measured[measured["id"] == "BLANK"], PLACE[2], TODAY)["air_temperature"]
    assert far.elevation is None and "of unknown height" in far.reason


def test_stations_that_do_not_come_are_told_and_the_list_stands(served: Asked) -> None:
    table = get_station_table(Place(), timeout=WAIT)
    broken = table.assign(id="S500")
    same, faults = get_completeness(broken, PLACE[2], NOW, timezone="America/Winnipeg", timeout=WAIT)
    assert same is broken
    assert "2022 to 2025: found that the server answered with an error 500" in str(faults[0])


def test_winters_are_counted_from_november() -> None:
    assert winters_begin(np.datetime64("2025-02-25"), 3) == np.datetime64("2022-11-01")
    assert winters_begin(np.datetime64("2025-11-01"), 1) == np.datetime64("2025-11-01")


def test_completeness_is_of_winter_hours_that_were_measured() -> None:
    time = pd.date_range("2024-09-01", "2025-02-22T10:00", freq="h")
    air = np.where(time.month == 12, np.nan, -3.0)
    depth = np.where(time.hour == 6, 0.1, np.nan)
    raw = xr.Dataset(
        {
            "air_temperature": ("time", air),
            "air_temperature_origin": ("time", np.where(time.month == 1, 4, 0).astype(np.int8)),
            "snow_depth": ("time", depth),
            "snow_depth_origin": ("time", np.zeros(len(time), dtype=np.int8)),
        },
        coords={"time": time},
        attrs={"step": "hourly"},
    )
    has = winter_completeness(raw, np.datetime64("2025-02-25T10:00"), 1).set_index("variable")
    november_february = 30 * 24 + 21 * 24 + 11
    assert has.loc["air_temperature", "completeness"] == pytest.approx(
        november_february / (november_february + 62 * 24)
    ), "neither the empty December nor the forecast January"
    assert has.loc["snow_depth", "completeness"] == 1.0, "once a day is enough"


def test_points_weigh_as_they_are_told() -> None:
    near = both("A", 10, 380)
    assert chosen(listed(*near, *both("B", 34, 380)))["precipitation"].id == "A"
    assert chosen(listed(*both("A", 10, 500), *both("B", 34, 380)))["precipitation"].id == "B", "120 m"
    assert chosen(listed(*both("A", 10, 380, 0.7), *both("B", 34, 380)))["precipitation"].id == "B", "25 %"


def test_the_reason_tells_what_speaks_against_a_nearer_one() -> None:
    table = listed(*both("A", 10, 380, 0.5), *both("B", 34, 350))
    assert chosen(table)["precipitation"].reason == (
        "34 km away, 30 m below, 95 % of its values since 2015; nearer: A Moor (10 km) has only 50 % of it"
    )


def test_humidity_is_that_beside_the_thermometer() -> None:
    table = listed(
        *both("A", 10, 380), ("A", 10, 380, "relative_humidity", 0.7), *both("B", 11, 380, 0.9),
        ("B", 11, 380, "relative_humidity", 1.0),
    )  # fmt: skip
    assert chosen(table)["relative_humidity"].id == chosen(table)["air_temperature"].id == "A"


def test_both_ends_of_a_day_are_one_thermometers() -> None:
    names = ("air_temperature_max", "air_temperature_min", "precipitation")
    table = listed(
        ("A", 1, 380, "air_temperature_max", 0.99), *(("B", 20, 380, n, 0.9) for n in names),
        ("C", 21, 380, "air_temperature_min", 0.99), ("C", 21, 380, "air_temperature_max", 0.8), step="daily",
    )  # fmt: skip
    best = chosen(table)
    assert best["air_temperature_max"].id == best["air_temperature_min"].id == "B"
    assert best["precipitation"].step == "daily"


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (listed(*both("A", 51, 380)), "is 51 km away"),
        (listed(*both("A", 5, 900)), "lies 520 m above"),
        (listed(*both("A", 5, 380, 0.4)), "has only 40 % of it"),
        (listed(*both("A", 5, 380, float("nan"))), "does not tell how much it has"),
        (listed(*both("A", 5, 380), last="2024-12-01"), "has reported nothing since 2024-12-01"),
        (listed(both("A", 5, 380)[0]), "has not all of temperature and precipitation"),
    ],
)
def test_where_nothing_fits_each_station_is_told_with_what_it_lacks(table: pd.DataFrame, words: str) -> None:
    with pytest.raises(
        WeatherError, match=f"no station that serves: A Moor .*{words}.*use a file of your own"
    ):
        chosen_stations(table, 380.0, TODAY)
