"""Random nights of faults: no silent all-clear, no crash without a message, exit codes as documented.

What must hold is worked out from the faults themselves (`fault_nights.broken_laws`), not from the night.
"""

import collections
import shutil
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("resource", reason="a full disk is made with a limit that only Unix has")

sys.path.insert(0, str(Path(__file__).parents[1] / "weather"))
sys.path.insert(0, str(Path(__file__).parents[1] / "messages"))
from fault_nights import Places, broken_laws, pointed_at, worked
from meteostat_server import running_server
from post_office import post_office
from tests_forecast_server import serving

FEW = 24
ALL = pytest.param(1000, marks=pytest.mark.slow)
LONGEST = 60.0
"""Longest a night of these may take [s]: most of it is waiting for services."""


@pytest.fixture
def places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Places]:
    served = running_server()
    with serving() as service, post_office() as office:
        pointed_at(monkeypatch, service)
        yield Places(tmp_path, served, service, office)
    served.acts_as, served.changed, served.often_wet = "", False, False


@pytest.mark.parametrize("number", [FEW, ALL])
def test_random_fault_nights(places: Places, tmp_path: Path, number: int) -> None:
    broken, ends, longest = [], collections.Counter(), 0.0
    for night in range(number):
        folder = tmp_path / "night"
        begins = time.monotonic()
        fault, ended = worked(night, places, folder)
        laws = broken_laws(fault, ended, folder)
        longest = max(longest, time.monotonic() - begins)
        if time.monotonic() - begins > LONGEST:
            laws.append("it hung")
        ends[ended.exit] += 1
        broken += [f"night {night}, {fault}: {law}" for law in laws]
        shutil.rmtree(folder)
    print(f"{number} fault nights, ends {dict(ends)}, the longest {longest:.0f} s", file=sys.stderr)
    assert broken == []
    assert min(ends[0], ends[2], ends[3]) >= number // 12, f"nights that show little: {ends}"
    assert ends[4] >= max(1, number // 100), f"too few damaged outboxes: {ends}"
