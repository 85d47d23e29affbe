"""`winterrisk new` and `winterrisk check` as a person runs them."""

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from winterrisk.cli import main
from winterrisk.course import SCOPE, read_course

FolderWith = Callable[..., Path]
Run = Callable[..., tuple[int, str, str]]
HEADER = "time,air_temperature,dew_point,wind_speed,precipitation,shortwave_down,snow_depth\n"


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command: exit code, stdout, stderr."""

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["winterrisk", *map(str, words)])
        with pytest.raises(SystemExit) as end:
            main()
        out, err = capsys.readouterr()
        return int(end.value.code or 0), out, err

    return command


def test_new_then_check_names_only_what_is_missing(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "my course"
    code, out, err = run("new", folder)
    assert (code, err) == (0, "")
    assert str(folder / "course.toml") in out and f"winterrisk check '{folder}'" in out
    code, out, err = run("check", folder)
    assert (code, err) == (0, "")
    first, *rest = out.splitlines()
    assert first == "Sample Hollow: 2 areas, 4 zones, course.toml read without a fault"
    assert (
        f"station.file: no file {folder / 'station.csv'}; put the record there, or correct the name" in rest
    )
    assert any(line.startswith("place: marked as invented") for line in rest)
    assert all(";" in line for line in rest), "each with its next move"


def test_new_with_a_place_of_ones_own(run: Run, tmp_path: Path) -> None:
    place = ("--name", "Invented Fjord", "--latitude", "60.1", "--longitude", "-5.4", "--elevation", "40")
    code, _, err = run(
        "new", tmp_path, *place, "--timezone", "Europe/Oslo", "--preset", "Nordic coast", "--greens", 9
    )
    assert (code, err) == (0, "")
    course = read_course(tmp_path)
    assert (course.place.longitude, course.place.invented, len(course.areas)) == (-5.4, False, 9)


def test_new_never_writes_over_a_course(run: Run, folder_with: FolderWith, plain: str) -> None:
    folder = folder_with()
    code, out, err = run("new", folder)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1 and "already there" in err
    assert (folder / "course.toml").read_text() == plain


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--latitude", "46"), "add --name, --longitude, --elevation, --timezone"),
        (("--preset", "nordic"), 'nearest is "Nordic coast"'),
        (
            ("--name", "X", "--latitude", "-46", "--longitude", "170", "--elevation", "9",
             "--timezone", "Pacific/Auckland"),
            SCOPE,
        ),
    ],
)  # fmt: skip
def test_new_refuses_and_writes_nothing(run: Run, tmp_path: Path, words: tuple[str, ...], says: str) -> None:
    folder = tmp_path / "course"
    code, out, err = run("new", folder, *words)
    assert (code, out) == (2, "")
    assert says in err and err.count("\n") == 1
    assert not folder.exists()


def test_check_prints_every_fault_and_ends_with_2(run: Run, folder_with: FolderWith) -> None:
    folder = folder_with(("latitude = 46.2", "latitude = 95"), ('template = "open"', 'template = "opne"'))
    code, out, err = run("check", folder)
    assert (code, out) == (2, "")
    assert [line.split(":")[0] for line in err.splitlines()] == [
        "course.toml place.latitude",
        'course.toml areas[1].zones[2].template ("4 open")',
    ]


def test_check_of_no_folder_ends_with_2(run: Run, tmp_path: Path) -> None:
    code, out, err = run("check", tmp_path / "nowhere")
    assert (code, out) == (2, "")
    assert "winterrisk new" in err and err.count("\n") == 1


def test_check_reads_the_record(run: Run, folder_with: FolderWith) -> None:
    folder = folder_with()
    rows = "".join(f"2024-11-0{d}T{h:02d}:00,-1.0,-2.0,3.0,0.0,10.0,0.0\n" for d in (1, 2) for h in range(24))
    (folder / "station.csv").write_text(HEADER + rows)
    code, out, err = run("check", folder)
    assert (code, err) == (0, "")
    assert "station.file: begins on 2024-11-01, after 2024-08-01" in out


@pytest.mark.parametrize(
    "content",
    [b"", bytes(range(256)), HEADER.replace(",", ";").encode() + b"2024-11-01T00:00;-1;-2;3;0;10;0\n"],
    ids=["empty", "binary", "another delimiter"],
)
def test_check_refuses_a_record_that_cannot_be_read(
    run: Run, folder_with: FolderWith, content: bytes
) -> None:
    folder = folder_with()
    (folder / "station.csv").write_bytes(content)
    code, _, err = run("check", folder)
    assert code == 2
    assert "station.csv" in err and "Traceback" not in err


@pytest.mark.parametrize("command", ["new", "check"])
def test_help_ends_with_an_example(run: Run, command: str) -> None:
    code, out, _ = run(command, "--help")
    assert code == 0
    assert f"Example: winterrisk {command} my_course" in " ".join(out.split())
