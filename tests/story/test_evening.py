"""An evening's use: a look changes one zone, the same night twice writes the same bytes, the object is the night."""

import datetime as dt
import json
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pandas as pd
import pytest
from small_courses import small_course

from winterrisk.backcast import read_work
from winterrisk.column.members import members
from winterrisk.column.zones import zones_days
from winterrisk.course import night_instant
from winterrisk.nightly import Night, Settings, possible_winters, run, zone_events
from winterrisk.sampling.pull_call import LEAST_CHANCE
from winterrisk.science.faults import Refused

Command = Callable[..., tuple[int, str, str]]

SMALL = Settings(n_ground=2, n_paths=3, n_draws=30, zones=("4 low", "4 dam"))
NIGHT = dt.date(2025, 2, 6)
ROOT = Path(__file__).parents[2]
SCHEMA = ROOT / "docs" / "night_schema.json"


def zone(night: Night | dict[str, Any], label: str) -> dict[str, Any]:
    record = night.record if isinstance(night, Night) else night
    return next(z for z in record["data"]["zones"] if z["zone"] == label)


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by its path there."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def called(night: Night) -> dict[str, list[dict[str, Any]]]:
    """Calls and held-back calls of each zone."""
    rows = [*night.record["calls"], *night.record["held_back"]]
    return {label: [r for r in rows if r["zone"] == label] for label in SMALL.zones or ()}


def test_no_ice_on_one_zone_changes_its_later_days_and_no_others(sample: Path) -> None:
    work = read_work(sample, SMALL)
    paths = possible_winters(work.weather, work.course, NIGHT, SMALL).paths
    several = members(paths, SMALL.n_ground, (work.course.id, "2024-25"), work.thresholds)
    seen = work.record.observations
    told = pd.DataFrame([{
        "time": pd.Timestamp("2025-01-25T15:00"), "area": "4", "zone": "4 low", "kind": "no_ice", "share": 1.0,
        "unit": "", "detail": "", "who": "Inga Varrow", "known": pd.Timestamp("2025-01-25T20:00"),
    }])  # fmt: skip
    more = replace(work.record, observations=pd.concat([seen, told], ignore_index=True))
    now = night_instant(NIGHT, work.course.timezone)
    before, after = (
        zones_days(paths, work.course, zone_events(w, now), several, zones=work.zones)[0]
        for w in (work, replace(work, record=more))
    )
    ice = [d["ice_thickness_max"] for d in (before, after)]
    on_day = {"zone": "4 low", "day": np.datetime64("2025-01-26")}
    assert float(ice[0].sel(on_day).min()) >= 3.0 > float(ice[1].sel(on_day).max())
    earlier = slice(None, "2025-01-24")
    for name in before.data_vars:
        if "day" not in before[name].dims:
            continue
        assert np.array_equal(before[name].sel(zone="4 dam"), after[name].sel(zone="4 dam"), equal_nan=True)
        past = [d[name].sel(zone="4 low", day=earlier) for d in (before, after)]
        assert np.array_equal(past[0], past[1], equal_nan=True), name


def test_a_typed_no_ice_changes_the_night_of_its_zone_and_writes_beside_the_first(
    course_copy: Path, winterrisk_command: Command
) -> None:
    before = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert before.folder is not None and zone(before, "4 low")["ice_chance"] > 0.9
    written = contents(before.folder)
    code, out, err = winterrisk_command(
        "observe", course_copy, "4 low no ice", "--on", "2025-02-05", "--at", "15:00", "--who", "Inga Varrow",
        "--known", "2025-02-05 17:00",
    )  # fmt: skip
    assert (code, err) == (0, "")
    assert "4 low, no ice, 2025-02-05 15:00 by Inga Varrow" in out
    after = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert zone(after, "4 low")["ice_chance"] == 0 and zone(after, "4 low")["days_under_ice"] == 0
    assert zone(after, "4 low")["dead_share"] < zone(before, "4 low")["dead_share"]
    assert zone(after, "4 dam") == zone(before, "4 dam")
    assert called(after)["4 dam"] == called(before)["4 dam"]
    assert after.folder == before.folder / "2"
    assert {k: v for k, v in contents(before.folder).items() if not k.startswith("2/")} == written


def test_a_corrected_course_file_is_another_night_and_a_comment_is_not(course_copy: Path) -> None:
    """Else the page of before would stand under the words of now."""
    before = run(course_copy, NIGHT, send=False, settings=SMALL)
    file = course_copy / "course.toml"
    told = file.read_text(encoding="utf-8")
    file.write_text(f"# noted\n{told}", encoding="utf-8")
    assert run(course_copy, NIGHT, send=False, settings=SMALL).folder == before.folder
    file.write_text(told.replace("[place]\n", "[place]\nnear_water = true\n", 1), encoding="utf-8")
    after = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert before.folder is not None and after.folder == before.folder / "2"


