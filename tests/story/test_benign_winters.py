"""A benign winter has no PULL, and every other one keeps to its budget of messages.

Which winters are benign is told by a rule that uses no chance: of each record the third with the fewest
soaked-then-frozen days (of equals the one whose coldest crown was warmest), as far as they have under 20 days of ice.
Nobody answers a call. `pytest -m slow tests/story/test_benign_winters.py -s` works every winter of both records, six
zones, every second night, and prints all pulls; the default run takes eight winters of Champion, the most benign and
the worst of them, two zones, every sixteenth night.
"""

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from real_records import FIELD, SIX, TWO, airport_course, champion_course, champion_days

from winterrisk.backcast import all_winters, backcast_nights, nights_of, read_work
from winterrisk.nightly import Settings

TINY = Settings(n_ground=2, n_paths=3, n_draws=60)
FEW_ICE_DAYS = 20
MOST = 14
"""Action messages of a winter (job rule: 10 to 14)."""
RECORDS = ("champion", "airport") if FIELD else ("champion",)


def course(folder: Path, record: str, zones: str) -> Path:
    return (
        champion_course(folder, champion_days(), zones)
        if record == "champion"
        else airport_course(folder, zones)
    )


def benign(rows: tuple[dict[str, Any], ...]) -> list[str]:
    """The winters the rule takes, fewest soaked freezes first; it looks at no chance."""
    by_weather = sorted(rows, key=lambda r: (round(r["soaked_freezes"], 1), -r["crown_min"]))
    third = by_weather[: len(rows) // 3]
    return [r["winter"] for r in third if r["ice_days"] < FEW_ICE_DAYS]


def called(folder: Path, winter: str, every: int, settings: Settings) -> Mapping[str, Any]:
    """Pulls called, and messages with anything new, of a winter's nights with nobody answering."""
    work = read_work(folder, settings)
    first, last = (np.datetime64(t, "D").astype(dt.date) for t in work.weather.span)
    nights = [on for on in nights_of(winter, every) if first < on <= last]
    records = [night.record for night in backcast_nights(folder, work, nights)]
    return {
        "pulls": sum(c["kind"] == "pull" and c["since"] == r["on"] for r in records for c in r["calls"]),
        "messages": records[-1]["data"]["restraint"]["messages"],
    }


def test_a_benign_winter_has_no_pull_and_the_worst_keeps_the_budget(tmp_path: Path) -> None:
    days = champion_days()["1990-07-01":"1998-07-31"]
    folder = champion_course(tmp_path, days, TWO)
    rows = all_winters(folder, settings=Settings(n_ground=1, n_paths=2, n_draws=20)).ranked
    quiet = benign(rows)
    assert 1 <= len(quiet) < len(rows) / 2
    assert called(folder, quiet[0], 16, TINY)["pulls"] == 0
    assert rows[0]["winter"] not in quiet
    assert 0 < called(folder, rows[0]["winter"], 16, TINY)["messages"] <= MOST


@pytest.mark.slow
@pytest.mark.parametrize("record", RECORDS)
def test_no_benign_winter_has_a_pull_and_all_keep_the_budget(tmp_path: Path, record: str) -> None:
    folder = course(tmp_path, record, SIX)
    rows = all_winters(folder, settings=Settings(n_ground=2, n_paths=2, n_draws=40)).ranked
    quiet = benign(rows)
    told = {r["winter"]: called(folder, r["winter"], 2, TINY) for r in rows}
    for winter, count in sorted(told.items()):
        print(f"{record} {winter}: {'benign' if winter in quiet else ''} {dict(count)}", flush=True)
    assert {w: told[w]["pulls"] for w in quiet} == dict.fromkeys(quiet, 0)
    assert all(count["messages"] <= MOST for count in told.values())
