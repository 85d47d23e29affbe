"""All that was ever received of one source, with the time it was known: what a night knew, rebuilt exactly."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.faults import Fault
from winterrisk.weather.known import DELAY, interval_ends
from winterrisk.weather.receipts import Receipt, moved, receipt_table
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import MEASURED, VARIABLES

Array = NDArray[np.float64]
Times = NDArray[np.datetime64]
Marks = NDArray[np.int8]
Rows = slice | NDArray[np.int64]
STEPS: Final = {"hourly": np.timedelta64(3600, "s"), "daily": np.timedelta64(86400, "s")}
SHOWN: Final = 16
"""Characters of a time as it is told: to the minute."""


@dataclass(frozen=True, eq=False)
class Received:
    """Rows ever received of one source, in the order in which they came.

    times (row), known (row): UTC; a daily row's time is its local day. values: by variable (row), NaN where
    the row says nothing of it. origin: by variable (row), where a source tells one.

    What was known at an instant are the rows whose `known` is not later; where several tell the same value,
    the one that came last counts. A clock that was set back changes nothing in that: such a delivery counts
    from the time that its own clock gave, over what had come before it, and is marked `set_back`.
    """

    source: str
    times: Times
    known: Times
    values: Mapping[str, Array]
    origin: Mapping[str, Marks]
    receipts: tuple[Receipt, ...] = field(default=())

    @classmethod
    def of(
        cls,
        raw: xr.Dataset,
        known: np.datetime64 | None = None,
        source: str = "file",
        *,
        came: np.datetime64 | None = None,
    ) -> "Received":
        """What one delivery holds.

        Args:
            raw (time): as `read_station` gives it. known: UTC; when left out every value is taken as known
                1 h after its interval ends, and the delivery is marked as assumed.
            came: UTC, when such a delivery came, where that is on record: nothing in it was known later.
        Raises:
            WeatherError: no rows.
        """
        times = _times(raw)
        if not len(times):
            raise WeatherError(Fault(source, "no rows", "a record of weather", "check the station's file"))
        if known is not None:
            at = np.full(len(times), _second(known))
        else:
            at = (interval_ends(raw) + DELAY).astype("datetime64[s]")
            at = at if came is None else np.minimum(at, _second(came))
        when = _second(known if known is not None else came if came is not None else at.max())
        values = {n: raw[n].to_numpy().astype(np.float64) for n in VARIABLES if n in raw}
        number = sum(int(np.isfinite(v).sum()) for v in values.values())
        marks = _marks(raw)
        had = _names(values, marks)
        receipt = Receipt(when, dict(raw.attrs), known is None, number, 0, False, had, at.min())
        return cls(source, times, at, values, marks, (receipt,))

    @property
    def attrs(self) -> Mapping[str, Any]:
        """Attributes of the latest delivery."""
        return self.receipts[-1].attrs

    @property
    def step(self) -> np.timedelta64:
        """From row to row: an hour or a day."""
        return STEPS[str(self.receipts[0].attrs.get("step", "hourly"))]

    @property
    def last_known(self) -> np.datetime64:
        """When the latest value was known (UTC)."""
        return np.datetime64(self.known.max())

    @property
    def received_at(self) -> np.datetime64:
        """When the latest delivery came (UTC), whether it brought anything new or not."""
        return self.receipts[-1].known

    def as_known(self, instant: np.datetime64 | None = None) -> xr.Dataset:
        """The record (time) as it was known at an instant (UTC), or as it is known now.

        Of each value the one that came last counts; a later empty cell removes nothing.

        Raises:
            WeatherError: nothing was known by then.
        """
        now = None if instant is None else _second(instant)
        rows = self._rows(now)
        place = self._place[rows]
        if not len(place):
            raise WeatherError(self._unknown(now))
        head = min(len(place), self._straight) if isinstance(rows, slice) else 0
        low = int(place.min())
        place = place - low
        size = int(place.max()) + 1
        by_then = [r for r in self.receipts if r.known_by(now)]
        had = {name for r in by_then for name in r.variables}
        data: dict[str, Any] = {}
        for name in (n for n in self.values if n in had):
            column = self.values[name][rows]
            told = head + np.flatnonzero(np.isfinite(column[head:]))
            data[name] = ("time", _laid(column, place, head, told, np.full(size, np.nan)))
            data[name] += (VARIABLES[name].attrs,)
            if f"{name}_origin" in had:
                marks = np.full(size, MEASURED, dtype=np.int8)
                data[f"{name}_origin"] = ("time", _laid(self.origin[name][rows], place, head, told, marks))
        axis = self.times.min() + (low + np.arange(size)) * self.step
        attrs = dict(by_then[-1].attrs)
        if now is not None:
            attrs["known_by"] = str(now)[:SHOWN]
        return xr.Dataset(data, coords={"time": axis.astype("datetime64[ns]")}, attrs=attrs)

    def with_receipt(self, raw: xr.Dataset, known: np.datetime64) -> "Received":
        """This and what is new in one more delivery."""
        return joined((self, self.news(raw, known)))

    def news(self, raw: xr.Dataset, known: np.datetime64) -> "Received":
        """What one more delivery adds, alone: values that are new or changed, and hours not heard of before.

        It is held against what was known at its own time, and against everything of a later time that came
        before it (a clock set back), so that every instant is rebuilt as if all deliveries had been kept whole.

        Args:
            raw (time): as in `of`, of the same step. known: UTC.
        Raises:
            WeatherError: hourly rows for a daily source, or the other way round.
        """
        self._refuse_other_step(raw)
        at, times = _second(known), _times(raw)
        rows = self._rows(at)
        told = np.ones(len(times), dtype=bool)
        before = xr.Dataset()
        if len(heard := self.times[rows]):
            told = (times < heard.min()) | (times > heard.max())
            before = self.as_known(at).reindex(time=raw["time"])
        marks, here = _marks(raw), self._rows_of(times, at)
        values: dict[str, Array] = {}
        new = changed = 0
        for name in (n for n in VARIABLES if n in raw):
            now, mark = raw[name].to_numpy().astype(np.float64), marks.get(name)
            old = before[name].to_numpy() if name in before else np.full(len(now), np.nan)
            differs = np.isfinite(now) & (now != old)
            differs |= np.isfinite(now) & (
                _or_measured(mark, now) != _or_measured(_mark_of(before, name), now)
            )
            differs |= self._told_otherwise_later(name, here, now, mark, at)
            values[name] = np.where(differs, now, np.nan)
            changed += int(np.sum(differs & np.isfinite(old)))
            new += int(np.sum(differs & ~np.isfinite(old)))
            told |= differs
        back = bool(at < max(r.known for r in self.receipts))
        receipt = Receipt(at, dict(raw.attrs), False, new, changed, back, _names(values, marks), at)
        kept = np.flatnonzero(told)
        return Received(
            self.source,
            times[kept],
            np.full(len(kept), at),
            {n: v[kept] for n, v in values.items()},
            {
                n: np.where(np.isfinite(values[n]), m, MEASURED).astype(np.int8)[kept]
                for n, m in marks.items()
            },
            (receipt,),
        )

    def changes(self) -> pd.DataFrame:
        """Corrections: values received anew with another number (time, variable, before, after, known)."""
        parts = []
        for name, column in self.values.items():
            told = np.flatnonzero(np.isfinite(column))
            told = told[np.argsort(self._place[told], kind="stable")]
            place, values = self._place[told], column[told]
            at = 1 + np.flatnonzero((np.diff(place) == 0) & (np.diff(values) != 0))
            when, row = self.times[told[at]], self.known[told[at]]
            told_of = {"time": when, "variable": name, "before": values[at - 1], "after": values[at]}
            parts.append(pd.DataFrame(told_of | {"known": row}))
        return pd.concat(parts).sort_values(["known", "time"], kind="stable", ignore_index=True)

    def moves(self) -> pd.DataFrame:
        """Deliveries that changed the station's name, number or place (source, known, what, before, after)."""
        return moved(receipt_table((self.source, r) for r in self.receipts))

    @cached_property
    def _place(self) -> NDArray[np.int64]:
        first = self.times.min() if len(self.times) else np.datetime64(0, "s")
        return np.asarray((self.times - first) // self.step, dtype=np.int64)

    @cached_property
    def _straight(self) -> int:
        """How many rows from the first on follow each other, with neither gap nor correction."""
        breaks = np.flatnonzero(np.diff(self._place) != 1)
        return int(breaks[0]) + 1 if len(breaks) else len(self._place)

    @cached_property
    def _rising(self) -> bool:
        return bool(np.all(self.known[1:] >= self.known[:-1]))

    def _rows(self, now: np.datetime64 | None) -> Rows:
        if now is None:
            return slice(0, len(self.times))
        if self._rising:
            return slice(0, int(np.searchsorted(self.known, now, side="right")))
        return np.flatnonzero(self.known <= now)

    def _rows_of(self, times: Times, at: np.datetime64) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Rows of these times and their places among them; none where nothing is known later than `at`."""
        if not len(times) or at >= self.last_known:
            return np.empty(0, np.int64), np.empty(0, np.int64)
        place = np.minimum(np.searchsorted(times, self.times), len(times) - 1)
        rows = np.flatnonzero(times[place] == self.times)
        return rows, place[rows]

    def _told_otherwise_later(
        self,
        name: str,
        rows_of: tuple[NDArray[np.int64], NDArray[np.int64]],
        now: Array,
        mark: Marks | None,
        at: np.datetime64,
    ) -> NDArray[np.bool_]:
        """Where a value that came later than the one known `at`, and counts from a later time, would hide this."""
        hidden = np.zeros(len(now), dtype=bool)
        rows, place = rows_of
        if name not in self.values or not len(rows):
            return hidden
        told = np.isfinite(self.values[name][rows])
        rows, place = rows[told], place[told]
        by_then = self.known[rows] <= at
        winner = np.full(len(now), -1)
        winner[place[by_then]] = rows[by_then]
        rows, place = rows[~by_then], place[~by_then]
        other = self.values[name][rows] != now[place]
        other |= _or_measured(self.origin.get(name), self.times)[rows] != _or_measured(mark, now)[place]
        hidden[place[other & (rows > winner[place]) & np.isfinite(now[place])]] = True
        return hidden

    def _refuse_other_step(self, raw: xr.Dataset) -> None:
        step, ours = raw.attrs.get("step", "hourly"), self.receipts[0].attrs.get("step", "hourly")
        if step != ours:
            move = "give the other record a name of its own in [station]"
            raise WeatherError(Fault(self.source, f"{step} rows", f"{ours} ones, as before", move))

    def _unknown(self, now: np.datetime64 | None) -> Fault:
        found = "no rows"
        if len(self.times):
            found = f"a record that begins {str(self.times.min())[:10]}"
            if now is not None and self.times.min() <= now and not self.receipts[0].assumed:
                found = f"weather received from {str(self.known.min())[:SHOWN]} UTC on"
        expected = "some" if now is None else f"weather known by {str(now)[:SHOWN]} UTC"
        where = str(self.attrs.get("station") or self.source)
        return Fault(where, found, expected, "choose a later night or an earlier record")


def joined(parts: Sequence[Received]) -> Received:
    """Rows of several deliveries of one source, in this order, as one."""
    if len(parts) == 1:
        return parts[0]

    def column(name: str) -> Array:
        return np.concatenate(
            [p.values[name] if name in p.values else np.full(len(p.times), np.nan) for p in parts]
        )

    def marks(name: str) -> Marks:
        none = [np.full(len(p.times) * (name not in p.origin), MEASURED, dtype=np.int8) for p in parts]
        return np.concatenate([p.origin.get(name, n) for p, n in zip(parts, none, strict=True)])

    had, marked = ({n for p in parts for n in p.values}, {n for p in parts for n in p.origin})
    return Received(
        parts[0].source,
        np.concatenate([p.times for p in parts]),
        np.concatenate([p.known for p in parts]),
        {n: column(n) for n in VARIABLES if n in had},
        {n: marks(n) for n in VARIABLES if n in marked},
        tuple(receipt for part in parts for receipt in part.receipts),
    )


def _second(time: Any) -> np.datetime64:
    second: np.datetime64 = np.datetime64(time).astype("datetime64[s]")
    return second


def _times(raw: xr.Dataset) -> Times:
    """Times of a record, to the second.

    Raises:
        ValueError: they do not rise by whole hours or days.
    """
    times = raw["time"].to_numpy().astype("datetime64[s]")
    steps = np.diff(times)
    step = STEPS[str(raw.attrs.get("step", "hourly"))]
    if np.any(steps <= np.timedelta64(0, "s")) or np.any(times.astype(np.int64) % step.astype(np.int64)):
        raise ValueError("times of a record that do not rise by whole hours or days")
    return times


def _marks(raw: xr.Dataset) -> dict[str, Marks]:
    """Origins that a record tells, measured where there is no value."""
    return {
        n: np.where(np.isfinite(raw[n]), raw[f"{n}_origin"], MEASURED).astype(np.int8)
        for n in VARIABLES
        if n in raw and f"{n}_origin" in raw
    }


def _names(values: Mapping[str, Array], marks: Mapping[str, Marks]) -> tuple[str, ...]:
    return (*values, *(f"{name}_origin" for name in marks))


def _mark_of(record: xr.Dataset, name: str) -> Marks | None:
    if f"{name}_origin" not in record:
        return None
    return np.asarray(np.nan_to_num(record[f"{name}_origin"].to_numpy()), dtype=np.int8)


def _or_measured(marks: Marks | None, like: NDArray[Any]) -> Marks:
    return np.full(len(like), MEASURED, dtype=np.int8) if marks is None else marks


def _laid(column: Any, place: NDArray[np.int64], head: int, told: NDArray[np.int64], out: Any) -> Any:
    """The column's rows at their places: the first `head`, which lie side by side, then those told."""
    if head:
        out[place[0] : place[0] + head] = column[:head]
    out[place[told]] = column[told]
    return out
