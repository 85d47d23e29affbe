"""The archive file: nothing lost, nothing doubled, nothing changed; foreign, damaged and unwritable ones refused."""

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from hypothesis import given, settings
from hypothesis import strategies as st
from tests_weather_files import Place, invented_hours, write_station

from winterrisk.weather import WeatherError, read_station, write_archive_file
from winterrisk.weather.archive import FILE_NAME, Archive, has_archive, open_archive
from winterrisk.weather.archive_schema import APPLICATION_ID, STATEMENTS, VERSION
from winterrisk.weather.receipts import moved
from winterrisk.weather.received import Received

KNOWN = np.datetime64("2024-02-01T10:00:00")
DAY = np.timedelta64(1, "D")


@pytest.fixture(scope="module")
def station(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A month of invented hours."""
    return write_station(tmp_path_factory.mktemp("month"), invented_hours("2024-01-01", "2024-01-31T23:00"))


@pytest.fixture(scope="module")
def raw(station: Path) -> xr.Dataset:
    return read_station(station, timezone=Place().timezone)


def until(raw: xr.Dataset, day: int) -> xr.Dataset:
    return raw.isel(time=slice(0, 24 * day))


def file_of(folder: Path) -> Path:
    return folder / "weather" / FILE_NAME


def kept(folder: Path, raw: xr.Dataset) -> Path:
    """The file of an archive with one delivery."""
    with open_archive(folder) as archive:
        archive.receive("file", raw, KNOWN)
    return file_of(folder)


def test_what_goes_in_comes_out(tmp_path: Path, raw: xr.Dataset) -> None:
    first_came = np.datetime64("2024-01-21T10:00")
    with open_archive(tmp_path) as archive:
        first = archive.receive("file", until(raw, 20), first_came, first_assumed=True)
        second = archive.receive("file", raw, KNOWN, first_assumed=True)
    assert first.assumed and first.new == 20 * 24 * len(raw.data_vars)
    assert not second.assumed
    assert (second.new, second.changed) == (11 * 24 * len(raw.data_vars), 0)
    with open_archive(tmp_path, create=False) as archive:
        got = archive.received("file")
        assert archive.sources() == ("file",) and archive.received("other") is None
    assert got is not None
    xr.testing.assert_identical(got.as_known(), raw)
    early = got.as_known(np.datetime64("2024-01-10T00:00"))
    assert early["time"].to_numpy()[-1] == np.datetime64("2024-01-09T22:00"), (
        "assumed: an hour after each hour"
    )
    assert got.as_known(KNOWN - DAY).sizes["time"] == 20 * 24, "what came on 1 February was not known before"
    assert got.receipts[0].known == first_came
    assert sorted(p.name for p in (tmp_path / "weather").iterdir()) == [FILE_NAME]


def test_a_history_of_which_nothing_is_on_record_is_taken_once(tmp_path: Path, raw: xr.Dataset) -> None:
    with open_archive(tmp_path) as archive:
        receipt = archive.receive("file", raw, None, first_assumed=True)
        assert receipt.known == np.datetime64("2024-02-01T01:00") and receipt.assumed
        for assumed in (True, False):
            with pytest.raises(ValueError, match="needs the time"):
                archive.receive("file", raw, None, first_assumed=assumed)
        assert archive.receive("file", raw, KNOWN).new == 0
        assert len(archive.receipts()) == 2


def test_a_new_archive_is_marked_and_of_this_version(tmp_path: Path, raw: xr.Dataset) -> None:
    file = sqlite3.connect(kept(tmp_path, raw))
    marks = [
        file.execute(f"PRAGMA {n}").fetchone()[0] for n in ("application_id", "user_version", "journal_mode")
    ]
    file.close()
    assert marks == [APPLICATION_ID, VERSION, "wal"]


def test_days_origins_and_attributes_of_any_kind_come_out(tmp_path: Path) -> None:
    time = np.array(["2024-01-01", "2024-01-02", "2024-01-03"], dtype="datetime64[ns]")
    warmest = xr.DataArray([1.25, np.nan, -3.0], dims="time", coords={"time": time})
    attrs = {"step": "daily", "timezone": "America/Winnipeg", "day_ends": 7, "station": "Invented Höhe"}
    odd = {"elevation": np.float32(380.5), "heights": np.array([2.0, 10.0]), "retrieved": KNOWN}
    raw = xr.Dataset(
        {"air_temperature_max": warmest, "air_temperature_max_origin": ("time", np.int8([0, 0, 2]))},
        attrs=attrs | odd,
    )
    with open_archive(tmp_path) as archive:
        archive.receive("second 1", raw, KNOWN)
        got = archive.received("second 1")
    assert got is not None
    seen = got.as_known()
    assert seen["air_temperature_max"].to_numpy() == pytest.approx([1.25, np.nan, -3.0], nan_ok=True, abs=0)
    assert seen["air_temperature_max_origin"].to_numpy().tolist() == [0, 0, 2]
    assert (seen["time"].to_numpy() == time).all()
    assert seen.attrs == attrs | {"elevation": 380.5, "heights": [2.0, 10.0], "retrieved": str(KNOWN)}


VALUE = st.one_of(
    st.just(np.nan), st.floats(allow_nan=False, allow_infinity=False), st.sampled_from([-0.0, 5e-324])
)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.lists(st.tuples(VALUE, VALUE), min_size=1, max_size=4), min_size=1, max_size=4), st.booleans()
)
def test_the_file_holds_what_memory_holds_to_the_last_bit(
    tables: list[list[tuple[float, float]]], assumed: bool
) -> None:
    """The same deliveries, one clock an hour back, kept in a file and in memory."""
    memory = None
    with tempfile.TemporaryDirectory() as folder:
        for number, table in enumerate(tables):
            time = KNOWN.astype("datetime64[h]") + np.arange(len(table)) * np.timedelta64(1, "h")
            columns = {
                n: ("time", [row[i] for row in table]) for i, n in enumerate(("air_temperature", "dew_point"))
            }
            raw = xr.Dataset(
                columns, coords={"time": time.astype("datetime64[ns]")}, attrs={"step": "hourly"}
            )
            clock = (
                KNOWN + (2 if number != 1 else -1) * np.timedelta64(1, "h") + number * np.timedelta64(1, "m")
            )
            with open_archive(folder) as archive:
                archive.receive("file", raw, clock, first_assumed=assumed)
            if memory is None:
                memory = Received.of(raw, None if assumed else clock, "file", came=clock)
            else:
                memory = memory.with_receipt(raw, clock)
        with open_archive(folder, create=False) as archive:
            got = archive.received("file")
    assert got is not None and memory is not None
    assert (got.times == memory.times).all() and (got.known == memory.known).all()
    assert got.receipts == memory.receipts
    for name, column in memory.values.items():
        assert got.values[name].tobytes() == column.tobytes()


def test_every_delivery_is_listed_also_one_that_brought_nothing(tmp_path: Path, raw: xr.Dataset) -> None:
    with open_archive(tmp_path) as archive:
        archive.receive("file", raw, KNOWN)
        again = archive.receive("file", raw, KNOWN + DAY)
        archive.receive("other", until(raw, 1), KNOWN - DAY)
        archive.receive("file", raw, KNOWN - DAY)
        got, table = archive.received("file"), archive.receipts()
        assert archive.receipts("other")["new"].tolist() == [24 * len(raw.data_vars)]
    assert (again.new, again.changed) == (0, 0)
    assert got is not None and len(got.times) == 2 * raw.sizes["time"] and len(got.receipts) == 3
    assert list(table) == ["source", "known", "assumed", "set_back", "new", "changed", "attrs"]
    assert table["source"].tolist() == ["file", "file", "other", "file"]
    assert table["known"].tolist() == [pd.Timestamp(KNOWN + n * DAY) for n in (0, 1, -1, -1)]
    assert table["set_back"].tolist() == [False, False, False, True], "only of its own source"
    assert table["attrs"][1] == raw.attrs


def test_a_station_that_moved_is_told_from_the_deliveries(tmp_path: Path, raw: xr.Dataset) -> None:
    places = [{"latitude": 46.6, "elevation": 380.0}, {}, {"latitude": 46.7, "elevation": 380.0}]
    with open_archive(tmp_path) as archive:
        assert moved(archive.receipts()).empty
        for number, place in enumerate(places):
            archive.receive("file", raw.assign_attrs(place), KNOWN + number * DAY)
        archive.receive("other", raw.assign_attrs(latitude=10.0, station="Elsewhere"), KNOWN)
        found = moved(archive.receipts())
        got = archive.received("file")
    assert found.values.tolist() == [["file", pd.Timestamp(KNOWN + 2 * DAY), "latitude", 46.6, 46.7]]
    assert got is not None
    assert got.as_known(KNOWN + DAY).attrs.get("latitude") is None and got.attrs["latitude"] == 46.7
    pd.testing.assert_frame_equal(got.moves(), found)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE receipts SET known = '2020-01-01'",
        "UPDATE OR REPLACE receipts SET id = 2",
        "DELETE FROM receipts",
        "INSERT OR REPLACE INTO receipts SELECT * FROM receipts",
        "REPLACE INTO receipts SELECT id, 'x', known, 0, 0, 0, 0, '', '', '', x'' FROM receipts",
    ],
)
def test_nothing_that_was_received_can_be_changed_or_removed(
    tmp_path: Path, raw: xr.Dataset, sql: str
) -> None:
    connection = sqlite3.connect(kept(tmp_path, raw))
    with pytest.raises(sqlite3.IntegrityError, match="what was received is never"):
        connection.execute(sql)
    connection.close()


def foreign(path: Path, kind: str) -> None:
    if kind == "text":
        path.write_bytes(b"no database at all, " * 20)
    elif kind == "short":
        path.write_bytes(b"SQLite format 3\x00")
    else:
        with sqlite3.connect(path) as file:
            file.execute("CREATE TABLE receipts (id INTEGER)")
            if kind != "other":
                file.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                file.execute(f"PRAGMA user_version = {VERSION + (kind == 'later')}")
        file.close()


@pytest.mark.parametrize("create", [True, False])
@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("text", "found a file that is no database, expected the weather archive.*; move the file elsewhere"),
        ("short", "no database"),
        ("other", "another program's database"),
        ("later", f"an archive of version {VERSION + 1}, expected version {VERSION}; install the winterrisk"),
        ("tables", "somebody put in or took out"),
    ],
)
def test_a_foreign_file_is_refused_and_left_as_it_was(
    tmp_path: Path, kind: str, words: str, create: bool
) -> None:
    path = file_of(tmp_path)
    path.parent.mkdir()
    foreign(path, kind)
    before = path.read_bytes()
    with pytest.raises(WeatherError, match=words), open_archive(tmp_path, create=create):
        pass
    assert path.read_bytes() == before and [p.name for p in path.parent.iterdir()] == [FILE_NAME]


@pytest.mark.parametrize(
    "sql",
    [
        "CREATE TRIGGER planted AFTER INSERT ON receipts BEGIN SELECT 1; END",
        "CREATE VIEW planted AS SELECT 1",
        "CREATE TABLE planted (x)",
        "DROP TRIGGER receipts_are_kept",
    ],
)
def test_planted_or_missing_tables_views_and_triggers_are_refused(
    tmp_path: Path, raw: xr.Dataset, sql: str
) -> None:
    file = sqlite3.connect(kept(tmp_path, raw))
    file.execute(sql)
    file.commit()
    file.close()
    for create in (True, False):
        with pytest.raises(WeatherError, match="put in or took out"), open_archive(tmp_path, create=create):
            pass


@pytest.mark.parametrize("size", [0.2, 0.5, 0.9])
def test_a_file_cut_short_is_told(tmp_path: Path, raw: xr.Dataset, size: float) -> None:
    path = kept(tmp_path, raw)
    content = path.read_bytes()
    path.write_bytes(content[: int(size * len(content))])
    with (
        pytest.raises(WeatherError, match=r"damaged.*restore it from a backup"),
        open_archive(tmp_path) as archive,
    ):
        archive.received("file")


def test_any_damaged_byte_of_a_delivery_is_told(tmp_path: Path, raw: xr.Dataset) -> None:
    content = kept(tmp_path, raw).read_bytes()
    rng = np.random.default_rng(3)
    told = 0
    for at in rng.integers(0, len(content), 60):
        damaged = bytearray(content)
        damaged[at] ^= 1 << int(rng.integers(8))
        file_of(tmp_path).write_bytes(bytes(damaged))
        try:
            with open_archive(tmp_path) as archive:
                got = archive.received("file")
        except WeatherError:
            told += 1
        else:
            assert got is not None
            xr.testing.assert_identical(got.as_known(), raw)
    assert told > 20


@pytest.mark.parametrize(
    ("column", "value"),
    [("known", "2020-01-01T00:00:00"), ("attrs", "{}"), ("cells", b"x"), ("layout", "[]")],
)
def test_a_row_changed_behind_the_triggers_is_told(
    tmp_path: Path, raw: xr.Dataset, column: str, value: object
) -> None:
    file = sqlite3.connect(kept(tmp_path, raw))
    file.execute("DROP TRIGGER receipts_stay_as_they_are")
    file.execute(f"UPDATE receipts SET {column} = ?", (value,))
    file.execute(next(s for s in STATEMENTS if "receipts_stay_as_they_are" in s))
    file.commit()
    file.close()
    with open_archive(tmp_path) as archive, pytest.raises(WeatherError, match="a damaged delivery of file"):
        archive.received("file")


def test_a_delivery_of_another_step_is_refused_and_the_archive_goes_on(
    tmp_path: Path, raw: xr.Dataset
) -> None:
    days = raw.isel(time=slice(0, None, 24)).assign_attrs(step="daily")
    with open_archive(tmp_path) as archive:
        archive.receive("file", until(raw, 3), KNOWN)
        with pytest.raises(WeatherError, match="found daily rows, expected hourly ones"):
            archive.receive("file", days, KNOWN + DAY)
        assert len(archive.receipts()) == 1
        assert archive.receive("file", until(raw, 4), KNOWN + DAY).new == 24 * len(raw.data_vars)


def test_no_archive_is_made_by_asking(tmp_path: Path, raw: xr.Dataset) -> None:
    assert not has_archive(tmp_path)
    with pytest.raises(WeatherError, match="no archive"), open_archive(tmp_path, create=False):
        pass
    assert not (tmp_path / "weather").exists()
    kept(tmp_path, raw)
    assert has_archive(tmp_path)
    with (
        open_archive(tmp_path, create=False) as archive,
        pytest.raises(WeatherError, match="cannot be written"),
    ):
        archive.receive("file", raw, KNOWN + DAY)
    file_of(tmp_path).write_bytes(b"")
    with pytest.raises(WeatherError, match="never begun"), open_archive(tmp_path, create=False):
        pass
    with open_archive(tmp_path) as archive:
        assert archive.sources() == (), "an empty file is begun"


def test_a_run_that_writes_for_too_long_is_told(
    tmp_path: Path, raw: xr.Dataset, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = sqlite3.connect(kept(tmp_path, raw), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    monkeypatch.setattr(write_archive_file, "WAIT_SECONDS", 0.1)
    with open_archive(tmp_path) as archive:
        assert archive.received("file") is not None, "reading goes on meanwhile"
        with pytest.raises(WeatherError, match=r"another run still writing to it.*; wait until it has ended"):
            archive.receive("file", raw, KNOWN + DAY)
        other.execute("ROLLBACK")
        archive.receive("file", raw, KNOWN + DAY)
        assert len(archive.receipts()) == 2
    other.close()


def in_child(work: Callable[[], str], *, nobody: bool = False) -> str:
    """What the work said in a process of its own; with `nobody` one whose rights bind it."""
    told, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if nobody and os.geteuid() == 0:
                os.setgroups([])
                os.setgid(65534)
                os.setuid(65534)
            said = work()
        except BaseException as fault:
            said = f"{type(fault).__name__}: {fault}"
        os.write(write, said.encode())
        os._exit(0)
    os.close(write)
    with os.fdopen(told, encoding="utf-8") as pipe:
        said = pipe.read()
    os.waitpid(child, 0)
    return said


needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a process that can be forked")


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that other users can reach."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o755)
    shutil.rmtree(folder)


@needs_fork
def test_a_folder_that_cannot_be_written_is_refused_and_can_be_read(
    open_folder: Path, raw: xr.Dataset
) -> None:
    def receive() -> str:
        with open_archive(open_folder) as archive:
            return str(archive.receive("file", raw, KNOWN))

    def read() -> str:
        with open_archive(open_folder, create=False) as archive:
            got = archive.received("file")
            return "nothing" if got is None else str(got.as_known().sizes["time"])

    open_folder.chmod(0o555)
    said = in_child(receive, nobody=True)
    assert said.startswith("WeatherError") and "cannot be made (permission denied)" in said
    assert "give yourself the right to write there, or copy the course folder" in said
    open_folder.chmod(0o755)
    kept(open_folder, raw).chmod(0o444)
    (open_folder / "weather").chmod(0o555)
    said = in_child(receive, nobody=True)
    assert said.startswith("WeatherError") and "cannot be written" in said
    assert in_child(read, nobody=True) == str(raw.sizes["time"])
    file_of(open_folder).chmod(0o000)
    said = in_child(read, nobody=True)
    assert said.startswith("WeatherError") and "a file that cannot be read (permission denied)" in said
    assert [p.name for p in (open_folder / "weather").iterdir()] == [FILE_NAME]


@needs_fork
@pytest.mark.parametrize("room", [0, 5_000, 20_000])
def test_a_full_disk_is_told_and_nothing_half_kept(tmp_path: Path, raw: xr.Dataset, room: int) -> None:
    """No file of the child may grow beyond a size, as on a disk without room."""
    import resource

    with open_archive(tmp_path) as archive:
        archive.receive("file", until(raw, 1), KNOWN)
    size = room + file_of(tmp_path).stat().st_size

    def receive() -> str:
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
        with open_archive(tmp_path) as archive:
            return f"kept {archive.receive('file', raw, KNOWN + DAY).new}"

    said = in_child(receive)
    assert (
        said.startswith("WeatherError") and "no room" in said
    ) or "a disk that does not take it" in said, said
    assert "then run this again; nothing was kept" in said
    with open_archive(tmp_path) as archive:
        assert len(archive.receipts()) == 1
        archive.receive("file", raw, KNOWN + DAY)
        got = archive.received("file")
    assert got is not None
    xr.testing.assert_identical(got.as_known(), raw)


@pytest.mark.parametrize("begun_elsewhere", [False, True])
def test_where_no_log_can_be_kept_beside_the_file_a_journal_is(
    tmp_path: Path, raw: xr.Dataset, begun_elsewhere: bool
) -> None:
    """As on a network drive: a folder stands where the memory would be that runs share over the log."""
    path = file_of(tmp_path)
    path.parent.mkdir()
    if begun_elsewhere:
        kept(tmp_path, raw)
    path.with_name(FILE_NAME + "-shm").mkdir()
    for number in range(2):
        with open_archive(tmp_path) as archive:
            archive.receive("file", raw, KNOWN + number * DAY)
            assert len(archive.receipts()) == number + 1 + begun_elsewhere
    file = sqlite3.connect(path)
    assert file.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
    file.close()
    with open_archive(tmp_path, create=False) as archive:
        assert month(archive).as_known().sizes["time"] == raw.sizes["time"]


def test_a_run_that_finds_another_beginning_the_archive_waits_for_it(tmp_path: Path, raw: xr.Dataset) -> None:
    path = file_of(tmp_path)
    path.parent.mkdir()
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    said: list[str] = []

    def receive() -> None:
        try:
            kept(tmp_path, raw)
        except BaseException as fault:
            said.append(str(fault))

    run = threading.Thread(target=receive)
    run.start()
    run.join(0.5)
    assert run.is_alive(), "it waits"
    for statement in (
        *STATEMENTS,
        f"PRAGMA application_id = {APPLICATION_ID}",
        f"PRAGMA user_version = {VERSION}",
    ):
        other.execute(statement)
    other.execute("COMMIT")
    other.close()
    run.join(60)
    assert said == []
    with open_archive(tmp_path) as archive:
        assert len(archive.receipts()) == 1


WRITER = """
import sys
import numpy as np
from pathlib import Path
from winterrisk.weather import read_station
from winterrisk.weather.archive import open_archive
folder, station, first, by = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
raw = read_station(station)
print("ready", flush=True)
sys.stdin.readline()
for day in range(first, 31, by):
    with open_archive(folder) as archive:
        known = np.datetime64("2024-02-01T10:00:00") + day * np.timedelta64(1, "D")
        receipt = archive.receive("file", raw.isel(time=slice(24 * day, 24 * day + 24)), known)
    print(receipt.new, flush=True)
"""


def writers(folder: Path, station: Path, *firsts: int, by: int) -> list[list[int]]:
    """What each of several processes that start together was told of its deliveries."""
    processes = []
    for first in firsts:
        words = [sys.executable, "-c", WRITER, str(folder), str(station), str(first), str(by)]
        processes.append(subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True))
    for process in processes:
        assert process.stdout is not None and process.stdout.readline() == "ready\n"
    for process in processes:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    told = []
    for process in processes:
        out, _ = process.communicate(timeout=100)
        assert process.returncode == 0
        told.append([int(line) for line in out.split()])
    return told


def month(archive: Archive) -> Received:
    got = archive.received("file")
    assert got is not None
    return got


def test_two_runs_at_once_are_both_kept(tmp_path: Path, station: Path, raw: xr.Dataset) -> None:
    """They race to begin the archive, too; one takes the even days, the other the odd ones."""
    told = writers(tmp_path, station, 0, 1, by=2)
    assert [len(t) for t in told] == [16, 15]
    with open_archive(tmp_path) as archive:
        got = month(archive)
    assert len(got.receipts) == 31
    seen = got.as_known()
    for name in raw:
        np.testing.assert_array_equal(seen[name], raw[name])
    rows = len(got.times)
    assert rows == raw.sizes["time"] and len(np.unique(got.times)) == rows


def test_of_two_runs_that_bring_the_same_one_brings_news(
    tmp_path: Path, station: Path, raw: xr.Dataset
) -> None:
    told = writers(tmp_path, station, 0, 0, by=1)
    per_day = 24 * len(raw.data_vars)
    assert [sum(pair) for pair in zip(*told, strict=True)] == [per_day] * 31
    with open_archive(tmp_path) as archive:
        got = month(archive)
    assert len(got.receipts) == 62 and len(got.times) == raw.sizes["time"]


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a process that can be killed")
def test_a_run_killed_at_any_moment_loses_no_told_delivery(
    tmp_path: Path, station: Path, raw: xr.Dataset
) -> None:
    words = [sys.executable, "-c", WRITER, str(tmp_path), str(station), "0", "1"]
    process = subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None and process.stdin is not None
    process.stdin.write("go\n")
    process.stdin.flush()
    told = [process.stdout.readline() for _ in range(9)][1:]
    process.send_signal(signal.SIGKILL)
    told += process.stdout.readlines()
    process.wait()
    with open_archive(tmp_path) as archive:
        got = month(archive)
        assert len(told) <= len(got.receipts) <= len(told) + 1
        assert all(r.new == 24 * len(raw.data_vars) for r in got.receipts)
        archive.receive("file", read_station(station), KNOWN + 90 * DAY)
        assert month(archive).as_known().sizes["time"] == 31 * 24
