"""Strips of the night page: series against numpy and pandas, shapes against the scale they stand on."""

import datetime as dt
import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
import xarray as xr

from winterrisk.reports.strip_series import DAYS_AHEAD, DAYS_BEHIND, Strip, strip_rows, zone_strips
from winterrisk.reports.strip_shapes import LEFT, PANELS, RIGHT, strip_shapes
from winterrisk.reports.strip_words import strip_words

ON = dt.date(2025, 2, 25)
ZONE = "America/Winnipeg"
NAMES = ("crown_temperature_min", "snow_depth_mean", "ice_thickness_max", "hours_wet")


def made(members: int = 8) -> dict[str, xr.Dataset | xr.DataArray]:
    """A winter at one zone of two grasses, drawn at random."""
    rng = np.random.default_rng(3)
    days = pd.date_range("2024-08-01", "2025-04-01")
    table = {n: (("day", "zone", "member"), rng.gamma(2.0, 3.0, (len(days), 1, members))) for n in NAMES}
    winter = xr.Dataset(table, coords={"day": days, "zone": ["4 low"]})
    kill = rng.normal(-15, 1, (2, len(days), 1, members))
    kill[1] -= 10
    species = ["annual_bluegrass", "creeping_bent"]
    harm = xr.Dataset(
        {"kill_temperature": (("species", "day", "zone", "member"), kill)},
        coords={"day": days, "zone": ["4 low"], "species": species},
    )
    said = pd.DatetimeIndex(["2025-02-24", "2025-02-28", "2025-03-10", "2025-04-01"])
    chance = {
        name: (("day", "zone", "band"), np.full((4, 1, 1), value))
        for name, value in (("chance", 0.4), ("chance_low", 0.2), ("chance_high", 0.6))
    }
    outlook = xr.Dataset(chance, coords={"day": said, "zone": ["4 low"], "band": ["parts"]})
    outlook["weight"] = (("zone", "member", "draw"), np.full((1, members, 3), 1 / (3 * members)))
    time = pd.date_range("2024-08-01", "2025-04-03", freq="h")
    air = xr.DataArray(rng.normal(-8, 5, (len(time), 3)), dims=("time", "member"), coords={"time": time})
    shares = xr.DataArray(
        [[0.6, 0.4]], dims=("zone", "species"), coords={"zone": ["4 low"], "species": species}
    )
    return {"winter": winter, "harm": harm, "outlook": outlook, "air": air, "shares": shares}


def strip_of(m: dict[str, xr.Dataset | xr.DataArray], until: dt.date = dt.date(2025, 4, 1)) -> Strip:
    told = zone_strips(m["winter"], m["harm"], m["outlook"], m["air"], m["shares"], ON, until, ZONE)  # type: ignore[arg-type]
    return told["4 low"]


def test_days_end_tonight_and_ten_ahead_and_the_air_goes_by_the_local_day() -> None:
    m = made()
    strip = strip_of(m)
    assert strip.measured == DAYS_BEHIND and len(strip.days) == DAYS_BEHIND + DAYS_AHEAD
    assert strip.days[strip.measured - 1] == "2025-02-24", "the night of the 25th knows the 24th"
    local = m["air"].to_pandas().tz_localize("UTC").tz_convert(ZONE)
    daily = local.resample("1D").max().median(axis=1)
    assert strip.air_high == tuple(
        round(float(daily[day].iloc[0] if hasattr(daily[day], "iloc") else daily[day]), 1)
        for day in strip.days
    )


def test_medians_and_ranges_over_the_possible_winters_are_those_of_numpy() -> None:
    m = made()
    strip, there = strip_of(m), m["winter"].sel(zone="4 low", day=slice("2024-11-27", "2025-03-06"))
    for values, share in ((strip.crown_low, 0.05), (strip.crown, 0.5), (strip.crown_high, 0.95)):
        quantile = np.quantile(there["crown_temperature_min"], share, axis=1, method="inverted_cdf")
        np.testing.assert_allclose(values, quantile, atol=0.0501)
    assert strip.species == "annual_bluegrass", "its kill temperature lies ten degrees above bent's"
    bare = m | {"shares": xr.DataArray([[0.01, 0.99]], dims=("zone", "species"), coords=m["shares"].coords)}
    assert strip_of(bare).species == "creeping_bent", "a trace of bluegrass does not speak for the green"


