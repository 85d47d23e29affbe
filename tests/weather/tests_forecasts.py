"""Forecasts made of invented weather, in the common shape."""

import numpy as np
import xarray as xr

from winterrisk.weather.forecast import forecast_dataset

HOUR = np.timedelta64(1, "h")
TOLD = ("air_temperature", "dew_point", "wind_speed", "precipitation", "cloud_cover", "surface_pressure")


def perfect(
    came: xr.Dataset, issued: str, hours: int = 168, back: int = 6, received: str | None = None
) -> xr.Dataset:
    """The weather that came, from some hours before the issue on, as if a service had foreseen it."""
    begin = np.datetime64(issued, "h") - back * HOUR
    cut = came.sel(time=slice(begin, np.datetime64(issued, "h") + (hours - 1) * HOUR))
    return forecast_dataset(
        cut["time"].to_numpy(),
        {name: cut[name].to_numpy().astype(float) for name in TOLD},
        source="invented forecast",
        issued=np.datetime64(issued),
        received=np.datetime64(received or issued),
        licence="invented",
        credit="nobody",
        height=float(came.attrs["elevation"]),
    )


def with_members(forecast: xr.Dataset, offsets: list[float]) -> xr.Dataset:
    """An ensemble whose members are the forecast, warmer or colder by these [K]."""
    moved = xr.DataArray(np.array(offsets), dims="member")
    data = {
        name: (
            ("time", "member"),
            (
                forecast[name] + (moved if name in ("air_temperature", "dew_point") else 0.0 * moved)
            ).to_numpy(),
            forecast[name].attrs,
        )
        for name in forecast.data_vars
    }
    return xr.Dataset(data, coords={"time": forecast["time"]}, attrs=forecast.attrs)
