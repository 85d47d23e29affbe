"""A threshold fitted, previewed, adopted and undone at the command line, and the season told, on two greens."""

import csv
import datetime as dt
import json
import shutil
from pathlib import Path

import pytest
import tomlkit

from winterrisk import nightly
from winterrisk.season import run as season_of

AREAS = ("4", "9", "nursery")


@pytest.fixture
def two_greens(course_copy: Path) -> Path:
    """The sample course cut down to two greens and the nursery, with what people noted of them."""
    path = course_copy / "course.toml"
    document = tomlkit.parse(path.read_text(encoding="utf-8"))
    areas = document["areas"]
    for index in reversed(range(len(areas))):
        if areas[index]["name"] not in AREAS:
            del areas[index]
    kept = [row for row in document.get("past_injury", []) if row["area"] in AREAS]
    for name in ("past_injury", "covers", "checks"):
        document.pop(name, None)
    if kept:
        document["past_injury"] = kept
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
    plugs: set[str] = set()
    for name in ("observations", "plugs", "surveys", "looks"):
        file = course_copy / "book" / f"{name}.csv"
        lines = [line for line in file.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
        rows = list(csv.DictReader(lines))
        if name == "looks":
            rows = [row for row in rows if row["plug"] in plugs]
        else:
            rows = [row for row in rows if row["area"] in AREAS]
        if name == "plugs":
            plugs = {row["id"] for row in rows}
        with file.open("w", encoding="utf-8", newline="") as out:
            writer = csv.DictWriter(out, fieldnames=rows[0].keys())
            writer.writeheader()
            writer.writerows(rows)
    shutil.rmtree(course_copy / "sample_parts")
    return course_copy


@pytest.mark.parametrize("how", [("--quick",), pytest.param((), marks=pytest.mark.slow)])
def test_fit_preview_adopt_night_and_undo(two_greens: Path, winterrisk_command, how: tuple[str, ...]) -> None:
    night = ("nightly", two_greens, "--on", "2025-02-06", "--no-send", "--json")
    code, before, err = winterrisk_command(*night)
    assert code == 0, err

    code, out, err = winterrisk_command("tune", two_greens, "fit", *how)
    assert code == 0, err
    assert "ice_multiplier.annual_bluegrass" in out and "proposed" in out and "Nothing is adopted" in out
    assert not (two_greens / "thresholds.toml").exists()

    code, out, err = winterrisk_command(
        "tune", two_greens, "preview", "--winter", "2024-25", "--every", "120"
    )
    assert code == 0, err
    assert "Calls of past nights" in out and "hit" in out and "miss" in out

    code, _, err = winterrisk_command("tune", two_greens, "adopt", "--who", "Inga Varrow")
    assert code == 2 and "--why" in err
    adopt = ("tune", two_greens, "adopt", "--who", "Inga Varrow", "--why", "trial", "--on", "2024-10-01")
    code, out, err = winterrisk_command(*adopt, "--override", "an invented course: to see the trail")
    assert code == 0, err
    assert (two_greens / "thresholds.toml").exists() and (two_greens / "thresholds_draws.csv").exists()

    code, after, err = winterrisk_command(*night)
    assert code == 0, err
    chances = [
        {z["zone"]: z["chance"] for z in json.loads(text)["data"]["zones"]} for text in (before, after)
    ]
    assert chances[0].keys() == chances[1].keys() and chances[0] != chances[1]

    code, _, err = winterrisk_command(
        "tune", two_greens, "undo", "--who", "Inga Varrow", "--why", "tried", "--on", "2024-10-02"
    )
    assert code == 0, err
    code, out, _ = winterrisk_command("tune", two_greens, "history")
    assert "Inga Varrow" in out and "defaults" in out
    code, again, _ = winterrisk_command(*night)
    assert json.loads(again)["data"]["zones"] == json.loads(before)["data"]["zones"]


def test_the_season_is_told_from_nights_plugs_and_survey(two_greens: Path, winterrisk_command) -> None:
    for day in (dt.date(2025, 1, 9), dt.date(2025, 2, 25)):
        nightly.run(two_greens, day, send=False, settings=nightly.Settings(n_ground=2, n_paths=3, n_draws=30))
    code, _, err = winterrisk_command("season", two_greens, "2024-25")
    assert code == 0, err
    page = two_greens / "reports" / "season-2024-25" / "season.html"
    text = page.read_text(encoding="utf-8")
    for asked in ("How bad was it?", "Where?", "Why?", "What was known, and when?", "What was done?"):
        assert asked in text
    assert text.count("<svg") >= 6 and "http://" not in text.replace("http://www.w3.org", "")
    assert "4 low" in text and "Invented course" in text
    first = page.read_bytes()
    season_of(two_greens, "2024-25")
    assert page.read_bytes() == first
