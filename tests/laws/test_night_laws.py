"""Laws of a night: an uneventful day moves nothing, missing data never lowers an upper end, same in same out."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from winterrisk.backcast import backcast_nights, read_work
from winterrisk.course import night_instant
from winterrisk.nightly import Night, Settings, possible_winters

POINT = 0.01
ZONES = ("1 open", "2 ridge", "3 shade", "4 low")
LAST_HOURS = 72


def uneventful_moves(
    folder: Path, settings: Settings, first: dt.date, last: dt.date
) -> Iterator[tuple[dt.date, str, float]]:
    """(day, zone, greatest move of any chance) for each uneventful new day.

    Uneventful: crown below -2 degC and under 0.5 mm in the new day, as it was and in every path for it.
    """
    work = read_work(folder, settings)
    nights = [first + dt.timedelta(days=i) for i in range((last - first).days + 1)]
    before: tuple[dt.date, Night, xr.Dataset] | None = None
    for on, night in zip(nights, backcast_nights(folder, work, nights, use_book=False), strict=True):
        paths = possible_winters(work.weather, work.course, on, work.settings).paths["precipitation"]
        if before is not None:
            day, old, old_paths = before
            begin = np.datetime64(night_instant(day, work.course.timezone))
            new_day = slice(begin - np.timedelta64(1, "h"), begin + np.timedelta64(22, "h"))
            water = max(float(p.sel(time=new_day).sum("time").max()) for p in (paths, old_paths))
            for zone in settings.zones or ():
                warmest = max(
                    float(n.winter_days["crown_temperature_max"].sel(zone=zone, day=np.datetime64(day)).max())
                    for n in (old, night)
                )
                if water < 0.5 and warmest < -2.0:
                    yield day, zone, _greatest_move(old.outlook, night.outlook, zone, on)
        before = (on, night, paths)


def _greatest_move(old: xr.Dataset, new: xr.Dataset, zone: str, on: dt.date) -> float:
    days = [d for d in old["day"].to_numpy() if d in new["day"].to_numpy() and d >= np.datetime64(on)]
    moved = abs(new["chance"].sel(zone=zone, day=days) - old["chance"].sel(zone=zone, day=days))
    return float(moved.max())


def test_an_uneventful_day_moves_no_chance_by_more_than_a_point(sample: Path) -> None:
    settings = Settings(n_draws=100, zones=("2 ridge", "4 low", "9 ridge"))
    moves = list(uneventful_moves(sample, settings, dt.date(2025, 2, 5), dt.date(2025, 2, 8)))
    assert len(moves) >= 3
    assert max(move for _, _, move in moves) <= POINT, moves


@pytest.mark.slow
def test_every_uneventful_day_of_the_bad_winter(sample: Path) -> None:
    settings = Settings(zones=read_work(sample).course.zone_labels())
    moves = list(uneventful_moves(sample, settings, dt.date(2024, 11, 15), dt.date(2025, 4, 5)))
    assert len(moves) >= 20
    assert [m for m in moves if m[2] > POINT] == []


def without_last_hours(work_raw: xr.Dataset, on: dt.date, timezone: str) -> xr.Dataset:
    """The record as if the last 72 hours known by the night had never come in, nor anything after."""
    now = np.datetime64(night_instant(on, timezone))
    return work_raw.sel(time=work_raw["time"] < now - np.timedelta64(LAST_HOURS + 2, "h"))


@pytest.mark.parametrize(
    "on",
    [
        "2024-01-28",
        "2025-02-25",
        *(pytest.param(on, marks=pytest.mark.slow) for on in ("2022-12-22", "2025-01-08", "2026-02-28")),
    ],
)
def test_missing_days_never_lower_an_upper_end(sample: Path, on: str) -> None:
    night = dt.date.fromisoformat(on)
    work = read_work(sample, Settings(n_ground=4, n_draws=60, zones=ZONES))
    full = next(iter(backcast_nights(sample, work, [night])))
    known = without_last_hours(work.weather.as_known(), night, work.course.timezone)
    short = replace(work, weather=work.weather.with_record(known))
    blind = next(iter(backcast_nights(sample, short, [night])))
    assert full.record["cannot_say"] == []
    assert {row["zone"] for row in blind.record["cannot_say"]} == set(ZONES)
    assert "CANNOT SAY" in blind.alert and "no all-clear" in blind.alert
    for name in ("chance_high", "dead_high"):
        lowered = (full.outlook[name] - blind.outlook[name]).max()
        assert float(lowered) <= 1e-6, name
