"""Laws of forecast paths: what a perfect forecast, a warm path, an ensemble and a join must give."""

import numpy as np
import pytest
import xarray as xr
from tests_forecasts import HOUR, TOLD, perfect, with_members

from winterrisk.science.air import snow_fraction, vapour_pressure_water, wet_bulb
from winterrisk.weather import REQUIRED, VARIABLES, WeatherError, possible
from winterrisk.weather.forecast import CHANCE, at_height, latest, lead_hours, without_tail
from winterrisk.weather.forecast_errors import NO_ERRORS
from winterrisk.weather.forecast_of_truth import forecast_of_truth, usuals_of
from winterrisk.weather.forecast_paths import forecast_paths
from winterrisk.weather.variables import FILLED, FORECAST, PAST_WINTER

NOW = "2024-01-12T10"
LAST = np.datetime64("2024-01-12T06")
KEY = ("invented", "2023-24")


@pytest.fixture(scope="module")
def known(record: xr.Dataset) -> xr.Dataset:
    return record.sel(time=slice(None, LAST))


@pytest.fixture(scope="module")
def measured(known: xr.Dataset) -> xr.Dataset:
    return known.sel(time=slice("2023-08-01", None))


@pytest.fixture(scope="module")
def told(record: xr.Dataset) -> xr.Dataset:
    return perfect(record, NOW)


@pytest.fixture(scope="module")
def paths(told: xr.Dataset, measured: xr.Dataset, known: xr.Dataset) -> xr.Dataset:
    return forecast_paths(told, measured, members=12, key=KEY, now=np.datetime64(NOW), past=known)


def test_complete_and_in_our_units(paths: xr.Dataset) -> None:
    assert paths["time"].to_numpy()[0] == LAST + HOUR
    assert paths["time"].to_numpy()[-1] == np.datetime64(NOW) + 167 * HOUR
    for name in (*REQUIRED, "cloud_cover", "relative_humidity"):
        column = paths[name]
        assert column.dims == ("time", "member")
        assert column.attrs["units"] == VARIABLES[name].unit
        assert np.isfinite(column).all(), name
        assert float(column.min()) >= VARIABLES[name].low
        assert float(column.max()) <= VARIABLES[name].high
    assert bool((paths["dew_point"] <= paths["air_temperature"]).all())
    assert paths.attrs["source"] == "invented forecast"


def test_a_perfect_forecast_is_the_weather_that_came(
    told: xr.Dataset, measured: xr.Dataset, record: xr.Dataset
) -> None:
    p = forecast_paths(told, measured, members=3, key=KEY, errors=NO_ERRORS)
    came = record.sel(time=p["time"])
    for name in TOLD:
        for member in range(3):
            found = p[name].isel(member=member).to_numpy()
            assert found == pytest.approx(came[name].to_numpy(), abs=0.06 if name == "dew_point" else 1e-9), (
                name
            )


def test_a_warm_path_has_less_snow_and_the_same_water(told: xr.Dataset, measured: xr.Dataset) -> None:
    wet = told.assign(
        precipitation=xr.full_like(told["precipitation"], 0.5),
        air_temperature=xr.full_like(told["air_temperature"], 0.5),
        dew_point=xr.full_like(told["dew_point"], 0.0),
    )
    p = forecast_paths(with_members(wet, [-3.0, 0.0, 3.0]), measured, members=3, key=KEY).isel(
        time=slice(60, None)
    )
    bulb = wet_bulb(p["air_temperature"], vapour_pressure_water(p["dew_point"]), p["surface_pressure"])
    snow = (snow_fraction(bulb) * p["precipitation"].to_numpy()).sum(axis=0)
    order = np.argsort(p["air_temperature"].mean("time").to_numpy())
    assert np.all(np.diff(snow[order]) < 0.0)
    assert p["precipitation"].sum("time").to_numpy() == pytest.approx(
        p["precipitation"].sum("time")[0].item()
    )


