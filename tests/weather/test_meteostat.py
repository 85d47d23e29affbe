"""The online history end to end: the library itself against a server of its real formats, and every way to fail."""

import datetime as dt
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from meteostat_server import FIRST_YEAR, LAST, PLACE, Asked, history_server, hours
from tests_weather_files import Place

from winterrisk.course import read_course
from winterrisk.weather import WeatherError
from winterrisk.weather.archive import open_archive
from winterrisk.weather.get_course_weather import receive_course_weather
from winterrisk.weather.get_meteostat import OnlineStation, get_history, get_station_table
from winterrisk.weather.read_course_weather import read_course_weather
from winterrisk.weather.station_choice import chosen_stations

NOW = np.datetime64("2025-02-25T10:00:00")
WAIT = 1.0
"""Seconds until a server that hangs is given up in these tests; it hangs for longer."""


@pytest.fixture(scope="module")
def served() -> Iterator[Asked]:
    """The library, told of the server before its first use; its addresses cannot change afterwards."""
    assert "meteostat" not in sys.modules, "something used the library before these tests"
    with history_server() as (address, asked):
        settings = {
            "MS_HOURLY_ENDPOINT": f"{address}/hourly/{{year}}/{{station}}.csv.gz",
            "MS_DAILY_ENDPOINT": f"{address}/daily/{{year}}/{{station}}.csv.gz",
            "MS_STATIONS_DB_ENDPOINTS": f'["{address}/stations.db"]',
        }
        os.environ |= settings
        try:
            yield asked
        finally:
            for name in settings:
                del os.environ[name]


def station(number: str, step: str = "hourly") -> OnlineStation:
    return OnlineStation(number, f"{number} Moor", PLACE[0], PLACE[1], PLACE[2], step)


def got(number: str, step: str = "hourly", first: int = 2024):
    return get_history(station(number, step), first, NOW, timezone="America/Winnipeg", timeout=WAIT)


def test_hours_come_in_our_units_up_to_the_last_that_is_over(served: Asked) -> None:
    fetched = got("GOOD1", first=FIRST_YEAR)
    raw = fetched.raw
    assert fetched.failed == ()
    assert raw["time"].to_numpy()[-1] == np.datetime64("2025-02-25T09:00"), "later rows are from the future"
    source = hours(2024)
    at = raw.sel(time="2024-01-15T12:00")
    assert float(at["air_temperature"]) == pytest.approx(source.loc["2024-01-15T12:00", "temp"])
    assert float(at["wind_speed"]) == pytest.approx(4.0), "14.4 km/h"
    assert float(at["relative_humidity"]) == pytest.approx(0.8)
    assert float(at["cloud_cover"]) == pytest.approx(0.5), "4 oktas"
    assert float(at["snow_depth"]) == pytest.approx(0.12), "12 cm"
    wet = raw.where((raw["precipitation"] > 0) & (raw["air_temperature"] < -1), drop=True)
    assert np.all(wet["freezing_rain"] == wet["precipitation"]), "code 10 of the weather is freezing rain"
    assert raw.attrs["provider"] == "Meteostat" and raw.attrs["station_id"] == "GOOD1"
    assert raw.attrs["licence"], "attribution is carried for the reports"


def test_days_come_with_their_extremes(served: Asked) -> None:
    raw = got("GOOD1", "daily").raw
    assert raw.attrs["step"] == "daily"
    day = raw.sel(time="2024-07-10")
    assert float(day["air_temperature_max"]) > float(day["air_temperature_min"])
    assert float(raw["precipitation"].sum()) > 50


FAULTS = [
    ("S404", "the history has no data for that year"),
    ("S500", "the server answered with an error 500"),
    ("HANG", "the server did not answer in time"),
    ("CUT", "the file broke off in the middle"),
    ("EMPTY", "the file was empty"),
    ("HEADER", "the history has no data for that year"),
    ("NOSOURCE", "what came could not be read"),
    ("HTML", "something else than data came, perhaps a web page"),
]


@pytest.mark.parametrize(("number", "words"), FAULTS)
def test_a_year_that_fails_is_named_and_nothing_stands_for_it(served: Asked, number: str, words: str) -> None:
    fetched = got(number, first=2025)
    assert fetched.raw is None
    assert fetched.failed == (f"{number} Moor, 2025: {words}; nothing stands for it",)


def test_a_server_that_refuses_is_named(served: Asked) -> None:
    import meteostat.providers.meteostat.hourly as provider

    kept = provider.ENDPOINT
    provider.ENDPOINT = "http://127.0.0.1:9/hourly/{year}/{station}.csv.gz"
    try:
        fetched = got("GOOD1", first=2025)
    finally:
        provider.ENDPOINT = kept
    assert fetched.raw is None
    assert "the server refused the connection" in fetched.failed[0]


def test_years_that_come_stand_beside_years_that_do_not(served: Asked) -> None:
    fetched = got("GOOD1", first=FIRST_YEAR - 1)
    assert len(fetched.failed) == 1 and f"{FIRST_YEAR - 1}: the history has no data" in fetched.failed[0]
    assert fetched.raw["time"].to_numpy()[0] == np.datetime64(f"{FIRST_YEAR}-01-01T00:00")


def test_forecasts_in_the_history_keep_their_mark(served: Asked) -> None:
    raw = got("MODEL", first=2025).raw
    assert set(np.unique(raw["air_temperature_origin"])) == {4}


def test_snow_depth_of_sources_that_say_mm_is_no_ten_times_too_deep(served: Asked) -> None:
    assert float(got("DEPTHMM", first=2025).raw["snow_depth"].max()) == pytest.approx(0.12)


