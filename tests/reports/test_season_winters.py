"""This winter's weather beside others: counted by hand on made-up weather, by pandas on the sample's."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xarray as xr

from winterrisk.reports.season_winters import ranks, weather_of_winters


def weather(first: str, last: str, air: float, rain: float = 0.0) -> xr.Dataset:
    time = pd.date_range(first, last, freq="h")
    zeros = np.zeros(len(time))
    return xr.Dataset(
        {
            "air_temperature": ("time", zeros + air), "precipitation": ("time", zeros + rain),
            "air_temperature_origin": ("time", zeros), "precipitation_origin": ("time", zeros),
        },
        coords={"time": time},
    )  # fmt: skip


def test_counts_of_a_made_up_winter() -> None:
    made = weather("2024-11-01", "2025-04-30 23:00", -5.0)
    air = made["air_temperature"].to_numpy()
    thaw = (made["time"] >= np.datetime64("2025-01-10T12")) & (made["time"] < np.datetime64("2025-01-10T18"))
    air[thaw.to_numpy()] = 4.0
    made["precipitation"][:] = 0.5
    (row,) = weather_of_winters(made, ["2024-25"], "UTC")
    hours = 121 * 24
    assert row["mean"] == pytest.approx((-5.0 * (hours - 6) + 4.0 * 6) / hours, abs=1e-4)
    assert (row["coldest"], row["freeze_thaw"], row["rain_mm"]) == (-5.0, 1, 3.0)


def test_a_winter_measured_too_little_is_named_and_not_ranked() -> None:
    made = xr.concat(
        [weather("2023-11-01", "2024-04-30 23:00", -3.0), weather("2024-11-01", "2025-01-15", -9.0)], "time"
    )
    rows = weather_of_winters(made, ["2023-24", "2024-25"], "UTC")
    assert rows[1]["mean"] is None and rows[1]["measured"] == pytest.approx(45.04 / 121, abs=1e-3)
    assert ranks(rows, "2024-25") == {} and ranks(rows, "2023-24")["mean"] == (1, 1)


def test_ranks_count_from_the_highest() -> None:
    rows = [
        {"winter": str(i), **dict.fromkeys(("mean", "coldest", "freeze_thaw", "rain_mm"), v)}
        for i, v in enumerate((3, 1, 2))
    ]
    assert ranks(rows, "2")["rain_mm"] == (2, 3)


def test_counts_of_the_sample_are_those_of_pandas(sample: Path) -> None:
    table = pd.read_csv(
        sample / "station.csv", comment="#", parse_dates=["time"], na_values=["NA"]
    ).set_index("time")
    air = table["air_temperature"].astype(float).interpolate()
    rain = table["precipitation"].astype(float).fillna(0.0)
    made = weather(str(air.index[0]), str(air.index[-1]), 0.0).reindex(time=air.index)
    made["air_temperature"], made["precipitation"] = ("time", air.to_numpy()), ("time", rain.to_numpy())
    for name in ("air_temperature_origin", "precipitation_origin"):
        made[name][:] = 0.0
    (row,) = weather_of_winters(made, ["2024-25"], "America/Winnipeg")
    local = air.tz_localize("UTC").tz_convert("America/Winnipeg").loc["2024-12-01":"2025-03-31"]
    daily = local.resample("1D").agg(["min", "max"])
    assert row["freeze_thaw"] == int(((daily["min"] <= 0) & (daily["max"] > 0)).sum()) > 0
    assert row["coldest"] == pytest.approx(local.min(), abs=1e-3)
    wet = rain.tz_localize("UTC").tz_convert("America/Winnipeg").loc["2024-12-01":"2025-03-31"]
    assert row["rain_mm"] == pytest.approx(wet[local >= 1.0].sum(), abs=1e-3)
