"""An evening's use: a look changes one zone, the same night twice writes the same bytes, the object is the night."""

import datetime as dt
import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pandas as pd

from winterrisk.backcast import read_work
from winterrisk.column.members import members
from winterrisk.column.zones import zones_days
from winterrisk.course import night_instant
from winterrisk.nightly import Settings, possible_winters, run, zone_events

SMALL = Settings(n_ground=2, n_paths=3, n_draws=30, zones=("4 low", "4 dam"))
NIGHT = dt.date(2025, 2, 6)
SCHEMA = Path(__file__).parents[2] / "docs" / "night_schema.json"


def test_no_ice_on_one_zone_changes_its_later_days_and_no_others(sample: Path) -> None:
    work = read_work(sample, SMALL)
    paths = possible_winters(work.raw, work.course, NIGHT, SMALL).paths
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


def test_the_json_of_a_blind_night_is_the_schema_s_and_exits_with_3(
    course_copy: Path, winterrisk_command
) -> None:
    station = course_copy / "station.csv"
    lines = station.read_text(encoding="utf-8").splitlines(keepends=True)
    end = next(i for i, line in enumerate(lines) if line.startswith("2025-02-03T08"))
    station.write_text("".join(lines[:end]), encoding="utf-8")
    code, out, err = winterrisk_command(
        "nightly", course_copy, "--on", NIGHT.isoformat(), "--no-send", "--json"
    )
    assert code == 3
    night = json.loads(out)
    jsonschema.validate(night, json.loads(SCHEMA.read_text(encoding="utf-8")))
    assert len({row["zone"] for row in night["cannot_say"]}) == 24
    assert "cannot say for 24 zones" in err
