"""Killed at any write, in the midst of a delivery: the archive holds all of it or nothing, and goes on."""

import os
import sys
from pathlib import Path

import numpy as np
import pytest
import xarray as xr
from tests_weather_files import invented_hours

from winterrisk.weather.archive import FILE_NAME, open_archive

sys.path.insert(0, str(Path(__file__).parents[1] / "book"))
from killing import Tell, integrity, run_killed, spread

pytestmark = pytest.mark.skipif(
    not hasattr(os, "fork"), reason="needs a process that can be forked and killed"
)

FEW = 24
MANY = pytest.param(200, marks=pytest.mark.slow)
NIGHTS = 8
HOURS = 24 * 30


@pytest.fixture(scope="module")
def raw() -> xr.Dataset:
    """Enough invented hours that a delivery fills many pages of the file."""
    frame = invented_hours("2024-01-01", "2024-12-31T23:00")
    data = {name: ("time", frame[name].to_numpy()) for name in frame}
    attrs = {"step": "hourly", "timezone": "UTC", "station": "Invented"}
    return xr.Dataset(data, coords={"time": frame.index.to_numpy().astype("datetime64[ns]")}, attrs=attrs)


def delivery(raw: xr.Dataset, night: int) -> tuple[xr.Dataset, np.datetime64]:
    """A month more each night, with every 50th temperature of the months before corrected."""
    part = raw.isel(time=slice(0, HOURS * (night + 1))).copy(deep=True)
    part["air_temperature"][: HOURS * night : 50] += night
    return part, part["time"].to_numpy()[-1] + np.timedelta64(2, "h")


def receive_all(home: Path, raw: xr.Dataset, tell: Tell) -> None:
    """A delivery a night, each told once it is kept; the archive is opened anew each night."""
    for night in range(NIGHTS):
        part, known = delivery(raw, night)
        with open_archive(home) as archive:
            archive.receive("station", part, known)
        tell(night)


def assert_whole(home: Path, raw: xr.Dataset, told: list[str]) -> None:
    """Every told delivery is there, at most one more, each as it came; the next run ends the work."""
    assert not any(line.startswith("fault") for line in told), told
    path = home / "weather" / FILE_NAME
    if path.exists():
        assert integrity(path) == "ok"
    with open_archive(home) as archive:
        got = archive.received("station")
        number = 0 if got is None else len(got.receipts)
        assert len(told) <= number <= len(told) + 1
        for night in range(number):
            part, known = delivery(raw, night)
            assert got is not None
            xr.testing.assert_equal(got.as_known(known), part)
        part, known = delivery(raw, number)
        archive.receive("station", part, known)
    with open_archive(home, create=False) as archive:
        got = archive.received("station")
    assert got is not None and len(got.receipts) == number + 1
    xr.testing.assert_equal(got.as_known(), part)
    assert [p.name for p in path.parent.iterdir()] == [FILE_NAME]


@pytest.mark.parametrize("number", [FEW, MANY])
def test_killed_before_a_counted_write(tmp_path: Path, raw: xr.Dataset, number: int) -> None:
    home = tmp_path / "whole"
    home.mkdir()
    told, killed = run_killed(lambda tell: receive_all(home, raw, tell))
    total = int(told.pop())
    assert not killed and len(told) == NIGHTS and total >= 3 * NIGHTS
    assert_whole(home, raw, told)
    for at in spread(total, number):
        home = tmp_path / f"at {at}"
        home.mkdir()
        told, killed = run_killed(lambda tell, home=home: receive_all(home, raw, tell), at=at)  # type: ignore[misc]
        assert killed and len(told) < NIGHTS
        assert_whole(home, raw, told)


@pytest.mark.parametrize("number", [FEW, MANY])
def test_killed_in_the_midst_of_a_write(tmp_path: Path, raw: xr.Dataset, number: int) -> None:
    """The system kills at the byte by which a file would grow past a limit: inside a page, inside a commit."""
    whole = tmp_path / "whole"
    whole.mkdir()
    receive_all(whole, raw, lambda line: None)
    end = (whole / "weather" / FILE_NAME).stat().st_size
    killed_ones = 0
    for step in range(number):
        home = tmp_path / f"size {step}"
        home.mkdir()
        size = 200 + step * end // number + 17 * step
        told, killed = run_killed(lambda tell, home=home: receive_all(home, raw, tell), size=size)  # type: ignore[misc]
        killed_ones += killed
        assert_whole(home, raw, told)
    assert killed_ones >= number // 2
