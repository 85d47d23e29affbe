"""What a course has received of its weather, and the checked record of one night made from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.weather.checks import checked, description_changed
from winterrisk.weather.checks.rows import joined as rows_joined
from winterrisk.weather.cold_valley import valley_rows
from winterrisk.weather.gauge import believed_water
from winterrisk.weather.known import known_by
from winterrisk.weather.place import Place
from winterrisk.weather.rain_or_snow import phase_rows
from winterrisk.weather.received import Received
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.second_source import with_second
from winterrisk.weather.shield import with_sun_doubt

HOUR = np.timedelta64(1, "h")


@dataclass(frozen=True)
class Source:
    """One source of a course: what it delivered, which variables are taken from it (all when None), and why."""

    received: Received
    variables: tuple[str, ...] | None = None
    why: str = ""

    def as_known(self, instant: np.datetime64 | None) -> xr.Dataset:
        """Its record (time) as known at an instant, with the chosen variables only."""
        raw = self.received.as_known(instant)
        if self.variables is None:
            return raw
        return raw[[n for n in raw.data_vars if str(n).removesuffix("_origin") in self.variables]]


@dataclass(frozen=True)
class CourseWeather:
    """All that a course has received: its own record (one source, or one a variable) and the further ones.

    gauge: as the course file says; "heated" where it says nothing, then the record's own signature decides.
    missed: what could not be fetched or read of the further sources, one line each.
    """

    place: Place
    first: tuple[Source, ...]
    second: tuple[Source, ...] = ()
    gauge: Literal["heated", "unheated", "none"] = "heated"
    downslope: bool = False
    units: str = "metric"
    key: str = ""
    missed: tuple[str, ...] = ()

    @classmethod
    def of(cls, raw: xr.Dataset, place: Place, **more: Any) -> "CourseWeather":
        """The weather of one record without receipt times."""
        return cls(place, (Source(Received.of(raw)),), **more)

    def with_record(self, raw: xr.Dataset) -> "CourseWeather":
        """The same course with another record (time) as its own, without receipt times."""
        return replace(self, first=(Source(Received.of(raw)),))

    @property
    def span(self) -> tuple[np.datetime64, np.datetime64]:
        """First and last time of the course's own record."""
        times = [source.received.times for source in self.first]
        return min(t.min() for t in times), max(t.max() for t in times)

    @property
    def station(self) -> str:
        """Name of the course's own record."""
        return str(self.first[0].received.attrs.get("station", "weather"))

    def as_known(self, instant: np.datetime64 | None = None) -> xr.Dataset:
        """The course's own record (time) as known at an instant, unchecked.

        Raises:
            WeatherError: nothing was known by then.
        """
        parts, faults = _known_parts(self.first, instant)
        if not parts:
            raise WeatherError(faults)
        if len(parts) == 1:
            return parts[0]
        merged = xr.merge([p.drop_attrs() for p in parts], join="outer", compat="no_conflicts")
        regular = np.arange(
            merged["time"].to_numpy()[0], merged["time"].to_numpy()[-1] + HOUR, _step(parts[0])
        )
        attrs = {**parts[0].attrs, "station": " and ".join(dict.fromkeys(p.attrs["station"] for p in parts))}
        return merged.reindex(time=regular).assign_attrs(attrs)


@dataclass(frozen=True)
class Prepared:
    """The record (time) that a night is worked from, and the rows of everything the checks found in it."""

    raw: xr.Dataset
    found: pd.DataFrame
    sources: tuple[Mapping[str, Any], ...] = field(default=())

    @property
    def unconfirmed(self) -> pd.DataFrame:
        """Findings that leave a night unconfirmed."""
        return self.found[self.found["verdict"] == "unconfirmed"]


def prepared(
    weather: CourseWeather,
    now: np.datetime64,
    *,
    hindsight: bool = False,
    received_by: np.datetime64 | None = None,
) -> Prepared:
    """The record as known at `now`, checked, with the gauge's false zeros out and gaps filled from other sources.

    Nothing is overwritten in what was received: the copy that a night works from is changed.

    Args:
        weather: of the course. now: UTC. hindsight: with corrections and hours received later, up to `now`.
        received_by: UTC, where a night asks for its weather at `now` and has the answer some minutes later; only
            hours that could be known at `now` count.
    Raises:
        WeatherError: nothing was known yet.
    """

    def cut(raw: xr.Dataset) -> xr.Dataset:
        if hindsight:
            return known_by(raw, now + HOUR)
        return raw if received_by is None else known_by(raw, now)

    instant = None if hindsight else now if received_by is None else max(now, received_by)
    place, key = weather.place, (weather.key or "weather",)
    raw = cut(weather.as_known(instant))
    others = []
    tables = []
    for known in _known_parts(weather.second, instant)[0]:
        other = checked(cut(known), now=now, place=place, downslope=weather.downslope, units=weather.units)
        others.append(other.raw)
        tables.append(other.rows)
    second = others[0] if others else None
    told = checked(raw, now=now, place=place, downslope=weather.downslope, second=second, units=weather.units)
    tables.insert(0, told.rows)
    tables += [
        description_changed({row.what: row.before}, {row.what: row.after}, row.known)
        for source in weather.first
        for row in source.received.moves().itertuples()
        if instant is None or row.known <= pd.Timestamp(instant)
    ]
    whole, rows = believed_water(told.raw, weather.gauge)
    tables.append(rows)
    whole, rows = with_sun_doubt(whole, place)
    tables.append(rows)
    if others:
        tables += [valley_rows(whole, other, place, key) for other in others]
    tables.append(phase_rows(whole, place, others, key))
    whole, rows = with_second(whole, others, place, key)
    tables.append(rows)
    return Prepared(whole, rows_joined([t for t in tables if len(t)]), _sources(weather))


def _known_parts(
    sources: Sequence[Source], instant: np.datetime64 | None
) -> tuple[list[xr.Dataset], list[Fault]]:
    parts, faults = [], []
    for source in sources:
        try:
            parts.append(source.as_known(instant))
        except WeatherError as nothing:
            faults += nothing.faults
    return parts, faults


def _step(raw: xr.Dataset) -> np.timedelta64:
    return np.timedelta64(1, "D") if raw.attrs.get("step") == "daily" else HOUR


def _sources(weather: CourseWeather) -> tuple[Mapping[str, Any], ...]:
    """One row a source: name, kind, provider, licence, step, first, last, received, assumed, why."""
    rows = []
    for source in (*weather.first, *weather.second):
        got, last = source.received, source.received.receipts[-1]
        rows.append(
            {
                "name": str(got.attrs.get("station") or got.source),
                "kind": "the course's own record" if source in weather.first else "second source",
                "provider": str(got.attrs.get("provider", "")),
                "licence": str(got.attrs.get("licence", "")),
                "step": str(got.attrs.get("step", "hourly")),
                "first": str(got.times.min())[:10],
                "last": str(got.times.max())[:16].replace("T", " "),
                "received": f"received last {str(last.known)[:16].replace('T', ' ')} UTC",
                "assumed": last.assumed,
                "variables": list(source.variables or got.values),
                "why": source.why,
            }
        )
    return tuple(rows)
