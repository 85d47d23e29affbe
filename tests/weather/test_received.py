"""What was received, and what was known of it at any time, against a plain dictionary that does the same."""

from typing import Any

import numpy as np
import pandas as pd
import pytest
import xarray as xr
from hypothesis import example, given, settings
from hypothesis import strategies as st

from winterrisk.weather import WeatherError, known_by
from winterrisk.weather.receipts import moved, receipt_table
from winterrisk.weather.received import Received, joined

HOUR = np.timedelta64(1, "h")
DAY = np.timedelta64(1, "D")
START = np.datetime64("2025-01-01T00", "s")


def hourly(values: dict[str, list[float]], start: int = 0, **attrs: object) -> xr.Dataset:
    count = len(next(iter(values.values())))
    time = (START + (start + np.arange(count)) * HOUR).astype("datetime64[ns]")
    data = {n: ("time", np.array(v, dtype=float)) for n, v in values.items()}
    base = {"step": "hourly", "timezone": "UTC", "station": "Invented yard"}
    return xr.Dataset(data, coords={"time": time}, attrs=base | attrs)


def daily(values: list[float], **attrs: object) -> xr.Dataset:
    time = (START + np.arange(len(values)) * DAY).astype("datetime64[ns]")
    highest = np.array(values, dtype=float)
    data = {"air_temperature_max": ("time", highest), "air_temperature_min": ("time", highest - 8.0)}
    base = {"step": "daily", "timezone": "America/Chicago", "station": "Invented observer"}
    return xr.Dataset(data, coords={"time": time}, attrs=base | attrs)


def test_a_file_without_receipt_times_is_known_an_hour_after_each_hour() -> None:
    raw = hourly({"air_temperature": [1.0, 2.0, 3.0], "precipitation": [0.0, 0.0, 0.1]})
    got = Received.of(raw)
    assert got.receipts[0].assumed
    with pytest.raises(
        WeatherError, match="found a record that begins 2025-01-01, expected weather known by"
    ):
        got.as_known(START + np.timedelta64(119, "m"))
    for minute in (120, 181, 240):
        instant = START + np.timedelta64(minute, "m")
        seen = got.as_known(instant)
        xr.testing.assert_equal(seen, known_by(raw, instant))
        assert seen.attrs == known_by(raw, instant).attrs


@pytest.mark.parametrize("ends", [24, 7])
def test_days_are_known_when_their_reading_is(ends: int) -> None:
    """Agrees hour by hour with the rule for records without receipt times, which has tests of its own."""
    raw = daily([1.0, 2.0, np.nan, 4.0], day_ends=ends)
    got = Received.of(raw)
    for hour in range(31, 130):
        instant = START + hour * HOUR
        xr.testing.assert_equal(got.as_known(instant), known_by(raw, instant))


def test_days_are_corrected_like_hours() -> None:
    got = Received.of(daily([1.0, 2.0, 3.0]), START + 4 * DAY)
    got = got.with_receipt(daily([1.0, 2.5, 3.0, 4.0]), START + 5 * DAY)
    assert got.as_known(START + 4 * DAY)["air_temperature_max"].to_numpy().tolist() == [1.0, 2.0, 3.0]
    assert got.as_known()["air_temperature_max"].to_numpy().tolist() == [1.0, 2.5, 3.0, 4.0]
    assert (got.receipts[1].new, got.receipts[1].changed) == (2, 2)
    assert got.as_known()["time"].to_numpy()[-1] == np.datetime64("2025-01-04")


def test_nothing_of_a_delivery_counts_as_known_after_it_came() -> None:
    """The hour of 02:00 and one dated in the future came at 03:30: both were known then."""
    raw = hourly({"air_temperature": [0.0, 1.0, 2.0, 3.0, 4.0]})
    came = START + np.timedelta64(210, "m")
    got = Received.of(raw, came=came)
    assert got.receipts[0].assumed and got.received_at == came
    assert got.as_known(START + 3 * HOUR).sizes["time"] == 2
    assert got.as_known(came).sizes["time"] == 5
    assert not len(got.news(raw, came + HOUR).times)


