"""The online history end to end: the library itself against a server of its real formats, and every way to fail."""

import ast
import socket
import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from meteostat_server import FIRST_YEAR, PLACE, SILENT_FROM, Asked, days, hours, running_server

import winterrisk
from winterrisk.science.air import pressure_at_height
from winterrisk.science.faults import Fault
from winterrisk.weather import WeatherError
from winterrisk.weather.checks import checked
from winterrisk.weather.get_meteostat import Fetched, OnlineStation, get_history
from winterrisk.weather.known import interval_ends

NOW = np.datetime64("2025-02-25T10:00:00")
WAIT = 1.0
"""Seconds until a server that hangs is given up in these tests; it hangs for longer."""


@pytest.fixture
def served() -> Asked:
    asked = running_server()
    asked.paths.clear()
    return asked


def station(number: str, step: str = "hourly", elevation: float | None = PLACE[2]) -> OnlineStation:
    return OnlineStation(number, f"{number} Moor", PLACE[0], PLACE[1], elevation, step)


def got(number: str, step: str = "hourly", first: int = 2024, now: np.datetime64 = NOW, **more) -> Fetched:
    return get_history(station(number, step), first, now, timezone="America/Winnipeg", timeout=WAIT, **more)


def test_hours_come_in_our_units_up_to_the_last_that_is_over(served: Asked) -> None:
    fetched = got("GOOD1", first=FIRST_YEAR)
    raw = fetched.raw
    assert fetched.faults == ()
    assert raw["time"].to_numpy()[0] == np.datetime64(f"{FIRST_YEAR}-01-01T00:00")
    assert raw["time"].to_numpy()[-1] == np.datetime64("2025-02-25T09:00"), "later rows are from the future"
    source = hours(2024)
    at = raw.sel(time="2024-01-15T12:00")
    assert float(at["air_temperature"]) == pytest.approx(source.loc["2024-01-15T12:00", "temp"])
    assert float(at["wind_speed"]) == pytest.approx(4.0), "14.4 km/h"
    assert float(at["relative_humidity"]) == pytest.approx(0.8)
    assert float(at["cloud_cover"]) == pytest.approx(0.5), "4 oktas"
    assert float(at["snow_depth"]) == pytest.approx(0.12), "12 cm"
    assert raw.attrs["provider"] == "Meteostat" and raw.attrs["station_id"] == "GOOD1"
    assert raw.attrs["licence"] == "Meteostat (CC BY 4.0)"
    assert set(np.unique(raw["air_temperature_origin"])) == {0}


def test_an_hour_has_the_water_reported_at_its_end(served: Asked) -> None:
    raw, source = got("GOOD1").raw, hours(2024)["prcp"]
    wet = source[source > 0].index[5]
    assert float(raw["precipitation"].sel(time=wet - pd.Timedelta("1h"))) == pytest.approx(1.2)
    assert float(raw["precipitation"].sel(time="2024").sum()) == pytest.approx(float(source.sum()))


def test_pressure_at_sea_level_is_brought_to_the_stations_height(served: Asked) -> None:
    raw = got("GOOD1", first=2025).raw
    expected = 1015.0 * float(pressure_at_height(PLACE[2])) / 1013.25
    assert float(raw["surface_pressure"].mean()) == pytest.approx(expected, abs=0.1)
    unknown = get_history(
        station("GOOD1", elevation=None), 2025, NOW, timezone="America/Winnipeg", timeout=WAIT
    )
    assert "surface_pressure" not in unknown.raw, "without a height it would be a wrong pressure"


def test_freezing_rain_is_the_water_of_hours_that_report_it(served: Asked) -> None:
    raw = got("GOOD1").raw
    code = hours(2024)["coco"].shift(-1).reindex(pd.DatetimeIndex(raw["time"].to_numpy()))
    icy = (code == 10).to_numpy() & (raw["precipitation"].to_numpy() > 0)
    assert icy.sum() > 10
    assert np.all(raw["freezing_rain"].to_numpy()[icy] == raw["precipitation"].to_numpy()[icy])
    assert float(raw["freezing_rain"].sel(time="2024-07").max()) == 0.0
    unsaid = got("NOCODE", first=2025).raw["freezing_rain"].to_numpy()
    assert np.isnan(unsaid).sum() > 600, "an hour without a code says nothing of freezing rain"


def test_days_come_with_their_extremes_and_only_when_they_are_over(served: Asked) -> None:
    raw = got("GOOD1", "daily").raw
    assert raw.attrs["step"] == "daily"
    day = raw.sel(time="2024-07-10")
    assert float(day["air_temperature_max"]) == days(2024).loc["2024-07-10", "tmax"]
    assert float(day["air_temperature_min"]) == days(2024).loc["2024-07-10", "tmin"]
    assert float(raw["precipitation"].sel(time="2024").sum()) == pytest.approx(days(2024)["prcp"].sum())
    assert raw["time"].to_numpy()[-1] == np.datetime64("2025-02-24"), "the 25th is not over at 10 UTC"
    assert np.all(interval_ends(raw) <= NOW)
    night = got("GOOD1", "daily", now=np.datetime64("2025-02-25T05:59")).raw["time"].to_numpy()[-1]
    assert night == np.datetime64("2025-02-23"), "midnight in Winnipeg is 06 UTC"


