"""Simulation-based calibration: truths drawn from the prior must rank evenly among the fit's draws.

Takes minutes: `pytest -m slow tests/calibration/test_simulation_based.py`.
Method: Talts et al. (2018), arXiv 1804.06788.
"""

import numpy as np
import pytest
from courses import SPECIES, seen, truth, winter
from scipy.stats import chisquare

from winterrisk.calibration import DEFAULT_ROWS, beside_of, fit
from winterrisk.thresholds import TABLE, Thresholds

ROWS = (*DEFAULT_ROWS, *beside_of(DEFAULT_ROWS, SPECIES))
ZONES = ("1 low", "2 shade", "3 open", "4 ridge")
DATA_SETS, DRAWS, BINS = 200, 99, 10


@pytest.mark.slow
def test_ranks_of_the_truth_are_even_and_ranges_cover_it(request: pytest.FixtureRequest) -> None:
    if "slow" not in request.config.getoption("-m"):
        pytest.skip("a long study: run it with `pytest -m slow`")
    rng = np.random.default_rng(3)
    ranks, covered = [], []
    for i in range(DATA_SETS):
        true = {key: float(TABLE[key].quantile(np.array([rng.random()]))[0]) for key in ROWS}
        winters = [
            winter(
                name,
                {zone: float(rng.uniform(0.2, 2.6)) for zone in ZONES},
                members=3,
                spread=0.3,
                wet={zone: float(rng.uniform(-6, 2)) for zone in ZONES},
            )
            for name in ("2022-23", "2023-24")
        ]
        tables = seen(winters, truth(**true), f"ranks {i}", plugs=3)
        found = fit(
            Thresholds.defaults(),
            winters,
            tables.plugs,
            tables.surveys,
            ("ranks", i),
            **tables.fit_arguments(),
            rows=ROWS,
            beside=(),
        )
        kept = {key: found.draws[key][:: len(found.draws[key]) // DRAWS][:DRAWS] for key in ROWS}
        ranks.append([int((kept[key] < true[key]).sum()) for key in ROWS])
        covered.append([row.posterior[0] < true[row.key] < row.posterior[2] for row in found.learned])
    for k, key in enumerate(ROWS):
        counts = np.histogram(np.array(ranks)[:, k], bins=BINS, range=(0, DRAWS + 1))[0]
        assert chisquare(counts).pvalue > 0.01 / len(ROWS), key
        print(f"{key}: p {chisquare(counts).pvalue:.3f}, covered {np.mean(np.array(covered)[:, k]):.3f}")
        assert 0.85 <= np.mean(np.array(covered)[:, k]) <= 0.95, key