def test_a_correction_counts_from_the_day_it_was_received() -> None:
    first = hourly({"air_temperature": [1.0, 2.0]})
    got = Received.of(first, START + 5 * HOUR).with_receipt(
        hourly({"air_temperature": [1.0, -2.0]}), START + 9 * HOUR
    )
    assert got.as_known(START + 8 * HOUR)["air_temperature"].to_numpy().tolist() == [1.0, 2.0]
    assert got.as_known(START + 9 * HOUR)["air_temperature"].to_numpy().tolist() == [1.0, -2.0]
    (row,) = got.changes().to_dict("records")
    assert list(row) == ["time", "variable", "before", "after", "known"]
    assert list(row.values()) == [
        pd.Timestamp(START + HOUR), "air_temperature", 2.0, -2.0, pd.Timestamp(START + 9 * HOUR)
    ]  # fmt: skip
    assert (got.receipts[1].new, got.receipts[1].changed) == (0, 1)


def test_before_anything_came_it_is_said_when_something_did() -> None:
    got = Received.of(hourly({"air_temperature": [1.0]}), START + 5 * HOUR)
    with pytest.raises(WeatherError, match="found weather received from 2025-01-01T05:00 UTC on, expected"):
        got.as_known(START + 4 * HOUR)


def test_an_empty_cell_removes_nothing_and_the_same_again_adds_nothing() -> None:
    raw = hourly({"air_temperature": [1.0, 2.0]})
    got = Received.of(raw, START + 5 * HOUR)
    again = got.with_receipt(raw, START + 6 * HOUR).with_receipt(
        hourly({"air_temperature": [np.nan, np.nan]}), START + 7 * HOUR
    )
    assert again.as_known()["air_temperature"].to_numpy().tolist() == [1.0, 2.0]
    assert len(again.times) == 2 and again.changes().empty
    assert [(r.new, r.changed) for r in again.receipts[1:]] == [(0, 0), (0, 0)]
    assert again.received_at == START + 7 * HOUR and again.last_known == START + 5 * HOUR


def test_a_value_that_turns_from_model_to_measured_is_news() -> None:
    model = hourly({"air_temperature": [1.0]}).assign(air_temperature_origin=("time", np.int8([2])))
    measured = hourly({"air_temperature": [1.0]}).assign(air_temperature_origin=("time", np.int8([0])))
    got = Received.of(model, START + 5 * HOUR)
    for told in (measured, measured.drop_vars("air_temperature_origin")):
        later = got.with_receipt(told, START + 9 * HOUR)
        assert int(later.as_known(START + 6 * HOUR)["air_temperature_origin"][0]) == 2
        assert int(later.as_known()["air_temperature_origin"][0]) == 0
        assert later.changes().empty, "the number is the same"


def test_a_clock_set_back_is_marked_and_counts_from_its_own_time() -> None:
    """At 20:00 came 1, then, by a clock that said 10:00, the correction 2; at 21:00 the file came once more."""
    got = Received.of(hourly({"air_temperature": [1.0]}), START + 20 * HOUR)
    got = got.with_receipt(hourly({"air_temperature": [2.0]}), START + 10 * HOUR)
    got = got.with_receipt(hourly({"air_temperature": [2.0]}), START + 21 * HOUR)
    assert [r.set_back for r in got.receipts] == [False, True, False]
    assert len(got.times) == 2
    with pytest.raises(WeatherError):
        got.as_known(START + 9 * HOUR)
    for hour in (10, 15, 20, 21, 30):
        assert got.as_known(START + hour * HOUR)["air_temperature"].item() == 2.0


def test_a_clock_once_far_ahead_hides_nothing_that_comes_after() -> None:
    raw = hourly({"air_temperature": [1.0, 2.0]})
    got = Received.of(raw, START + 50_000 * HOUR).with_receipt(raw, START + 5 * HOUR)
    assert got.as_known(START + 5 * HOUR)["air_temperature"].to_numpy().tolist() == [1.0, 2.0]
    again = got.with_receipt(raw, START + 6 * HOUR)
    assert len(again.times) == len(got.times) == 4


def test_a_station_that_was_moved_is_told() -> None:
    got = Received.of(hourly({"air_temperature": [1.0]}, elevation=380.0), START + 5 * HOUR)
    got = got.with_receipt(hourly({"air_temperature": [1.0]}), START + 7 * HOUR)
    got = got.with_receipt(hourly({"air_temperature": [1.0]}, elevation=402.0), START + 9 * HOUR)
    (row,) = got.moves().to_dict("records")
    assert (row["source"], row["known"]) == ("file", pd.Timestamp(START + 9 * HOUR))
    assert (row["what"], row["before"], row["after"]) == ("elevation", 380.0, 402.0)
    other = Received.of(hourly({"air_temperature": [1.0]}, elevation=12.0), START + 8 * HOUR, "other")
    both = receipt_table([("file", r) for r in got.receipts] + [("other", r) for r in other.receipts])
    assert len(moved(both)) == 1, "another source stands elsewhere, it has not moved"
    assert moved(both.iloc[:0]).empty


