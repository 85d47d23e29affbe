"""Published and reference values of what plugs prove: every row of the shipped table, and more."""

import csv
import importlib.util
import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from winterrisk import plugs

SCRIPT = Path(__file__).parent / "stat_scores.py"
_spec = importlib.util.spec_from_file_location("stat_scores", SCRIPT)
assert _spec is not None and _spec.loader is not None
stat_scores = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(stat_scores)
ROWS = stat_scores.read_rows(stat_scores.SHIPPED)


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_a_row_agrees(row: dict[str, str]) -> None:
    good, line = stat_scores.score(row)
    assert good, line


def test_every_row_has_a_source_and_its_own_id() -> None:
    assert all(row["citation"].strip() for row in ROWS)
    assert len({row["id"] for row in ROWS}) == len(ROWS)


def test_zero_would_fail_every_row_with_a_tolerance() -> None:
    """A tolerance must be smaller than the value, or nothing is tested."""
    for row in ROWS:
        wanted = stat_scores.json.loads(row["value"])
        given = list(wanted.values()) if isinstance(wanted, dict) else wanted
        values = np.ravel(np.array(given, dtype=float))
        assert (np.abs(values[values != 0]) > float(row["tolerance"])).all(), row["id"]
        assert values.any() or float(row["tolerance"]) == 0, row["id"]


def test_the_script_prints_one_summary_line_last_and_fails_on_a_wrong_row(tmp_path: Path) -> None:
    wrong = {**ROWS[0], "id": "wrong", "value": "[0.5, 0.5, 0.5, 0.5, 0.5]"}
    odd = {**ROWS[0], "id": "odd", "function": "winterrisk.plugs.no_such_thing"}
    file = tmp_path / "rows.csv"
    with file.open("w", newline="", encoding="utf-8") as out:
        writer = csv.DictWriter(out, fieldnames=stat_scores.COLUMNS)
        writer.writeheader()
        writer.writerows([ROWS[0], wrong, odd])
    done = subprocess.run(
        [sys.executable, str(SCRIPT), str(file)], capture_output=True, text=True, check=False
    )
    lines = done.stdout.splitlines()
    assert lines[-1] == "stat_scores: 1 of 3 rows agree"
    assert lines[1].startswith("FAIL wrong") and lines[2].startswith("FAIL odd")
    assert done.returncode == 1


def test_the_weibull_fit_keeps_the_share_that_never_greens() -> None:
    """A library's interval-censored fit drops it: scale 11.7715, shape 1.8088, log-likelihood -74.865."""
    looks = {"ages": [2, 4, 6, 8, 10, 12, 14], "newly_green": [0, 3, 8, 9, 5, 2, 1], "never": 12}
    fit = plugs.weibull_fit(**looks)
    plain = plugs.green_up_log_likelihood(
        **looks,
        alive_share=1 - 1e-12,
        median=11.7715 * math.log(2) ** (1 / 1.8088),
        shape=1.8088,
        family="weibull",
    )
    assert plain == pytest.approx(-74.865, abs=2e-3)
    assert fit.log_likelihood > plain + 5
    assert 1 - fit.alive_share == pytest.approx(0.2986, abs=1e-3)


def test_a_test_stopped_on_day_6_cannot_tell_late_from_dead() -> None:
    """Reference: the profile falls by 0.18 between live shares .3 and .99; after day 14 by far more."""
    early = plugs.alive_share_profile([0.3, 0.99], [2, 4, 6], [0, 3, 8], 29, "weibull")
    whole = plugs.alive_share_profile(
        [0.3, 0.99], [2, 4, 6, 8, 10, 12, 14], [0, 3, 8, 9, 5, 2, 1], 12, "weibull"
    )
    assert max(early) - min(early) == pytest.approx(0.18, abs=0.03)
    assert max(whole) < -5


def test_stratified_spots_miss_less_than_random_and_clusters_most() -> None:
    """Reference simulation, one patch of 10 %, 12 plugs: .283 random, .18 stratified, .637 in clusters."""
    miss = {
        d: plugs.patch_miss_chance(0.10, 1, 12, d, greens=3000) for d in ("random", "stratified", "clustered")
    }
    assert miss["random"] == pytest.approx(0.9**12, abs=0.025)
    assert miss["stratified"] < miss["random"] - 0.05
    assert miss["clustered"] > miss["random"] + 0.25


def test_approximation_to_the_hypergeometric_is_off_by_one_at_most() -> None:
    """Reference: differences of at most 1 over twenty cases."""
    for lot in (50, 100, 200, 500, 1000):
        for dead in (2, 5, 10, 25):
            exact = plugs.plugs_from_lot_exact(lot, dead)
            close = (1 - 0.05 ** (1 / dead)) * (lot - (dead - 1) / 2)
            assert abs(math.ceil(close) - exact) <= 1, (lot, dead)