def test_errors_of_one_forecast_decide_between_rain_and_snow(told: xr.Dataset, measured: xr.Dataset) -> None:
    wet = told.assign(
        precipitation=xr.full_like(told["precipitation"], 0.5),
        air_temperature=xr.full_like(told["air_temperature"], 0.8),
        dew_point=xr.full_like(told["dew_point"], 0.5),
    )
    p = forecast_paths(wet, measured, members=40, key=KEY).isel(time=slice(96, 120))
    bulb = wet_bulb(p["air_temperature"], vapour_pressure_water(p["dew_point"]), p["surface_pressure"])
    share = snow_fraction(bulb).mean(axis=0)
    assert np.corrcoef(p["air_temperature"].mean("time"), share)[0, 1] < -0.7
    assert share.min() < 0.2
    assert share.max() > 0.8


def test_paths_begin_where_the_station_stands(paths: xr.Dataset, measured: xr.Dataset) -> None:
    last = float(measured["air_temperature"].to_numpy()[-1])
    steps = np.abs(paths["air_temperature"].to_numpy()[0] - last)
    usual_step = np.abs(np.diff(measured["air_temperature"].to_numpy()[-2000:])).max()
    assert steps.max() < usual_step
    spread = paths["air_temperature"].std("member").to_numpy()
    assert spread[0] < 0.5
    assert spread[36:60].mean() > 1.3
    assert spread[-48:].mean() > spread[36:60].mean()


@pytest.mark.parametrize("members", [None, [-6.0, -5.0, 5.0, 7.0]])
def test_a_forecast_beside_the_station_is_joined_without_a_jump(
    told: xr.Dataset, measured: xr.Dataset, record: xr.Dataset, members: list[float] | None
) -> None:
    off = told.assign(
        air_temperature=told["air_temperature"] + 5.0,
        dew_point=told["dew_point"] + 5.0,
        surface_pressure=told["surface_pressure"] + 8.0,
    )
    off = with_members(off, members) if members else off
    p = forecast_paths(off, measured, members=4, key=KEY, errors=NO_ERRORS)
    came = record.sel(time=p["time"])
    wrong = np.abs((p["air_temperature"] - came["air_temperature"]).to_numpy())
    largest = max(np.abs(np.array(members or [0.0]) + 5.0).max(), 5.0)
    assert wrong[0].max() < 0.05 * largest
    assert np.all(np.diff(wrong, axis=0) >= -1e-9), "the difference comes back smoothly"
    assert wrong[-1].max() == pytest.approx(largest, abs=0.01)
    assert np.abs((p["surface_pressure"] - came["surface_pressure"]).to_numpy())[0].max() < 0.5


def test_the_same_hour_keeps_its_error_tomorrow(record: xr.Dataset, known: xr.Dataset) -> None:
    """Beyond the join, the path of an hour is the same tonight and tomorrow but for the smaller error."""
    tomorrow = record.sel(time=slice("2023-08-01", LAST + 24 * HOUR))
    tonight = forecast_paths(
        perfect(record, NOW), known.sel(time=slice("2023-08-01", None)), members=8, key=KEY, past=known
    )
    later = forecast_paths(perfect(record, "2024-01-13T10", 144), tomorrow, members=8, key=KEY, past=known)
    window = slice("2024-01-16T00", "2024-01-18T23")
    came = record["air_temperature"].sel(time=window)
    first = (tonight["air_temperature"].sel(time=window) - came).to_numpy()
    second = (later["air_temperature"].sel(time=window) - came).to_numpy()
    assert np.corrcoef(first.ravel(), second.ravel())[0, 1] > 0.98
    assert np.abs(second).mean() < np.abs(first).mean()
    assert (
        np.array_equal(tonight["precipitation"].sel(time=window), later["precipitation"].sel(time=window))
        or np.corrcoef(
            tonight["precipitation"].sel(time=window).to_numpy().ravel(),
            later["precipitation"].sel(time=window).to_numpy().ravel(),
        )[0, 1]
        > 0.5
    )


