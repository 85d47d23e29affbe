"""The US national grid, end to end against a local server with its formats, rules and faults."""

import socket
from collections.abc import Iterator

import numpy as np
import pytest
from tests_forecast_server import Service, grid_answer, layer, serving

from winterrisk.weather import WeatherError
from winterrisk.weather.forecast import CHANCE
from winterrisk.weather.forecast_grid_layers import duration_hours, grid_forecast, utc_hour
from winterrisk.weather.get_answer import user_agent
from winterrisk.weather.get_nws import Fetched, get_nws

CONTACT = "greens@ostermoor.example"
H = np.timedelta64(1, "h")


def utc_now() -> np.datetime64:
    import datetime as dt

    return np.datetime64(dt.datetime.now(dt.UTC).replace(tzinfo=None), "s")


def whole_grid(first: np.datetime64, issued: np.datetime64) -> dict:
    return grid_answer(
        first,
        issued,
        temperature=layer(first, [(1, -5.0), (3, -4.0), (30, 1.5), (14, None), (120, -12.0)], "wmoUnit:degC"),
        dewpoint=layer(first, [(60, -9.0), (108, -15.0)], "wmoUnit:degC"),
        windSpeed=layer(first, [(168, 18.0)], "wmoUnit:km_h-1"),
        skyCover=layer(first, [(168, 80)], "wmoUnit:percent"),
        probabilityOfPrecipitation=layer(first, [(12, 90), (156, 20)], "wmoUnit:percent"),
        quantitativePrecipitation=layer(first, [(6, 9.0), (6, 0.6), (60, 0.0)], "wmoUnit:mm"),
        iceAccumulation=layer(first, [(6, 1.2), (66, 0.0)], "wmoUnit:mm"),
    )


@pytest.fixture
def service() -> Iterator[Service]:
    with serving() as one:
        now = utc_now().astype("datetime64[h]")
        one.grid = whole_grid(now - 3 * H, utc_now() - np.timedelta64(2, "h"))
        yield one


def ask(service: Service, **more: object) -> Fetched:
    how = {
        "contact": CONTACT,
        "base": service.base,
        "patience": 1.0,
        "first_pause": 0.02,
        "read_timeout": 0.4,
    }
    return get_nws(46.6, -95.0, **(how | more))  # type: ignore[arg-type]


def test_run_lengths_are_repeated_and_totals_spread(service: Service) -> None:
    f = ask(service).forecast
    assert f.sizes["time"] == 168
    assert f["air_temperature"].to_numpy()[:5].tolist() == [-5.0, -4.0, -4.0, -4.0, 1.5]
    assert np.isnan(f["air_temperature"].to_numpy()[34:48]).all(), "nulls stay missing"
    assert f["precipitation"].to_numpy()[:6].tolist() == pytest.approx([1.5] * 6)
    assert f["precipitation"].to_numpy()[:72].sum() == pytest.approx(9.6)
    assert np.isnan(f["precipitation"].to_numpy()[72:]).all(), "no amounts beyond the third day: not zero"
    assert f[CHANCE].to_numpy()[[0, 12]].tolist() == pytest.approx([0.9, 0.2])
    assert f["wind_speed"].to_numpy()[0] == pytest.approx(5.0)
    assert f["cloud_cover"].to_numpy()[0] == pytest.approx(0.8)
    assert f["freezing_rain"].to_numpy()[:7].tolist() == pytest.approx([0.2] * 6 + [0.0])
    assert f.attrs["height"] == 420.0
    assert f["air_temperature"].attrs["units"] == "degC"
    assert {"source", "issued", "received", "licence", "credit"} <= set(f.attrs)
    assert "doubt" not in f.attrs


def test_the_caller_is_named_and_asked_addresses_are_the_documented_ones(service: Service) -> None:
    ask(service)
    assert service.paths() == ["/points/46.6,-95", "/gridpoints/XYZ/10,20"]
    for _, headers in service.asked:
        assert headers["User-Agent"] == user_agent(CONTACT)
        assert CONTACT in headers["User-Agent"]
        assert headers["User-Agent"].startswith("winterrisk/")
        assert headers["Accept"] == "application/geo+json"


@pytest.mark.parametrize(
    ("name", "uom", "value", "ours", "expected"),
    [
        ("temperature", "wmoUnit:degF", 14.0, "air_temperature", -10.0),
        ("temperature", "unit:degC", -10.0, "air_temperature", -10.0),
        ("temperature", "wmoUnit:K", 263.15, "air_temperature", -10.0),
        ("windSpeed", "wmoUnit:m_s-1", 5.0, "wind_speed", 5.0),
        ("windSpeed", "wmoUnit:kt", 10.0, "wind_speed", 5.1444),
        ("quantitativePrecipitation", "wmoUnit:m", 0.006, "precipitation", 1.0),
    ],
)
def test_unit_codes_are_read(name: str, uom: str, value: float, ours: str, expected: float) -> None:
    first = np.datetime64("2026-01-10T00")
    layers = {"temperature": layer(first, [(6, -3.0)], "wmoUnit:degC")}
    layers[name] = layer(first, [(6, value)], uom)
    f = grid_forecast(grid_answer(first, first, **layers), first + H)
    assert f[ours].to_numpy()[2] == pytest.approx(expected, abs=1e-3)


