"""Other thresholds on a whole winter of the sample: harder turf warns of no more and no sooner, softer of no less."""

import dataclasses
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pandas as pd
import pytest

from winterrisk.backcast import read_work
from winterrisk.backcast.all_winters import whole_record
from winterrisk.backcast.other_thresholds import moved, rivals, under_others
from winterrisk.backcast.replay import replay
from winterrisk.nightly import Settings
from winterrisk.thresholds import TABLE, Thresholds

ZONES = ("4 low", "7 low", "9 ridge")
SETTINGS = Settings(n_ground=2, n_paths=1, n_draws=50, zones=ZONES)


def test_a_spread_harder_moves_each_row_by_its_own_prior_and_stops_at_its_end() -> None:
    start = Thresholds.defaults()
    for spreads in (1.0, -1.0, 40.0):
        there = moved(start, spreads)
        for key, row in TABLE.items():
            if row.name == "ice_multiplier":
                assert row.sd is not None
                expected = np.clip(row.value * np.exp(spreads * row.sd), row.low, row.high)
                assert there.values[key] == pytest.approx(expected)
            elif row.name == "cold_offset":
                assert there.values[key] == pytest.approx(
                    np.clip(row.value - spreads * (row.sd or 0), row.low, row.high)
                )
            else:
                assert there.values[key] == start.values[key]


def test_the_defaults_stand_in_the_table_where_the_course_has_its_own() -> None:
    start = Thresholds.defaults()
    assert [r.name for r in rivals(start)] == ["as they are now", "harder turf", "softer turf"]
    own = dataclasses.replace(start, values=MappingProxyType({**start.values, "ice_steepness": 6.0}))
    assert [r.name for r in rivals(own)][1] == "the defaults"


def test_harder_turf_warns_of_no_more_and_no_sooner(sample: Path) -> None:
    work = read_work(sample, SETTINGS)
    end = np.datetime64(pd.Timestamp(work.weather.span[1]), "s")
    replayed = replay(work, whole_record(work.weather, work.course.id, end), "2024-25")
    surveys = {"4 low": (0.7, 0.9), "7 low": (0.7, 0.9), "9 ridge": (0.0, 0.05)}
    zones = [
        {"zone": z, "treated": [], "survey": {"date": "2025-05-12", "low": low, "high": high}}
        for z, (low, high) in surveys.items()
    ]
    rows = {row["name"]: row for row in under_others(replayed, work.course, work.thresholds, zones)}
    now, harder, softer = (rows[name] for name in ("as they are now", "harder turf", "softer turf"))
    for zone in ZONES:
        assert harder["highest"][zone] <= now["highest"][zone] <= softer["highest"][zone]
    assert harder["warned"] <= now["warned"] <= softer["warned"] and softer["warned"] > 0
    assert sum(now["scores"].values()) == len(ZONES)
    if harder["first"]:
        assert harder["first"][0] >= now["first"][0] >= softer["first"][0]
    unsurveyed = under_others(replayed, work.course, work.thresholds, [{**zones[0], "survey": None}])
    assert unsurveyed[0]["scores"]["no survey"] == 1 and unsurveyed[0]["lead"] is None
