"""A past winter night by night: what would have been called, on what was known each night."""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk import hazards
from winterrisk.backcast.forecasts import Ahead
from winterrisk.backcast.kept_replays import content_of, kept_days
from winterrisk.backcast.on_record import MOST_LATE
from winterrisk.book import Record, open_book
from winterrisk.calibration.remembered import SPRING_DAY
from winterrisk.calibration.winter import Winter
from winterrisk.column.members import Members, members
from winterrisk.column.state import State
from winterrisk.column.zones import joined_days, zones_days
from winterrisk.course import night_instant, read_course, winter_of, winter_start
from winterrisk.nightly import Night, Settings, Work, judged, possible_winters, zone_events
from winterrisk.thresholds import TABLE, Thresholds
from winterrisk.weather.night import NightWeather
from winterrisk.weather.read_course_weather import read_course_weather

Shared = tuple[tuple[str, float], ...]
FIRST_NIGHT, LAST_NIGHT = (11, 1), (4, 30)
SMALL = Settings(n_ground=3, n_paths=8, n_draws=100)
"""Fewer members and draws than a night's: a backcast asks whether, not how exactly (judged)."""


@dataclass(frozen=True)
class _Kept:
    """Where a later night may branch from: states at a settled hour and all days up to it."""

    states: Mapping[str, State]
    days: xr.Dataset
    paths: xr.Dataset
    events: Mapping[str, pd.DataFrame]


def read_work(
    folder: Path | str, settings: Settings | None = None, thresholds: Thresholds | None = None
) -> Work:
    """Course, thresholds, whole record of the book and whole record of the station, read once."""
    course = read_course(folder)
    with open_book(course.folder, create=False, course=course) as book:
        record = book.record()
    chosen = thresholds or Thresholds.read(course.folder)
    return Work(course, chosen, record, read_course_weather(course), settings or SMALL)


def nights_of(winter: str, every: int = 1) -> list[dt.date]:
    """Nights of a winter from 1 November to 30 April, every so many days."""
    year = winter_start(winter).year
    first, last = dt.date(year, *FIRST_NIGHT), dt.date(year + 1, *LAST_NIGHT)
    return [first + dt.timedelta(days=i) for i in range(0, (last - first).days + 1, every)]


def backcast_nights(
    folder: Path | str,
    work: Work,
    nights: list[dt.date],
    *,
    use_book: bool = True,
    ahead: Ahead = lambda on: None,
) -> Iterator[Night]:
    """Each night worked on what was known by it, branching in memory from the night before.

    A night branches from the last one whose weather and events up to there are the same; else the winter is
    replayed from 1 August. The numbers are those of `nightly.run`. Without the book the nights know the
    weather alone.

    Args:
        ahead: gives the forecast of a night by its date (`days_ahead`); past winters alone where it gives none.
    """
    for (night,) in nights_under(folder, work, nights, (work.thresholds,), use_book=use_book, ahead=ahead):
        yield night


def nights_under(
    folder: Path | str,
    work: Work,
    nights: list[dt.date],
    thresholds: Sequence[Thresholds],
    *,
    use_book: bool = True,
    ahead: Ahead = lambda on: None,
) -> Iterator[tuple[Night, ...]]:
    """Each night under each of several thresholds: as `backcast_nights`, one night's weather read once for all.

    Thresholds that differ in rows of chance alone share one replay of column and dose; the others have their own.
    """
    kept: dict[Shared, _Kept] = {}
    before: list[dict[str, Any] | None] = [None] * len(thresholds)
    with open_book(folder, create=False, course=work.course) as book:
        for on in nights:
            now = night_instant(on, work.course.timezone)
            record = book.record(known_by=now) if use_book else Record.empty()
            weather = possible_winters(work.weather, work.course, on, work.settings, forecast=ahead(on))
            key = (work.course.id, winter_of(on))
            replayed: dict[Shared, tuple[Members, xr.Dataset]] = {}
            told = []
            for place, own in enumerate(thresholds):
                tonight = replace(work, record=record, thresholds=own)
                shared = _shared(own)
                if shared not in replayed:
                    several = members(weather.paths, work.settings.n_ground, key, own)
                    days, kept[shared] = _winter_days(tonight, weather, several, now, kept.get(shared))
                    replayed[shared] = several, days
                night = judged(tonight, on, weather, *replayed[shared], before=before[place])
                before[place] = night.record
                told.append(night)
            yield tuple(told)


def _shared(thresholds: Thresholds) -> Shared:
    """The values that column and dose hang on."""
    return tuple((key, thresholds.values[key]) for key, row in TABLE.items() if row.acts != "chance")