def test_the_key_alone_decides(told: xr.Dataset, measured: xr.Dataset) -> None:
    one, same = (forecast_paths(told, measured, members=3, key=KEY) for _ in range(2))
    assert one.identical(same)
    more = forecast_paths(told, measured, members=5, key=KEY)
    assert np.array_equal(more["air_temperature"].isel(member=slice(0, 3)), one["air_temperature"])
    other = forecast_paths(told, measured, members=3, key=("elsewhere", "2023-24"))
    assert not np.allclose(one["air_temperature"], other["air_temperature"])


def test_possible_takes_them_and_goes_on_to_spring(
    paths: xr.Dataset, measured: xr.Dataset, known: xr.Dataset
) -> None:
    out = possible(measured, forecast=paths, past=known, members=5, key=KEY, now=np.datetime64(NOW))
    ahead = out.sel(time=paths["time"])
    for member in range(5):
        assert np.array_equal(
            ahead["air_temperature"].isel(member=member), paths["air_temperature"].isel(member=member)
        )
    assert set(np.unique(ahead["air_temperature_origin"])) == {FORECAST}
    after = out.sel(time=slice(paths["time"].to_numpy()[-1] + HOUR, None))
    assert set(np.unique(after["air_temperature_origin"])) == {PAST_WINTER}
    for name in REQUIRED:
        assert np.isfinite(out[name]).all(), name
    step = np.abs(after["air_temperature"].to_numpy()[0] - ahead["air_temperature"].to_numpy()[-1]).max()
    assert step < 6.0
    assert (out["air_temperature_origin"] < FILLED).sum() > 3000


def test_water_misses_and_comes_unannounced(
    told: xr.Dataset, measured: xr.Dataset, known: xr.Dataset
) -> None:
    dry = told.assign(precipitation=xr.zeros_like(told["precipitation"]))
    p = forecast_paths(dry, measured, members=40, key=KEY, past=known)["precipitation"]
    wet = (p.to_numpy() > 0.0).mean(axis=1)
    assert wet[:30].mean() < 0.05
    assert 0.02 < wet[-48:].mean() < 0.15
    steady = told.assign(precipitation=xr.full_like(told["precipitation"], 0.4))
    q = forecast_paths(steady, measured, members=40, key=KEY, past=known)["precipitation"]
    assert float(q.isel(time=slice(0, 30)).mean()) == pytest.approx(0.4, rel=0.2)
    assert (q.isel(time=slice(-24, None)).to_numpy() == 0.0).mean() > 0.3


def test_beyond_the_amounts_the_chance_decides(told: xr.Dataset, measured: xr.Dataset) -> None:
    def wet_share(chance: float) -> float:
        gone = told.assign(precipitation=xr.full_like(told["precipitation"], np.nan))
        gone[CHANCE] = xr.full_like(told["precipitation"], chance)
        p = forecast_paths(gone, measured, members=40, key=KEY)["precipitation"]
        return float((p.to_numpy() > 0.0).mean())

    assert wet_share(0.9) == pytest.approx(0.36, abs=0.05)
    assert wet_share(0.1) == pytest.approx(0.04, abs=0.02)
    assert wet_share(0.0) == 0.0


def test_what_a_source_does_not_give_is_worked_out(told: xr.Dataset, measured: xr.Dataset) -> None:
    bare = told[["air_temperature", "precipitation"]]
    p = forecast_paths(bare, measured, members=4, key=KEY)
    for name in REQUIRED:
        assert np.isfinite(p[name]).all(), name
    assert float(p["wind_speed"].mean()) == pytest.approx(
        float(measured["wind_speed"].isel(time=slice(-720, None)).mean()), rel=0.25
    )


