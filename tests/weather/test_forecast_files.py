"""Ensembles from real NetCDF files, classic and new, as different centres write them."""

from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from winterrisk.weather import WeatherError
from winterrisk.weather import read_forecast_file as module
from winterrisk.weather.forecast import at_height
from winterrisk.weather.read_forecast_file import read_forecast_file

ISSUED = np.datetime64("2026-01-10T00", "ns")
PLACE = (46.6, -95.0)
STEPS = np.concatenate([np.arange(0, 73, 3), np.arange(78, 169, 6)])


def ensemble(members: int = 5, *, accumulated: bool = True) -> xr.Dataset:
    """An invented ensemble on a grid round the place: member m is m K warmer, cells differ by 1 K."""
    lat, lon = np.arange(45.0, 48.01, 0.5), np.arange(263.0, 267.01, 0.5)
    m = np.arange(members)
    shape = (members, len(STEPS), len(lat), len(lon))
    base = 273.15 - 8.0 + m[:, None, None, None] + 0.05 * STEPS[None, :, None, None]
    away = 4.0 * (np.abs(lat[:, None] - 46.5) + np.abs(lon[None, :] - 265.0))
    t = np.broadcast_to(base + away[None, None], shape)
    rate = 0.0002 * (1 + m[:, None, None, None])
    total = rate * STEPS[None, :, None, None]
    tp = total if accumulated else rate * np.diff(STEPS, prepend=-3)[None, :, None, None]
    dims = ("number", "step", "latitude", "longitude")
    return xr.Dataset(
        {
            "t2m": (dims, t.astype(np.float32), {"units": "K"}),
            "d2m": (dims, (t - 2.0).astype(np.float32), {"units": "K"}),
            "u10": (dims, np.full(shape, 3.0, np.float32), {"units": "m s**-1"}),
            "v10": (dims, np.full(shape, -4.0, np.float32), {"units": "m s**-1"}),
            "tp": (dims, np.broadcast_to(tp, shape).astype(np.float32), {"units": "m"}),
            "tcc": (dims, np.full(shape, 0.5, np.float32), {"units": "(0 - 1)"}),
            "orog": (("latitude", "longitude"), np.full(shape[2:], 680.0), {"units": "m"}),
        },
        coords={
            "number": m,
            "step": STEPS.astype("timedelta64[h]").astype("timedelta64[ns]"),
            "time": ISSUED,
            "valid_time": ("step", ISSUED + STEPS.astype("timedelta64[h]")),
            "latitude": lat,
            "longitude": lon,
        },
    )


def written(folder: Path, grid: xr.Dataset, kind: str) -> Path:
    path = folder / f"ensemble-{kind}.nc"
    if kind == "classic":
        grid.to_netcdf(path, engine="scipy", format="NETCDF3_64BIT")
    else:
        pytest.importorskip("netCDF4", reason="netCDF4 is not installed: the new form is not read here")
        grid.to_netcdf(path, engine="netcdf4")
    return path


@pytest.mark.parametrize("kind", ["classic", "new"])
def test_members_of_the_nearest_cell_in_our_units(tmp_path: Path, kind: str) -> None:
    f = read_forecast_file(written(tmp_path, ensemble(), kind), *PLACE)
    assert dict(f.sizes) == {"time": 168, "member": 5}
    assert f["time"].to_numpy()[0] == ISSUED
    hours = np.arange(168) + 0.5
    expected = -8.0 + np.arange(5)[None, :] + 0.05 * hours[:, None]
    assert f["air_temperature"].to_numpy() == pytest.approx(expected, abs=1e-3)
    assert (f["air_temperature"] - f["dew_point"]).to_numpy() == pytest.approx(2.0, abs=1e-3)
    assert f["wind_speed"].to_numpy() == pytest.approx(5.0)
    # Grows by 0.2 mm an hour and member from the issue on: metres in the file, three- and six-hourly.
    assert f["precipitation"].to_numpy() == pytest.approx(
        np.broadcast_to(0.2 * (1 + np.arange(5)), (168, 5)), abs=2e-3
    )
    assert f["cloud_cover"].to_numpy() == pytest.approx(0.5)
    assert f.attrs["issued"] == "2026-01-10T00:00:00"
    assert f.attrs["height"] == 680.0
    lower = at_height(f, 380.0)
    assert (lower["air_temperature"] - f["air_temperature"]).to_numpy() == pytest.approx(0.3 * 6.5, abs=1e-6)


