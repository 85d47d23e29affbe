"""A course on the online history: chosen, received, asked again, offline; and the course file it is written to."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from meteostat_server import Asked, running_server

from winterrisk.course import CourseFileError, read_course
from winterrisk.course.write_chosen import write_chosen
from winterrisk.weather.archive import open_archive
from winterrisk.weather.get_course_weather import receive_course_weather
from winterrisk.weather.read_course_weather import read_course_weather

NOW = np.datetime64("2025-02-25T10:00:00")


@pytest.fixture
def served() -> Asked:
    asked = running_server()
    asked.stations, asked.changed = "good", False
    return asked


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


ROW = {
    "variable": "air_temperature", "id": "A", "name": 'The "Old" Moor', "latitude": 46.6, "longitude": -95.0,
    "elevation": None, "distance_km": 1.23456, "completeness": 0.9, "step": "hourly", "reason": "1 km away",
}  # fmt: skip
SPLIT = (
    COURSE.replace('source = "meteostat"\n', "")
    + '\n[gauge]\nkind = "heated"\n\n[station.columns]  # of the logger\nair_temperature = "t"\n# the end\n'
)


@pytest.mark.parametrize(
    "text", [COURSE, SPLIT, COURSE.replace("\n", "\r\n")], ids=["plain", "split", "crlf"]
)
def test_chosen_stations_are_written_once_beside_what_the_owner_wrote(tmp_path: Path, text: str) -> None:
    file = tmp_path / "course.toml"
    file.write_bytes(text.encode())
    write_chosen(tmp_path, [ROW])
    station = read_course(tmp_path).station
    assert station.source == "meteostat"
    assert station.chosen[0].name == 'The "Old" Moor' and station.chosen[0].distance_km == 1.2346
    assert station.chosen[0].elevation is None
    now = file.read_bytes().decode()
    assert all(line in now for line in text.splitlines() if line), "every line of the owner is still there"
    assert now.count("\r\n") == (now.count("\n") if "\r" in text else 0)
    with pytest.raises(CourseFileError, match="found stations chosen before, expected none yet; keep them"):
        write_chosen(tmp_path, [ROW])
    assert file.read_bytes().decode() == now
    write_chosen(tmp_path, [ROW | {"id": "B"}, ROW | {"variable": "precipitation"}], replace=True)
    assert [r.id for r in read_course(tmp_path).station.chosen] == ["B", "A"]


def test_a_course_file_without_room_stays_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "course.toml"
    before = 'station = {source = "meteostat"}\n' + COURSE.split("[station]")[0]
    file.write_text(before, encoding="utf-8")
    with pytest.raises(CourseFileError, match=r"write \[station\] on a line of its own"):
        write_chosen(tmp_path, [ROW])
    assert file.read_text(encoding="utf-8") == before
    assert [p.name for p in tmp_path.iterdir()] == ["course.toml"]
