"""Forecasts kept as received, and given back as they were known at an instant."""

import gzip
import json
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from tests_forecast_server import series_answer, serving
from tests_forecasts import HOUR, perfect, with_members

from winterrisk.weather import WeatherError
from winterrisk.weather.forecast import latest
from winterrisk.weather.get_met_norway import get_met_norway
from winterrisk.weather.read_forecasts import read_forecasts, read_known_forecast, read_last_answers
from winterrisk.weather.write_forecast import FOLDER, write_forecast


def told_at(record: xr.Dataset, issued: str) -> xr.Dataset:
    received = str(np.datetime64(issued) + np.timedelta64(90, "m"))
    return perfect(record, issued, received=received).round(3)


def same(one: xr.Dataset, other: xr.Dataset) -> bool:
    return one.attrs == other.attrs and bool(
        np.isclose(one["air_temperature"], other["air_temperature"]).all()
    )


def test_what_was_known_on_a_night(record: xr.Dataset, tmp_path: Path) -> None:
    days = ("2024-01-10T08", "2024-01-11T08", "2024-01-12T08")
    for day in days:
        write_forecast(tmp_path, told_at(record, day))
    found = read_forecasts(tmp_path, np.datetime64("2024-01-11T10"))
    assert [f.attrs["issued"][:13] for f in found] == list(days[:2])
    assert same(found[1], told_at(record, days[1]))
    early = read_forecasts(tmp_path, np.datetime64("2024-01-11T09:00"))
    assert len(early) == 1, "issued at eight, received at half past nine"
    assert len(read_forecasts(tmp_path)) == 3
    assert read_forecasts(tmp_path, np.datetime64("2024-01-10T08")) == []
    assert read_forecasts(tmp_path, np.datetime64("2024-03-01")) == [], "too old to be of use"
    assert read_forecasts(tmp_path / "nothing here") == []
    assert read_forecasts(tmp_path, source="someone else") == []
    whole = read_known_forecast(tmp_path, np.datetime64("2024-01-11T10"))
    assert whole is not None
    assert (whole.attrs["issued"][:13], whole["time"].to_numpy()[0]) == (
        days[1],
        np.datetime64("2024-01-10T02"),
    )
    assert read_known_forecast(tmp_path, np.datetime64("2024-01-19T09")) is None, "its last hour is over"
    assert read_known_forecast(tmp_path / "nothing here", np.datetime64("2024-01-11T10")) is None


def test_members_holes_and_joined_ages_come_back(record: xr.Dataset, tmp_path: Path) -> None:
    told = with_members(told_at(record, "2024-01-10T08"), [-1.0, 0.0, 2.0])
    told["precipitation"][100:] = np.nan
    write_forecast(tmp_path / "members", told)
    (back,) = read_forecasts(tmp_path / "members")
    xr.testing.assert_allclose(back, told, atol=1e-3)
    joined = latest([told_at(record, "2024-01-10T08"), told_at(record, "2024-01-11T08")])
    write_forecast(tmp_path / "joined", joined)
    (back,) = read_forecasts(tmp_path / "joined")
    assert np.array_equal(back["issued_at"], joined["issued_at"])


def test_the_same_forecast_is_kept_once_and_no_file_changes(record: xr.Dataset, tmp_path: Path) -> None:
    path = write_forecast(tmp_path, told_at(record, "2024-01-10T08"))
    before = path.read_bytes()
    again = told_at(record, "2024-01-10T08").assign_attrs(received="2024-01-10T12:00:00")
    assert write_forecast(tmp_path, again) == path
    assert path.read_bytes() == before
    corrected = again.assign(air_temperature=again["air_temperature"] + 1.0)
    assert write_forecast(tmp_path, corrected) != path
    assert len(list((tmp_path / FOLDER).iterdir())) == 2, "nothing left behind"


def test_what_the_service_said_is_kept_and_handed_to_the_next_call(tmp_path: Path) -> None:
    with serving() as service:
        first = np.datetime64("2026-01-10T04")
        service.series = series_answer(first, first - HOUR)
        how = {"contact": "greens@ostermoor.example", "base": service.base, "patience": 1.0}
        got = get_met_norway(46.6, -95.0, 380.0, **how)  # type: ignore[arg-type]
        path = write_forecast(tmp_path, got.forecast, got.answers)
        kept = json.loads(gzip.decompress(path.read_bytes()))
        assert json.loads(kept["answers"][0]["text"]) == service.series
        again = get_met_norway(46.6, -95.0, 380.0, last=read_last_answers(tmp_path), **how)  # type: ignore[arg-type]
        assert "If-Modified-Since" in service.asked[-1][1]
        assert again.forecast.identical(got.forecast)
        assert write_forecast(tmp_path, again.forecast, again.answers) == path


def test_a_damaged_file_is_named(record: xr.Dataset, tmp_path: Path) -> None:
    path = write_forecast(tmp_path, told_at(record, "2024-01-10T08"))
    path.write_bytes(path.read_bytes()[:200])
    with pytest.raises(WeatherError, match=path.name):
        read_forecasts(tmp_path)
    path.write_bytes(gzip.compress(b'{"form": 99}'))
    with pytest.raises(WeatherError, match="form 99"):
        read_forecasts(tmp_path)
