"""Values of the online history in our units: one source a value, marked by how it came about, nothing filled."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.faults import Fault
from winterrisk.weather.history_depth import depth_in_cm
from winterrisk.weather.history_faults import NOTHING_STANDS, variable_faults
from winterrisk.weather.history_sources import OnlineStation, SourceKind, best_values
from winterrisk.weather.known import interval_ends
from winterrisk.weather.pressure import at_station
from winterrisk.weather.variables import FORECAST, MEASURED, VARIABLES

Array = NDArray[np.float64]

HOUR, DAY = pd.Timedelta(hours=1), pd.Timedelta(days=1)
PROVIDER: Final = "Meteostat"
LICENCE: Final = "CC BY 4.0"
"""Terms under which the history is generally given, as its library says."""
FREEZING_RAIN_CODES: Final = (10, 11)
"""Codes of the weather reported for freezing rain, light and heavy (from memory)."""
SILENT: Final = pd.Timedelta(hours=24)
"""How long a station may lag behind before it is told (judged; two to three hours are usual)."""
ENOUGH: Final = pd.Timedelta(days=30)
"""Part of a year that must be there before a variable is missed in it (judged)."""
FROM_THE_NEXT: Final = 1
"""Values of a year that stand in the next year's file: what fell in its last hour."""
COLUMNS: Final[Mapping[str, Mapping[str, tuple[str, float]]]] = {
    "hourly": {
        "air_temperature": ("temp", 1.0),
        "relative_humidity": ("rhum", 0.01),
        "precipitation": ("prcp", 1.0),
        "snow_depth": ("snwd", 0.01),
        "wind_speed": ("wspd", 1 / 3.6),
        "surface_pressure": ("pres", 1.0),
        "cloud_cover": ("cldc", 1 / 8),
    },
    "daily": {
        "air_temperature_max": ("tmax", 1.0),
        "air_temperature_min": ("tmin", 1.0),
        "relative_humidity": ("rhum", 0.01),
        "precipitation": ("prcp", 1.0),
        "snow_depth": ("snwd", 0.01),
        "wind_speed": ("wspd", 1 / 3.6),
        "surface_pressure": ("pres", 1.0),
        "cloud_cover": ("cldc", 1 / 8),
    },
}
"""Our name -> the history's name, and the factor to our unit."""
WEATHER_CODE: Final = "coco"


def history_record(
    table: pd.DataFrame,
    station: OnlineStation,
    kinds: Mapping[str, SourceKind],
    *,
    begin: pd.Timestamp,
    now: np.datetime64,
    timezone: str,
    wanted: Iterable[str] = (),
) -> tuple[xr.Dataset | None, list[Fault]]:
    """Record (time) of a station in our units with `<name>_origin`, and what lacks in it.

    Where several sources give a value the measured one of the highest rank counts. A value that does not say
    where it comes from is left out. Hours that only a forecast gives are kept between measured ones and marked
    4; after the last measured one they are left out, so that the record's age is that of the station. Hours
    and days that are not over at `now` are left out too. Values that cannot be true stay for the checks.

    Precipitation is reported at the end of its hour (from memory) and stands here at the start; pressure is
    reported at sea level and stands here at the station's height, or not at all where that is unknown.

    Args:
        table (time, source): columns of the history, in its units; UTC or the source's own day.
        kinds: by name of a source. begin, now: UTC. timezone: of the course. wanted: variables that are used.
    """
    table = table[table.index.get_level_values("time") <= pd.Timestamp(now)]
    step = HOUR if station.step == "hourly" else DAY
    columns: dict[str, pd.DataFrame] = {}
    unsourced: dict[str, dict[int, int]] = {}
    table, faults = _numbers(table, station)
    for name, (theirs, factor) in COLUMNS[station.step].items():
        best, without = best_values(table, theirs, kinds)
        unsourced[name] = without
        if best.empty or (name == "surface_pressure" and station.elevation is None):
            continue
        if name == "snow_depth":
            best, more = depth_in_cm(best, table, station)
            faults += more
        best["value"] *= factor
        if name == "surface_pressure":
            best["value"] = at_station(best["value"].to_numpy(), float(station.elevation or 0.0))
        if name == "precipitation" and station.step == "hourly":
            if (icy := _freezing_rain(best, best_values(table, WEATHER_CODE, kinds)[0])) is not None:
                columns["freezing_rain"] = icy
            best = best.set_axis(pd.DatetimeIndex(best.index) - HOUR)
        columns[name] = best
    faults += _unsourced(station, unsourced)
    raw = _on_one_axis(columns, station, begin, step, timezone)
    if raw is not None:
        raw = raw.isel(time=np.flatnonzero(interval_ends(raw) <= np.datetime64(now)))
    if raw is None or not raw.sizes["time"]:
        return None, faults
    raw, more = _without_forecast_end(raw, station)
    faults += more
    if raw is None:
        return None, faults
    faults += _lacking(raw, station, wanted)
    sources = {s for best in columns.values() for text in best["source"].unique() for s in str(text).split()}
    credits = sorted({kinds[s].credit for s in sources if s in kinds} - {""})
    return raw.assign_attrs(licence=f"{', '.join((PROVIDER, *credits))} ({LICENCE})"), faults