def test_freezing_rain_only_where_announced_and_cold(told: xr.Dataset, measured: xr.Dataset) -> None:
    wet = told.assign(
        precipitation=xr.full_like(told["precipitation"], 0.5),
        air_temperature=xr.full_like(told["air_temperature"], -1.0),
        dew_point=xr.full_like(told["dew_point"], -1.2),
        freezing_rain=xr.full_like(told["precipitation"], 0.25),
    )
    p = forecast_paths(wet, measured, members=10, key=KEY)
    assert bool((p["freezing_rain"] <= p["precipitation"] + 1e-12).all())
    assert float(p["freezing_rain"].sum()) > 0.0
    assert float(p["freezing_rain"].where(p["air_temperature"] > 0.6).sum()) == 0.0


def test_a_late_beginning_is_bridged_and_a_later_one_refused(
    record: xr.Dataset, measured: xr.Dataset
) -> None:
    p = forecast_paths(perfect(record, NOW, back=0), measured, members=3, key=KEY)
    assert p["time"].to_numpy()[0] == LAST + HOUR
    assert np.isfinite(p["air_temperature"]).all()
    with pytest.raises(WeatherError, match="begins 16 h after the last measured hour"):
        forecast_paths(perfect(record, "2024-01-12T22", back=0), measured, members=3, key=KEY)
    with pytest.raises(WeatherError, match="a forecast that ends"):
        forecast_paths(perfect(record, "2024-01-10T10", hours=20), measured, members=3, key=KEY)
    with pytest.raises(ValueError, match="received"):
        forecast_paths(perfect(record, NOW), measured, members=3, key=KEY, now=LAST)


def test_the_newest_forecast_counts_and_earlier_ones_reach_back(record: xr.Dataset) -> None:
    old, new = perfect(record, "2024-01-10T10"), perfect(record, NOW, back=0)
    whole = latest([new, old])
    assert whole["time"].to_numpy()[0] == old["time"].to_numpy()[0]
    lead = lead_hours(whole)
    at = int((np.datetime64(NOW) - old["time"].to_numpy()[0]) / HOUR)
    assert lead[at - 1] == 47.0
    assert lead[at] == 0.0
    assert whole.attrs["issued"] == new.attrs["issued"]
    station_down = record.sel(time=slice("2023-08-01", "2024-01-10T20"))
    p = forecast_paths(whole, station_down, members=3, key=KEY)
    assert p["time"].to_numpy()[0] == np.datetime64("2024-01-10T21")


def test_height_moves_air_and_dew_point(told: xr.Dataset) -> None:
    # Standard atmosphere: 6.5 K a kilometre.
    lower = at_height(told.assign_attrs(height=1380.0), 380.0)
    assert (lower["air_temperature"] - told["air_temperature"]).to_numpy() == pytest.approx(6.5)
    assert bool((lower["dew_point"] <= lower["air_temperature"]).all())
    higher = at_height(told.assign_attrs(height=0.0), 2000.0)
    assert bool((higher["dew_point"] <= higher["air_temperature"]).all())


def test_the_empty_tail_is_cut_and_a_large_hole_ends_it(told: xr.Dataset) -> None:
    holes = told.copy(deep=True)
    holes["air_temperature"][20:24] = np.nan
    holes["air_temperature"][80:100] = np.nan
    cut = without_tail(holes)
    assert cut.sizes["time"] == 80
    assert np.isfinite(cut["air_temperature"]).all()


def test_a_forecast_made_of_what_came_errs_as_the_model_says(record: xr.Dataset) -> None:
    usuals = usuals_of(record)
    issues = np.arange(np.datetime64("2022-11-01T10"), np.datetime64("2023-03-20T10"), 72 * HOUR)
    wrong = {24: [], 156: []}
    for issue in issues:
        f = forecast_of_truth(record, issue, usuals=usuals, key=("invented", int(issue.astype(int))))
        off = (f["air_temperature"] - record["air_temperature"].sel(time=f["time"])).to_numpy()
        for lead in wrong:
            wrong[lead].append(off[6 + lead])
    assert np.std(wrong[24]) == pytest.approx(1.83, rel=0.25)
    assert np.std(wrong[156]) == pytest.approx(3.3, rel=0.25)
    assert abs(np.mean(wrong[24])) < 0.6
