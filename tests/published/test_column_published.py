"""The column against field records; bars are those of the field scores."""

import os
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

import field_scores  # noqa: E402
from field_sites import Site, behind_horizon, hourly_weather, read_site, read_table  # noqa: E402

from winterrisk.weather.sun_position import sun_position  # noqa: E402

FOLDER = os.environ.get("WINTERRISK_FIELD_DATA")
needs_data = pytest.mark.skipif(
    not FOLDER, reason="WINTERRISK_FIELD_DATA is not set: field data lie outside the project"
)


@cache
def _scores(name: str) -> dict[tuple[str, str], field_scores.Score]:
    sites = [read_site(HERE / "data" / f"site_{i}.toml") for i in field_scores.KNOWN[name]]
    return {(s.site, s.quantity): s for s in field_scores.scores(read_table(Path(str(FOLDER)) / name), sites)}


OUT_OF_REACH = {
    (
        "Great Lakes airport",
        "peak depth r",
    ): "0.86 needs the snowfall itself",
}
"""The bar that the poorest record does not reach, see docs/limits.md."""


@needs_data
@pytest.mark.parametrize("name", field_scores.KNOWN)
def test_bars_are_met(name: str) -> None:
    judged = [s for key, s in _scores(name).items() if s.met is not None and key not in OUT_OF_REACH]
    assert judged
    missed = [str(s) for s in judged if not s.met]
    assert not missed, "\n".join(missed)


@needs_data
@pytest.mark.parametrize(
    "key",
    [pytest.param(k, marks=pytest.mark.xfail(strict=True, reason=why)) for k, why in OUT_OF_REACH.items()],
)
def test_bars_out_of_reach(key: tuple[str, str]) -> None:
    assert _scores("great_lakes_airport_daily_1960_1990.csv")[key].met


@needs_data
def test_the_airport_beats_the_degree_day_line() -> None:
    scores = _scores("great_lakes_airport_daily_1960_1990.csv")
    for quantity in ("days with 1 inch r", "peak depth r"):
        score = scores["Great Lakes airport", quantity]
        assert score.value > float(score.beside.split()[-1]) + 0.02


@needs_data
def test_snow_beside_a_lake_melts_by_the_sun_of_coasts() -> None:
    """FAO-56's coefficient for coasts, in place of the interior's: nothing of it was fitted to this record."""
    scores = _scores("great_lakes_airport_daily_1960_1990.csv")
    plain, told = (
        scores["Great Lakes airport", f"days with 1 inch r{by}"] for by in ("", ", air off the lake")
    )
    assert told.value > plain.value + 0.015
    assert abs(float(told.beside.split()[-1])) < 4.0


@needs_data
@pytest.mark.parametrize(
    ("name", "site"),
    [("cdp_2005_2006_hourly.csv", "col_de_porte"), ("sodankyla_2017_2018_hourly.csv", "sodankyla")],
)
def test_solar_noon_falls_where_the_sun_says(name: str, site: str) -> None:
    place = read_site(HERE / "data" / f"site_{site}.toml")
    weather = hourly_weather(read_table(Path(str(FOLDER)) / name), place)
    weather = weather.sel(time=weather["time"].dt.month.isin([3, 4, 5, 6]))
    middle = weather["time"].dt.hour.values + 0.5
    sun = weather["shortwave_down"].values
    elevation = sun_position(weather["time"].values, place.latitude, place.longitude, place.elevation)[0]
    top = np.maximum(0.0, np.sin(np.radians(elevation)))
    assert np.average(middle, weights=sun) == pytest.approx(np.average(middle, weights=top), abs=0.3)


def test_scores_say_what_a_bar_is() -> None:
    score = field_scores.Score("Col de Porte", "depth RMSE m", 0.2)
    assert score.met is False
    assert "BAR MISSED" in str(score)
    assert (
        field_scores.cover_end(pd.Series([0.0, 0.5, 0.5, 0.0], pd.date_range("2020-01-01", periods=4))) == 4
    )


def test_a_horizon_hides_the_beam_and_leaves_the_light_of_the_sky() -> None:
    """45 N, clear 21 December: the noon sun stands 21.6 degrees high (90 - 45 - 23.44, almanac)."""
    times = pd.date_range("2024-12-21", periods=24, freq="h")
    sun = np.array([0.0] * 8 + [60, 180, 280, 330, 330, 280, 180, 60] + [0.0] * 8, dtype=float)
    weather = xr.Dataset({"shortwave_down": ("time", sun)}, coords={"time": times})

    def behind(horizon: object) -> np.ndarray:
        site = Site("made up", 45.0, 0.0, horizon=horizon)
        return behind_horizon(weather, site)["shortwave_down"].values

    np.testing.assert_array_equal(behind(None), sun)
    np.testing.assert_allclose(behind({"N": 40.0}), sun)
    all_round = behind(30.0)
    assert 0.0 < all_round[11] < 0.6 * sun[11]
    low_hills = behind([10.0] * 16)
    assert low_hills[11] == pytest.approx(sun[11])
    assert low_hills[8] < sun[8]