def test_an_unknown_unit_is_named_and_for_temperature_refused() -> None:
    first = np.datetime64("2026-01-10T00")
    warm = layer(first, [(6, -3.0)], "wmoUnit:degC")
    strange = layer(first, [(6, 3.0)], "wmoUnit:furlong")
    f = grid_forecast(grid_answer(first, first, temperature=warm, windSpeed=strange), first)
    assert "wind_speed" not in f
    assert "windSpeed left out: its unit is wmoUnit:furlong" in f.attrs["doubt"]
    with pytest.raises(WeatherError, match="temperature in wmoUnit:furlong"):
        grid_forecast(grid_answer(first, first, temperature=strange), first)
    with pytest.raises(WeatherError, match="temperature in no unit"):
        grid_forecast(grid_answer(first, first, temperature=layer(first, [(6, 1.0)], "")), first)


def test_humidity_stands_in_for_a_missing_dew_point() -> None:
    first = np.datetime64("2026-01-10T00")
    layers = {
        "temperature": layer(first, [(6, 0.0)], "wmoUnit:degC"),
        "dewpoint": layer(first, [(3, -1.0), (3, None)], "wmoUnit:degC"),
        "relativeHumidity": layer(first, [(6, 50)], "wmoUnit:percent"),
    }
    dew = grid_forecast(grid_answer(first, first, **layers), first)["dew_point"].to_numpy()
    # Magnus: half of 6.112 hPa is the vapour pressure over water at -9.2 degC.
    assert dew[[0, 4]].tolist() == pytest.approx([-1.0, -9.2], abs=0.1)


@pytest.mark.parametrize(
    ("text", "hours"), [("PT1H", 1), ("PT13H", 13), ("P1D", 24), ("P7DT20H", 188), ("P1W", 168)]
)
def test_durations(text: str, hours: float) -> None:
    assert duration_hours(text) == hours


def test_times_with_a_zone_are_turned_to_utc() -> None:
    assert utc_hour("2026-01-10T18:00:00-06:00") == np.datetime64("2026-01-11T00", "h")
    assert utc_hour("2026-01-10T18:00:00+00:00") == np.datetime64("2026-01-10T18", "h")


@pytest.mark.parametrize("fault", ["expired", "500", "429", "page", "cut", "hang"])
def test_a_fault_that_passes_is_waited_out(service: Service, fault: str) -> None:
    service.faults = ["ok", fault]
    assert ask(service, patience=5.0).forecast.sizes["time"] == 168
    assert len(service.asked) == 3


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("expired", "Forecast Grid Expired"),
        ("500", "status 500"),
        ("429 for long", "status 429"),
        ("page", "no JSON"),
        ("cut", "no connection|no JSON"),
        ("hang", "no answer in time"),
        ("drip", "does not end|no answer in time"),
    ],
)
def test_a_fault_that_stays_is_told_in_words(service: Service, fault: str, words: str) -> None:
    service.faults = ["ok", *[fault] * 50]
    with pytest.raises(WeatherError, match=words) as told:
        ask(service, patience=0.3)
    assert "asked again at the next run" in str(told.value)


def test_nobody_there(service: Service) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with pytest.raises(WeatherError, match="no connection"):
        ask(service, base=f"http://127.0.0.1:{port}", patience=0.1)


def test_what_no_waiting_helps_is_not_repeated(service: Service) -> None:
    with pytest.raises(WeatherError, match="MET Norway"):
        get_nws(5.0, 10.0, contact=CONTACT, base=service.base, patience=5.0)
    assert len(service.asked) == 1


def test_no_contact_no_request(service: Service) -> None:
    for contact in ("", "the greenkeeper", "grün@club.example"):
        with pytest.raises(WeatherError, match=r"forecast\.contact"):
            ask(service, contact=contact)
    assert service.asked == []


def test_only_https_or_this_machine(service: Service) -> None:
    with pytest.raises(WeatherError, match="an address http://api"):
        ask(service, base="http://api.weather.gov")
    service.grid_address = "http://192.0.2.1/gridpoints/XYZ/10,20"
    with pytest.raises(WeatherError, match=r"an address http://192\.0\.2\.1"):
        ask(service)
    service.faults = ["away"]
    with pytest.raises(WeatherError, match="elsewhere"):
        ask(service)


def test_a_stale_grid_is_asked_for_again_then_taken_with_a_doubt(service: Service) -> None:
    fresh = service.grid
    old = utc_now() - np.timedelta64(40, "h")
    service.grid = whole_grid(old.astype("datetime64[h]"), old)
    told = ask(service, patience=0.2).forecast
    assert told.attrs["doubt"] == "issued 40 h before it was fetched"
    assert len([p for p in service.paths() if p.startswith("/grid")]) > 1
    service.grid = fresh
    assert "doubt" not in ask(service).forecast.attrs


def test_answers_are_not_asked_for_twice_before_they_expire(service: Service) -> None:
    service.max_age = 600
    first = ask(service)
    again = ask(service, last=first.answers)
    assert len(service.asked) == 2
    assert again.forecast.identical(first.forecast)
    assert all(a.again for a in again.answers.values())


def test_an_expired_answer_is_asked_for_only_if_changed(service: Service) -> None:
    first = ask(service)
    again = ask(service, last=first.answers)
    assert service.paths().count("/gridpoints/XYZ/10,20") == 2
    assert "If-Modified-Since" in service.asked[-1][1]
    assert again.forecast.identical(first.forecast)
    service.changed += 60.0
    service.grid["properties"]["temperature"]["values"][0]["value"] = -7.0
    newer = ask(service, last=again.answers)
    assert newer.forecast["air_temperature"].to_numpy()[0] == -7.0
    assert service.paths().count("/points/46.6,-95") == 1, "the point's answer lasts an hour"


@pytest.mark.parametrize("form", [{}, {"properties": 3}, {"properties": {"updateTime": "yesterday"}}])
def test_another_form_is_refused(form: dict) -> None:
    with pytest.raises(WeatherError, match="newer version"):
        grid_forecast(form, np.datetime64("2026-01-10T00"))