def test_the_time_out_is_ours_and_is_put_back(served: Asked) -> None:
    import socket

    before = socket.getdefaulttimeout()
    got("S500", first=2025)
    assert socket.getdefaulttimeout() == before


def test_an_address_without_a_lock_is_refused(served: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    import meteostat

    monkeypatch.setattr(meteostat.config, "hourly_endpoint", "http://example.invalid/{year}/{station}.csv.gz")
    with pytest.raises(WeatherError, match="use an https address"):
        got("GOOD1")


def test_stations_are_chosen_by_distance_height_and_completeness(served: Asked) -> None:
    table = get_station_table(Place(), timeout=WAIT)
    assert set(table["id"]) == {"NEAR", "GOOD1", "OLD", "HIGH"}
    chosen = {c.variable: c for c in chosen_stations(table, PLACE[2], dt.datetime.now(dt.UTC).date())}
    assert chosen["air_temperature"].id == "NEAR"
    assert chosen["precipitation"].id == "GOOD1", "the near one has none, one has ceased, one stands far up"
    assert chosen["precipitation"].reason.startswith("18 km away, 11 m above, 97% of its values since 2015")
    assert "High Moor is nearer" in chosen["precipitation"].reason
    assert all(c.step == "hourly" for c in chosen.values())


def test_no_station_that_still_reports_is_refused_in_words(served: Asked) -> None:
    table = get_station_table(Place(), timeout=WAIT)
    with pytest.raises(WeatherError, match="expected one with temperature and one with precipitation"):
        chosen_stations(table[table["id"] == "OLD"], PLACE[2], dt.datetime.now(dt.UTC).date())


COURSE = """# Invented course.
[place]
name = "Moor Links"
latitude = 46.6
longitude = -95.0
elevation = 380
timezone = "America/Winnipeg"
invented = true

[[areas]]
name = "1"
zones = [{name = "low", template = "low spot"}]

[station]  # kept
source = "meteostat"
since = 2023
"""


@pytest.fixture
def course(tmp_path: Path) -> Path:
    (tmp_path / "course.toml").write_text(COURSE, encoding="utf-8")
    return tmp_path


def chosen(course: Path, *numbers: tuple[str, str]) -> None:
    rows = "".join(
        f'\n[[station.chosen]]\nvariable = "{v}"\nid = "{n}"\nname = "{n} Moor"\nlatitude = 46.6\n'
        f"longitude = -95.0\nelevation = 380.0\ndistance_km = 5.0\n"
        for v, n in numbers
    )
    (course / "course.toml").write_text(COURSE + rows, encoding="utf-8")


def test_the_choice_stands_in_the_course_file_with_its_reason(
    served: Asked, course: Path, winterrisk_command
) -> None:
    code, out, _ = winterrisk_command("weather", course, "--on", "2025-02-25", "--choose")
    assert code == 2, "chosen, but nothing received yet"
    assert "precipitation: Middle Moor (GOOD1), hourly: 18 km away" in out
    text = (course / "course.toml").read_text(encoding="utf-8")
    assert text.startswith("# Invented course.") and "[station]  # kept" in text
    rows = read_course(course).station.chosen
    assert {r.variable: r.id for r in rows}["precipitation"] == "GOOD1"
    assert all(r.reason for r in rows)


def test_what_was_received_is_known_from_then_on_and_corrections_beside_it(
    served: Asked, course: Path
) -> None:
    chosen(course, ("air_temperature", "CHANGES"), ("precipitation", "GOOD1"))
    now = read_course(course)
    assert receive_course_weather(now, NOW) == ()
    first = read_course_weather(now).as_known(NOW)
    assert first.attrs["station"] == "CHANGES Moor and GOOD1 Moor"
    served.changed = True
    try:
        receive_course_weather(now, NOW + np.timedelta64(1, "D"))
    finally:
        served.changed = False
    with open_archive(course) as archive:
        changes = archive.received("meteostat CHANGES hourly").changes()
    assert changes["after"].tolist() == [-33.3, -33.3]
    assert changes["time"].tolist() == [pd.Timestamp("2024-01-01T05:00"), pd.Timestamp("2025-01-01T05:00")]
    again = read_course_weather(now).as_known(NOW)
    assert again["air_temperature"].equals(first["air_temperature"]), (
        "the night of the 25th knew no correction"
    )


def test_a_night_without_network_runs_on_the_archive_and_says_how_old_it_is(
    served: Asked, course: Path, winterrisk_command
) -> None:
    chosen(course, ("air_temperature", "GOOD1"), ("precipitation", "GOOD1"))
    receive_course_weather(read_course(course), NOW)
    chosen(course, ("air_temperature", "S500"), ("precipitation", "S500"))
    with open_archive(course) as archive:
        raw = archive.received("meteostat GOOD1 hourly").as_known()
        archive.receive("meteostat S500 hourly", raw, None, first_assumed=True)
    missed = receive_course_weather(read_course(course), NOW + np.timedelta64(30, "h"))
    assert any("the server answered with an error 500" in line for line in missed)
    code, out, _ = winterrisk_command("weather", course, "--on", "2025-02-26")
    assert "24 h old" in out and code == 0
    code, out, _ = winterrisk_command("weather", course, "--on", "2025-02-28")
    assert code == 3 and "CANNOT SAY: no air temperature and precipitation for" in out


def test_nothing_ever_received_is_no_all_clear(served: Asked, course: Path, winterrisk_command) -> None:
    chosen(course, ("air_temperature", "S404"), ("precipitation", "S404"))
    code, _, err = winterrisk_command("weather", course, "--on", "2025-02-25")
    assert code == 2 and "no weather received yet" in err


def test_the_record_ends_where_the_server_says() -> None:
    assert pd.Timestamp("2025-02-26T23:00") == LAST
