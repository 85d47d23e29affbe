"""A station's file read into a Dataset in our units, hours in UTC, missing hours left missing."""

from collections.abc import Collection
from pathlib import Path
from typing import Literal

import numpy as np
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.science.read_capped import capped_bytes
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.station_text import decoded, table_of_text
from winterrisk.weather.station_times import (
    Label,
    hour_starts,
    local_days,
    on_every_hour,
    read_times,
    refuse_disorder,
)
from winterrisk.weather.station_values import TIME, sources, values_of
from winterrisk.weather.variables import VARIABLES

DEFAULT_MISSING = ("", "NA", "NaN", "nan", "M", "-9999")
TEMPERATURE_NEEDED = {
    "hourly": ("air_temperature",),
    "daily": ("air_temperature_max", "air_temperature_min"),
}


def read_station(
    path: str | Path,
    *,
    step: Literal["hourly", "daily"] = "hourly",
    label: Label = "start",
    utc_offset: float = 0.0,
    delimiter: str = ",",
    missing: Collection[str] = DEFAULT_MISSING,
    trace: str = "T",
    timezone: str = "UTC",
    height_temperature: float = 2.0,
    height_wind: float = 10.0,
    height_from: Literal["ground", "snow"] = "ground",
    station: str = "",
    provider: str = "",
    licence: str = "",
    **columns: object,
) -> xr.Dataset:
    """Weather of a station file (time) in our units: hourly in UTC by the hour's start, or by local day.

    A CSV table with one header line; lines that start with `#` are comments. Nothing is filled: an hour or
    value that is missing is NaN. A file's columns and units are named by `columns`; what is not named is
    looked for under our own names and units.

    Args:
        path: the file.
        step: rows are hours or local days.
        label: where in its hour the time of an hourly row stands.
        utc_offset [h]: of the file's clock, which must be a standard time (no summer time). Times with a zone
            of their own (`...Z`, `...+01:00`) are taken as they say.
        missing: texts that mean missing; trace: text that means a trace of precipitation or snow.
        timezone: of the course (IANA); daily rows are its local days.
        height_temperature, height_wind [m]: of the sensors; height_from: above "ground" or "snow".
        **columns: our name = "their name" or {"column": "their name", "unit": "their unit"}; `time` too.
    Returns:
        Dataset(time) with attrs step, timezone, station, provider, licence, heights; daily Datasets have
        air_temperature_max and _min and days as time.
    Raises:
        WeatherError: one line a fault: what was found, expected, where, and what to do.
    """
    path = Path(path)
    where = path.name
    table = table_of_text(decoded(_content(path), where), where, delimiter)
    daily = step == "daily"
    found = sources(columns, table.header, where, daily=daily)
    _refuse_incomplete(found, table.header, where, step)
    times, zoned = read_times(table.columns[found[TIME].column], table.lines, where)
    refuse_disorder(times, table.lines, where, step="day" if daily else "hour")
    numbers = {
        name: values_of(table, name, source, where, missing=missing, trace=trace, daily=daily)
        for name, source in found.items()
        if name != TIME
    }
    data: dict[str, tuple[str, np.ndarray, dict[str, str]]] = {}
    if daily:
        whole, into = local_days(times, table.lines, where), 0.0
    else:
        offset = 0.0 if zoned else utc_offset
        whole, into = hour_starts(times, table.lines, where, label=label, utc_offset=offset)
    axis = whole
    for name, values in numbers.items():
        axis, regular = _on_every_day(whole, values) if daily else on_every_hour(whole, values, into)
        data[name] = ("time", regular, VARIABLES[name].attrs)
    attrs = {
        "step": step,
        "timezone": timezone,
        "station": station or path.stem,
        "provider": provider,
        "licence": licence,
        "height_temperature": float(height_temperature),
        "height_wind": float(height_wind),
        "height_from": height_from,
    }
    return xr.Dataset(data, coords={"time": axis.astype("datetime64[ns]")}, attrs=attrs)


def _content(path: Path) -> bytes:
    try:
        return capped_bytes(path)
    except FileNotFoundError:
        fault = Fault(str(path), "no such file", "the station's weather", "check station.file")
        raise WeatherError(fault) from None
    except IsADirectoryError:
        fault = Fault(str(path), "a folder", "a CSV file", "check station.file")
        raise WeatherError(fault) from None
    except PermissionError:
        fault = Fault(str(path), "a file that may not be read", "one that may", "change its permissions")
        raise WeatherError(fault) from None
    except OSError as error:
        found = error.strerror or "a file that cannot be read"
        raise WeatherError(Fault(str(path), found, "a CSV file", "check station.file")) from None


def _refuse_incomplete(found: Collection[str], header: tuple[str, ...], where: str, step: str) -> None:
    lacking = [n for n in (*TEMPERATURE_NEEDED[step], "precipitation") if n not in found]
    if not lacking:
        return
    move = f"name it in station.columns (the file has {', '.join(header)})"
    raise WeatherError([Fault(where, f"no {name}", f"a column for {name}", move) for name in lacking])


def _on_every_day(days: np.ndarray, values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    index = ((days - days[0]) / np.timedelta64(1, "D")).astype(np.int64)
    regular = np.full(int(index[-1]) + 1, np.nan)
    regular[index] = values
    return days[0] + np.arange(len(regular)) * np.timedelta64(1, "D"), regular
