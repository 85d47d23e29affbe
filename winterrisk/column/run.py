"""The column over a winter: weather and ground in, hours or days out."""

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.days import DAY_VARIABLES
from winterrisk.column.events import apply_change, changes
from winterrisk.column.loop import HOURLY_VARIABLES, run_columns
from winterrisk.column.soils import layer_table
from winterrisk.column.state import State, first_state
from winterrisk.science.compiled import COMPILED, CORES, checked_numbers
from winterrisk.science.faults import Fault, Refused

NEEDED = {
    "air_temperature": (at.AIR, -70.0, 60.0),
    "dew_point": (at.DEW, -90.0, 45.0),
    "wind_speed": (at.WIND, 0.0, 75.0),
    "precipitation": (at.PRECIPITATION, 0.0, 600.0),
    "surface_pressure": (at.PRESSURE, 500.0, 1100.0),
    "shortwave_down": (at.SUN, -5.0, 1500.0),
    "longwave_down": (at.SKY, 40.0, 650.0),
    "snow_fraction": (at.SNOW_SHARE, 0.0, 1.0),
}
"""Weather the column needs, its place in the hour and the range it accepts."""
_Variable = tuple[tuple[str, ...], NDArray[np.floating], dict[str, str]]

FIRST_HOURS = 240
"""Hours whose mean air temperature starts the ground [h] (convention of the package)."""
FIRST_OF_AUGUST = 213
MANY = 50
"""Columns from which the work is shared over the cores."""
COVER_PATCH = {"none": 0.02, "mown_green": 0.015, "rough_grass": 0.10, "forest_clearing": 0.10}
"""Snow depth that hides the cover [m] (judged)."""
COVER_TALL = {"rough_grass": 2.5, "forest_clearing": 2.5}
"""Roughness over that of mown turf [1] (judged: 7 mm for grass plots of 5-10 cm)."""
COVER_WIND = {"forest_clearing": 0.7}
"""Share of the mast's wind among trees [1] (judged)."""
WATERED_FROM, WATERED_UNTIL = 501, 1101
"""Month and day between which an irrigated zone is watered: lines are drained before the first hard frost
(judged)."""
BLOWN_BARE = 0.5
"""Snow gain at which all that wind takes is already in the gain [1] (the gain of "blows off")."""
ORIFICE_WIND = 0.22
"""Wind at the orifice of a gauge over that at 10 m [1]: two thirds at 1.4 m by the logarithmic profile, a third of
that in the shelter a gauge is given (judged: a tenth of the snow lost at 0 degC and 5 m/s, a fifth in frost)."""
COVER_LEAF = {
    "mown_green": par.LEAF_MOWN,
    "rough_grass": par.LEAF_ROUGH,
    "forest_clearing": par.LEAF_CLEARING,
}


class ColumnError(Refused):
    """The column was given weather or ground it cannot work with."""


def _said(ground: Any, name: str, default: Any) -> Any:
    if name not in ground:
        return default
    value = ground[name]
    value = value.item() if hasattr(value, "item") else value
    return default if value is None or (isinstance(value, float) and np.isnan(value)) else value