def _winter_days(
    work: Work, weather: NightWeather, several: Members, now: np.datetime64, kept: _Kept | None
) -> tuple[xr.Dataset, _Kept]:
    """Winter days of one night, and what the next may branch from: the end of what was measured."""
    seen = zone_events(work, now)
    settled = min(weather.until, np.datetime64(now, "h"))
    if kept is not None and not _same_until_branch(kept, weather, seen):
        kept = None
    start = None if kept is None else kept.states
    to_now, states = zones_days(
        weather.paths, work.course, seen, several, zones=work.zones, start=start, until=settled
    )
    past = to_now if kept is None else joined_days(kept.days, to_now)
    ahead, _ = zones_days(weather.paths, work.course, seen, several, zones=work.zones, start=states)
    return joined_days(past, ahead), _Kept(
        states, past, weather.paths.sel(time=slice(None, settled - np.timedelta64(1, "h"))), seen
    )


def _same_until_branch(kept: _Kept, weather: NightWeather, seen: Mapping[str, pd.DataFrame]) -> bool:
    times = kept.paths["time"].to_numpy()
    if weather.paths.sizes["member"] != kept.paths.sizes["member"]:
        return False
    now = weather.paths.sel(time=slice(times[0], times[-1]))
    if now.sizes["time"] != len(times):
        return False
    needed = [n for n in kept.paths.data_vars if not str(n).endswith("_sd")]
    if not all(np.array_equal(now[n].to_numpy(), kept.paths[n].to_numpy(), equal_nan=True) for n in needed):
        return False
    end = pd.Timestamp(times[-1]) + pd.Timedelta(hours=1)
    return all(
        rows[rows["time"] < end]
        .reset_index(drop=True)
        .equals(kept.events[zone][kept.events[zone]["time"] < end])
        for zone, rows in seen.items()
    )


def backcast(
    folder: Path | str,
    winter: str,
    thresholds: Thresholds | None = None,
    every: int = 7,
    settings: Settings | None = None,
) -> pd.DataFrame:
    """Calls of a past winter, every so many nights: on, zone, kind, chance, low, high, held_because."""
    work = read_work(folder, settings, thresholds)
    rows = []
    for night in backcast_nights(folder, work, nights_of(winter, every)):
        for call in (*night.record["calls"], *night.record["held_back"]):
            names = ("zone", "kind", "chance", "low", "high")
            rows.append(
                {
                    "on": night.record["on"],
                    **{n: call[n] for n in names},
                    "held_because": call.get("held_because", ""),
                }
            )
    return pd.DataFrame(rows, columns=["on", "zone", "kind", "chance", "low", "high", "held_because"])


def winters(folder: Path | str, settings: Settings | None = None) -> list[Winter]:
    """Every past winter with plugs, surveys or memories in the course file, replayed on all that is known today.

    Returns:
        Winters in order; one whose weather is not on record is left out.
    """
    work = read_work(folder, settings)
    found = []
    for name in _winters_with_evidence(work):
        spring = dt.date(winter_start(name).year + 1, *SPRING_DAY)
        first, last = (pd.Timestamp(end).date() for end in work.weather.span)
        on = min(spring, last)
        if winter_of(on) != name or first > winter_start(name) + dt.timedelta(days=MOST_LATE):
            continue
        weather = possible_winters(work.weather, work.course, on, work.settings, known=False)
        several = members(weather.paths, work.settings.n_ground, (work.course.id, name), work.thresholds)
        now = night_instant(on, work.course.timezone)
        days = _kept_days(work, weather.paths, zone_events(work, now), several)
        share = work.course.turf()["share"].sel(zone=list(work.zones))
        harm = hazards.run(days, work.course.turf().sel(zone=list(work.zones)), several.traits)
        found.append(Winter(name, harm, several.weight, several.gap_group, days, share))
    return found


def _kept_days(
    work: Work, paths: xr.Dataset, seen: Mapping[str, pd.DataFrame], several: Members
) -> xr.Dataset:
    content = content_of(paths, work.course, seen, several, work.zones)
    return kept_days(content, lambda: zones_days(paths, work.course, seen, several, zones=work.zones)[0])


def _winters_with_evidence(work: Work) -> list[str]:
    zone = work.course.timezone
    cut = work.record.plugs["cut"].dt.tz_localize("UTC").dt.tz_convert(zone)
    remembered = {injury.winter for injury in work.course.past_injury}
    return sorted({winter_of(t.date()) for t in cut} | set(work.record.surveys["winter"]) | remembered)