def test_a_look_told_later_leaves_the_night_as_it_was(course_copy: Path, winterrisk_command: Command) -> None:
    """Seen before the night, told after it: the night did not know, hindsight does."""
    before = run(course_copy, NIGHT, send=False, settings=SMALL)
    words = ("4 low no ice", "--on", "2025-02-05", "--at", "15:00", "--known", "2025-02-08 09:00")
    code, out, _ = winterrisk_command("observe", course_copy, *words)
    assert code == 0 and "known from 2025-02-08" in out
    again = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert (again.folder, again.record) == (before.folder, before.record)
    later = run(course_copy, NIGHT, send=False, hindsight=True, settings=SMALL)
    assert zone(later, "4 low")["ice_chance"] < 0.1 < zone(before, "4 low")["ice_chance"]


def test_plugs_typed_are_judged_and_the_night_says_until_when_they_speak(
    course_copy: Path, winterrisk_command: Command
) -> None:
    def said(*words: str) -> str:
        code, out, err = winterrisk_command("plug", course_copy, *words)
        assert (code, err) == (0, "")
        return out

    before = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert zone(before, "4 dam")["evidence_until"] is None
    cut = ("--on", "2025-01-20 10:00", "--known", "2025-01-20 12:00", "--who", "Tobin Hale")
    ids = [said("add", f"4 dam A{n} 5cm", *cut).split()[1].rstrip(",") for n in (1, 2, 3)]
    assert "too early to say" in said("list", "--on", "2025-01-22")
    seen = ("--growth", "60", "--on", "2025-01-28 10:00", "--known", "2025-01-28 11:00")
    for name in ids:
        assert f"noted {name}, new growth 60 %" in said("look", name, *seen)
    told = said("list", "--on", "2025-01-29").splitlines()
    for name in ids:
        (line,) = [line for line in told if line.startswith(f"{name} ")]
        assert "alive" in line and "cut 2025-01-20" in line
    assert any("3 plugs called, all alive" in line for line in told)
    after = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert zone(after, "4 dam")["evidence_until"] == "2025-01-20"
    assert zone(after, "4 dam")["dead_now"] < zone(before, "4 dam")["dead_now"]
    assert after.winter_days.equals(before.winter_days), "plugs say what died, not what the weather was"
    assert zone(after, "4 low")["evidence_until"] is None


def test_a_brown_plug_is_due_before_it_is_dead(course_copy: Path, winterrisk_command: Command) -> None:
    cut = ("--on", "2025-01-30 10:00", "--known", "2025-01-30 12:00")
    for n in (1, 2, 3):
        code, out, _ = winterrisk_command("plug", course_copy, "add", f"4 low A{n} 5cm", *cut)
        assert code == 0
        name = out.split()[1].rstrip(",")
        look = ("--growth", "0", "--on", "2025-02-04 10:00", "--known", "2025-02-04 11:00")
        assert winterrisk_command("plug", course_copy, "look", name, *look)[0] == 0
    night = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert zone(night, "4 low")["evidence_until"] is None, "five brown days prove nothing yet"
    assert not [c for c in night.record["calls"] if (c["kind"], c["zone"]) == ("pull", "4 low")]


def test_the_same_night_twice_writes_the_same_bytes(course_copy: Path) -> None:
    first = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert first.folder is not None
    bytes_before = {p.name: p.read_bytes() for p in first.folder.iterdir()}
    assert set(bytes_before) == {"night.json", "alert.txt", "page.html", "used.json"}
    again = run(course_copy, NIGHT, send=False, settings=SMALL)
    assert again.folder == first.folder
    assert {p.name: p.read_bytes() for p in first.folder.iterdir()} == bytes_before
    other = run(course_copy, NIGHT, send=False, settings=replace(SMALL, n_draws=31))
    assert other.folder == first.folder / "2"
    kept = {p.name: p.read_bytes() for p in first.folder.iterdir() if p.is_file()}
    assert kept == bytes_before
    assert json.loads(bytes_before["night.json"]) == first.record


def test_the_json_of_a_good_night_is_its_file_and_nothing_else(
    tmp_path: Path, sample: Path, winterrisk_command: Command
) -> None:
    course = small_course(tmp_path / "course", sample)
    code, out, err = winterrisk_command("nightly", course, "--on", "2024-01-15", "--no-send", "--json")
    assert code == 0
    night = json.loads(out)
    jsonschema.Draft202012Validator(
        json.loads(SCHEMA.read_text(encoding="utf-8")), format_checker=jsonschema.FormatChecker()
    ).validate(night)
    folder = course / "nights" / "2024-01-15"
    assert out == (folder / "night.json").read_text(encoding="utf-8")
    *compiled, summary = err.splitlines()
    assert compiled in ([], ["compiling, once"])
    assert summary == f"2024-01-15: 0 looks, 0 pulls, written to {folder}"