def _hours(zone_weather: xr.Dataset) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Weather (path, time, WEATHER) and local day of each hour, days since 1970."""
    times = pd.DatetimeIndex(zone_weather["time"].values)
    faults = []
    if len(times) > 1 and not (np.diff(times.values) == np.timedelta64(1, "h")).all():
        faults.append(
            Fault("zone weather", "hours missing or out of order", "one row per hour", "run weather.complete")
        )
    paths = zone_weather.sizes.get("member", 1)
    block = np.zeros((paths, len(times), at.WEATHER))
    block[:, :, at.DATA] = 1.0

    def values(name: str) -> NDArray[np.float64]:
        field = zone_weather[name]
        if "member" in field.dims:
            return np.asarray(field.transpose("member", "time").values, dtype=np.float64)
        return np.asarray(field.values, dtype=np.float64)[None, :]

    for name, (slot, low, high) in NEEDED.items():
        if name not in zone_weather:
            faults.append(
                Fault("zone weather", f"no {name}", "every needed variable", "run microclimate.zone_weather")
            )
            continue
        data = values(name)
        bad = ~((data >= low) & (data <= high))
        if bad.any():
            when = times[np.nonzero(bad.any(axis=0))[0][0]]
            worst = data[bad].ravel()[0]
            faults.append(
                Fault(
                    f"zone weather, {name} at {when}",
                    f"{worst}",
                    f"{low:g} to {high:g}",
                    "check the station's file",
                )
            )
        block[:, :, slot] = data
    if faults:
        raise ColumnError(faults)
    block[:, :, at.SUN] = np.maximum(block[:, :, at.SUN], 0.0)
    if "freezing_rain" in zone_weather:
        block[:, :, at.FREEZING_RAIN] = np.nan_to_num(values("freezing_rain"))
    origins = [name for name in ("air_temperature_origin", "precipitation_origin") if name in zone_weather]
    if origins:
        block[:, :, at.DATA] = sum((values(name) <= 1.0).astype(float) for name in origins) / len(origins)
    zone = str(zone_weather.attrs.get("timezone", "UTC"))
    day, block[:, :, at.WATERED] = _calendar(np.datetime64(times.values[0], "h"), len(times), zone)
    return block, day


@lru_cache(maxsize=64)
def _calendar(
    first: np.datetime64, hours: int, timezone: str
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Local day of each hour, days since 1970, and 1 where an irrigated zone is watered then."""
    local = pd.date_range(first, periods=hours, freq="h", tz="UTC").tz_convert(timezone).tz_localize(None)
    date = local.month * 100 + local.day
    watered = np.asarray((date >= WATERED_FROM) & (date < WATERED_UNTIL), dtype=float)
    return local.values.astype("datetime64[D]").astype(np.int64), watered


def _ground(ground: Any, attrs: Mapping[Any, Any], parameters: NDArray[np.float64]) -> NDArray[np.float64]:
    """Fills the ground's part of the parameters; the layer table (member, LAYERS, PROPERTIES)."""
    cover = str(_said(ground, "cover", "mown_green"))
    exposure = float(_said(ground, "exposure", 0.0))
    leaf = COVER_LEAF.get(cover)
    parameters[:, par.LEAF] = parameters[:, leaf] if leaf is not None else 0.0
    parameters[:, par.SUN_BELOW] = parameters[:, par.LEAF_SUN] if leaf is not None else 0.0
    parameters[:, par.PATCH] = COVER_PATCH.get(cover, COVER_PATCH["none"])
    parameters[:, par.ROUGH_TURF] *= COVER_TALL.get(cover, 1.0)
    parameters[:, par.SHELTER] = COVER_WIND.get(cover, 1.0)
    parameters[:, par.STORAGE] = float(_said(ground, "depression_storage", 0.0))
    parameters[:, par.SLOPE] = float(_said(ground, "slope", 0.015))
    gain = float(_said(ground, "snow_gain", 1.0))
    parameters[:, par.SNOW_GAIN] = gain
    parameters[:, par.EXPOSED] = max(0.0, exposure) * min(
        1.0, max(0.0, (gain - BLOWN_BARE) / (1.0 - BLOWN_BARE))
    )
    parameters[:, par.GAUGE_WIND] = ORIFICE_WIND if attrs.get("gauge") == "unshielded" else 0.0
    parameters[:, par.IRRIGATED] = float(_said(ground, "irrigated", 0.0))
    parameters[:, par.HEIGHT_WIND] = float(attrs.get("height_wind", 10.0))
    parameters[:, par.HEIGHT_AIR] = float(attrs.get("height_temperature", 2.0))
    parameters[:, par.FROM_GROUND] = float(attrs.get("height_from", "ground") != "snow")
    soil = _said(ground, "soil", None)
    thatch = (
        float(_said(ground, "thatch", 0.015))
        if cover == "mown_green"
        else float(_said(ground, "thatch", 0.0))
    )
    holding = _said(ground, "water_holding", None)
    return layer_table(
        str(_said(ground, "build", "sand")),
        thatch,
        str(_said(ground, "drainage", "fair")),
        None if soil is None else str(soil),
        parameters,
        None if holding is None else float(holding),
    )


