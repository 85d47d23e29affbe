"""Every file a course hands in, spoilt at random: read, or refused in words; no trace, no hang, no flood of memory."""

import gzip
import io
import json
import shutil
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "weather"))
from fuzzing import LONGEST, first_fault, limited, values_spoilt
from meteostat_server import answer, running_server

from winterrisk.book import open_book, take_inbox
from winterrisk.book.backup import restore_backup, write_backup
from winterrisk.book.import_rows import sheets_of
from winterrisk.calibration.read_edited import read_edited
from winterrisk.course import read_course
from winterrisk.messages import open_outbox
from winterrisk.messages.message import Message
from winterrisk.reports.read_nights import read_nights
from winterrisk.reports.read_said import read_said
from winterrisk.reports.write_night import previous_night
from winterrisk.science.faults import Refused
from winterrisk.thresholds import Thresholds
from winterrisk.watch.read_status import read_status
from winterrisk.watch.read_waiting import waiting_messages
from winterrisk.weather.archive import open_archive
from winterrisk.weather.forecast_grid_layers import grid_forecast
from winterrisk.weather.forecast_time_series import time_series_forecast
from winterrisk.weather.get_meteostat import OnlineStation, get_history
from winterrisk.weather.read_course_weather import read_course_weather
from winterrisk.weather.read_forecast_file import read_forecast_file
from winterrisk.weather.read_forecasts import read_known_forecast