def test_daily_rows_for_an_hourly_source_are_refused() -> None:
    got = Received.of(hourly({"air_temperature": [1.0]}), START + 5 * HOUR)
    with pytest.raises(WeatherError, match="found daily rows, expected hourly ones"):
        got.with_receipt(daily([1.0]), START + 6 * HOUR)


def test_rows_off_the_hour_or_out_of_order_are_our_own_mistake() -> None:
    raw = hourly({"air_temperature": [1.0, 2.0]})
    for time in (raw["time"] + np.timedelta64(30, "m"), raw["time"][::-1].to_numpy()):
        with pytest.raises(ValueError, match="do not rise by whole hours"):
            Received.of(raw.assign_coords(time=time))
    with pytest.raises(WeatherError, match="no rows"):
        Received.of(raw.isel(time=slice(0, 0)))


NAMES = ("air_temperature", "precipitation")
CELL = st.sampled_from([np.nan, np.nan, 0.0, 1.0, 2.0])


@st.composite
def deliveries(draw: st.DrawFn) -> list[tuple[xr.Dataset, int, bool]]:
    """Record, hour by the clock, whether the hours of its values are assumed (the first one only)."""
    found = []
    clock = 0
    for number in range(draw(st.integers(1, 6))):
        count, start = draw(st.integers(1, 5)), draw(st.integers(0, 5))
        names = draw(st.sampled_from([NAMES, NAMES[:1], NAMES[1:]]))
        cells = st.lists(CELL, min_size=count, max_size=count)
        raw = hourly({n: draw(cells) for n in names}, start, elevation=draw(st.sampled_from([380.0, 402.0])))
        for name in names:
            if draw(st.booleans()):
                marks = draw(st.lists(st.sampled_from([0, 2]), min_size=count, max_size=count))
                raw[f"{name}_origin"] = ("time", np.int8(marks))
        clock += draw(st.integers(-4, 8))
        found.append((raw, clock, number == 0 and draw(st.booleans())))
    return found


def oracle(came: list[tuple[xr.Dataset, int, bool]], hour: int) -> dict[str, Any]:
    """Replays all deliveries that were known by the hour, whole, cell by cell."""
    cells: dict[tuple[str, int], tuple[float, int]] = {}
    hours: set[int] = set()
    names: set[str] = set()
    attrs: dict[str, Any] = {}
    for raw, clock, assumed in came:
        begin = int((raw["time"].to_numpy()[0] - START) / HOUR)
        rows = [
            i for i in range(raw.sizes["time"]) if (min(begin + i + 2, clock) if assumed else clock) <= hour
        ]
        if not rows:
            continue
        attrs = dict(raw.attrs)
        names |= set(map(str, raw.data_vars))
        for i in rows:
            hours.add(begin + i)
            for name in (n for n in NAMES if n in raw):
                value = float(raw[name][i])
                if not np.isnan(value):
                    mark = int(raw[f"{name}_origin"][i]) if f"{name}_origin" in raw else 0
                    cells[name, begin + i] = (value, mark)
    return {"cells": cells, "hours": hours, "names": names, "attrs": attrs}


def assert_as_the_oracle(got: Received, came: list[tuple[xr.Dataset, int, bool]], hour: int) -> None:
    wanted = oracle(came, hour)
    if not wanted["hours"]:
        with pytest.raises(WeatherError):
            got.as_known(START + hour * HOUR)
        return
    seen = got.as_known(START + hour * HOUR)
    first, last = min(wanted["hours"]), max(wanted["hours"])
    axis = START + np.arange(first, last + 1) * HOUR
    assert seen["time"].to_numpy().tolist() == axis.astype("datetime64[ns]").tolist()
    assert set(seen.data_vars) == wanted["names"]
    assert seen.attrs == wanted["attrs"] | {"known_by": str(START + hour * HOUR)[:16]}
    for name in (n for n in NAMES if n in seen):
        told = [wanted["cells"].get((name, h), (np.nan, 0)) for h in range(first, last + 1)]
        np.testing.assert_array_equal(seen[name].to_numpy(), [value for value, _ in told])
        if f"{name}_origin" in seen:
            assert seen[f"{name}_origin"].to_numpy().tolist() == [mark for _, mark in told]