def _run(
    state: NDArray[np.float64],
    begin: int,
    end: int,
    weather: NDArray[np.float64],
    path: NDArray[np.int64],
    day: NDArray[np.int64],
    parameters: NDArray[np.float64],
    layers: NDArray[np.float64],
    days: NDArray[np.float32],
    hours: NDArray[np.float32],
) -> None:
    members = len(state)

    def part(first: int, last: int) -> None:
        scratch, out = np.zeros((at.SCRATCH, at.NODES)), np.zeros(at.OUTPUTS)
        run_columns(
            first, last, begin, end, weather, path, day, state, parameters, layers, scratch, out, days, hours
        )

    workers = min(CORES, members // (MANY // 2)) if COMPILED and members >= MANY else 1
    if workers <= 1:
        part(0, members)
        return
    edges = np.linspace(0, members, workers + 1).astype(int)
    with ThreadPoolExecutor(workers) as pool:
        list(pool.map(part, edges[:-1].tolist(), edges[1:].tolist()))


def run(
    zone_weather: xr.Dataset,
    ground: Any,
    *,
    events: pd.DataFrame | None = None,
    draws: Mapping[str, NDArray[Any]] | None = None,
    output: str = "hourly",
    start: State | None = None,
    until: Any = None,
    keep_state: bool = False,
    soil_start: tuple[Any, Any] | None = None,
) -> Any:
    """The winter at the turf: hourly `winter` (time[, member]) or daily `winter_days` (day, member).

    Without `start` the ground begins snowless at `soil_start`, else at the mean air temperature of the
    first ten days, cooler with depth in summer: begin about 1 August, a later start gets the store wrong.

    Args:
        zone_weather (time[, member]): hourly weather of the zone with snow_fraction; attrs timezone,
            height_temperature, height_wind [m], height_from ("ground" or "snow"), gauge ("unshielded": the snow
            it misses in wind is added; else precipitation stands as measured).
        ground: build, thatch [m], drainage, depression_storage [kg m-2], slope [1], exposure, snow_gain [1],
            cover, irrigated [1] (watered from May to October), and optionally one `soil` for the whole depth. Snow
            is lost to wind once: hour by hour where the zone is exposed and its snow "stays", by the gain where it
            "blows off".
        events: what people saw and did; applied to every member at its hour.
        draws: arrays (member) by key of the column's rows; "path" picks the weather member of each column.
        output: "hourly" or "days".
        start: state to go on from; the run then begins at its time.
        until: last hour, exclusive.
        keep_state: also return the State at the end.
        soil_start: depths [m] and temperatures [degC] of the ground at the first hour.

    Returns:
        Dataset, or (Dataset, State) with keep_state.

    Raises:
        ColumnError: weather missing, not finite, or outside what the column accepts.
    """
    times = zone_weather["time"].values
    low = np.datetime64(start.time) if start is not None else times[0]
    high = np.datetime64(until) if until is not None else times[-1] + np.timedelta64(1, "h")
    inside = np.flatnonzero((times >= low) & (times < high))
    chosen = zone_weather.isel(time=_as_slice(inside)) if len(inside) < len(times) else zone_weather
    if not chosen.sizes["time"]:
        raise ColumnError(
            Fault("zone weather", "no hour to run", f"hours from {low} to {high}", "check start and until")
        )
    block, day = _hours(chosen)
    paths = len(block)
    drawn = {key: np.asarray(value) for key, value in (draws or {}).items()}
    sizes = [len(value) for value in drawn.values() if value.ndim]
    members = sizes[0] if sizes else (len(start.array) if start is not None else paths)
    path = np.asarray(drawn.get("path", np.arange(members) % paths), dtype=np.int64)
    parameters = par.parameter_vector(drawn, members)
    layers = _ground(ground, zone_weather.attrs, parameters)
    if start is not None:
        state = np.array(start.array)
    else:
        season = 0.0
        if soil_start is None:
            soil_start = ([0.0], block[:, :FIRST_HOURS, at.AIR].mean(axis=1)[path][:, None])
            season = float(
                np.cos(2.0 * np.pi * (pd.Timestamp(times[0]).day_of_year - FIRST_OF_AUGUST) / 365.25)
            )
        state = first_state(
            np.asarray(soil_start[0], float),
            np.asarray(soil_start[1], float),
            parameters,
            layers,
            season=season,
        )

    hourly = output == "hourly"
    steps = len(day)
    days = np.full((members, int(day[-1] - day[0]) + 1, len(DAY_VARIABLES)), np.nan, dtype=np.float32)
    hours = np.zeros((members, steps if hourly else 0, at.OUTPUTS), dtype=np.float32)
    first_hour = chosen["time"].values[0].astype("datetime64[h]")
    zone = str(ground["zone"].item()) if hasattr(ground, "coords") and "zone" in ground.coords else None
    begin = 0
    for change in changes(events, zone, members):
        hour = int((change.time - first_hour) / np.timedelta64(1, "h"))
        if not 0 <= hour < steps:
            continue
        if hour > begin:
            _run(state, begin, hour, block, path, day, parameters, layers, days, hours)
            begin = hour
        apply_change(change, state, parameters, layers)
    _run(state, begin, steps, block, path, day, parameters, layers, days, hours)
    for worked in (state, days, hours):
        checked_numbers(worked, "the winter column")

    single = hourly and not sizes and paths == 1
    label = {"units": "kg m-2", "long_name": "water set by people's observations"}
    water: _Variable = (("member",), state[:, at.EVENT_WATER].copy(), label)
    result = _hourly(chosen, hours, water) if hourly else _daily(chosen, days, day, path, water)
    if single:
        result = result.isel(member=0, drop=True)
    if keep_state:
        end = chosen["time"].values[-1] + np.timedelta64(1, "h")
        return result, State(end, state)
    return result


def _as_slice(places: NDArray[np.intp]) -> slice | NDArray[np.intp]:
    """Places in a row as a slice, which copies nothing."""
    if len(places) and places[-1] - places[0] + 1 == len(places):
        return slice(int(places[0]), int(places[-1]) + 1)
    return places


def at_depth(winter: xr.Dataset, depth: float) -> NDArray[np.float64]:
    """Temperature [degC] (time) of one member at a depth [m] below the top of the thatch, linear between
    layers."""
    soil = winter["soil_temperature"].values
    k = int(np.clip(np.searchsorted(at.CENTRES, depth) - 1, 0, at.LAYERS - 2))
    share = np.clip((depth - at.CENTRES[k]) / (at.CENTRES[k + 1] - at.CENTRES[k]), 0.0, 1.0)
    return np.asarray(soil[:, k] * (1.0 - share) + soil[:, k + 1] * share)


def _hourly(weather: xr.Dataset, hours: NDArray[np.float32], water: _Variable) -> xr.Dataset:
    result = xr.Dataset(
        {"observed_water": water},
        coords={"time": weather["time"], "member": np.arange(len(hours)), "depth": at.CENTRES},
    )
    for i, (name, (unit, label)) in enumerate(HOURLY_VARIABLES.items()):
        result[name] = (("time", "member"), hours[:, :, i].T, {"units": unit, "long_name": label})
    soil = hours[:, :, at.O_SOIL :].transpose(1, 2, 0)
    label = {"units": "degC", "long_name": "temperature of mat and soil"}
    result["soil_temperature"] = (("time", "depth", "member"), soil, label)
    result["depth"].attrs = {"units": "m", "long_name": "depth below the top of the thatch"}
    return result


def _daily(
    weather: xr.Dataset,
    days: NDArray[np.float32],
    day: NDArray[np.int64],
    path: NDArray[np.int64],
    water: _Variable,
) -> xr.Dataset:
    labels = (np.arange(days.shape[1]) + day[0]).astype("datetime64[D]").astype("datetime64[ns]")
    data: dict[str, _Variable] = {
        name: (("day", "member"), np.ascontiguousarray(days[:, :, i].T), {"units": unit, "long_name": label})
        for i, (name, (unit, label)) in enumerate(DAY_VARIABLES.items())
    }
    data["observed_water"] = water
    result = xr.Dataset(data, coords={"day": labels, "member": np.arange(len(days))})
    if "gap_group" in weather:
        group = np.asarray(weather["gap_group"].values)
        result = result.assign_coords(gap_group=("member", group[path]))
        result["gap_group"].attrs = {"units": "1", "long_name": "which gap filling a member has"}
    return result
