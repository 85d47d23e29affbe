"""The column against field records; bars are those of the field scores."""

import os
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

import field_scores  # noqa: E402
from field_sites import hourly_weather, read_site, read_table  # noqa: E402

from winterrisk.weather.sun_position import sun_position  # noqa: E402

FOLDER = os.environ.get("WINTERRISK_FIELD_DATA")
needs_data = pytest.mark.skipif(
    not FOLDER, reason="WINTERRISK_FIELD_DATA is not set: field data lie outside the project"
)


def _scores(name: str) -> dict[tuple[str, str], field_scores.Score]:
    sites = [read_site(HERE / "data" / f"site_{i}.toml") for i in field_scores.KNOWN[name]]
    return {(s.site, s.quantity): s for s in field_scores.scores(read_table(Path(str(FOLDER)) / name), sites)}


@needs_data
@pytest.mark.parametrize(
    "name",
    [
        pytest.param(
            name,
            marks=pytest.mark.xfail(
                strict=True,
                reason="wet days worked out from temperature alone come out too dry and clear to melt snow",
            ),
        )
        if "airport" in name
        else name
        for name in field_scores.KNOWN
    ],
)
def test_bars_are_met(name: str) -> None:
    judged = [s for s in _scores(name).values() if s.met is not None]
    assert judged
    missed = [str(s) for s in judged if not s.met]
    assert not missed, "\n".join(missed)


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