FAULTS = [
    ("S404", "the history has no data for that year"),
    ("S500", "the server answered with an error 500"),
    ("S503", "the server answered with an error 503"),
    ("HANG", "the server did not answer in time"),
    ("RESET", "the connection broke off"),
    ("SHORT", "the file broke off in the middle"),
    ("CUT", "the file broke off in the middle"),
    ("EMPTY", "the file was empty"),
    ("HEADER", "the file held no values"),
    ("HTML", "something else than data came, perhaps a web page"),
    ("TWICE", "times stand twice in the file"),
]


@pytest.mark.parametrize(
    ("number", "words", "step"),
    [(*fault, "hourly") for fault in FAULTS] + [(*fault, "daily") for fault in FAULTS if fault[0] != "HANG"],
)
def test_a_year_that_fails_is_named_and_nothing_stands_for_it(
    served: Asked, number: str, words: str, step: str
) -> None:
    fetched = got(number, step, first=2025)
    assert fetched.raw is None
    assert fetched.faults == (Fault(f"{number} Moor, 2025", f"that {words}", "", "nothing stands for it"),)
    assert fetched.failed == (f"{number} Moor, 2025: found that {words}; nothing stands for it",)


def test_nothing_at_all_is_refused_with_the_next_move_where_it_is_needed(served: Asked) -> None:
    with pytest.raises(
        WeatherError, match="error 500, expected weather of the online history; try again later"
    ):
        got("S500").needed()
    good = got("GOOD1", first=2025)
    assert good.needed() is good.raw


