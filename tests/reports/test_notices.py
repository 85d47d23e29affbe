"""What a night says beside its calls: what people corrected, what contradicts, turf and spring."""

import numpy as np
import pandas as pd
import pytest
import xarray as xr

from winterrisk.reports.notices import IN_THE_MESSAGE, with_judged
from winterrisk.reports.notices_seen import conflicts, corrected
from winterrisk.reports.notices_turf import drying, guards, hardening

NOW = np.datetime64("2025-01-15T11:00")
BEFORE = {
    "on": "2025-01-14",
    "data": {"zones": [{"zone": "4 low", "ice_mm": 0.0, "snow_m": 0.3, "crown_min": -2.0}]},
}


def rows(*said: tuple[str, str, float, str, str]) -> dict[str, pd.DataFrame]:
    table = pd.DataFrame(
        [
            {"time": t, "kind": k, "value": v, "unit": u, "who": w, "known": t, "share": 1.0}
            for t, k, v, u, w in said
        ]
    )
    return {"4 low": table.astype({"time": "datetime64[us]", "known": "datetime64[us]"})}


@pytest.mark.parametrize(
    ("kind", "value", "unit", "words"),
    [
        ("ice_seen", 20.0, "mm", "4 low: seen ice 20 mm, the night of 2025-01-14 had none"),
        ("snow_depth_seen", 5.0, "cm", "4 low: seen 5 cm of snow, the night of 2025-01-14 had 30 cm"),
        (
            "crown_temperature_seen",
            -6.0,
            "degC",
            "4 low: seen the crown at -6 °C, the night of 2025-01-14 had -2 °C at its lowest",
        ),
    ],
)
def test_what_people_saw_stands_beside_what_the_model_had(kind, value, unit, words) -> None:
    found = corrected(rows(("2025-01-14T15:00", kind, value, unit, "Inga")), BEFORE, NOW)
    assert [n["text"] for n in found] == [words]


def test_us_readers_get_inches_and_fahrenheit() -> None:
    seen = (
        ("ice_seen", 25.4, "mm"),
        ("snow_depth_seen", 5.08, "cm"),
        ("crown_temperature_seen", -6.0, "degC"),
    )
    found = corrected(rows(*(("2025-01-14T15:00", k, v, u, "Inga") for k, v, u in seen)), BEFORE, NOW, "us")
    words = " / ".join(notice["text"] for notice in found)
    assert "ice 1.0 in" in words and "2.0 in of snow, the night of 2025-01-14 had 11.8 in" in words
    assert "the crown at 21 °F, the night of 2025-01-14 had 28 °F at its lowest" in words


def drying_harm(*doses: float) -> xr.Dataset:
    """Drying days of the last days up to 14 January, alike for each member."""
    day = np.arange(len(doses)) + np.datetime64("2025-01-15") - len(doses)
    dose = np.array(doses)[None, :, None, None] * np.ones((1, 1, 1, 3))
    coords = {"species": ["annual_bluegrass"], "day": day.astype("datetime64[ns]"), "zone": ["4 ridge"]}
    return xr.Dataset({"dose_drying": (("species", "day", "zone", "member"), dose)}, coords=coords)


def test_turf_that_goes_on_drying_is_told_from_half_the_days_that_kill_half() -> None:
    on, values = np.datetime64("2025-01-15"), {"drying_days": 25.0}
    (said,) = drying(drying_harm(10, 11, 12, 12, 13), on, values)
    assert said["kind"] == "drying" and said["text"].startswith(
        "4 ridge: up to 13 drying days so far, where 25"
    )
    assert drying(drying_harm(10, 11, 12, 12, 12), on, values) == [], "not dry enough yet"
    assert drying(drying_harm(13, 13, 13, 13, 13), on, values) == [], "it has snowed since"
    assert (
        drying(drying_harm(13), on, values) == [] and drying(xr.Dataset(coords={"day": []}), on, values) == []
    )


def test_a_sight_that_agrees_corrects_nothing() -> None:
    agreeing = rows(
        ("2025-01-14T15:00", "no_ice", np.nan, "", "Inga"),
        ("2025-01-14T15:00", "snow_depth_seen", 32.0, "cm", "Inga"),
    )
    assert corrected(agreeing, BEFORE, NOW) == []
    assert corrected(rows(("2025-01-10T15:00", "ice_seen", 20.0, "mm", "Inga")), BEFORE, NOW) == []
    assert corrected(rows(("2025-01-14T15:00", "ice_seen", 20.0, "mm", "Inga")), None, NOW) == []


def test_two_people_who_contradict_each_other_are_told() -> None:
    both = rows(
        ("2025-01-14T15:00", "ice_seen", 20.0, "mm", "Inga"),
        ("2025-01-14T17:00", "no_ice", np.nan, "", "Odd"),
    )
    (said,) = conflicts(both, NOW)
    assert said["text"].startswith("4 low: ice and no ice within a day, from Inga and Odd")
    apart = rows(
        ("2025-01-12T15:00", "ice_seen", 20.0, "mm", "Inga"),
        ("2025-01-14T17:00", "no_ice", np.nan, "", "Odd"),
    )
    assert conflicts(apart, NOW) == [], "ice that went in two days is no contradiction"


def winter(crown_mean: float, hardened: float, thawed_over: float = 0.0) -> tuple[xr.Dataset, xr.Dataset]:
    day = np.arange("2024-10-01", "2024-12-20", dtype="datetime64[D]").astype("datetime64[ns]")
    one = ("day", "zone", "member")
    shape = (len(day), 1, 4)
    days = xr.Dataset(
        {
            "crown_temperature_mean": (one, np.full(shape, crown_mean)),
            "hours_thawed_over_frozen": (one, np.full(shape, thawed_over)),
        },
        coords={"day": day, "zone": ["4 low"]},
    )
    full = (1, *shape)
    harm = xr.Dataset(
        {
            "hardening": (("species", *one), np.full(full, hardened)),
            "dose_spring_frost": (("species", *one), np.full(full, -9.0)),
        },
        coords={"day": day, "zone": ["4 low"], "species": ["annual_bluegrass"]},
    )
    return days, harm


def test_poor_hardening_is_told_in_december_only() -> None:
    """Hardening 0.2 at freeze-up against 0.50 in the coastal autumn of the published cases."""
    days, harm = winter(-2.0, 0.2)
    (said,) = hardening(days, harm, np.datetime64("2024-12-15"))
    assert said["text"].startswith("annual bluegrass went into winter poorly hardened at 4 low")
    assert hardening(days, harm, np.datetime64("2024-11-15")) == []
    assert hardening(*winter(-2.0, 0.5), np.datetime64("2024-12-15")) == []


def test_a_thawed_top_over_frozen_ground_keeps_traffic_off() -> None:
    days, harm = winter(1.0, 0.5, thawed_over=12.0)
    (said,) = guards(days, harm, np.datetime64("2024-12-10"))
    assert "keep traffic and mowers off" in said["text"]
    assert guards(*winter(1.0, 0.5, thawed_over=3.0), np.datetime64("2024-12-10")) == []


def test_calls_on_judged_relations_are_marked_and_stay_off_the_phone() -> None:
    marked = with_judged([], [{"reason": "day 2 under ice; wet_freeze"}])
    assert [n["kind"] for n in marked] == ["judged"] and "judged" not in IN_THE_MESSAGE
    assert with_judged([], [{"reason": "ice"}]) == []