def test_weight_moves_the_line() -> None:
    m = made()
    heavy = np.zeros((1, 8, 3))
    heavy[0, 2] = 1 / 3
    m["outlook"]["weight"] = (("zone", "member", "draw"), heavy)
    strip = strip_of(m)
    own = m["winter"]["snow_depth_mean"].sel(zone="4 low", day=slice("2024-11-27", "2025-03-06"))[:, 2]
    np.testing.assert_allclose(strip.snow, own, atol=0.00051)


def test_warmer_stands_higher_and_all_stays_within_its_strip() -> None:
    strip = strip_of(made())
    for units in ("metric", "us"):
        shapes = strip_shapes(strip, [], units)
        heights = [float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", shapes["crown"])]
        assert len(heights) == len(strip.days)
        order = np.argsort(strip.crown)
        assert all(heights[a] >= heights[b] for a, b in pairwise(order)), "higher values have smaller y"
        top, bottom = PANELS["temperature"]
        assert top <= min(heights) and max(heights) <= bottom
        across = [float(x) for x in re.findall(r"[ML]([\d.]+) ", shapes["crown"])]
        assert across == sorted(across) and across[0] > LEFT and across[-1] < RIGHT
    metric, us = (strip_shapes(strip, [], units) for units in ("metric", "us"))
    assert metric["zero"] == pytest.approx(us["zero"], abs=9), (
        "32 degF lies where 0 degC lies, up to the rounding of axes"
    )


def test_a_night_that_was_not_worked_breaks_the_line() -> None:
    strip = strip_of(made())
    nights = [f"2025-02-{d:02d}" for d in (10, 11, 12, 14, 15, 25)]
    said = [{"on": on, "chance": 0.3, "low": 0.1, "high": 0.5} for on in nights]
    shapes = strip_shapes(strip, said, "metric")
    assert [path.count("L") for path in shapes["chance_lines"]] == [2, 1] and len(shapes["chance_dots"]) == 1
    assert shapes["chance_dots"][0][0] == shapes["today"], (
        "tonight stands on the line between behind and ahead"
    )
    earlier = strip_shapes(strip, [{"on": "2023-02-10", "chance": 0.3, "low": 0.1, "high": 0.5}], "metric")
    assert earlier["chance_lines"] == [] == earlier["chance_dots"]


def test_days_ahead_are_dots_and_the_last_day_spoken_of_stands_apart() -> None:
    strip = strip_of(made())
    assert [row[0] for row in strip.later] == ["2025-02-24", "2025-02-28", "2025-03-10", "2025-04-01"]
    shapes = strip_shapes(strip, [], "metric")
    assert len(shapes["chance_ahead"]) == 1, "28 February lies within ten days, 10 March does not"
    assert len(shapes["chance_last"]) == 1
    assert [row[0] for row in strip_of(made(), dt.date(2025, 3, 1)).later] == ["2025-02-24", "2025-02-28"]


def test_missing_days_leave_gaps_and_no_figure_is_made_up() -> None:
    strip = strip_of(made())
    holes = tuple(float("nan") if 10 <= i < 20 else v for i, v in enumerate(strip.air_low))
    shapes = strip_shapes(replace(strip, air_low=holes), [], "metric")
    assert shapes["air"].count("M") == len(strip.days) - 10
    broken = tuple(float("nan") if i == 50 else v for i, v in enumerate(strip.crown))
    assert strip_shapes(replace(strip, crown=broken), [], "metric")["crown"].count("M") == 2


def test_words_and_rows_say_what_the_picture_shows() -> None:
    strip = strip_of(made())
    zone = {"zone": "4 low", "chance_now": {"parts": 0.3}, "chance": 0.4, "low": 0.2, "high": 0.6}
    title, words = strip_words(strip, zone, "2025-04-01", "metric")
    coldest = min(strip.crown[: strip.measured])
    assert (
        title.startswith("4 low") and f"{coldest:g} °C" in words and "by Tue 1 Apr: 40 % (20-60 %)" in words
    )
    assert f"{1.8 * coldest + 32:.0f} °F" in strip_words(strip, zone, "2025-04-01", "us")[1]
    rows = strip_rows(strip, 7)
    assert len(rows) == 7 + DAYS_AHEAD and [r["ahead"] for r in rows].count(True) == DAYS_AHEAD