def test_a_server_that_refuses_is_named_and_not_asked_again_for_every_year(
    served: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    import meteostat.providers.meteostat.hourly as provider

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    monkeypatch.setattr(provider, "ENDPOINT", f"http://127.0.0.1:{port}/{{year}}/{{station}}.csv.gz")
    fetched = got("GOOD1", first=2010)
    assert fetched.raw is None
    assert fetched.failed == (
        "GOOD1 Moor, 2010 to 2011: found that the server refused the connection; nothing stands for it",
        "GOOD1 Moor, 2012 to 2025: found that it was not asked for, as the server could not be reached just "
        "before; nothing stands for it",
    )


def test_a_server_that_is_not_found_is_named(served: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    import meteostat.providers.meteostat.hourly as provider

    monkeypatch.setattr(provider, "ENDPOINT", "http://history.invalid/{year}/{station}.csv.gz")
    assert "is there a network?" in got("GOOD1", first=2025).failed[0]


def test_a_server_that_hangs_is_given_up_after_two_years(served: Asked) -> None:
    got("HANG", first=2022)
    assert [p.split("/")[2] for p in served.paths] == ["2022", "2023"]


def test_years_that_come_stand_beside_years_that_do_not(served: Asked) -> None:
    fetched = got("GOOD1", first=FIRST_YEAR - 2)
    assert fetched.failed == (
        "GOOD1 Moor, 2020 to 2021: found that the history has no data for these years; nothing stands for it",
    )
    assert fetched.raw["time"].to_numpy()[0] == np.datetime64(f"{FIRST_YEAR}-01-01T00:00")


def test_a_year_that_lacks_between_others_is_a_gap_and_no_dry_year(served: Asked) -> None:
    fetched = got("GAP", first=FIRST_YEAR)
    assert fetched.failed == (
        "GAP Moor, 2023: found that the history has no file for that year between years that it has; nothing "
        "stands for it",
    )
    year = fetched.raw.sel(time="2023")
    assert year.sizes["time"] == 8760
    values = [n for n in year.data_vars if not str(n).endswith("_origin")]
    assert all(np.isnan(year[n]).all() for n in values if n not in ("precipitation", "freezing_rain"))
    assert int(np.isfinite(year["precipitation"]).sum()) == 1, "the last hour stands in the next year's file"


def test_a_station_that_ended_is_told(served: Asked) -> None:
    fetched = got("GONE", first=FIRST_YEAR)
    assert "2024 to 2025: found that the history has no file for these years any more" in fetched.failed[0]
    assert str(fetched.raw["time"].to_numpy()[-1])[:13] == "2023-12-31T23"


def test_a_year_without_one_variable_is_told_and_stays_missing(served: Asked) -> None:
    fetched = got("DRY", first=2023)
    assert (
        "DRY Moor, 2024, precipitation: found no values in a year that has others; nothing stands for it"
        in (fetched.failed)
    )
    assert np.isnan(fetched.raw["precipitation"].sel(time=slice("2024-01-01T00", "2024-12-31T22"))).all()
    alone = got("GOOD1", first=2025, wanted=("shortwave_down",))
    assert alone.failed == (
        "GOOD1 Moor, 2025, shortwave down: found no values in a year that has others; nothing stands for it",
    )


def test_a_value_without_a_source_is_left_out_alone(served: Asked) -> None:
    fetched, source = got("NOCELL", first=2025), hours(2025)["temp"]
    assert fetched.failed == (
        "NOCELL Moor, 2025: found 1 value of air temperature that does not say where it comes from; left out",
    )
    air = fetched.raw["air_temperature"].to_numpy()
    assert np.isnan(air[7]) and np.isfinite(np.delete(air, 7)).all() and air[8] == source.iloc[8]
    whole = got("NOSOURCE", first=2025)
    assert whole.raw is None and "that do not say where they come from" in whole.failed[0]


def test_forecasts_between_measured_hours_keep_their_mark(served: Asked) -> None:
    raw = got("HOLES", first=2025).raw
    assert raw["air_temperature_origin"].to_numpy()[:4].tolist() == [4, 0, 4, 0]
    assert set(np.unique(raw["precipitation_origin"])) == {0}
    assert raw.attrs["licence"] == "Meteostat, MET Norway (CC BY 4.0)"


def test_a_station_that_went_silent_is_no_younger_for_a_forecast(served: Asked) -> None:
    fetched = got("STOPS", first=2025)
    assert fetched.raw["time"].to_numpy()[-1] == SILENT_FROM.to_datetime64() - np.timedelta64(1, "h")
    assert (
        "found only values of a forecast after 2025-02-20 08:00 UTC; they are left out" in fetched.failed[0]
    )
    only = got("MODEL", first=2025)
    assert only.raw is None
    assert only.failed == (
        "MODEL Moor: found only values of a forecast, none measured; nothing stands for it",
    )


def test_a_source_that_nobody_knows_is_not_called_measured(served: Asked) -> None:
    raw = got("UNHEARD", first=2025).raw
    assert set(np.unique(raw["air_temperature_origin"])) == {2}


@pytest.mark.parametrize(
    ("number", "told"), [("DEPTHMM", ()), ("DEPTHBOTH", ()), ("DEPTHCM", ("agreed with others as cm",))]
)
def test_snow_depth_of_sources_that_say_mm_is_no_ten_times_too_deep(
    served: Asked, number: str, told: tuple[str, ...]
) -> None:
    fetched = got(number, first=2025)
    depth = fetched.raw["snow_depth"].to_numpy()
    assert set(np.round(np.unique(depth), 4)) == {0.0, 0.12}
    assert len(fetched.failed) == len(told)
    assert all(words in line for words, line in zip(told, fetched.failed, strict=True))


def test_what_cannot_be_true_is_left_to_the_checks(served: Asked) -> None:
    raw = got("IMPOSSIBLE", first=2025).raw
    assert float(raw["air_temperature"][9]) == 71.0

    from tests_weather_files import Place

    rows = checked(raw, now=NOW, place=Place()).rows
    assert "outside_limits" in set(rows["check"])


def test_a_first_year_yet_to_come_is_told(served: Asked) -> None:
    fetched = got("GOOD1", first=2031)
    assert fetched.raw is None and served.paths == []
    assert fetched.failed == (
        "station.since: found the year 2031, expected one that has begun; correct station.since",
    )


def test_the_time_out_and_the_log_are_put_back(served: Asked) -> None:
    import logging

    logger = logging.getLogger("meteostat")
    before = logger.level, logger.propagate, list(logger.handlers)
    socket.setdefaulttimeout(77.0)
    try:
        got("S500", first=2025)
        assert socket.getdefaulttimeout() == 77.0
    finally:
        socket.setdefaulttimeout(None)
    assert (logger.level, logger.propagate, list(logger.handlers)) == before


def test_nothing_is_kept_outside_the_course(
    served: Asked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    got("GOOD1", first=2025)
    got("GOOD1", first=2025)
    assert len(served.paths) == 2, "asked anew each time"
    assert list(tmp_path.iterdir()) == []


def test_an_address_without_a_lock_is_refused(served: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    import meteostat

    monkeypatch.setattr(meteostat.config, "hourly_endpoint", "http://example.invalid/{year}/{station}.csv.gz")
    with pytest.raises(WeatherError, match="use an https address"):
        got("GOOD1")


def test_one_module_knows_the_library_and_only_when_it_fetches() -> None:
    root = Path(winterrisk.__file__).parent
    users = set()
    for path in root.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        for node in (
            ast.walk(ast.parse(text)) if "import meteostat" in text or "from meteostat" in text else ()
        ):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            if any(n.split(".")[0] == "meteostat" for n in names):
                users.add(path.relative_to(root).as_posix())
    assert users == {"weather/get_meteostat.py"}
    code = "import sys, winterrisk.weather.get_meteostat; assert 'meteostat' not in sys.modules"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
