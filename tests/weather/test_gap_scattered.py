"""Short gaps all over a winter: a line smooths the lowest hour and the downpour away, two groups bring them back.

The rolling maximum is pandas', the 90 % point of the normal distribution scipy's.
"""

import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm
from tests_weather_files import write_station

from winterrisk.science.keyed import generator
from winterrisk.weather import complete, known_by, possible, read_station
from winterrisk.weather.gap_scattered import TAIL, WATER_WITHIN

NOW = np.datetime64("2024-01-20T10:00")


def night(hours, place, folder, share):
    """Measured winter and its paths with a share [1] of the record's hours empty, and which hours are."""
    frame = hours.copy()
    gone = generator("scattered").random(len(frame)) < share
    frame.loc[gone, [c for c in frame.columns if c != "time"]] = np.nan
    known = complete(known_by(read_station(write_station(folder, frame)), NOW), place, "invented")
    winter = known.sel(time=slice("2023-08-01", None))
    paths = possible(winter, None, known, key="invented", now=NOW, members=4)
    return winter, paths.isel(time=slice(0, winter.sizes["time"]))


@pytest.fixture(scope="module")
def holed(hours, place, tmp_path_factory):
    return night(hours, place, tmp_path_factory.mktemp("holed"), 0.15)


def of(paths, name, group):
    return paths[name].to_numpy()[:, paths["gap_group"].to_numpy() == group]


def test_a_few_hours_in_a_winter_make_no_groups(hours, place, tmp_path):
    _, paths = night(hours, place, tmp_path, 0.01)
    assert set(paths["gap_group"].to_numpy()) == {0}


def test_what_was_measured_stays_in_every_group(holed):
    winter, paths = holed
    for name in ("air_temperature", "precipitation", "dew_point"):
        measured = winter[f"{name}_origin"].to_numpy() == 0
        assert 0.8 < measured.mean() < 0.9
        values = paths[name].to_numpy()[measured]
        assert values == pytest.approx(np.repeat(winter[name].to_numpy()[measured, None], 12, axis=1)), name


def test_one_group_is_cold_and_dry_by_the_end_of_the_range(holed):
    winter, paths = holed
    unknown = (winter["air_temperature_origin"] == 3).to_numpy()
    below = of(paths, "air_temperature", 0).mean(axis=1) - of(paths, "air_temperature", 1)[:, 0]
    spread = winter["air_temperature_sd"].to_numpy()
    assert below[unknown].min() > 0
    assert np.median(below[unknown] / spread[unknown]) == pytest.approx(norm.ppf(0.95), abs=0.35)
    assert norm.ppf(0.95) == pytest.approx(TAIL, abs=1e-3)
    dry = (winter["precipitation_origin"] == 3).to_numpy()
    assert of(paths, "precipitation", 1)[dry].max() == 0.0
    assert of(paths, "longwave_down", 1)[unknown].mean() < of(paths, "longwave_down", 0)[unknown].mean()


def test_the_other_freezes_harder_thaws_more_and_rains_as_it_did_nearby(holed):
    winter, paths = holed
    unknown = (winter["air_temperature_origin"] == 3).to_numpy()
    usual, sharp = (of(paths, "air_temperature", g).mean(axis=1)[unknown] for g in (0, 2))
    clear = np.abs(usual) > 2.0
    assert (np.sign(sharp - usual) == np.sign(usual))[clear].all()
    dry = (winter["precipitation_origin"] == 3).to_numpy()
    measured = pd.Series(np.where(dry, 0.0, winter["precipitation"].to_numpy()))
    nearby = measured.rolling(2 * WATER_WITHIN + 1, center=True, min_periods=1).max().to_numpy()
    assert nearby[dry].max() > 0
    assert (of(paths, "precipitation", 2)[dry] >= nearby[dry, None] - 1e-9).all()


def test_dew_point_never_stands_above_the_air(holed):
    _, paths = holed
    assert (paths["dew_point"] <= paths["air_temperature"] + 1e-9).all()
