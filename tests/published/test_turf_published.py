"""The hazards against published turf outcomes, and proof that each case table row would catch a cheat."""

import dataclasses
import math
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

sys.path.insert(0, str(Path(__file__).parent))
import turf_scores
from turf_cases import case_days

from winterrisk import hazards
from winterrisk.thresholds import SPECIES, TABLE

CASES, REFUSED = turf_scores.read_cases(turf_scores.SHIPPED)
PLAIN = [case for case in CASES if case.ask != "order"]
BY_ID = {case.id: case for case in PLAIN}


@cache
def harm_by_id(id: str) -> xr.Dataset:
    """What the hazards make of a case, worked once."""
    return turf_scores.harm_of(BY_ID[id])


def missed(value: Callable[[turf_scores.Case], float]) -> list[str]:
    return [r.case.id for r in turf_scores.score(CASES, value) if not r.met]


def with_chance(replaced: Mapping[str, float]) -> Callable[[turf_scores.Case], float]:
    """Values where some hazards always give one chance."""

    def chance(name: str, dose: np.ndarray, thresholds: Mapping[str, float], species: str) -> np.ndarray:
        right = hazards.chance(name, dose, thresholds, species)
        return np.full_like(right, replaced[name]) if name in replaced else right

    return lambda case: turf_scores.value_from(harm_by_id(case.id), case, chance)


def with_rows(changed: Mapping[str, float]) -> Callable[[turf_scores.Case], float]:
    """Values where some dose rows are others; a name without its species changes it for every grass."""
    keys = {k: v for name, v in changed.items() for k in TABLE if k == name or k.rpartition(".")[0] == name}
    assert keys
    return lambda case: turf_scores.value_from(turf_scores.harm_of(case, keys), case)


@pytest.mark.parametrize("case", PLAIN, ids=lambda c: c.id)
def test_case_is_met(case: turf_scores.Case) -> None:
    (result,) = turf_scores.score([case], lambda c: turf_scores.value_from(harm_by_id(c.id), c))
    assert result.met, f"{result.value:.3f} outside {case.low}..{case.high}: {case.citation}"


def test_orders_are_met() -> None:
    results = turf_scores.score(CASES, lambda c: turf_scores.value_from(harm_by_id(c.id), c))
    orders = [r for r in results if r.case.ask == "order"]
    assert len(orders) >= 10
    assert [r.case.id for r in orders if not r.met] == []


def test_every_case_has_a_citation_and_a_range() -> None:
    assert REFUSED == {}
    for case in CASES:
        assert case.citation
        assert case.ask == "order" or (math.isfinite(case.low) and math.isfinite(case.high))
    assert len({case.id for case in CASES}) == len(CASES)


def test_all_hazards_zero_is_caught() -> None:
    assert missed(with_chance(dict.fromkeys(hazards.HAZARDS, 0.0)))


@pytest.mark.parametrize("hazard", hazards.HAZARDS)
@pytest.mark.parametrize("always", [0.0, 1.0])
def test_a_hazard_that_is_always_the_same_is_caught(hazard: str, always: float) -> None:
    assert missed(with_chance({hazard: always}))


STILL = {
    "cool_rate": 0.0, "frost_rate": 0.0, "frost_softening": 0.0, "cool_softening": 0.0, "snow_cost": 0.0,
    "swing_cost": 0.0, "ice_hardiness_cost": 0.0, "spring_heat": 1e9,
}  # fmt: skip


def test_a_kill_temperature_that_never_moves_is_caught() -> None:
    assert "C1 MN42 48 h at 8" in missed(with_rows(STILL))


def test_one_kill_temperature_for_each_grass_is_caught_by_deaths_alone() -> None:
    """Any constant between soft and hardest, with the full wet shift, fails some row that asks who died."""
    rows = {k: v for n, v in STILL.items() for k in TABLE if k == n or k.rpartition(".")[0] == n}
    for part in (0.5, 0.7, 0.9, 1.0):

        def value(case: turf_scores.Case, part: float = part) -> float:
            limit = TABLE[f"kill_limit.{case.species}"].value
            constant = dataclasses.replace(case, start_kill=-4.0 + part * (limit + 4.0))
            return turf_scores.value_from(turf_scores.harm_of(constant, rows), case)

        results = [r for r in turf_scores.score(CASES, value) if r.case.ask in ("dead", "order")]
        assert any(not r.met for r in results), part


def test_a_plain_day_count_is_caught() -> None:
    def count(case: turf_scores.Case) -> xr.Dataset:
        half = 65.0 * TABLE[f"ice_multiplier.{case.species}"].value / 1.3
        harm = harm_by_id(case.id)
        sealed = case_days(case)["hours_sealed"].to_numpy().ravel().cumsum() / 24.0
        multiplier = TABLE[f"ice_multiplier.{case.species}"].value
        return harm.assign(dose_ice=("day", sealed / half * multiplier))

    caught = missed(lambda case: turf_scores.value_from(count(case), case))
    assert "ice two starts" in caught


def test_softening_at_cereal_speed_is_caught() -> None:
    slow = {f"{n}.{s}": 0.03 for n in ("frost_softening", "cool_softening") for s in SPECIES}
    caught = missed(lambda case: turf_scores.value_from(turf_scores.harm_of(case, slow), case))
    assert "C1 MN42 48 h at 8" in caught


def test_no_relief_by_air_is_caught() -> None:
    assert "air helps" in missed(with_rows({"ice_relief_days": 1e9}))


def test_no_swings_is_caught() -> None:
    assert "swings wheat two cycles" in missed(with_rows({"swing_cost": 0.0}))


def test_no_spring_is_caught() -> None:
    assert "spring AB day 25" in missed(with_rows({"spring_heat": 1e9}))


def test_script_prints_one_summary_line_last(tmp_path: Path) -> None:
    script = Path(turf_scores.__file__)
    run = subprocess.run(
        [sys.executable, str(script)], capture_output=True, text=True, check=True, env=dict(os.environ)
    )
    last = run.stdout.strip().splitlines()[-1]
    assert last.startswith(f"turf cases: {len(CASES)} of {len(CASES)} met")