def test_amounts_of_each_step(tmp_path: Path) -> None:
    path = written(tmp_path, ensemble(accumulated=False), "classic")
    f = read_forecast_file(path, *PLACE, accumulated=False)
    assert f["precipitation"].isel(member=0).to_numpy() == pytest.approx(0.2, abs=1e-3)


def test_other_names_and_units(tmp_path: Path) -> None:
    times = ISSUED + np.arange(49) * np.timedelta64(1, "h")
    plain = xr.Dataset(
        {
            "temperature_2m": (("realization", "time"), np.full((3, 49), 14.0) - 14.0, {"units": "celsius"}),
            "relative_humidity_2m": (("realization", "time"), np.full((3, 49), 50.0), {"units": "%"}),
            "precipitation": (("time", "realization"), np.tile([0.5, 0.0, 1.0], (49, 1)), {"units": "mm"}),
            "surface_pressure": (("realization", "time"), np.full((3, 49), 97000.0), {"units": "Pa"}),
        },
        coords={"time": times},
        attrs={"issued": "2026-01-09T18:00:00Z", "license": "invented"},
    )
    f = read_forecast_file(written(tmp_path, plain, "classic"), *PLACE, accumulated=False)
    assert f["dew_point"].to_numpy()[3, 0] == pytest.approx(-9.2, abs=0.1)
    assert f["surface_pressure"].to_numpy()[0, 0] == pytest.approx(970.0)
    assert f["precipitation"].to_numpy()[5].tolist() == pytest.approx([0.5, 0.0, 1.0])
    assert f.attrs["issued"] == "2026-01-09T18:00:00"
    assert f.attrs["licence"] == "invented"


def test_a_changed_number_of_members_and_an_empty_one(tmp_path: Path) -> None:
    grid = ensemble(7)
    grid["t2m"][2] = np.nan
    f = read_forecast_file(written(tmp_path, grid, "classic"), *PLACE)
    assert f.sizes["member"] == 6
    single = ensemble(1).isel(number=0, drop=True)
    assert "member" not in read_forecast_file(written(tmp_path, single, "classic"), *PLACE).dims


def test_what_cannot_be_read_is_told(tmp_path: Path) -> None:
    with pytest.raises(WeatherError, match=r"\[forecast\] file"):
        read_forecast_file(tmp_path / "none.nc", *PLACE)
    for name, content, words in (
        ("a.nc", b"GRIB....", "NetCDF"),
        ("b.nc", b"time,temperature", "another kind of file"),
        ("c.nc", b"CDF\x01 and no more", "cannot be read"),
    ):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(WeatherError, match=words):
            read_forecast_file(tmp_path / name, *PLACE)
    with pytest.raises(WeatherError, match="degrees away"):
        read_forecast_file(written(tmp_path, ensemble(), "classic"), 60.0, 10.0)
    grid = ensemble()
    grid["t2m"].attrs["units"] = "Kelvins"
    with pytest.raises(WeatherError, match=r"unit 'Kelvins'.*kelvin"):
        read_forecast_file(written(tmp_path, grid, "classic"), *PLACE)
    with pytest.raises(WeatherError, match="no air temperature among"):
        read_forecast_file(written(tmp_path, ensemble().drop_vars("t2m"), "classic"), *PLACE)


def test_without_a_reader_of_the_new_form_a_person_is_told_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "new.nc"
    path.write_bytes(b"\x89HDF\r\n\x1a\n")
    monkeypatch.setattr(module, "READERS", {"no_such_reader_here": "netcdf4"})
    with pytest.raises(WeatherError, match=r'pip install "winterrisk\[netcdf\]"'):
        read_forecast_file(path, *PLACE)
