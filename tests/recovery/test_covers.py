"""Covers: the danger named, air due, gas read, heat beneath; and the book's rows that they are read from."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest
from sample_winters import course, days_of, no_events, winter

from winterrisk.column.events import cover_named, cover_seals
from winterrisk.recovery.cover_air import air_under_cover, warm_cover_days
from winterrisk.recovery.covers import covers_lying
from winterrisk.reports.notices_covers import cover_notices
from winterrisk.thresholds import TABLE, Thresholds

VALUES = Thresholds.defaults().values
ZONE = "8 open"


def rows(*told: tuple[str, str, float, str]) -> pd.DataFrame:
    """Rows of one zone from (time, kind, value, detail)."""
    if not told:
        return no_events()
    at = pd.to_datetime([row[0] for row in told])
    columns = {"time": at, "until": pd.NaT, "zone": ZONE, "kind": [row[1] for row in told]}
    columns |= {"value": [row[2] for row in told], "unit": "", "share": 1.0, "who": "", "known": at}
    return pd.DataFrame(columns | {"detail": [row[3] for row in told]})


def lying(frame: pd.DataFrame, now: str):
    days = days_of("2024-25", course(), ZONE).expand_dims(zone=[ZONE])
    return covers_lying({ZONE: frame}, days, np.datetime64(now), course().timezone, VALUES)


def notices(frame: pd.DataFrame, on: str, called: tuple[str, ...] = ()):
    return cover_notices(
        lying(frame, f"{on}T10"), course(), winter("2024-25")[0], dt.date.fromisoformat(on), VALUES, called
    )


def test_a_sealed_cover_on_unfrozen_ground_is_named_as_the_danger_it_is() -> None:
    (found,) = [
        n
        for n in notices(rows(("2024-11-05T18", "cover_on", np.nan, "impermeable")), "2024-11-12")
        if n["kind"] == "cover_danger"
    ]
    assert found["zone"] == ZONE and "DANGER" in found["text"] and "90 to 95 %" in found["text"]
    assert "not frozen" in found["text"] and "air in" in found["text"]


@pytest.mark.parametrize(
    ("day", "kind"), [("2025-01-10", "impermeable"), ("2024-11-05", "permeable"), ("2024-11-05", "straw")]
)
def test_no_danger_on_frozen_ground_or_under_a_cover_that_breathes(day: str, kind: str) -> None:
    on = str(np.datetime64(day) + 5)
    found = notices(rows((f"{day}T18", "cover_on", np.nan, kind)), on)
    assert "cover_danger" not in {n["kind"] for n in found}


def test_air_is_due_after_twenty_days_and_again_after_each_airing() -> None:
    laid = ("2025-01-10T18", "cover_on", np.nan, "insulated")
    assert notices(rows(laid), "2025-01-29") == []
    assert "never aired" in notices(rows(laid), "2025-01-30")[0]["text"]
    aired = ("2025-01-28T18", "vented", np.nan, "")
    assert notices(rows(laid, aired), "2025-01-30") == []
    assert "last aired Tue 28 Jan" in notices(rows(laid, aired), "2025-02-17")[0]["text"]
    assert lying(rows(laid, ("2025-02-01T18", "cover_off", np.nan, "")), "2025-02-20T10") == ()
    assert TABLE["vent_days"].low == 10 and TABLE["vent_days"].high == 30


def test_a_cover_noted_twice_is_still_laid_when_it_was() -> None:
    first = ("2024-11-05T18", "cover_on", np.nan, "impermeable")
    again = ("2025-01-05T18", "cover_on", np.nan, "impermeable")
    (spell,) = lying(rows(first, again), "2025-01-20T10")
    assert spell.since == dt.date(2024, 11, 5) and spell.on_unfrozen_ground
    off = ("2025-01-04T18", "cover_off", np.nan, "")
    (spell,) = lying(rows(first, off, again), "2025-01-20T10")
    assert spell.since == dt.date(2025, 1, 5) and not spell.on_unfrozen_ground
    (spell,) = lying(rows(first, ("2025-01-05T18", "cover_on", np.nan, "permeable")), "2025-01-20T10")
    assert spell.kind == "permeable" and spell.since == dt.date(2025, 1, 5)


@pytest.mark.parametrize(
    ("oxygen", "carbon", "foul"),
    [(7.5, "3", True), (12.0, "9", True), (12.0, "3", False), (8.0, "8", False)],
)
def test_gas_asks_for_air_below_8_oxygen_or_above_8_carbon_dioxide(
    oxygen: float, carbon: str, foul: bool
) -> None:
    """Trials in Alberta 2014: vent where O2 < 8 % or CO2 > 8 %."""
    laid = ("2025-01-10T18", "cover_on", np.nan, "impermeable")
    frame = rows(laid, ("2025-01-15T18", "gas_seen", oxygen, carbon))
    (spell,) = lying(frame, "2025-01-16T10")
    assert (spell.oxygen, spell.carbon_dioxide) == (oxygen, float(carbon))
    assert spell.foul(VALUES) is foul
    assert bool(notices(frame, "2025-01-16")) is foul
    aired = rows(laid, ("2025-01-15T18", "gas_seen", oxygen, carbon), ("2025-01-16T18", "vented", np.nan, ""))
    (after,) = lying(aired, "2025-01-17T10")
    assert after.oxygen is None and not after.foul(VALUES)


def test_air_under_a_woven_cover_reaches_what_was_seen() -> None:
    """Low 80s degF (27 to 29 degC) on a sunny day in the mid-40s degF (7 degC): March sun, 650 to 750 W m-2."""
    for sun in (650.0, 750.0):
        assert 26.0 <= air_under_cover(7.0, sun, VALUES["cover_air_heat"]) <= 30.0
    assert air_under_cover(-5.0, 0.0, VALUES["cover_air_heat"]) == -5.0


def test_heat_is_told_on_a_sunny_day_and_not_in_january() -> None:
    laid = rows(("2024-12-10T18", "cover_on", np.nan, "permeable"))
    assert notices(laid, "2025-01-15") == []
    told = [n["text"] for n in notices(laid, "2025-04-20")]
    assert len(told) == 1 and "softens turf early" in told[0] and ZONE in told[0]


def test_chance_of_heat_counts_the_paths() -> None:
    from winterrisk.microclimate import zone_weather

    own = zone_weather(winter("2024-25")[0], course(), ZONE)
    days = np.array(["2025-01-15", "2025-05-20"], dtype="datetime64[D]")
    cold, hot = warm_cover_days(own, days, VALUES["cover_air_heat"], VALUES["cover_air_warm"])
    assert (cold, hot) == (0.0, 1.0)


def test_covered_zones_are_cut_at_the_edge_or_a_vent() -> None:
    laid = rows(("2025-01-10T18", "cover_on", np.nan, "impermeable"))
    (found,) = notices(laid, "2025-01-20", called=(ZONE, "4 low"))
    assert "cut at the edge or a vent" in found["text"] and "4 low" not in found["text"]


def test_words_for_covers_name_their_kind() -> None:
    said = {
        "white impermeable sheet": "impermeable",
        "Insulated": "insulated",
        "straw mats": "straw",
        "": "permeable",
    }
    assert {words: cover_named(words) for words in said} == said
    assert [cover_seals(w) for w in said] == [True, True, False, False]
