"""Deleted hours: never a silent all-clear, ranges that still hold the truth, and not twice as wide.

The full study (10, 30 and 60 % of the hours, at random and in blocks of 1 to 10 days, the invented sample and the
Nebraska record of the package aquacrop) runs with `pytest -m slow tests/laws/test_missing_data.py -s` and prints its
figures; the default run has a part of it. The truth is drawn from the full data's own members and thresholds.
"""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from missing_hours import COUNTS, Beside, Kind, beside, night_of, shares, without

from winterrisk.backcast import read_work
from winterrisk.nightly import Settings, Work

SMALL = {"n_ground": 3, "n_paths": 4, "n_draws": 40}
SAMPLE_ZONES = ("4 low", "4 dam", "2 ridge")
SAMPLE_NIGHTS = ((2025, 1, 10), (2025, 2, 10), (2025, 2, 26), (2022, 1, 20), (2024, 1, 28))
CHAMPION_NIGHTS = tuple((year, 2, 10) for year in range(1984, 2010))
"""One night of every winter of that record: of a few nights the share covered would be told by chance."""
TRUTHS = 200
"""True shares drawn for each zone and night."""
COVERED = (0.85, 0.95)
MEASURED_TOO_LITTLE = 1 / 3
"""Measured share of the last 72 h from which down nothing may be said [1]: 48 h are missing."""

COURSE = """# Invented course and people; the weather was measured.
[place]
name = "Sandhill Links"
latitude = 40.4
longitude = -101.7
elevation = 1000
timezone = "America/Denver"
invented = true

[[areas]]
name = "7"
turf = {creeping_bent = 0.6, annual_bluegrass = 0.4}
zones = [{name = "low", template = "low spot"}, {name = "ridge", template = "ridge"}]

[station]
file = "days.csv"
step = "daily"

[station.columns]
time = "date"
air_temperature_min = "Tmin(C)"
air_temperature_max = "Tmax(C)"
precipitation = "Prcp(mm)"
"""


@dataclass(frozen=True)
class Study:
    """What one record says with a share of its hours deleted."""

    rows: list[Beside]
    covered: float
    silent: list[str]


def studied(
    folder: Path, work: Work, nights: tuple[tuple[int, int, int], ...], share: float, kind: Kind
) -> Study:
    """Each night with all hours and with a share of them deleted; share 0 for the full record alone."""
    gaps = without(work, share, kind) if share else work
    rows, hits, silent = [], [], []
    for date in nights:
        on = dt.date(*date)
        full = night_of(folder, work, on)
        gappy = night_of(folder, gaps, on) if share else full
        rows += list(beside(full, gappy))
        truths = shares(full, TRUTHS, work.course.id)
        ranges = [(low, high) for _, low, high in shares(gappy, TRUTHS, work.course.id)]
        hits += [
            low <= s <= high for (s, _, _), (low, high) in zip(truths, ranges, strict=True) if s > COUNTS
        ]
        told = {row["zone"] for row in gappy.record["cannot_say"]}
        if min(gappy.record["data"]["share_72h"].values()) <= MEASURED_TOO_LITTLE and told != set(work.zones):
            silent.append(gappy.record["on"])
    return Study([r for r in rows if r.mean > COUNTS], float(np.mean(hits)), silent)


def held(study: Study, label: str) -> None:
    """Asserts the bounds; nights of which nothing can be said are left out of the upper bound of coverage."""
    inside = np.mean([r.inside for r in study.rows])
    wider = float(np.median([r.widening for r in study.rows]))
    print(
        f"{label}: {len(study.rows)} zone-nights, truth covered {study.covered:.3f}, "
        f"full mean inside {inside:.2f}, range {wider:.2f} times as wide"
    )
    assert study.silent == [], "nights that spoke without data"
    assert COVERED[0] <= study.covered
    assert inside >= 0.95
    assert wider <= 2.0
    if not any(row.blind for row in study.rows):
        assert study.covered <= COVERED[1]


@pytest.fixture
def sample_work(sample: Path) -> Work:
    return read_work(sample, Settings(**SMALL, zones=SAMPLE_ZONES))


@pytest.fixture
def champion(tmp_path: Path) -> Path:
    aquacrop = pytest.importorskip("aquacrop", reason="aquacrop is not installed (extra: test)")
    table = pd.read_csv(Path(aquacrop.__file__).parent / "data" / "champion_climate.txt", sep=r"\s+")
    date = pd.to_datetime({"year": table["Year"], "month": table["Month"], "day": table["Day"]})
    days = table.assign(date=date).set_index("date")[["Tmin(C)", "Tmax(C)", "Prcp(mm)"]]
    days["1982":"2009"].to_csv(tmp_path / "days.csv")
    (tmp_path / "course.toml").write_text(COURSE, encoding="utf-8")
    return tmp_path


def test_the_truth_lies_in_the_range_with_a_third_of_the_hours_gone(sample: Path, sample_work: Work) -> None:
    study = studied(sample, sample_work, SAMPLE_NIGHTS[:4], 0.3, "random")
    held(study, "sample")
    assert max(r.chance_high - r.gappy_chance_high for r in study.rows) <= 0.02


def test_blocks_widen_and_never_lower_an_upper_end(sample: Path, sample_work: Work) -> None:
    study = studied(sample, sample_work, SAMPLE_NIGHTS, 0.3, "blocks")
    held(study, "sample, blocks")
    assert max(r.chance_high - r.gappy_chance_high for r in study.rows) <= 0.02


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["random", "blocks"])
@pytest.mark.parametrize("share", [0.0, 0.1, 0.3, 0.6])
@pytest.mark.parametrize("record", ["sample", "champion"])
def test_every_share_and_kind(
    record: str, share: float, kind: Kind, sample: Path, request: pytest.FixtureRequest
) -> None:
    if record == "sample":
        folder, nights = sample, SAMPLE_NIGHTS
        work = request.getfixturevalue("sample_work")
    else:
        folder, nights = request.getfixturevalue("champion"), CHAMPION_NIGHTS
        work = read_work(folder, Settings(**SMALL, zones=("7 low", "7 ridge")))
    held(studied(folder, work, nights, share, kind), f"{record}, {share:.0%} {kind}")
