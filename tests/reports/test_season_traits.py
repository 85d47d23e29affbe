"""Loss by traits and check strips: worked by hand, ranges against scipy's bootstrap."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import bootstrap

from winterrisk.course import Course, read_course
from winterrisk.reports.season_traits import (
    LEAST_ZONES,
    damage_by_traits,
    fair_pairs,
    share_over_zones,
    traits_of,
)


@pytest.fixture
def course(sample: Path) -> Course:
    return read_course(sample)


def zone(
    course: Course, label: str, low: float | None, high: float = 0.0, *, treated: bool = False
) -> dict[str, Any]:
    view = next(v for v in course.zones() if v.label == label)
    survey = None if low is None else {"low": low, "high": high, "date": "2025-05-12", "cause": "ice"}
    done = [{"date": "2025-01-10", "words": "snow cleared"}] if treated else []
    return {"zone": label, "area": view.area, "size_m2": view.size, "survey": survey, "treated": done}


def test_the_range_over_zones_is_that_of_a_general_library() -> None:
    rng = np.random.default_rng(5)
    dead, sizes = rng.beta(1, 3, 12), rng.uniform(90, 400, 12)
    low, high = share_over_zones(dead, sizes)

    def share(d: np.ndarray, s: np.ndarray, axis: int = -1) -> np.ndarray:
        return (d * s).sum(axis) / s.sum(axis)

    other = bootstrap(
        (dead, sizes), share, paired=True, vectorized=True, confidence_level=0.9, n_resamples=20_000,
        method="percentile", random_state=np.random.default_rng(1),
    ).confidence_interval  # fmt: skip
    # two thousand draws leave about 3 % of the width open
    width = other.high - other.low
    assert low == pytest.approx(other.low, abs=0.06 * width)
    assert high == pytest.approx(other.high, abs=0.06 * width)


def test_treated_zones_and_those_without_a_survey_are_in_no_row(course: Course) -> None:
    zones = [
        zone(course, "4 low", 0.7, 0.9), zone(course, "4 open", 0.1, 0.2),
        zone(course, "7 low", 0.7, 0.9, treated=True), zone(course, "1 low", None),
    ]  # fmt: skip
    rows = {(r["trait"], r["value"]): r for r in damage_by_traits(course, zones)}
    assert sum(r["zones"] for (trait, _), r in rows.items() if trait == "kind of spot") == 2
    assert rows["kind of spot", "low spot"]["dead"] == pytest.approx(0.8)
    assert all(r["range_low"] is None for r in rows.values()), "two zones carry no range"
    assert all(r["low"] <= r["dead"] <= r["high"] for r in rows.values())


def test_a_trait_shared_by_all_tells_nothing_and_four_zones_carry_a_range(course: Course) -> None:
    labels = [v.label for v in course.zones() if v.template == "open"][:LEAST_ZONES]
    zones = [zone(course, label, 0.1 * i, 0.1 * i + 0.1) for i, label in enumerate(labels)]
    zones.append(zone(course, "4 low", 0.7, 0.9))
    rows = [r for r in damage_by_traits(course, zones) if r["trait"] == "kind of spot"]
    assert [r["value"] for r in rows] == ["low spot", "open"]
    assert rows[1]["range_low"] < rows[1]["dead"] < rows[1]["range_high"]
    alike = damage_by_traits(course, zones[:LEAST_ZONES])
    assert "kind of spot" not in {r["trait"] for r in alike}


def test_the_noon_sun_of_midwinter_is_hidden_behind_a_wall_of_trees(course: Course) -> None:
    from dataclasses import replace

    view = next(v for v in course.zones() if v.template == "open")
    # at 46.6 north the noon sun of 21 December stands at 90 - 46.6 - 23.44 = 19.96 degrees
    assert traits_of(replace(view, horizon=(19.0,) * 16), 46.6)["noon sun of 21 December"] == "free"
    assert traits_of(replace(view, horizon=(21.0,) * 16), 46.6)["noon sun of 21 December"] == "hidden"


def test_only_a_strip_left_alone_on_the_same_green_is_compared(course: Course) -> None:
    zones = [
        zone(course, "8 edge", 0.3, 0.5), zone(course, "8 open", 0.005, 0.05, treated=True),
        zone(course, "4 low", 0.7, 0.9, treated=True), zone(course, "4 open", 0.1, 0.2),
    ]  # fmt: skip
    told = fair_pairs(zones, ["8 edge"])
    assert [(p["strip"], p["treated"], p["less_low"], p["less_high"]) for p in told["pairs"]] == [
        ("8 edge", "8 open", pytest.approx(0.25), pytest.approx(0.495))
    ]
    assert told["alone"] == ["4 low"]
    swept = [zone(course, "8 edge", 0.3, 0.5, treated=True), zones[1]]
    assert fair_pairs(swept, ["8 edge"]) == {"pairs": [], "alone": ["8 open"]}, (
        "a strip that was cleared is none"
    )