def test_without_the_last_72_hours_the_words_name_the_zones_and_no_range_shrinks(
    tmp_path: Path, sample: Path, winterrisk_command: Command
) -> None:
    full, cut = (small_course(tmp_path / name, sample) for name in ("full", "cut"))
    station = cut / "station.csv"
    rows = station.read_text(encoding="utf-8").splitlines(keepends=True)
    station.write_text(
        "".join(r for r in rows if not r.startswith("20") or r[:16] < "2024-01-12T10:00"), "utf-8"
    )
    night = ("--on", "2024-01-15", "--no-send")
    assert winterrisk_command("nightly", full, *night)[0] == 0
    code, out, _ = winterrisk_command("nightly", cut, *night)
    assert code == 3
    assert out.startswith("CANNOT SAY for 1 low and 1 ridge: no air temperature and precipitation for 72 of")
    assert "This is no all-clear" in out and "72 h old" in out
    known, unknown = (
        json.loads((f / "nights" / "2024-01-15" / "night.json").read_text(encoding="utf-8"))
        for f in (full, cut)
    )
    assert {row["zone"] for row in unknown["cannot_say"]} == {"1 low", "1 ridge"}
    for label in ("1 low", "1 ridge"):
        for name in ("high", "dead_high", "dead_now_high"):
            assert zone(unknown, label)[name] >= zone(known, label)[name], (label, name)
        for band, high in zone(known, label)["chance_later_high"].items():
            assert zone(unknown, label)["chance_later_high"][band] >= high, (label, band)


def tracked(folder: Path) -> Path:
    """A repository of its own with the files that are tracked here."""
    git = shutil.which("git")
    listed = git and subprocess.run([git, "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True)
    if not listed or listed.returncode:
        pytest.skip("no git, or this is no clone")
    for name in filter(None, listed.stdout.split("\0")):
        if (ROOT / name).exists():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    who = ("-c", "user.name=Nobody", "-c", "user.email=nobody@example.invalid")
    for words in (("init", "-q"), ("add", "-A"), (*who, "commit", "-q", "-m", "As it stands")):
        subprocess.run([str(git), *words], cwd=folder, check=True, capture_output=True)
    return folder


def test_a_clone_is_clean_after_an_evening(tmp_path: Path, winterrisk_command: Command) -> None:
    clone = tracked(tmp_path / "clone")
    course = clone / "sample_weather" / "ostermoor"
    run(course, dt.date(2025, 2, 25), send=False, settings=SMALL)
    for words in (
        ("observe", course, "4 low no ice", "--on", "2025-02-25"),
        ("season", course, "2024-25"),
    ):
        code, _, err = winterrisk_command(*words)
        assert code == 0, err
    assert (course / "nights" / "2025-02-25" / "page.html").exists() and (course / "book.sqlite").exists()
    state = subprocess.run(
        ["git", "status", "--porcelain"], cwd=clone, capture_output=True, text=True, check=True
    )
    assert state.stdout == ""


def test_a_new_course_is_checked_then_worked(
    tmp_path: Path, sample: Path, winterrisk_command: Command
) -> None:
    course = tmp_path / "North Hill"
    place = (
        "--latitude",
        "46.6",
        "--longitude",
        "-95",
        "--elevation",
        "380",
        "--timezone",
        "America/Winnipeg",
    )
    code, out, err = winterrisk_command("new", course, "--name", "North Hill", *place, "--greens", "1")
    assert (code, err) == (0, "") and f"winterrisk check '{course}'" in out
    code, out, err = winterrisk_command("check", course)
    assert (code, err) == (0, "") and "station.csv" in out and "put the record there" in out
    shutil.copy(small_course(tmp_path / "small", sample) / "station.csv", course)
    code, out, err = winterrisk_command("check", course)
    assert (code, err) == (0, "") and "put the record there" not in out
    code, out, err = winterrisk_command("nightly", course, "--on", "2024-01-15")
    assert code == 0, err
    assert (course / "nights" / "2024-01-15" / "alert.txt").read_text(encoding="utf-8") in out


@pytest.mark.parametrize("on", [dt.date(2024, 6, 20), dt.date(2024, 6, 29), dt.date(2024, 6, 30)])
def test_early_summer_calls_nobody_out(course_copy: Path, on: dt.date) -> None:
    """The course is open: what winter killed can be seen, and the night still runs to the last of June."""
    night = run(course_copy, on, send=False, settings=SMALL)
    assert night.record["calls"] == [] and night.record["data"]["until_day"] == "2024-06-29"
    assert zone(night, "4 low")["chance"] > LEAST_CHANCE, "a zone that would be worth plugs in winter"


@pytest.mark.parametrize("on", [dt.date(2024, 7, 1), dt.date(2024, 7, 15), dt.date(2024, 8, 1)])
def test_no_winter_is_under_way_in_july(course_copy: Path, on: dt.date) -> None:
    with pytest.raises(Refused, match="a night from 2024-08-02 to 2025-06-30"):
        run(course_copy, on, send=False, settings=SMALL)
    assert not (course_copy / "nights").exists() and not (course_copy / "book.sqlite").exists()


def test_the_first_night_of_a_winter_is_worked(course_copy: Path) -> None:
    night = run(course_copy, dt.date(2024, 8, 2), send=False, settings=SMALL)
    assert night.record["winter"] == "2024-25" and night.record["calls"] == []