def _numbers(table: pd.DataFrame, station: OnlineStation) -> tuple[pd.DataFrame, list[Fault]]:
    """The table with what is no number missing, and how many such values there were."""
    numbers = table.apply(pd.to_numeric, errors="coerce")
    numbers = numbers.where(np.isfinite(numbers))
    lost = int((numbers.isna() & table.notna()).to_numpy().sum())
    if not lost:
        return numbers, []
    found = f"{lost} value{'s' if lost > 1 else ''} that {'are' if lost > 1 else 'is'} no number"
    return numbers, [Fault(station.said, found, "", "left out")]


def _freezing_rain(water: pd.DataFrame, code: pd.DataFrame) -> pd.DataFrame | None:
    """Freezing rain [kg m-2] at the start of its hour: the hour's water where the weather reported is freezing
    rain, missing where none was reported."""
    if code.empty:
        return None
    told = code["value"].reindex(water.index)
    value = water["value"].where(told.isin(FREEZING_RAIN_CODES), 0.0).where(told.notna())
    origin = np.maximum(water["origin"], code["origin"].reindex(water.index).fillna(MEASURED))
    icy = pd.DataFrame({"value": value, "source": water["source"], "origin": origin})
    return icy.set_axis(pd.DatetimeIndex(water.index) - HOUR).dropna(subset=["value"])


def _on_one_axis(
    columns: Mapping[str, pd.DataFrame],
    station: OnlineStation,
    begin: pd.Timestamp,
    step: pd.Timedelta,
    timezone: str,
) -> xr.Dataset | None:
    columns = {name: best[best.index >= begin] for name, best in columns.items()}
    columns = {name: best for name, best in columns.items() if len(best)}
    if not columns:
        return None
    first = min(best.index[0] for best in columns.values())
    last = max(best.index[-1] for best in columns.values())
    axis = pd.date_range(first, last, freq=step)
    data: dict[str, Any] = {}
    for name in (n for n in VARIABLES if n in columns):
        best = columns[name].reindex(axis)
        data[name] = ("time", best["value"].to_numpy(dtype=np.float64), VARIABLES[name].attrs)
        data[f"{name}_origin"] = ("time", best["origin"].fillna(MEASURED).to_numpy().astype(np.int8))
    attrs = {
        "step": station.step,
        "timezone": timezone,
        "station": station.said,
        "station_id": station.id,
        "provider": PROVIDER,
        "latitude": station.latitude,
        "longitude": station.longitude,
        "height_temperature": 2.0,
        "height_wind": 10.0,
        "height_from": "ground",
    }
    if station.elevation is not None:
        attrs["elevation"] = station.elevation
    return xr.Dataset(data, coords={"time": axis.to_numpy().astype("datetime64[ns]")}, attrs=attrs)


def _without_forecast_end(raw: xr.Dataset, station: OnlineStation) -> tuple[xr.Dataset | None, list[Fault]]:
    names = [str(n) for n in raw.data_vars if f"{n}_origin" in raw]
    told = np.any([np.isfinite(raw[n]) for n in names], axis=0)
    measured = np.any([np.isfinite(raw[n]) & (raw[f"{n}_origin"] < FORECAST) for n in names], axis=0)
    times = raw["time"].to_numpy()
    if not measured.any():
        found = "only values of a forecast, none measured"
        return None, [Fault(station.said, found, "", NOTHING_STANDS)]
    last = int(np.flatnonzero(measured)[-1])
    ends = times[int(np.flatnonzero(told)[-1])]
    faults = []
    if ends - times[last] > SILENT:
        found = f"only values of a forecast after {str(times[last])[:16].replace('T', ' ')} UTC"
        faults.append(
            Fault(station.said, found, "", "they are left out; choose another station if it stays silent")
        )
    return raw.isel(time=slice(0, last + 1)), faults


def _lacking(raw: xr.Dataset, station: OnlineStation, wanted: Iterable[str]) -> list[Fault]:
    """Variables that a year has nothing of although it is wanted, or other years have it."""
    years = raw["time"].dt.year.to_numpy()
    rows = np.any([np.isfinite(raw[n]) for n in map(str, raw.data_vars) if n in VARIABLES], axis=0)
    step = HOUR if station.step == "hourly" else DAY
    long_enough = [y for y in np.unique(years) if np.sum(rows & (years == y)) * step >= ENOUGH]

    def known(name: str, year: int) -> int:
        return int(np.isfinite(raw[name].to_numpy()[years == year]).sum())

    names = dict.fromkeys((*wanted, *(str(n) for n in raw.data_vars if str(n) in VARIABLES)))
    lacking = {
        name: [int(y) for y in long_enough if name not in raw or known(name, y) <= FROM_THE_NEXT]
        for name in names
    }
    return variable_faults(station.said, lacking, "no values in a year that has others", NOTHING_STANDS)


def _unsourced(station: OnlineStation, counts: Mapping[str, Mapping[int, int]]) -> list[Fault]:
    faults = []
    for year in sorted({year for by_year in counts.values() for year in by_year}):
        names = [name.replace("_", " ") for name, by_year in counts.items() if year in by_year]
        count = sum(by_year.get(year, 0) for by_year in counts.values())
        what = f"{count} value{'s' if count > 1 else ''} of {', '.join(names)}"
        doubt = (
            "that do not say where they come from" if count > 1 else "that does not say where it comes from"
        )
        faults.append(Fault(f"{station.said}, {year}", f"{what} {doubt}", "", "left out"))
    return faults
