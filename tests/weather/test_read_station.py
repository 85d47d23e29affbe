"""Station files as people have them: units, codes, clocks; and every way to be refused."""

import gzip
from pathlib import Path

import numpy as np
import pytest

from winterrisk.weather import WeatherError, known_by, read_station

GOOD = """# invented
time,air_temperature,precipitation
2024-01-01T00:00,-3.0,0.0
2024-01-01T01:00,-4.5,0.2
2024-01-01T03:00,-5.0,0.0
"""


def _file(folder: Path, text: str | bytes, name: str = "station.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_missing_hours_and_values_stay_missing(tmp_path):
    raw = read_station(_file(tmp_path, GOOD))
    assert raw["air_temperature"].to_numpy()[:2].tolist() == [-3.0, -4.5]
    assert np.isnan(raw["air_temperature"].to_numpy()[2])
    assert raw["time"].to_numpy()[-1] == np.datetime64("2024-01-01T03")
    assert raw["air_temperature"].attrs["units"] == "degC"
    assert raw.attrs["step"] == "hourly"


def test_us_units_trace_and_missing_codes(tmp_path):
    text = "date,temp,rain,wind,snow,slp\n2024-01-01 00:00,14,T,10,4,29.92\n2024-01-01 01:00,M,0.10,20,T,M\n"
    raw = read_station(
        _file(tmp_path, text),
        time="date",
        air_temperature={"column": "temp", "unit": "degF"},
        precipitation={"column": "rain", "unit": "inch"},
        wind_speed={"column": "wind", "unit": "mph"},
        snow_depth={"column": "snow", "unit": "inch"},
        surface_pressure={"column": "slp", "unit": "inHg"},
    )
    assert raw["air_temperature"].to_numpy()[0] == pytest.approx(-10.0)  # 14 degF by definition
    assert np.isnan(raw["air_temperature"].to_numpy()[1])
    assert 0.0 < raw["precipitation"].to_numpy()[0] < 0.127  # a trace is under half a hundredth of an inch
    assert raw["precipitation"].to_numpy()[1] == pytest.approx(2.54)
    assert raw["wind_speed"].to_numpy() == pytest.approx([4.4704, 8.9408])
    assert raw["snow_depth"].to_numpy()[0] == pytest.approx(0.1016)
    assert raw["surface_pressure"].to_numpy()[0] == pytest.approx(
        1013.2, abs=0.05
    )  # 29.92 inHg, standard air


def test_columns_may_be_named_and_the_rest_found(tmp_path):
    text = "when;air_temperature;water\n2024-01-01T00:00;1.5;0.3\n2024-01-01T01:00;1.0;0\n"
    raw = read_station(_file(tmp_path, text), delimiter=";", time="when", precipitation="water")
    assert raw["air_temperature"].to_numpy().tolist() == [1.5, 1.0]
    assert raw["precipitation"].to_numpy().tolist() == [0.3, 0.0]


@pytest.mark.parametrize(
    ("how", "first"),
    [
        ({}, "2024-01-01T00"),
        ({"label": "end"}, "2023-12-31T23"),
        ({"utc_offset": -6.0}, "2024-01-01T06"),
        ({"utc_offset": 2.0, "label": "end"}, "2023-12-31T21"),
    ],
)
def test_labels_and_clocks_become_the_start_of_the_hour_in_utc(tmp_path, how, first):
    raw = read_station(_file(tmp_path, GOOD), **how)
    assert raw["time"].to_numpy()[0] == np.datetime64(first)
    assert raw["air_temperature"].to_numpy()[0] == -3.0


def test_times_with_a_zone_are_taken_as_they_say(tmp_path):
    text = "time,air_temperature,precipitation\n2024-01-01T00:00+01:00,-3,0\n2024-01-01T01:00+01:00,-4,0\n"
    raw = read_station(_file(tmp_path, text), utc_offset=5.0)
    assert raw["time"].to_numpy()[0] == np.datetime64("2023-12-31T23")


def test_centred_labels_share_each_row_between_two_hours(tmp_path):
    text = (
        "time,air_temperature,precipitation\n"
        "2024-01-01T00:00,-2,1.0\n2024-01-01T01:00,-4,3.0\n2024-01-01T02:00,-8,0.0\n"
    )
    raw = read_station(_file(tmp_path, text), label="centre")
    assert raw["time"].to_numpy().tolist() == [
        np.datetime64("2024-01-01T00", "ns").astype(int),
        np.datetime64("2024-01-01T01", "ns").astype(int),
    ]
    assert raw["air_temperature"].to_numpy().tolist() == [-3.0, -6.0]
    assert raw["precipitation"].to_numpy().tolist() == [2.0, 1.5]


def test_a_clock_half_an_hour_off_keeps_the_sum(tmp_path):
    rows = "".join(f"2024-01-01T{h:02d}:00,0,{1.0 if h == 5 else 0.0}\n" for h in range(12))
    path = _file(tmp_path, "time,air_temperature,precipitation\n" + rows)
    raw = read_station(path, utc_offset=-3.5)
    assert float(raw["precipitation"].sum()) == pytest.approx(1.0)
    assert raw["precipitation"].to_numpy().max() == pytest.approx(0.5)


def test_daily_files_are_by_local_day(tmp_path):
    text = "date,tmax,tmin,precip\n2024-01-01,30,10,0.1\n2024-01-02,32,12,T\n2024-01-04,20,-5,0\n"
    raw = read_station(
        _file(tmp_path, text),
        step="daily",
        timezone="America/Chicago",
        time="date",
        air_temperature_max={"column": "tmax", "unit": "degF"},
        air_temperature_min={"column": "tmin", "unit": "degF"},
        precipitation={"column": "precip", "unit": "inch"},
    )
    assert raw.attrs["step"] == "daily"
    assert raw["air_temperature_max"].to_numpy()[1] == pytest.approx(0.0)
    assert np.isnan(raw["air_temperature_min"].to_numpy()[2])
    assert raw.sizes["time"] == 4


BAD = [
    ("empty", "", {}, ["an empty file"]),
    ("comments", "# nothing\n# more\n", {}, ["only comment lines"]),
    ("header", "time,air_temperature,precipitation\n", {}, ["a header and no rows"]),
    ("binary", b"\x89PNG\r\n\x1a\n\x00\x00\x00", {}, ["binary data"]),
    ("packed", gzip.compress(GOOD.encode()), {}, ["a packed file"]),
    ("page", "<!DOCTYPE html><html><body>404</body></html>", {}, ["a web page"]),
    ("semicolons", GOOD.replace(",", ";"), {}, ["parted by semicolons", "station.delimiter = ';'"]),
    ("tabs", GOOD.replace(",", "\t"), {}, ["parted by tabs"]),
    ("column", GOOD, {"dew_point": "dewpoint"}, ["no column 'dewpoint'"]),
    ("nearest", GOOD, {"dew_point": "air_temp"}, ["no column 'air_temp'", "did you mean 'air_temperature'?"]),
    ("variable", GOOD, {"air_temprature": "x"}, ["air_temprature", "did you mean 'air_temperature'?"]),
    ("unit", GOOD, {"precipitation": {"column": "precipitation", "unit": "degF"}}, ["the unit 'degF'", "mm"]),
    ("backwards", GOOD + "2024-01-01T02:00,-5,0\n", {}, ["line 6", "time goes backwards"]),
    ("doubled", GOOD + "2024-01-01T03:00,-5,0\n", {}, ["line 6", "1 hour more than once"]),
    ("number", GOOD.replace("-4.5", "cold"), {}, ["line 4", "'cold'", "station.missing"]),
    ("time", GOOD.replace("2024-01-01T01:00", "noon"), {}, ["line 4", "'noon' as time"]),
    ("range", GOOD.replace("-4.5", "999"), {}, ["line 4", "1 value outside the possible", "-60 to 50 degC"]),
    ("short row", GOOD + "2024-01-01T04:00,-5\n", {}, ["line 6", "2 cells", "3 as in the header"]),
    ("ten minutes", GOOD.replace("T01:00", "T00:10"), {}, ["line 4", "not whole hours", "one row an hour"]),
    ("no rain", "time,air_temperature\n2024-01-01T00:00,1\n", {}, ["no precipitation"]),
    ("no warmth", "time,precipitation\n2024-01-01T00:00,1\n", {}, ["no air_temperature"]),
    ("no time", GOOD.replace("time,", "date,"), {}, ["no column 'time'", "station.columns.time = 'date'"]),
]


@pytest.mark.parametrize(("text", "how", "said"), [b[1:] for b in BAD], ids=[b[0] for b in BAD])
def test_bad_files_are_refused_in_one_plain_line(tmp_path, text, how, said):
    with pytest.raises(WeatherError) as refused:
        read_station(_file(tmp_path, text), **how)
    lines = str(refused.value).splitlines()
    assert len(lines) == 1
    for words in said:
        assert words in lines[0]


def test_degrees_fahrenheit_as_celsius_are_refused(tmp_path):
    rows = "".join(f"2024-07-01T{h:02d}:00,{60 + h},0\n" for h in range(24))
    with pytest.raises(WeatherError, match="24 values outside the possible"):
        read_station(_file(tmp_path, "time,air_temperature,precipitation\n" + rows))


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    with pytest.raises(WeatherError, match="no such file"):
        read_station(tmp_path / "nowhere.csv")
    with pytest.raises(WeatherError, match="a folder"):
        read_station(tmp_path)


def test_every_fault_of_the_columns_is_told_at_once(tmp_path):
    with pytest.raises(WeatherError) as refused:
        read_station(_file(tmp_path, GOOD), dew_point="dew", wind_speed="wind")
    assert len(refused.value.faults) == 2


def test_only_what_was_known_is_kept(tmp_path):
    raw = read_station(_file(tmp_path, GOOD))
    assert known_by(raw, np.datetime64("2024-01-01T03:00")).sizes["time"] == 2  # 01-02 h known at 03:00
    assert known_by(raw, np.datetime64("2024-01-01T02:59")).sizes["time"] == 1
    with pytest.raises(WeatherError, match="a record that begins 2024-01-01"):
        known_by(raw, np.datetime64("2023-12-01T00:00"))


def test_a_local_day_is_known_an_hour_after_its_midnight(tmp_path):
    text = (
        "time,air_temperature_max,air_temperature_min,precipitation\n2024-01-01,0,-5,0\n2024-01-02,0,-5,0\n"
    )
    raw = read_station(_file(tmp_path, text), step="daily", timezone="America/Chicago")
    assert known_by(raw, np.datetime64("2024-01-02T07:00")).sizes["time"] == 1  # midnight there is 06 UTC
    with pytest.raises(WeatherError):
        known_by(raw, np.datetime64("2024-01-02T06:59"))
