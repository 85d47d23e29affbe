"""Input that cannot be used: one plain line a fault, exit code 2, and nothing written in the folder."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from small_courses import small_course

SCOPE = "winterrisk covers cool-season putting greens north of the equator"
NIGHT = "2024-01-15"
LATITUDE = "latitude = 46.6\nlongitude = -95.0\nelevation = 380\n"
ZONES = """[[areas.zones]]
name = "low"
template = "low spot"
share = 0.4

[[areas.zones]]
name = "ridge"
template = "ridge"
share = 0.6
"""

Command = Callable[..., tuple[int, str, str]]
Refusal = Callable[..., list[str]]


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, sample: Path) -> Path:
    return small_course(tmp_path_factory.mktemp("small") / "course", sample)


@pytest.fixture
def course(small: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(small, tmp_path / "course"))


@pytest.fixture
def refusal(course: Path, winterrisk_command: Command) -> Refusal:
    """Lines of a night that was refused, after it was seen that the folder stayed as it was."""

    def run(*words: object) -> list[str]:
        before = listing(course)
        code, out, err = winterrisk_command(*(words or ("nightly", course, "--on", NIGHT)))
        assert (code, out) == (2, "")
        assert listing(course) == before
        assert not (course / "book.sqlite").exists() and not (course / "nights").exists()
        lines = err.splitlines()
        assert all("; " in line and ", expected " in line for line in lines), "no next move is named"
        assert "Traceback" not in err
        return lines

    return run


def listing(folder: Path) -> list[tuple[str, int, int]]:
    """Every file and folder with its size and the time it was changed last."""
    return sorted((str(p), p.stat().st_size, p.stat().st_mtime_ns) for p in (folder, *folder.rglob("*")))


def changed(course: Path, old: str, new: str) -> None:
    file = course / "course.toml"
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1
    file.write_text(text.replace(old, new), encoding="utf-8")


def record(course: Path, change: Callable[[bytes], bytes]) -> None:
    file = course / "station.csv"
    file.write_bytes(change(file.read_bytes()))


def test_the_course_as_it_stands_is_worked(course: Path, winterrisk_command: Command) -> None:
    """Else every refusal below would prove nothing."""
    code, out, _ = winterrisk_command("nightly", course, "--on", NIGHT)
    assert code == 0 and (course / "nights" / NIGHT / "alert.txt").exists()
    assert out.removeprefix("compiling, once\n").startswith("Nothing to do on Mon 15 Jan")


def test_a_course_may_be_wrong_in_one_way(course: Path, refusal: Refusal) -> None:
    changed(course, "[turf]\n", '[turf]\nbiotipe = "plain"\n')
    (line,) = refusal()
    assert line.startswith("course.toml turf.biotipe:") and 'nearest is "biotype"' in line


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        pytest.param(ZONES, "", ('areas[1].zones ("1")', "[[areas.zones]]"), id="area without zones"),
        pytest.param("0.6, creeping", "0.7, creeping", ("turf.shares", "1.1"), id="species add to more"),
        pytest.param("share = 0.6", "share = 0.4", ('("1")', "0.8 (0.4 + 0.4)"), id="zones add to less"),
        pytest.param(LATITUDE, LATITUDE.replace("46.6", "95"), ("place.latitude", "95", "90"), id="95 north"),
        pytest.param(LATITUDE, LATITUDE.replace("46.6", "-37"), ("place.latitude", "-37", SCOPE), id="south"),
        pytest.param("creeping_bent", "bermudagrass", ("bermudagrass", SCOPE), id="warm-season grass"),
        pytest.param("[turf]", "[turf", ("course.toml line", "[turf"), id="no closing bracket"),
        pytest.param('timezone = "America/Winnipeg"\n', "", ("place.timezone",), id="no time zone"),
    ],
)
def test_a_fault_of_the_course_file(
    course: Path, refusal: Refusal, old: str, new: str, words: tuple[str, ...]
) -> None:
    changed(course, old, new)
    (line,) = refusal()
    assert line.startswith("course.toml ")
    assert all(word in line for word in words), line


def test_every_fault_at_once_one_line_each(course: Path, refusal: Refusal) -> None:
    changed(course, LATITUDE, LATITUDE.replace("46.6", "95") + "hieght = 3\n")
    changed(course, "creeping_bent", "zoysia")
    changed(course, "share = 0.6", "share = 0.7")
    lines = refusal()
    assert len(lines) == 4
    for word in ("place.latitude", "place.hieght", "turf.shares.zoysia", "areas[1].zones"):
        assert sum(word in line for line in lines) == 1


def test_no_station_file(course: Path, refusal: Refusal) -> None:
    (course / "station.csv").unlink()
    (line,) = refusal()
    assert str(course / "station.csv") in line and "no such file" in line and "station.file" in line


def _backwards(content: bytes) -> bytes:
    rows = content.splitlines(keepends=True)
    rows[200], rows[201] = rows[201], rows[200]
    return b"".join(rows)


def _twice(content: bytes) -> bytes:
    rows = content.splitlines(keepends=True)
    return b"".join([*rows[:201], rows[200], *rows[201:]])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        pytest.param(lambda content: b"", ("station.csv:", "empty"), id="empty"),
        pytest.param(lambda content: b"\n\n", ("station.csv:", "empty"), id="blank"),
        pytest.param(lambda content: content[:400].split(b"\n2")[0], ("no rows",), id="header alone"),
        pytest.param(lambda content: bytes(range(256)) * 40, ("binary", "save it as CSV"), id="binary"),
        pytest.param(lambda content: b"PK\x03\x04" + content, ("spreadsheet",), id="spreadsheet"),
        pytest.param(
            lambda content: content.replace(b",", b";"),
            ("semicolons", "commas", "station.delimiter = "),
            id="semicolons",
        ),
        pytest.param(lambda content: content.replace(b",", b"\t"), ("tabs", "commas"), id="tabs"),
        pytest.param(_backwards, ("station.csv line 202", "time goes backwards", "sort"), id="backwards"),
        pytest.param(_twice, ("station.csv line 202", "more than once"), id="an hour twice"),
        pytest.param(
            lambda content: content.replace(b"2023-12-24T05:00,", b"2023-12-24T05:00,x"),
            ("station.csv line", "'x2.4'", "'air_temperature'"),
            id="no number",
        ),
    ],
)
def test_a_fault_of_the_station_file(
    course: Path, refusal: Refusal, change: Callable[[bytes], bytes], words: tuple[str, ...]
) -> None:
    record(course, change)
    (line,) = refusal()
    assert "station.csv" in line
    assert all(word in line for word in words), line


@pytest.mark.parametrize("other", [";", "\t", "|"], ids=["semicolons", "tabs", "bars"])
def test_the_next_move_for_another_delimiter_works(
    course: Path, refusal: Refusal, winterrisk_command: Command, other: str
) -> None:
    record(course, lambda content: content.replace(b",", other.encode()))
    (line,) = refusal()
    _, _, move = line.partition("set station.")
    changed(course, 'step = "hourly"\n', f'step = "hourly"\n{move}\n')
    code, _, err = winterrisk_command("check", course)
    assert (code, err) == (0, "")


@pytest.mark.parametrize(
    ("on", "words"),
    [
        pytest.param("2019-01-01", ("begins 2023-07-01", "choose a later night"), id="before the record"),
        pytest.param("2025-01-15", ("ends 2024-01-20", "2024-25", "up to date"), id="a winter later"),
        pytest.param("15.1.2024", ("--on", "'15.1.2024'", "year-month-day"), id="another order"),
        pytest.param("2024-02-30", ("--on", "'2024-02-30'", "year-month-day"), id="no such day"),
        pytest.param("tonight", ("--on", "'tonight'", "such as"), id="no date"),
    ],
)
def test_a_night_that_cannot_be_worked(
    course: Path, refusal: Refusal, on: str, words: tuple[str, ...]
) -> None:
    (line,) = refusal("nightly", course, "--on", on)
    assert all(word in line for word in words), line


@pytest.mark.parametrize("on", ["2023-07-01", "2023-07-15", "2023-08-01"])
def test_in_july_there_is_nothing_to_work_and_nothing_wrong(
    course: Path, winterrisk_command: Command, on: str
) -> None:
    code, out, err = winterrisk_command("nightly", course, "--on", on)
    assert (code, out) == (0, "") and err.count("\n") == 1
    assert f"night {on}: a day in summer" in err and "from 2023-08-02 to 2024-06-30" in err
    assert winterrisk_command("nightly", course, "--on", on, "--json")[:2] == (0, "null\n")
    assert not (course / "nights").exists()


def test_a_folder_that_is_not_there(course: Path, refusal: Refusal) -> None:
    away = course.parent / "away"
    (line,) = refusal("nightly", away, "--on", NIGHT)
    assert f"winterrisk new {away}" in line and not away.exists()


def test_a_folder_without_a_course(course: Path, refusal: Refusal) -> None:
    bare = course.parent / "bare"
    bare.mkdir()
    (line,) = refusal("nightly", bare, "--on", NIGHT)
    assert "no course.toml" in line and f"winterrisk new {bare}" in line
    assert list(bare.iterdir()) == []


def test_a_file_in_place_of_the_nights(course: Path, winterrisk_command: Command) -> None:
    (course / "nights").write_text("mine", encoding="utf-8")
    before = listing(course)
    code, out, err = winterrisk_command("nightly", course, "--on", NIGHT)
    assert (code, out) == (2, "") and len(err.splitlines()) == 1
    assert str(course / "nights") in err and "move the file" in err
    assert listing(course) == before


ORDINARY = ("-dac_override", "-dac_read_search")
"""What a root user has to do without so that permissions hold for it too."""


def _as_ordinary_user(*words: object) -> list[str]:
    command = [sys.executable, "-c", "from winterrisk.cli import main; main()", *map(str, words)]
    if os.geteuid():
        return command
    without = ",".join(ORDINARY)
    tool = shutil.which("setpriv")
    if tool is None:
        pytest.skip("root may write everywhere, and there is no setpriv to run without that right")
    return [tool, "--bounding-set", without, "--inh-caps", without, *command]


@pytest.mark.parametrize("started", [False, True], ids=["a new folder", "nights written before"])
def test_a_folder_that_may_not_be_written(course: Path, started: bool) -> None:
    closed = course / "nights" if started else course
    if started:
        closed.mkdir()
    closed.chmod(0o555)
    try:
        before = listing(course)
        ran = subprocess.run(
            _as_ordinary_user("nightly", course, "--on", NIGHT), capture_output=True, text=True, timeout=120
        )
        assert (ran.returncode, ran.stdout) == (2, "")
        (line,) = ran.stderr.splitlines()
        assert "cannot be written" in line and "give yourself the right" in line and str(course) in line
        assert listing(course) == before
    finally:
        closed.chmod(0o755)


@pytest.mark.parametrize(
    "words",
    [
        pytest.param(("observe", "{}", "1", "lw", "ice", "2cm"), id="observe"),
        pytest.param(("plug", "{}", "add", "3", "low"), id="plug add"),
        pytest.param(("plug", "{}", "ad", "1", "low"), id="plug"),
        pytest.param(("survey", "{}", "1", "low", "dead", "130"), id="survey"),
        pytest.param(("backcast", "{}", "2024"), id="backcast"),
    ],
)
def test_other_commands_write_nothing_of_a_line_they_refuse(
    course: Path, winterrisk_command: Command, words: tuple[str, ...]
) -> None:
    """A book may be begun; no row goes in."""
    code, out, err = winterrisk_command(*(word.format(course) for word in words))
    assert (code, out) == (2, "") and len(err.splitlines()) == 1, err
    code, out, err = winterrisk_command("observe", course)
    assert code == 0 and out.startswith("nothing noted yet")
    code, out, err = winterrisk_command("plug", course, "list", "--all")
    assert code == 0 and "P1" not in out
