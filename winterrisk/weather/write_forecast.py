"""Keeps a forecast as it was received: one small file each, never changed afterwards."""

import gzip
import hashlib
import json
import os
import re
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
import xarray as xr

from winterrisk.weather.forecast import AGE_NAME
from winterrisk.weather.get_answer import Answer

FOLDER: Final = Path("weather") / "forecasts"
"""Where they lie in a course folder."""
FORM: Final = 1
"""Form of the files; a reader refuses others."""
DECIMALS: Final = 3


def write_forecast(
    course_folder: str | Path, forecast: xr.Dataset, answers: Mapping[str, Answer] | None = None
) -> Path:
    """Path of the file in weather/forecasts/ that keeps a forecast and the answers it was read from.

    The same forecast received twice is kept once, as first received. The file appears whole or not at all.

    Args:
        course_folder: of the owner; forecast (time[, member]); answers: as the service gave them.
    """
    folder = Path(course_folder) / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    told = _plain(forecast)
    source = re.sub(r"[^a-z0-9]+", "-", str(forecast.attrs["source"]).lower()).strip("-")
    issued = re.sub(r"[^0-9T]", "", str(forecast.attrs["issued"]))
    start = f"{source}_{issued}_{_digest(told)}"
    there = sorted(folder.glob(f"*_{start}.json.gz"))
    if there:
        return there[0]
    received = re.sub(r"[^0-9T]", "", str(forecast.attrs["received"]))
    path = folder / f"{received}_{start}.json.gz"
    whole = {"form": FORM, "forecast": told, "answers": [a.kept for a in (answers or {}).values()]}
    content = gzip.compress(json.dumps(whole, sort_keys=True).encode(), mtime=0)
    handle, name = tempfile.mkstemp(dir=folder, prefix=".part-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    finally:
        Path(name).unlink(missing_ok=True)
    return path


def _plain(forecast: xr.Dataset) -> dict[str, Any]:
    values = {}
    for name, column in forecast.data_vars.items():
        rounded = np.round(column.to_numpy().astype(np.float64), DECIMALS)
        values[str(name)] = np.where(np.isfinite(rounded), rounded, None).tolist()
    plain: dict[str, Any] = {"begins": str(forecast["time"].to_numpy()[0].astype("datetime64[h]"))}
    plain |= {"values": values, "attrs": {str(k): v for k, v in forecast.attrs.items()}}
    if AGE_NAME in forecast.coords:
        plain[AGE_NAME] = [str(t) for t in forecast[AGE_NAME].to_numpy().astype("datetime64[s]")]
    return plain


def _digest(told: Mapping[str, Any]) -> str:
    attrs = {k: v for k, v in told["attrs"].items() if k not in ("received", "doubt")}
    same = json.dumps({**told, "attrs": attrs}, sort_keys=True)
    return hashlib.sha256(same.encode()).hexdigest()[:12]
