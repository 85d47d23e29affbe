"""MET Norway's location forecast, end to end against a local server with its formats and rules."""

from collections.abc import Iterator

import numpy as np
import pytest
from tests_forecast_server import Service, series_answer, serving

from winterrisk.science.air import pressure_at_height
from winterrisk.science.constants import STANDARD_PRESSURE
from winterrisk.weather import WeatherError
from winterrisk.weather.forecast import CHANCE
from winterrisk.weather.forecast_time_series import time_series_forecast
from winterrisk.weather.get_met_norway import get_met_norway
from winterrisk.weather.get_nws import Fetched

CONTACT = "greens@ostermoor.example"
FIRST = np.datetime64("2026-01-10T04")


@pytest.fixture
def service() -> Iterator[Service]:
    with serving() as one:
        one.series = series_answer(FIRST, FIRST - np.timedelta64(1, "h"))
        yield one


def ask(service: Service, latitude: float = 46.6, **more: object) -> Fetched:
    how = {
        "contact": CONTACT,
        "base": service.base,
        "patience": 1.0,
        "first_pause": 0.02,
        "read_timeout": 0.4,
    }
    return get_met_norway(latitude, -95.0, 380.0, **(how | more))  # type: ignore[arg-type]


def test_hours_then_six_hours(service: Service) -> None:
    f = ask(service).forecast
    hourly, six = 54, 28
    assert f.sizes["time"] == hourly + 6 * six
    water = f["precipitation"].to_numpy()
    assert water[:hourly].tolist() == pytest.approx([0.3] * hourly), "the next hour's amount where given"
    assert water[hourly:].tolist() == pytest.approx([0.5] * 6 * six), "else a sixth of the next six hours'"
    # A straight fall of 0.1 K an hour: the middle of hour k has 2 - 0.1 (k + 0.5).
    at = np.arange(hourly + 6 * six - 6)
    assert f["air_temperature"].to_numpy()[at].tolist() == pytest.approx((2.0 - 0.1 * (at + 0.5)).tolist())
    assert f["dew_point"].to_numpy()[0] == pytest.approx(0.45)
    assert f["wind_speed"].to_numpy()[100] == 4.0
    assert f["cloud_cover"].to_numpy()[100] == 0.75
    assert f[CHANCE].to_numpy()[0] == pytest.approx(0.6)
    expected = 1010.0 * float(pressure_at_height(380.0)) / STANDARD_PRESSURE
    assert f["surface_pressure"].to_numpy()[0] == pytest.approx(expected)
    assert f.attrs["credit"] == "Data from MET Norway"
    assert f.attrs["issued"] == "2026-01-10T03:00:00"


def test_extremes_of_six_hours_are_reached() -> None:
    answer = series_answer(FIRST, FIRST)
    series = answer["properties"]["timeseries"]
    series[60]["data"]["next_6_hours"]["details"]["air_temperature_min"] = -25.0
    f = time_series_forecast(answer, FIRST, 380.0)
    begin = int((np.datetime64(series[60]["time"].removesuffix("Z")) - FIRST) / np.timedelta64(1, "h"))
    inside = f["air_temperature"].to_numpy()[begin : begin + 6]
    assert inside.min() < -21.0
    outside = np.delete(f["air_temperature"].to_numpy(), range(begin, begin + 6))
    assert outside.min() > -21.0


def test_order_of_the_rows_does_not_matter() -> None:
    answer = series_answer(FIRST, FIRST)
    straight = time_series_forecast(answer, FIRST, 380.0)
    answer["properties"]["timeseries"].reverse()
    assert time_series_forecast(answer, FIRST, 380.0).identical(straight)


def test_the_service_is_asked_as_it_wants(service: Service) -> None:
    ask(service, 46.60004321)
    path, headers = service.asked[0]
    assert path == "/locationforecast/2.0/complete?lat=46.6000&lon=-95.0000&altitude=380"
    assert CONTACT in headers["User-Agent"]


def test_expiry_and_changes(service: Service) -> None:
    service.max_age = 600
    first = ask(service)
    assert ask(service, last=first.answers).forecast.identical(first.forecast)
    assert len(service.asked) == 1, "not asked before it expires"
    service.max_age = 0
    second = ask(service)
    third = ask(service, last=second.answers)
    assert len(service.asked) == 3
    assert "If-Modified-Since" in service.asked[-1][1]
    assert third.forecast.identical(second.forecast)


def test_forbidden_is_told_with_what_to_do(service: Service) -> None:
    with pytest.raises(WeatherError, match=r"status 403.*contact the service accepts"):
        ask(service, contact="https://ostermoor.example")
    assert len(service.asked) == 1


def test_an_outdated_version_is_used_and_told(service: Service) -> None:
    service.status = 203
    assert "outdated" in ask(service).forecast.attrs["doubt"]


@pytest.mark.parametrize("fault", ["429", "500", "page", "cut", "hang"])
def test_a_fault_that_passes_is_waited_out(service: Service, fault: str) -> None:
    service.faults = [fault]
    assert ask(service, patience=5.0).forecast.sizes["time"] > 200


def test_units_are_read() -> None:
    answer = series_answer(FIRST, FIRST)
    answer["properties"]["meta"]["units"]["air_temperature"] = "fahrenheit"
    with pytest.raises(WeatherError, match="air_temperature in fahrenheit"):
        time_series_forecast(answer, FIRST, 380.0)
    del answer["properties"]["meta"]["units"]["air_temperature"]
    with pytest.raises(WeatherError, match="air_temperature in no unit"):
        time_series_forecast(answer, FIRST, 380.0)


def test_nulls_and_missing_parts() -> None:
    answer = series_answer(FIRST, FIRST)
    for row in answer["properties"]["timeseries"]:
        del row["data"]["instant"]["details"]["dew_point_temperature"]
        row["data"]["next_6_hours"]["details"]["precipitation_amount"] = None
    f = time_series_forecast(answer, FIRST, 380.0)
    water = f["precipitation"].to_numpy()
    assert np.isnan(water[54:]).all()
    assert np.isfinite(water[:54]).all()
    assert f["dew_point"].to_numpy()[0] == pytest.approx(f["air_temperature"].to_numpy()[0] - 1.44, abs=0.1)


@pytest.mark.parametrize("form", [{}, {"properties": {}}, {"properties": {"meta": {}, "timeseries": [{}]}}])
def test_another_form_is_refused(form: dict) -> None:
    with pytest.raises(WeatherError, match="newer version"):
        time_series_forecast(form, FIRST, 380.0)
