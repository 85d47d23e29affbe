"""Faults of a course file: each is one line that says what was found, expected, where, and the next move."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from winterrisk.course import SCOPE, CourseFileError, read_course
from winterrisk.science.faults import Refused

FolderWith = Callable[..., Path]


def lines(folder: Path) -> list[str]:
    """The lines of the refusal of a course folder."""
    with pytest.raises(CourseFileError) as refusal:
        read_course(folder)
    text = str(refusal.value).splitlines()
    assert len(text) == len(refusal.value.faults), "one line a fault"
    return text


def only_line(folder: Path) -> str:
    """The refusal, which must be a single line."""
    text = lines(folder)
    assert len(text) == 1, text
    return text[0]


def test_a_word_misspelt_names_the_nearest(folder_with: FolderWith) -> None:
    line = only_line(folder_with(('template = "low spot"', 'template = "low spot"\nshade = "afternon"')))
    assert line == (
        'course.toml areas[1].zones[1].shade ("4 low"): found "afternon",'
        " expected one of none, morning, midday, afternoon, most of the day;"
        ' nearest is "afternoon"; correct it'
    )


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("elevation =", "elevaton =", ("place.elevaton", "unknown key", '"elevation"')),
        ("share = 0.3", "share = 0.3\nslop = 2", ("areas[1].zones[1].slop", '"slope"')),
        ("[station]", "[statoin]", ("statoin", '"station"')),
        ('file = "station.csv"', 'fiel = "station.csv"', ("station.fiel", '"file"')),
        ("share = 0.3", "share = 0.3\nsize = 200", ("areas[1].zones[1].size", "[[areas]]", "move it there")),
    ],
)
def test_an_unknown_key_names_the_nearest_known_one(
    folder_with: FolderWith, old: str, new: str, says: tuple[str, ...]
) -> None:
    told = "\n".join(lines(folder_with((old, new))))
    for part in says:
        assert part in told


def test_an_area_without_zones_is_refused(folder_with: FolderWith) -> None:
    whole = '\n[[areas]]\nname = "5"\n'
    line = only_line(folder_with(("\n[station]", whole + "\n[station]")))
    assert line.startswith('course.toml areas[2].zones ("5"): found nothing')
    assert "[[areas.zones]]" in line
    assert "zones" in only_line(folder_with(("\n[station]", whole + "zones = []\n\n[station]")))


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("creeping_bent = 0.4", "creeping_bent = 0.3", "0.9 (0.6 + 0.3)"),
        ("share = 0.7", "share = 0.6", "0.9 (0.3 + 0.6)"),
        ("share = 0.7", "share = 0.702", "1.002 (0.3 + 0.702)"),
    ],
)
def test_shares_that_do_not_add_up_are_refused(
    folder_with: FolderWith, old: str, new: str, found: str
) -> None:
    line = only_line(folder_with((old, new)))
    assert f"found shares adding up to {found}, expected 1;" in line


def test_shares_within_a_thousandth_are_taken(folder_with: FolderWith) -> None:
    course = read_course(folder_with(("share = 0.7", "share = 0.7009")))
    assert sum(zone.share for zone in course.zones()) == pytest.approx(1.0, abs=1e-12)


def test_nothing_left_for_a_zone_without_a_share_is_refused(folder_with: FolderWith) -> None:
    line = only_line(folder_with(("share = 0.3\n", ""), ("share = 0.7", "share = 1.0")))
    assert "1 zone(s) without a share" in line


@pytest.mark.parametrize("latitude", ["-41.3", "0", "12.0", "23.4"])
def test_latitudes_out_of_scope_are_refused_with_the_scope(folder_with: FolderWith, latitude: str) -> None:
    line = only_line(folder_with(("latitude = 46.2", f"latitude = {latitude}")))
    assert line.startswith(f"course.toml place.latitude: found {latitude}")
    assert SCOPE in line
    assert "cool-season putting greens north of the equator" in SCOPE


def test_a_latitude_of_95_is_refused_as_no_latitude(folder_with: FolderWith) -> None:
    line = only_line(folder_with(("latitude = 46.2", "latitude = 95")))
    assert (
        line
        == "course.toml place.latitude: found 95, expected a number from -90 to 90 degrees north; correct it"
    )


@pytest.mark.parametrize(
    "grass",
    [
        "bermudagrass", '"Bermuda grass"', "bermuda", "bermudagras", "Cynodon", "zoysiagrass", "zoyisa",
        '"Zoysia japonica"', '"seashore paspalum"', '"Paspalum vaginatum"', '"st augustinegrass"',
        '"St. Augustine"', "kikuyugrass", "kikuyu", '"buffalo grass"', "centipedegrass", "carpetgrass",
    ],
)  # fmt: skip
def test_warm_season_grass_is_refused_with_the_scope(folder_with: FolderWith, grass: str) -> None:
    line = only_line(folder_with(("creeping_bent =", f"{grass} =")))
    assert SCOPE in line
    assert "areas[1].turf" in line


@pytest.mark.parametrize("grass", ["timothy", "winter_wheat", '"winter wheat"'])
def test_crops_of_published_cases_are_refused_for_courses(folder_with: FolderWith, grass: str) -> None:
    line = only_line(folder_with(("creeping_bent =", f"{grass} =")))
    assert "published cases only" in line


def test_an_unknown_grass_names_the_nearest(folder_with: FolderWith) -> None:
    line = only_line(folder_with(("creeping_bent =", "creping_bent =")))
    assert 'nearest is "creeping_bent"' in line


def test_one_grass_under_two_names_is_refused(folder_with: FolderWith) -> None:
    line = only_line(folder_with(("creeping_bent = 0.4", '"Poa annua" = 0.4')))
    assert "both annual bluegrass" in line


def test_names_used_twice_are_refused(folder_with: FolderWith) -> None:
    assert 'zone "4 Low" a second time' in only_line(folder_with(('name = "open"', 'name = "Low"')))
    again = '[[areas]]\nname = "4"\nzones = [{name = "back"}]\n\n[station]'
    assert 'area "4" a second time (first at areas[1].name)' in only_line(folder_with(("[station]", again)))
    people = '\n[[people]]\nname = "A. Invented"\n\n[[people]]\nname = "a.  invented"\n'
    assert "person" in only_line(folder_with(('"station.csv"', '"station.csv"' + people)))


def test_two_areas_whose_zones_would_share_a_label_are_refused(folder_with: FolderWith) -> None:
    again = '[[areas]]\nname = "4 low"\nzones = [{name = "spot"}]\n\n[[areas]]\nname = "4"\n'
    told = lines(folder_with(("[station]", again + 'zones = [{name = "low spot"}]\n\n[station]')))
    assert any('zone "4 low spot" a second time' in line for line in told)


@pytest.mark.parametrize(
    ("section", "says"),
    [
        ('[[past_injury]]\nwinter = "2022-23"\narea = "4"\nzone = "lo"\ndead = 0.4', '"4 lo"'),
        ('[[past_injury]]\nwinter = "2022-24"\narea = "4"\nzone = "low"\ndead = 0.4', '"2022-24"'),
        ('[[past_injury]]\nwinter = "2022-23"\narea = "4"\nzone = "low"\ndead = 40', "from 0 to 1"),
        ('[checks]\nstrips = ["4 hgh"]', '"4 hgh"'),
        ('[covers]\nkind = "permeable"\nareas = ["14"]', '"14"'),
        ('[away]\nstand_in = "B. Invented"', '"B. Invented"'),
        ("[away]\nperiods = [{first = 2026-02-06, last = 2026-02-01}]", "2026-02-06 to 2026-02-01"),
        ('[calendar]\nopening = "04-31"', '"04-31"'),
        ('[crew]\ndays = ["monday"]', '"Mon"'),
        ("[crew]\npeople = 1.5", "a whole number from 1 to 60"),
        ("[gauge]\nshield = 1", "true or false"),
        ('[gauge]\nkind = "heatd"', '"heated"'),
        ("[money]\nprepare = -5", "from 0"),
        ("[money]\nplug = nan", "found nan"),
        ('[money]\ncurrency = "dollars"', "three letters"),
        ('[plug_room]\nkind = "window"', "sill, lamp"),
        ('[forecast]\nsource = "NWS"', '"US NWS"'),
        ('[[people]]\nrole = "owner"', "people[1].name"),
    ],
)
def test_faults_of_the_optional_sections(folder_with: FolderWith, section: str, says: str) -> None:
    line = only_line(folder_with(('file = "station.csv"', f'file = "station.csv"\n\n{section}')))
    assert says in line


@pytest.mark.parametrize(
    ("key", "says"),
    [
        ('air_temp = "T"', '"air_temperature"'),
        (
            'precipitation = {column = "P", unit = "degF"}',
            "found degF, expected a unit out of mm, inch, cm, m",
        ),
        ('wind_speed = {column = "W", unit = "kmh"}', '"km/h"'),
        ('wind_speed = {unit = "mph"}', "columns.wind_speed.column"),
        ("dew_point = 7", "columns.dew_point"),
    ],
)
def test_faults_of_the_stations_columns(folder_with: FolderWith, key: str, says: str) -> None:
    line = only_line(folder_with(('file = "station.csv"', f"[station.columns]\n{key}")))
    assert says in line


def test_sections_of_the_wrong_shape_are_named(folder_with: FolderWith) -> None:
    assert "a section written [station]" in only_line(
        folder_with(
            ('[station]\nfile = "station.csv"', ""), ("# Invented course", 'station = "x"\n# Invented course')
        )
    )
    told = lines(folder_with(text='areas = 3\n[place]\nname = "X"\n'))
    assert any("a section written [[areas]]" in line for line in told)
    assert any(line.startswith("course.toml station: found nothing") for line in told)


def test_every_fault_is_told_at_once(folder_with: FolderWith) -> None:
    told = lines(
        folder_with(
            ("latitude = 46.2", "latitude = -46.2"),
            ('timezone = "America/Chicago"', 'timezone = "America/Chikago"'),
            ("creeping_bent = 0.4", "zoysia = 0.3"),
            ('template = "low spot"', 'template = "low spt"'),
            ("share = 0.7", "share = 0.6\nshde = 1"),
            ("[station]", "[station]\nstep = 5\n[crew]\nhours = 30\n[statio]"),
        )
    )
    for part in (
        "place.latitude", '"America/Chicago"', "turf.zoysia", '"low spot"', "zones[2].shde",
        "station.step", "crew.hours", "course.toml statio:",
        "adding up to 0.9 (0.6 + 0.3)", "adding up to 0.9 (0.3 + 0.6)",
    ):  # fmt: skip
        assert any(part in line for line in told), part
    assert len(told) == 10


def test_an_empty_file_names_the_three_required_sections(folder_with: FolderWith) -> None:
    told = lines(folder_with(text=""))
    assert [line.split(":")[0] for line in told] == [
        "course.toml place", "course.toml areas", "course.toml station",
    ]  # fmt: skip


def test_broken_toml_names_the_line(folder_with: FolderWith) -> None:
    line = only_line(folder_with(("elevation = 370.0", "elevation 370.0")))
    assert line.startswith("course.toml line 6: found `elevation 370.0`, expected key = value")
    assert "line 3" in only_line(folder_with(('Invented Hill"', "Invented Hill")))
    assert "line" in only_line(folder_with(text="[place"))


def test_text_that_is_not_utf8_names_the_line(tmp_path: Path) -> None:
    (tmp_path / "course.toml").write_bytes('[place]\nname = "Tveitå"\n'.encode("latin-1"))
    line = only_line(tmp_path)
    assert line.startswith("course.toml line 2: found a byte that is not UTF-8 text (0xe5)")


def test_a_binary_file_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "course.toml").write_bytes(bytes(range(32)) * 4)
    assert only_line(tmp_path).startswith("course.toml line 1")


def test_hostile_nesting_and_digits_are_refused_not_a_crash(folder_with: FolderWith) -> None:
    lines(folder_with(text="a = " + "[" * 20_000))
    lines(folder_with(("elevation = 370.0", "elevation = " + "9" * 5000)))
    lines(folder_with(("elevation = 370.0", "elevation = " + "9" * 400)))


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path, plain: str) -> None:
    (tmp_path / "course.toml").write_bytes(b"\xef\xbb\xbf" + plain.replace("\n", "\r\n").encode())
    assert read_course(tmp_path).place.name == "Invented Hill"


def test_a_missing_file_or_folder_says_how_to_begin(tmp_path: Path) -> None:
    assert f"run `winterrisk new {tmp_path}`" in only_line(tmp_path)
    assert "no such folder" in only_line(tmp_path / "nowhere")
    (tmp_path / "station.csv").touch()
    assert "expected a course folder" in only_line(tmp_path / "station.csv")
    (tmp_path / "course.toml").mkdir()
    assert "directory" in only_line(tmp_path)


@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may read every file")
def test_a_file_that_may_not_be_read_is_one_line(folder_with: FolderWith) -> None:
    folder = folder_with()
    (folder / "course.toml").chmod(0)
    assert "check its permissions" in only_line(folder)


def test_the_refusal_is_refused_input(tmp_path: Path) -> None:
    with pytest.raises(Refused):
        read_course(tmp_path)


OUTSIDE = (
    "/etc/passwd",
    "../other/station.csv",
    "a/../../x.csv",
    "C:/x.csv",
    "..\\\\x.csv",
    "//host/x",
    "a\\nb.csv",
)


@pytest.mark.parametrize("path", OUTSIDE)
def test_a_course_file_names_files_of_its_own_folder_alone(folder_with: FolderWith, path: str) -> None:
    """Whoever wrote it: nothing else of the machine is read, so nothing of it can come into a message."""
    line = only_line(folder_with(('file = "station.csv"', f'file = "{path}"')))
    assert "station.file" in line and "inside the course folder" in line and "link" in line
    second = f'file = "station.csv"\n\n[[station.second]]\nfile = "{path}"'
    assert "inside the course folder" in only_line(folder_with(('file = "station.csv"', second)))
    forecast = f'file = "station.csv"\n\n[forecast]\nsource = "file"\nfile = "{path}"'
    assert "inside the course folder" in only_line(folder_with(('file = "station.csv"', forecast)))


@pytest.mark.parametrize("number", ["../../x", "a b", "x/y", "", "a" * 40])
def test_a_station_of_the_history_is_named_by_letters_and_digits(
    folder_with: FolderWith, number: str
) -> None:
    """The name becomes part of an address of the service."""
    chosen = f"""source = "meteostat"
[[station.chosen]]
variable = "air_temperature"
id = "{number}"
latitude = 46.6
longitude = -95.0
distance_km = 1.0
"""
    assert "chosen" in only_line(folder_with(('file = "station.csv"', chosen)))


def test_files_in_folders_of_the_course_and_links_are_taken(folder_with: FolderWith, tmp_path: Path) -> None:
    folder = folder_with(('file = "station.csv"', 'file = "logger/station 2.csv"'))
    assert read_course(folder).station_path == folder / "logger" / "station 2.csv"
