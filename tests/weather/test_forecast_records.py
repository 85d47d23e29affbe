"""On real winters: what came lies among the paths as one of them, and the forecast beats the usual weather."""

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import chisquare
from tests_forecast_records import DAYS, Cases, nights
from tests_real_records import airport, champion

from winterrisk.calibration.ensemble_scores import crps, rank_of
from winterrisk.weather import complete

MEMBERS = 19
CLASSES = 10
TESTS = 2 * 2 * len(DAYS)
"""Two places, two quantities, three days."""


def assert_honest(cases: dict[tuple[str, int], Cases]) -> None:
    luck = np.random.Generator(np.random.Philox(7))
    for what in ("lowest", "water"):
        for ahead in DAYS:
            one = cases[what, ahead]
            paths, came = (np.round(v, 1) for v in (one.paths, one.came))
            ranks = rank_of(paths, came, luck.random(len(came)))
            counts = np.bincount((ranks - 1) * CLASSES // (MEMBERS + 1), minlength=CLASSES)
            chance = float(chisquare(counts).pvalue)
            score = float(crps(one.paths, one.came, fair=True).mean())
            usual = float(crps(one.usual, one.came, fair=True).mean())
            print(f"{what} day {ahead}: p {chance:.3f}, score {score:.3f}, usual {usual:.3f}, ranks {counts}")
            assert chance > 0.01 / TESTS, (what, ahead, counts)
            assert score < usual, (what, ahead)
    for ahead in DAYS:
        low, high = cases["lowest", ahead], cases["highest", ahead]
        said = np.mean((low.paths < 0.0) & (high.paths > 0.0), axis=1)
        came = (low.came < 0.0) & (high.came > 0.0)
        for begin, end in ((0.0, 0.2), (0.2, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 1.01)):
            inside = (said >= begin) & (said < end)
            if inside.sum() < 20:
                continue
            error = np.sqrt(np.mean(said[inside] * (1.0 - said[inside])) / inside.sum())
            print(
                f"crossing 0 degC day {ahead}: said {said[inside].mean():.2f}, came {came[inside].mean():.2f}"
            )
            allowed = 3.0 * error + 0.05
            assert abs(said[inside].mean() - came[inside].mean()) < allowed, (ahead, begin)


@pytest.mark.slow
def test_champion() -> None:
    raw, place = champion()
    weather = complete(raw, place, "champion")
    assert_honest(nights(weather, "champion", every=6, members=MEMBERS, utc_hours=7))


@pytest.mark.slow
def test_airport(field_data: Path) -> None:
    raw, place = airport(field_data)
    weather = complete(raw, place, "airport")
    assert_honest(nights(weather, "airport", every=6, members=MEMBERS, utc_hours=6))
