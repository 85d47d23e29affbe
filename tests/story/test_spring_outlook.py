"""What a winter's night says of spring: better than the chance of the winters before it, and blind to what came.

Weather: thirty winters of a Great Lakes airport (GHCN-Daily; Menne et al. 2012) and Champion, Nebraska (aquacrop).
Brier score and its skill against a climatological chance: Wilks (2011), Statistical Methods, ch. 8 (from memory).
"""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from real_records import airport_course, champion_course, champion_days, needs_field_data
from spring_outlook import (
    HOUR,
    SETTINGS,
    chance_by_spring,
    night_of,
    outlooks,
    skill_of,
    with_climatology,
)
from spring_outlook_page import TABLE

from winterrisk.backcast import read_work, whole_record
from winterrisk.course import night_instant
from winterrisk.nightly import Settings

PAGE = Path(__file__).parents[2] / "docs" / "backcast.md"
TINY = Settings(n_ground=1, n_paths=3, n_draws=20)


def kept() -> pd.DataFrame:
    return with_climatology(pd.read_csv(TABLE, dtype={"night": str}).fillna({"night": ""}))


def test_what_came_later_does_not_move_an_outlook(tmp_path: Path) -> None:
    """The same winter 8 K colder from 16 December: what was said on 15 December stays, what came does not.

    (Hours of a record of days lean on the days after them too: a night works from the days known by then.)
    """
    days = champion_days()["1994-07-01":"2001-06-30"]
    other = days.copy()
    other.loc["2000-12-16":, ["Tmin(C)", "Tmax(C)"]] -= 8.0
    said, came = [], []
    for name, record in (("one", days), ("other", other)):
        (tmp_path / name).mkdir()
        work = replace(read_work(champion_course(tmp_path / name, record)), settings=TINY)
        end = np.datetime64(work.weather.span[1]).astype("datetime64[h]") + 48 * HOUR
        weather = whole_record(work.weather, work.course.id, end)
        now = np.datetime64(night_instant(night_of("2000-01", 12, 15), work.course.timezone), "h")
        known = whole_record(work.weather, work.course.id, now)
        told, follows = chance_by_spring(work, known, "2000-01", now)
        said.append(told)
        came.append(chance_by_spring(work, weather, "2000-01", end)[0])
        assert "2000-01" not in follows and "199" in follows
    assert said[0] == pytest.approx(said[1], abs=1e-6)
    assert max(abs(came[0][z] - came[1][z]) for z in came[0]) > 0.01


def test_the_kept_table_has_the_skill_the_page_tells() -> None:
    rows = kept()
    assert rows["winter"].nunique() == 25 and len(rows) == 150
    text = PAGE.read_text(encoding="utf-8")
    for night, name in (
        ("", "all"),
        ("12-15", "15 December"),
        ("1-15", "15 January"),
        ("2-15", "15 February"),
    ):
        own = skill_of(rows[rows["night"] == night] if night else rows)
        line = f"| {name} | {own.skill:+.2f} | {own.low:+.2f} to {own.high:+.2f} |"
        assert line in text, line
    assert skill_of(rows).skill >= 0.0


def test_skill_by_hand() -> None:
    """Two certain winters: the outlook errs by .1, the usual chance by .5: 1 - .01 / .25."""
    rows = pd.DataFrame({"winter": ["a", "b"], "said": [0.1, 0.9], "came": [0.0, 1.0], "usual": [0.5, 0.5]})
    assert skill_of(rows).skill == pytest.approx(1.0 - 0.01 / 0.25)
    assert skill_of(rows.assign(said=0.5)).skill == pytest.approx(0.0)
    assert skill_of(rows.assign(said=[1.0, 0.0])).skill < -2.0


@pytest.mark.slow
@needs_field_data
def test_thirty_airport_winters(tmp_path: Path) -> None:
    """Writes docs/spring_outlook.csv anew."""
    winters = [f"{year}-{(year + 1) % 100:02d}" for year in range(1960, 1990)]
    table = outlooks(airport_course(tmp_path, depth=False), winters, settings=SETTINGS)
    table.round(4).to_csv(TABLE, index=False)
    rows = with_climatology(table)
    for name, own in (("all", rows), *rows.groupby("night"), *rows.groupby("zone")):
        skill = skill_of(own)
        print(
            f"{name}: Brier skill {skill.skill:+.3f} ({skill.low:+.3f} to {skill.high:+.3f}), {skill.cases} cases"
        )
    assert skill_of(rows).skill >= 0.0


def test_the_page_names_its_command() -> None:
    assert re.search(r"pytest -m slow tests/story/test_spring_outlook.py", PAGE.read_text(encoding="utf-8"))