def received(came: list[tuple[xr.Dataset, int, bool]]) -> Received:
    raw, clock, assumed = came[0]
    at = START + clock * HOUR
    got = Received.of(raw, None, came=at) if assumed else Received.of(raw, at)
    for raw, clock, _ in came[1:]:
        got = got.with_receipt(raw, START + clock * HOUR)
    return got


def temperature(value: float, origin: int | None = None, start: int = 0) -> xr.Dataset:
    raw = hourly({"air_temperature": [value]}, start, elevation=380.0)
    return raw if origin is None else raw.assign(air_temperature_origin=("time", np.int8([origin])))


@settings(max_examples=150, deadline=None)
@given(deliveries())
@example([(temperature(1.0), 10, False), (temperature(1.0), 5, False), (temperature(2.0), 7, False)])
@example([(temperature(1.0), 1, False), (temperature(2.0), 10, False), (temperature(1.0), 5, False)])
@example([(temperature(1.0, 2), 9, False), (temperature(1.0), 3, False), (temperature(1.0, 2), 5, False)])
@example(
    [
        (temperature(1.0), 5, False),
        (temperature(2.0, None, 1), 20, False),
        (temperature(2.0, None, 1), 10, False),
    ]
)
def test_what_was_known_is_rebuilt_exactly(came: list[tuple[xr.Dataset, int, bool]]) -> None:
    """Overlapping, empty, corrected, repeated deliveries by any clock: at every hour all values, origins, rows,
    variables and attributes are those of the deliveries kept whole."""
    got = received(came)
    assert [r.known for r in got.receipts] == [START + clock * HOUR for _, clock, _ in came]
    for hour in sorted({0, *(clock + by for _, clock, _ in came for by in (-1, 0)), 5}):
        assert_as_the_oracle(got, came, hour)
    assert_as_the_oracle(got, came, 1000)


@settings(max_examples=100, deadline=None)
@given(deliveries())
@example([(temperature(2.0), 10, False), (temperature(1.0), 5, False), (temperature(1.0), 5, False)])
@example([(temperature(2.0), 10, False), (temperature(1.0), 5, False)])
def test_every_delivery_once_more_adds_no_row(came: list[tuple[xr.Dataset, int, bool]]) -> None:
    """The last one at once, by the same clock."""
    got = received(came)
    raw, clock, _ = came[-1]
    again = got.news(raw, START + clock * HOUR)
    assert not len(again.times) and (again.receipts[0].new, again.receipts[0].changed) == (0, 0)


@settings(max_examples=100, deadline=None)
@given(deliveries())
def test_corrections_are_those_between_one_number_and_the_next(
    came: list[tuple[xr.Dataset, int, bool]],
) -> None:
    """By a clock that only rises: a walk through the deliveries, cell by cell."""
    rising = [(raw, 100 + number, False) for number, (raw, _, _) in enumerate(came)]
    last: dict[tuple[str, np.datetime64], float] = {}
    wanted = []
    for raw, clock, _ in rising:
        for name in (n for n in NAMES if n in raw):
            for time, value in zip(raw["time"].to_numpy(), raw[name].to_numpy(), strict=True):
                before = last.get((name, time), np.nan)
                if not np.isnan(value):
                    if value != before and not np.isnan(before):
                        wanted.append((pd.Timestamp(time), name, before, value, clock))
                    last[name, time] = value
    found = received(rising).changes()
    found["known"] = ((found["known"] - pd.Timestamp(START)) / pd.Timedelta(hours=1)).astype(int)
    assert sorted(found.itertuples(index=False, name=None)) == sorted(wanted)


def test_parts_joined_are_the_whole() -> None:
    raw = hourly({"air_temperature": [1.0, 2.0, 3.0], "precipitation": [0.0, np.nan, 0.1]})
    parts = [Received.of(raw.isel(time=slice(i, i + 1))) for i in range(3)]
    xr.testing.assert_identical(joined(parts).as_known().drop_attrs(), raw.drop_attrs())
    assert joined(parts[:1]) is parts[0]
