"""Observations win: a corrected ice date changes every later day of its zone, and nothing of any other."""

import numpy as np
import pandas as pd
import pytest
import xarray as xr

from winterrisk import column
from winterrisk.book import Book, Typed, events, note_observation
from winterrisk.science import air

NOW = np.datetime64("2025-01-25T12:00:00")
TYPED = Typed(NOW, "UTC")
ZONES = ("4 low", "12 low", "4 ridge")
GROUND = {
    "build": "push-up",
    "thatch": 0.015,
    "drainage": "poor",
    "depression_storage": 15.0,
    "slope": 0.005,
    "exposure": 0.0,
    "snow_gain": 1.0,
    "cover": "mown_green",
}


def cold_weeks() -> xr.Dataset:
    """Three calm grey weeks at six degrees of frost, invented."""
    hours = 24 * 24
    cold = np.full(hours, -6.0)
    data = {
        "air_temperature": cold,
        "dew_point": np.asarray(air.dew_point_from_humidity(cold, np.full(hours, 0.85))),
        "wind_speed": np.full(hours, 3.0),
        "precipitation": np.zeros(hours),
        "surface_pressure": np.full(hours, 980.0),
        "shortwave_down": np.zeros(hours),
        "longwave_down": np.full(hours, 230.0),
        "snow_fraction": np.zeros(hours),
    }
    attrs = {"timezone": "UTC", "height_temperature": 2.0, "height_wind": 10.0, "height_from": "ground"}
    time = pd.date_range("2025-01-01", periods=hours, freq="h")
    return xr.Dataset({k: ("time", v) for k, v in data.items()}, coords={"time": time}, attrs=attrs)


def days_under_ice(book: Book) -> dict[str, np.ndarray]:
    weather, record = cold_weeks(), book.record()
    soil = ([0.0, 0.3, 1.0, 3.0], [-1.0, 1.0, 4.0, 8.0])
    return {
        zone: column.run(weather, GROUND, events=events(record, zone), output="days", soil_start=soil)[
            "days_under_ice"
        ]
        .isel(member=0)
        .to_numpy()
        for zone in ZONES
    }


def test_one_corrected_ice_date_changes_every_later_day_of_that_zone_and_no_other(book: Book) -> None:
    for zone in ("4 low", "12 low"):
        note_observation(book, f"{zone} ice since 5 jan", TYPED)
        note_observation(book, f"{zone} ice 2cm clear 14 jan 9:00", TYPED)
    note_observation(book, "4 ridge no ice 14 jan", TYPED)
    before = days_under_ice(book)
    said = note_observation(book, "4 low ice since 9 jan", TYPED, corrects=1)
    assert said.startswith("corrected 1: 4 low, ice since 2025-01-09")
    after = days_under_ice(book)
    first = 3
    np.testing.assert_array_equal(after["4 low"][:first], before["4 low"][:first])
    assert (before["4 low"][first + 2 :] - after["4 low"][first + 2 :] >= 1.0).all()
    assert before["4 low"][-1] - after["4 low"][-1] == pytest.approx(4.0, abs=0.3)
    for other in ("12 low", "4 ridge"):
        np.testing.assert_array_equal(after[other], before[other])
    assert before["12 low"][-1] > 15 and before["4 ridge"][-1] == 0


def test_what_was_known_on_an_earlier_night_stays(book: Book) -> None:
    note_observation(book, "4 low ice since 5 jan", Typed(np.datetime64("2025-01-14T12:00:00"), "UTC"))
    note_observation(book, "4 low ice since 9 jan", TYPED, corrects=1)
    then = events(book.record(known_by="2025-01-20"), "4 low")
    now = events(book.record(), "4 low")
    assert [str(t)[:10] for t in then["time"]] == ["2025-01-05"]
    assert [str(t)[:10] for t in now["time"]] == ["2025-01-09"]
