"""Replays kept by content: the same question is answered from the file, any other is worked anew (a law, no source)."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from small_courses import small_course

from winterrisk.backcast import kept_replays, read_work
from winterrisk.backcast.kept_replays import FOLDER, MOST, content_of, kept_days
from winterrisk.column.members import members
from winterrisk.column.zones import zones_days
from winterrisk.nightly import Settings, possible_winters

ZONES = ("1 low", "1 ridge")


@pytest.fixture(scope="module")
def replay(tmp_path_factory: pytest.TempPathFactory):
    sample = Path(__file__).parents[2] / "sample_weather" / "ostermoor"
    work = read_work(small_course(tmp_path_factory.mktemp("kept") / "course", sample), Settings(1, 2, 20))
    weather = possible_winters(work.weather, work.course, pd.Timestamp("2024-01-10").date(), work.settings)
    several = members(weather.paths, 1, ("kept",), work.thresholds)
    return work, weather.paths, several


def no_events() -> dict[str, pd.DataFrame]:
    columns = ["time", "until", "zone", "kind", "value", "unit", "share", "who", "known"]
    return {zone: pd.DataFrame(columns=columns) for zone in ZONES}


def test_kept_days_are_the_days_that_were_made(replay, tmp_path: Path) -> None:
    work, paths, several = replay
    made = []

    def make() -> xr.Dataset:
        made.append(1)
        return zones_days(paths, work.course, {}, several, zones=ZONES)[0]

    content = content_of(paths, work.course, no_events(), several, ZONES)
    first, second = (kept_days(content, make, tmp_path) for _ in range(2))
    assert len(made) == 1
    for name in first.variables:
        assert np.array_equal(first[name].to_numpy(), second[name].to_numpy(), equal_nan=name != "zone"), name
        assert first[name].dtype.kind in (second[name].dtype.kind, "T"), name
    (tmp_path / FOLDER / f"{content}.nc").write_bytes(b"half a file")
    again = kept_days(content, make, tmp_path)
    assert len(made) == 2 and np.array_equal(again["swings"], first["swings"])


def test_any_other_weather_ground_work_or_parameter_is_other_content(replay) -> None:
    work, paths, several = replay
    plain = content_of(paths, work.course, no_events(), several, ZONES)
    assert plain == content_of(paths.copy(deep=True), work.course, no_events(), several, ZONES)
    warmer = paths.copy(deep=True)
    warmer["air_temperature"][1000, 0] += 0.01
    seen = no_events()
    seen["1 low"].loc[0] = [
        "2024-01-02",
        pd.NaT,
        "1 low",
        "no_ice",
        0.0,
        "",
        1.0,
        "Inga Varrow (invented)",
        pd.NaT,
    ]
    key = sorted(several.column)[0]
    other = replace(several, column={**several.column, key: several.column[key] * 1.001 + 1e-9})
    area = work.course.areas[0]
    zone = replace_zone(area)
    course = work.course.model_copy(update={"areas": (zone, *work.course.areas[1:])})
    found = {
        plain,
        content_of(warmer, work.course, no_events(), several, ZONES),
        content_of(paths, work.course, seen, several, ZONES),
        content_of(paths, work.course, no_events(), other, ZONES),
        content_of(paths, work.course, no_events(), several, ZONES[:1]),
        content_of(paths, course, no_events(), several, ZONES),
    }
    assert len(found) == 6


def test_other_code_is_other_content(replay, monkeypatch: pytest.MonkeyPatch) -> None:
    work, paths, several = replay
    plain = content_of(paths, work.course, no_events(), several, ZONES)
    assert "microclimate" in kept_replays.WORKED_BY and "column" in kept_replays.WORKED_BY
    monkeypatch.setattr(kept_replays, "source_digest", lambda package, chapters: "another state")
    assert content_of(paths, work.course, no_events(), several, ZONES) != plain


def replace_zone(area):
    """The area with its first zone an open one."""
    zones = (area.zones[0].model_copy(update={"template": "open"}), *area.zones[1:])
    return area.model_copy(update={"zones": zones})


def test_only_the_newest_are_kept(replay, tmp_path: Path) -> None:
    _, _, _ = replay
    days = xr.Dataset({"swings": (("zone",), np.ones(1, dtype=np.float32))}, coords={"zone": ["1 low"]})
    for number in range(MOST + 3):
        kept_days(f"{number:064d}", lambda: days, tmp_path)
    assert len(list((tmp_path / FOLDER).glob("*.nc"))) == MOST
