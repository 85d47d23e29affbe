"""Every winter on record, replayed and ranked; one that cannot be judged is named with the reason."""

import datetime as dt
import os
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.backcast.calls import winter_calls
from winterrisk.backcast.forecasts import Ahead, days_ahead
from winterrisk.backcast.nights import SMALL, read_work
from winterrisk.backcast.on_record import OnRecord, on_record
from winterrisk.backcast.replay import REPLAYED, replay
from winterrisk.backcast.winter_row import winter_row
from winterrisk.nightly import Settings, Work
from winterrisk.weather.complete import complete
from winterrisk.weather.course_weather import CourseWeather, prepared

Done = Callable[[str, int, int], None]
THREADS: Final = "NUMBA_NUM_THREADS"
FEW: Final = 4
"""Winters below which further processes are not worth their start."""


@dataclass(frozen=True)
class AllWinters:
    """Winters worst first, those that cannot be judged, and how they were worked.

    ranked: rows of `winter_row` with winter, rank, measured [1] and the calls; unsaid: rows with winter, why,
    measured, missing, and `part`: the figures of what is on record, or None.
    every: days from one night to the next, 0 where no nights were worked; forecast: their rule for the days ahead.
    """

    course: str
    units: str
    ranked: tuple[dict[str, Any], ...]
    unsaid: tuple[dict[str, Any], ...]
    every: int
    settings: Settings
    forecast: str = "none"


@dataclass(frozen=True)
class _Task:
    folder: Path
    work: Work
    weather: xr.Dataset
    every: int
    forecast: str

    def ahead(self) -> Ahead:
        """The forecasts of its nights."""
        return days_ahead(self.forecast if self.every else "none", self.work.course, lambda: self.weather)


def all_winters(
    folder: Path | str,
    *,
    every: int = 0,
    forecast: str = "none",
    settings: Settings | None = None,
    night_settings: Settings | None = None,
    processes: int = 1,
    clock: np.datetime64 | None = None,
    done: Done = lambda winter, number, count: None,
) -> AllWinters:
    """All winters on record, each replayed with all that is known; with `every`, also its nights' calls.

    The record is checked and made whole once. Each winter has its own random keys: the figures do not depend on
    the number of processes.

    Args:
        every: days from one night to the next; 0 works no nights.
        forecast: what stands for the days ahead of a night: archived, errors or none (`days_ahead`).
        settings, night_settings: members and draws of the replay and of the nights.
        processes: over which the winters are shared. Above 1 the caller must be importable (a script guards
            itself with `if __name__ == "__main__"`).
        clock: UTC, the machine's when left out: what the record has beyond it is not believed.
        done: told each winter's name when it is worked, with its number and their count.
    Raises:
        Refused: course file, thresholds, weather or book cannot be used.
    """
    work = replace(read_work(folder), settings=settings or REPLAYED)
    now = np.datetime64(dt.datetime.now(dt.UTC).replace(tzinfo=None), "s") if clock is None else clock
    weather = whole_record(work.weather, work.course.id, now)
    found = on_record(weather, work.course)
    wanted = [w for w in found if not w.why or w.in_time]
    task = _Task(Path(folder), work, weather, every, forecast)
    task.ahead()
    rows: dict[str, dict[str, Any]] = {}
    for number, (winter, row) in enumerate(_worked(task, wanted, night_settings or SMALL, processes), 1):
        rows[winter] = row
        done(winter, number, len(wanted))
    said = [w for w in found if not w.why]
    order = sorted(said, key=lambda w: (-rows[w.winter]["chance"], -rows[w.winter]["dead_share"], w.winter))
    ranked = [
        {"rank": rank, "winter": w.winter, "measured": w.measured} | rows[w.winter]
        for rank, w in enumerate(order, 1)
    ]
    unsaid = [
        {"winter": w.winter, "why": w.why, "measured": w.measured, "missing": list(w.missing)}
        | {"part": rows.get(w.winter)}
        for w in found
        if w.why
    ]
    place = work.course.place
    return AllWinters(place.name, place.units, tuple(ranked), tuple(unsaid), every, work.settings, forecast)


def whole_record(received: CourseWeather, key: str, clock: np.datetime64) -> xr.Dataset:
    """The course's record (time) up to `clock` (UTC), checked and made whole as it is known today."""
    end = pd.Timestamp(received.span[1]).to_datetime64().astype("datetime64[h]") + np.timedelta64(48, "h")
    now = min(end, np.datetime64(clock).astype("datetime64[h]"))
    return complete(prepared(received, now, hindsight=True).raw, received.place, (key,))


def _worked(
    task: _Task, winters: list[OnRecord], nights: Settings, processes: int
) -> Iterator[tuple[str, dict[str, Any]]]:
    if min(processes, len(winters) // 2) <= 1 or len(winters) < FEW:
        ahead = task.ahead()
        for winter in winters:
            yield winter.winter, _one(task, winter, nights, ahead)
        return
    with (
        _one_thread_each(),
        ProcessPoolExecutor(
            processes,
            mp_context=get_context("spawn"),
            initializer=_begin,
            initargs=(task.folder, task.work.settings, task.weather, task.every, task.forecast, nights),
        ) as pool,
    ):
        running = {pool.submit(_in_process, winter): winter.winter for winter in winters}
        for ready in as_completed(running):
            yield running[ready], ready.result()


def _one(task: _Task, winter: OnRecord, nights: Settings, ahead: Ahead) -> dict[str, Any]:
    replayed = replay(task.work, task.weather, winter.winter)
    row = winter_row(replayed, task.work.course, task.work.thresholds.values["soaked_kill"])
    if task.every and not winter.why:
        work = replace(task.work, settings=nights)
        row |= winter_calls(task.folder, work, winter, task.every, ahead)
    return row


_TASK: list[tuple[_Task, Settings, Ahead]] = []
"""What a process of the pool was begun with: read once, not once a winter."""


def _begin(
    folder: Path, settings: Settings, weather: xr.Dataset, every: int, forecast: str, nights: Settings
) -> None:
    task = _Task(folder, replace(read_work(folder), settings=settings), weather, every, forecast)
    _TASK[:] = [(task, nights, task.ahead())]


def _in_process(winter: OnRecord) -> dict[str, Any]:
    task, nights, ahead = _TASK[0]
    return _one(task, winter, nights, ahead)


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Processes begun within it use one thread each: the cores are shared by winters, not by columns."""
    before = os.environ.get(THREADS)
    os.environ[THREADS] = "1"
    try:
        yield
    finally:
        if before is None:
            del os.environ[THREADS]
        else:
            os.environ[THREADS] = before
