"""Forecasts that were kept, as they were known at an instant."""

import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

import numpy as np
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.science.read_capped import capped_bytes, unpacked
from winterrisk.weather.forecast import AGE_NAME, CHANCE, CHANCE_ATTRS, HOUR, latest
from winterrisk.weather.get_answer import Answer
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import VARIABLES
from winterrisk.weather.write_forecast import FOLDER, FORM

REACHES_BACK: Final = 8 * 24
"""Hours before the instant from which forecasts are still of use [h] (judged: they cover hours not yet
measured)."""

MOVE = "take it from a backup, or move it out of the folder: that forecast is then forgotten"


def read_forecasts(
    course_folder: str | Path,
    known_by: np.datetime64 | None = None,
    source: str | None = None,
    *,
    reaches_back: float = REACHES_BACK,
) -> list[xr.Dataset]:
    """Forecasts (time[, member]) received by an instant, in the order they were received; empty where none.

    Args:
        course_folder: of the owner; known_by: UTC, all where left out; source: only this source's, by its name.
        reaches_back [h]: how much earlier they may have been received.
    Raises:
        WeatherError: a file that cannot be read.
    """
    found = []
    for path in _paths(Path(course_folder), known_by, reaches_back):
        forecast = _forecast(path)
        late = known_by is not None and np.datetime64(forecast.attrs["received"]) > np.datetime64(known_by)
        if not late and (source is None or forecast.attrs["source"] == source):
            found.append(forecast)
    return found


def read_known_forecast(
    course_folder: str | Path, known_by: np.datetime64, source: str | None = None
) -> xr.Dataset | None:
    """What was known at an instant of the hours ahead, earlier forecasts in front; None where nothing was.

    Args:
        course_folder: of the owner; known_by: UTC; source: only this source's.
    Raises:
        WeatherError: a file that cannot be read.
    """
    found = read_forecasts(course_folder, known_by, source)
    if not found:
        return None
    whole = latest(found)
    return whole if whole["time"].to_numpy()[-1] > np.datetime64(known_by) else None


def read_last_answers(course_folder: str | Path, source: str | None = None) -> dict[str, Answer]:
    """The newest answer kept of each address, to be handed to the next call; of one source where named."""
    answers: dict[str, Answer] = {}
    for path in _paths(Path(course_folder), None, REACHES_BACK):
        try:
            whole = _content(path)
        except WeatherError:
            continue
        if source is None or whole["forecast"]["attrs"]["source"] == source:
            with suppress(KeyError, TypeError):
                answers |= {kept["url"]: Answer(**kept) for kept in whole["answers"]}
    return answers


def _paths(course_folder: Path, known_by: np.datetime64 | None, reaches_back: float) -> Iterator[Path]:
    paths = sorted((course_folder / FOLDER).glob("[0-9]*.json.gz"))
    if known_by is None:
        yield from paths
        return
    until = np.datetime64(known_by).astype("datetime64[s]")
    since = until - np.timedelta64(round(reaches_back * 3600), "s")
    for path in paths:
        stamp = path.name.partition("_")[0]
        when = np.datetime64(
            f"{stamp[:4]}-{stamp[4:6]}-{stamp[6:8]}T{stamp[9:11]}:{stamp[11:13]}:{stamp[13:15]}"
        )
        if since <= when <= until:
            yield path


def _content(path: Path) -> dict[str, Any]:
    try:
        whole = json.loads(unpacked(capped_bytes(path)))
        form = whole["form"]
    except (OSError, EOFError, ValueError, KeyError, TypeError) as fault:
        raise WeatherError(Fault(str(path), "a file that cannot be read", "a kept forecast", MOVE)) from fault
    if form != FORM:
        raise WeatherError(Fault(str(path), f"form {form}", f"form {FORM}", "update this program"))
    return dict(whole)


def _forecast(path: Path) -> xr.Dataset:
    """The forecast of a kept file."""
    content = _content(path)
    try:
        forecast = _dataset(content["forecast"])
        np.datetime64(forecast.attrs["received"]), forecast.attrs["source"]
        return forecast
    except (
        KeyError,
        TypeError,
        ValueError,
        IndexError,
        AttributeError,
        StopIteration,
        OverflowError,
    ) as fault:
        raise WeatherError(
            Fault(str(path), "parts that are missing or wrong", "a kept forecast", MOVE)
        ) from fault


def _dataset(told: Mapping[str, Any]) -> xr.Dataset:
    data = {}
    for name, column in told["values"].items():
        values = np.array(column, dtype=np.float64)
        dims = ("time",) if values.ndim == 1 else ("time", "member")
        data[name] = (dims, values, CHANCE_ATTRS if name == CHANCE else VARIABLES[name].attrs)
    count = len(next(iter(told["values"].values())))
    times = np.datetime64(told["begins"], "h") + np.arange(count) * HOUR
    coords: dict[str, Any] = {"time": times.astype("datetime64[ns]")}
    if AGE_NAME in told:
        coords[AGE_NAME] = ("time", np.array(told[AGE_NAME], dtype="datetime64[ns]"))
    return xr.Dataset(data, coords=coords, attrs=dict(told["attrs"]))
