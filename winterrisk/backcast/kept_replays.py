"""Replays of past winters kept by their content: the same weather, ground, work and parameters give the same days."""

import hashlib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr

import winterrisk
from winterrisk.column.members import Members
from winterrisk.course import Course
from winterrisk.microclimate import zone_ground
from winterrisk.science.read_cache_folder import cache_folder, source_digest

MOST: Final = 12
"""Replays kept; the oldest go first (judged: some 25 MB each for 24 zones x 24 members)."""
FOLDER: Final = "replays"
WORKED_BY: Final = ("science", "thresholds", "course", "weather", "microclimate", "column")
"""Chapters whose code makes the days of a replay: another state of it is other content."""


def content_of(
    paths: xr.Dataset,
    course: Course,
    events: Mapping[str, pd.DataFrame],
    several: Members,
    zones: Iterable[str],
) -> str:
    """SHA-256 of everything that the days of a replay hang on, the code that works them among it."""
    package = Path(winterrisk.__file__).parent
    digest = hashlib.sha256(source_digest(package, WORKED_BY).encode())

    def add(name: str, value: Any) -> None:
        digest.update(name.encode())
        digest.update(
            np.ascontiguousarray(value).tobytes() if isinstance(value, np.ndarray) else repr(value).encode()
        )

    for name in sorted(str(n) for n in paths.variables):
        values = paths[name].to_numpy()
        add(name, values.astype(str) if values.dtype == object else values)
    add("attrs", sorted((str(k), str(v)) for k, v in paths.attrs.items()))
    for row in course.zones():
        add("zone", row)
    ground = zone_ground(course)
    for name in sorted(str(n) for n in ground.variables):
        add(name, ground[name].to_numpy().astype(str))
    for zone in zones:
        add(zone, events[zone].to_csv(index=False))
    for key, values in sorted(several.column.items()):
        add(key, np.asarray(values))
    add("path", np.asarray(several.path))
    return digest.hexdigest()


def kept_days(content: str, make: Callable[[], xr.Dataset], folder: Path | None = None) -> xr.Dataset:
    """Winter days of a content: read back where they were kept by this very program, else made and kept.

    Kept in the user's own cache beside the compiled code, never in a course folder; nothing is lost with it.

    Args:
        content: of `content_of`; make: replays anew; folder: another place to keep them, for tests.
    """
    compiled = cache_folder() if folder is None else folder
    if compiled is None:
        return make()
    folder = compiled / FOLDER
    path = folder / f"{content}.nc"
    try:
        if path.exists():
            return _as_made(xr.load_dataset(path, engine="scipy"))
    except (OSError, EOFError, ValueError, TypeError, KeyError, IndexError):
        path.unlink(missing_ok=True)
    days = make()
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        staging = folder / f".{content}.part"
        days.to_netcdf(staging, engine="scipy")
        staging.replace(path)
        _prune(folder)
    except OSError:
        pass
    return days


def _as_made(days: xr.Dataset) -> xr.Dataset:
    """Coordinates as the column gives them: the file knows no 64-bit numbers and no texts of its own."""
    whole = {n: days[n].astype(np.int64) for n in ("member", "gap_group") if n in days.coords}
    return days.assign_coords(zone=[str(z) for z in days["zone"].to_numpy()], **whole)


def _prune(folder: Path) -> None:
    files = sorted(folder.glob("*.nc"), key=lambda p: p.stat().st_mtime)
    for old in files[:-MOST]:
        old.unlink(missing_ok=True)