FEW, MANY = range(20), pytest.param(range(3000), marks=pytest.mark.slow)
NOW = np.datetime64("2025-02-25T10:00:00")
MEMORY = 500
"""Megabytes all readers together may add to the process."""
Read = Callable[[bytes], object]


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory, sample: Path) -> Path:
    """The sample with two days of its record."""
    folder = tmp_path_factory.mktemp("fuzz")
    shutil.copy(sample / "course.toml", folder)
    rows = (sample / "station.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (folder / "station.csv").write_text("".join(rows[:60]), encoding="utf-8")
    return folder


def put(folder: Path, name: str, read: Callable[[], object]) -> Read:
    """A reader of a folder, given the bytes of one file in it."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)

    def reading(content: bytes) -> object:
        path.write_bytes(content)
        return read()

    return reading


def weather(folder: Path) -> object:
    return read_course_weather(read_course(folder))


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_course_file(home: Path, tmp_path: Path, numbers: range) -> None:
    content = (home / "course.toml").read_bytes()
    read = put(tmp_path, "course.toml", lambda: read_course(tmp_path).turf())
    assert first_fault(read, content, numbers, Refused, words=True) == ""


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_station_file(home: Path, tmp_path: Path, numbers: range) -> None:
    shutil.copy(home / "course.toml", tmp_path)
    read = put(tmp_path, "station.csv", lambda: weather(tmp_path))
    assert first_fault(read, (home / "station.csv").read_bytes(), numbers, Refused, words=True) == ""


@pytest.mark.parametrize("name", ["observations", "plugs", "looks", "surveys", "decisions", "batches"])
@pytest.mark.parametrize("numbers", [range(10), pytest.param(range(500), marks=pytest.mark.slow)])
def test_book_files(sample: Path, home: Path, tmp_path: Path, name: str, numbers: range) -> None:
    course = read_course(home)
    shutil.copytree(sample / "book", tmp_path / "book")

    def read() -> None:
        open_book(tmp_path, create=False, course=course).close()

    content = b"".join((sample / "book" / f"{name}.csv").read_bytes().splitlines(keepends=True)[:12])
    assert first_fault(put(tmp_path, f"book/{name}.csv", read), content, numbers, Refused, words=True) == ""


@pytest.mark.parametrize("numbers", [range(15), pytest.param(range(1000), marks=pytest.mark.slow)])
def test_notes(home: Path, tmp_path: Path, numbers: range) -> None:
    course = read_course(home)
    content = (
        b"4 low ice 2cm clear\n9 ridge snow 10 cm yesterday\nplug 4 low A2 5cm\nsurvey 4 low dead 30-50 ice\n"
    )

    def read() -> None:
        for old in tmp_path.glob("book.sqlite*"):
            old.unlink()
        with open_book(tmp_path, course=course) as book:
            take_inbox(tmp_path, book, course, NOW)

    assert first_fault(put(tmp_path, "inbox/note.txt", read), content, numbers, Refused, words=True) == ""


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_tables_handed_in(sample: Path, tmp_path: Path, numbers: range) -> None:
    content = (sample / "book" / "plugs.csv").read_bytes()[:3000]
    path = tmp_path / "plugs.csv"
    assert first_fault(put(tmp_path, "plugs.csv", lambda: sheets_of(path)), content, numbers, Refused) == ""


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_spreadsheets(tmp_path: Path, numbers: range) -> None:
    sheets = pytest.importorskip("openpyxl", reason="spreadsheets need openpyxl")
    book = sheets.Workbook()
    book.active.append(["area", "zone", "spot"])
    book.active.append(["4", "low", "=1+1"])
    kept = io.BytesIO()
    book.save(kept)
    path = tmp_path / "plugs.xlsx"
    read = put(tmp_path, "plugs.xlsx", lambda: sheets_of(path))
    assert first_fault(read, kept.getvalue(), numbers, Refused) == ""
    parts = {name: zipfile.ZipFile(kept).read(name) for name in zipfile.ZipFile(kept).namelist()}

    def inner(content: bytes) -> object:
        with zipfile.ZipFile(path, "w") as packed:
            for name, part in parts.items():
                packed.writestr(name, content if name == "xl/worksheets/sheet1.xml" else part)
        return sheets_of(path)

    assert first_fault(inner, parts["xl/worksheets/sheet1.xml"], numbers, Refused, words=True) == ""


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_thresholds(tmp_path: Path, numbers: range) -> None:
    standing = Thresholds.defaults().with_value("ice_multiplier.annual_bluegrass", 1.5)
    content = standing.to_toml().encode()

    def read() -> None:
        Thresholds.read(tmp_path)
        read_edited(tmp_path, Thresholds.defaults(), "why")

    assert first_fault(put(tmp_path, "thresholds.toml", read), content, numbers, Refused, words=True) == ""


def _grid() -> bytes:
    layer = {
        "uom": "wmoUnit:degC",
        "values": [{"validTime": "2026-01-10T00:00:00+00:00/PT6H", "value": -3.5}] * 8,
    }
    rain = {"uom": "wmoUnit:mm", "values": [{"validTime": "2026-01-10T00:00:00+00:00/P1DT6H", "value": 1.5}]}
    parts = {
        "updateTime": "2026-01-09T23:00:00+00:00",
        "temperature": layer,
        "quantitativePrecipitation": rain,
    }
    return json.dumps({"properties": parts}).encode()


def _series() -> bytes:
    details = {"air_temperature": -3.0, "wind_speed": 4.0, "air_pressure_at_sea_level": 1010.0}
    ahead = {"details": {"precipitation_amount": 0.3}}
    rows = [
        {
            "time": f"2026-01-10T{h:02d}:00:00Z",
            "data": {"instant": {"details": details}, "next_1_hours": ahead},
        }
        for h in range(12)
    ]
    units = {
        "air_temperature": "celsius",
        "wind_speed": "m/s",
        "precipitation_amount": "mm",
        "air_pressure_at_sea_level": "hPa",
    }
    meta = {"updated_at": "2026-01-09T23:00:00Z", "units": units}
    place = {"coordinates": [-95.0, 46.6, 380]}
    return json.dumps({"geometry": place, "properties": {"meta": meta, "timeseries": rows}}).encode()


@pytest.mark.parametrize("numbers", [FEW, MANY])
@pytest.mark.parametrize(("read", "content"), [(grid_forecast, _grid()), (time_series_forecast, _series())])
def test_answers_of_services(read: Callable[..., object], content: bytes, numbers: range) -> None:
    def reading(given: bytes) -> object:
        try:
            answer = json.loads(given)
        except ValueError:
            raise Refused(()) from None
        return read(answer, NOW)

    def of_answer(given: bytes) -> object:
        try:
            return reading(given)
        except Refused as refusal:
            return str(refusal)

    reading(content)
    assert first_fault(of_answer, content, numbers, Refused, words=True) == ""
    assert first_fault(reading, content, numbers, Refused, how=values_spoilt) == ""


@pytest.mark.parametrize("numbers", [range(12), pytest.param(range(1500), marks=pytest.mark.slow)])
@pytest.mark.parametrize("step", ["hourly", "daily"])
def test_answers_of_the_history(step: str, numbers: range) -> None:
    """Through the library, from a server on this machine; every other file is spoilt before it is packed."""
    served = running_server()
    station = OnlineStation("GOOD1", "Middle Moor", 46.6, -95.0, 380.0, step)
    plain = gzip.decompress(answer("GOOD1", 2025, step == "daily", served)[1])
    given = [b""]
    served.spoils = lambda body: given[0]

    def read(content: bytes) -> None:
        given[0] = content
        fetched = get_history(station, 2025, NOW, timezone="America/Winnipeg", timeout=1.0)
        assert fetched.raw is not None or fetched.faults

    try:
        read(gzip.compress(plain))
        assert (
            first_fault(lambda content: read(gzip.compress(content, 1)), plain, numbers, Refused, words=True)
            == ""
        )
        packed = gzip.compress(plain)
        assert first_fault(read, packed, numbers[: len(numbers) // 4], Refused) == ""
    finally:
        served.spoils = lambda body: body


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_a_forecast_file(tmp_path: Path, numbers: range) -> None:
    import xarray as xr

    hours = np.datetime64("2026-01-10T00:00", "ns") + np.arange(24) * np.timedelta64(1, "h")
    grid = xr.Dataset(
        {"t2m": (("time", "latitude", "longitude"), np.full((24, 2, 2), 270.0, np.float32), {"units": "K"})},
        coords={"time": hours, "latitude": [46.0, 47.0], "longitude": [-96.0, -95.0]},
    )
    path = tmp_path / "forecast.nc"
    grid.to_netcdf(path, engine="scipy")
    content = path.read_bytes()
    read = put(tmp_path, "forecast.nc", lambda: read_forecast_file(path, 46.6, -95.0, received=NOW))
    assert first_fault(read, content, numbers, Refused) == ""


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_a_kept_forecast(tmp_path: Path, numbers: range) -> None:
    plain = json.dumps(
        {"form": 1, "begins": "2025-02-25T09", "values": {"air_temperature": [1.0, 2.0]}}
    ).encode()
    read = put(
        tmp_path, "weather/forecasts/20250225T090000_x.json.gz", lambda: read_known_forecast(tmp_path, NOW)
    )
    assert first_fault(lambda given: read(gzip.compress(given)), plain, numbers, Refused, words=True) == ""
    assert first_fault(read, gzip.compress(plain), numbers, Refused) == ""


@pytest.mark.parametrize("numbers", [range(12), pytest.param(range(1000), marks=pytest.mark.slow)])
@pytest.mark.parametrize("which", ["book", "backup", "archive", "outbox"])
def test_databases(home: Path, tmp_path: Path, which: str, numbers: range) -> None:
    course = read_course(home)
    shutil.copy(home / "course.toml", tmp_path)

    def book() -> None:
        with open_book(tmp_path, course=course) as opened:
            opened.record()

    def archive() -> None:
        with open_archive(tmp_path) as opened:
            for name in opened.sources():
                opened.received(name)

    def outbox() -> None:
        with open_outbox(tmp_path, course.id) as opened:
            words = ("Inga Varrow", "LOOK by Wed 17 Jan: 4 low.", "why, and how likely")
            message = Message("action", "2025-02-25", *words, {"said": {"calls": []}}, NOW, NOW)
            opened.put([message], NOW)
            opened.expire([row for row in opened.kept() if row.state == "waiting"], [], NOW)
        waiting_messages(tmp_path)

    def backup() -> None:
        for old in tmp_path.glob("book*.sqlite"):
            old.unlink()
        with open_book(tmp_path, course=course) as opened:
            if not (tmp_path / "kept.sqlite").exists():
                write_backup(opened, tmp_path / "kept.sqlite")
            try:
                restore_backup(opened, tmp_path / "kept.sqlite")
            finally:
                opened.record()

    read, name = {
        "book": (book, "book.sqlite"), "backup": (backup, "kept.sqlite"),
        "archive": (archive, "weather/archive.sqlite"), "outbox": (outbox, "outbox.sqlite"),
    }[which]  # fmt: skip
    (tmp_path / name).parent.mkdir(exist_ok=True)
    read()
    content = (tmp_path / name).read_bytes()

    def reading(given: bytes) -> None:
        for old in (tmp_path / name).parent.glob("*.sqlite-*"):
            old.unlink()
        (tmp_path / name).write_bytes(given)
        read()

    assert first_fault(reading, content, numbers, Refused) == ""


@pytest.mark.parametrize("numbers", [FEW, MANY])
def test_past_nights_and_the_status(home: Path, tmp_path: Path, numbers: range) -> None:
    import datetime as dt

    shutil.copy(home / "course.toml", tmp_path)
    record = {
        "course": "x", "on": "2025-02-24", "winter": "2024-25", "version": "0", "hindsight": False,
        "calls": [{"kind": "look", "zone": "4 low", "since": "2025-02-20", "by": "2025-02-25"}],
        "cannot_say": [{"zone": "9 ridge", "why": "no air temperature"}],
        "data": {"weather_until": "2025-02-24T10:00", "zones": [], "restraint": {}},
    }  # fmt: skip
    night = tmp_path / "nights" / "2025-02-24"
    night.mkdir(parents=True)
    (night / "used.json").write_text("{}", encoding="utf-8")

    def read() -> None:
        previous_night(tmp_path, "2025-02-25")
        read_said(tmp_path, dt.date(2025, 2, 25))
        read_status(tmp_path, dt.datetime(2025, 2, 25, 10))
        list(read_nights(tmp_path))

    content = json.dumps(record).encode()
    reading = put(tmp_path, "nights/2025-02-24/night.json", read)
    assert first_fault(reading, content, numbers, Refused, words=True) == ""


def test_what_is_too_large_is_refused_at_once(home: Path, tmp_path: Path) -> None:
    """Sparse files: the size is there, the disk is not used."""
    shutil.copy(home / "course.toml", tmp_path)
    shutil.copy(home / "station.csv", tmp_path)
    for name, read in {
        "course.toml": lambda: read_course(tmp_path),
        "station.csv": lambda: weather(tmp_path),
        "thresholds.toml": lambda: Thresholds.read(tmp_path),
        "book/plugs.csv": lambda: open_book(tmp_path, create=False, course=read_course(home)),
        "book.sqlite": lambda: open_book(tmp_path, course=read_course(home)),
        "weather/forecasts/20250225T090000_x.json.gz": lambda: read_known_forecast(tmp_path, NOW),
    }.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        before = path.read_bytes() if path.exists() else None
        with path.open("wb") as file:
            file.truncate(3 * 2**30)
        with limited(), pytest.raises(Refused) as refused:
            read()
        assert name.rpartition("/")[2] in str(refused.value), name
        path.unlink()
        if before is not None:
            path.write_bytes(before)


def test_what_unpacks_to_too_much_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "weather" / "forecasts" / "20250225T090000_x.json.gz"
    path.parent.mkdir(parents=True)
    with gzip.open(path, "wb") as file:
        for _ in range(200):
            file.write(b" " * 2**20)
    with limited(), pytest.raises(Refused):
        read_known_forecast(tmp_path, NOW)


def test_a_forecast_file_of_much_nothing_is_refused(tmp_path: Path) -> None:
    """A few kilobytes on disk that are 2.4 GB of missing values in memory."""
    netcdf = pytest.importorskip("netCDF4", reason="the modern form of NetCDF needs netCDF4")
    path = tmp_path / "forecast.nc"
    with netcdf.Dataset(path, "w") as file:
        for name, size in (("time", 24), ("latitude", 5000), ("longitude", 5000)):
            file.createDimension(name, size)
        file.createVariable("t2m", "f4", ("time", "latitude", "longitude"), zlib=True)
    assert path.stat().st_size < 100_000
    with limited(), pytest.raises(Refused, match=r"2,289 MB of values"):
        read_forecast_file(path, 46.6, -95.0, received=NOW)


@pytest.mark.parametrize("length", ["P19999999D", "P9999W", f"PT{'9' * 400}H"])
def test_one_wrong_digit_of_a_forecast_does_not_fill_the_memory(length: str) -> None:
    answer = json.loads(_grid())
    answer["properties"]["temperature"]["values"][0]["validTime"] = f"2026-01-10T00:00:00+00:00/{length}"
    with limited(), pytest.raises(Refused):
        grid_forecast(answer, NOW)
    series = json.loads(_series())
    series["properties"]["timeseries"][0]["time"] = "9026-01-10T00:00:00Z"
    with limited(), pytest.raises(Refused, match="up to 60 days"):
        time_series_forecast(series, NOW)


@pytest.mark.parametrize("name", ["course.toml", "station.csv", "thresholds.toml", "book/plugs.csv"])
def test_a_pipe_or_device_in_place_of_a_file_does_not_hang(home: Path, tmp_path: Path, name: str) -> None:
    import os

    if not hasattr(os, "mkfifo"):
        pytest.skip("needs named pipes")
    shutil.copy(home / "course.toml", tmp_path)
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).unlink(missing_ok=True)
    os.mkfifo(tmp_path / name)
    with limited(LONGEST), pytest.raises(Refused):
        weather(tmp_path)
        Thresholds.read(tmp_path)
        open_book(tmp_path, create=False, course=read_course(home))


def told_mb(name: str) -> float:
    """What the system tells of this process: VmRSS now, VmHWM the most since that was last reset [MB]."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(float(line.split()[1]) / 1024 for line in lines if line.startswith(f"{name}:"))


@pytest.fixture(scope="module", autouse=True)
def begun_with() -> float | None:
    """Memory at the first test of this file, from which the most is counted anew; None where nothing tells."""
    try:
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
        return told_mb("VmRSS")
    except OSError:
        return None


def test_all_of_it_took_little_memory(begun_with: float | None) -> None:
    """Of this process, which ran the tests above: no reader made it grow beyond what is allowed."""
    if begun_with is None:
        pytest.skip("the memory of a process is told by Linux alone")
    grown = told_mb("VmHWM") - begun_with
    print(f"readers of spoilt files: {grown:.0f} MB at the most beyond {begun_with:.0f} MB", file=sys.stderr)
    assert 0.0 <= grown < MEMORY
