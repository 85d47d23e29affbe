"""What people saw and did in a zone, in words; and which work makes a zone 'treated'."""

from typing import Any, Final

import pandas as pd

from winterrisk.book import KINDS
from winterrisk.course import ZoneView
from winterrisk.reports.season_days import of_zone
from winterrisk.reports.units import measure_words, percent

Row = dict[str, Any]

SEEN: Final = frozenset(
    {"ice_seen", "ice_from", "no_ice", "snow_depth_seen", "water_seen", "gas_seen", "crown_temperature_seen"}
)
TREATMENTS: Final = frozenset(
    {"snow_cleared", "ice_removed", "ice_broken", "water_removed", "drain_side_opened", "vented", "dark_sand"}
    | {"cover_on", "cover_opened"}
)
"""Work that changes what the turf goes through: such a zone is no fair comparison and no false alarm."""
WHOLE: Final = 0.995


def observation_words(row: pd.Series, units: str) -> str:
    """A row of the book as a person would say it: 'ice 9 mm, clear, on 90 % of it (Inga Varrow)'."""
    kind = KINDS.get(row["kind"])
    text = kind.words if kind else str(row["kind"])
    value = measure_words(float(row["value"]), str(row["unit"]), units)
    if row["kind"] == "ice_from":
        text = f"ice since this day{f', give or take {value}' if value else ''}"
    elif row["kind"] == "gas_seen":
        text = f"oxygen {value}, carbon dioxide {row['detail']} %"
    elif value:
        text = f"{text} {value}"
    if row["detail"] and row["kind"] != "gas_seen":
        text = f"{text}, {row['detail']}"
    if row["share"] < WHOLE:
        text = f"{text}, on {percent(float(row['share']))} of it"
    return f"{text} ({row['who']})" if row["who"] else text


def done_in_zone(observations: pd.DataFrame, zone: ZoneView, units: str) -> list[Row]:
    """Rows of the book for a zone in order of time: date, sort (seen or work), kind, words.

    Args:
        observations: rows of the winter, with their local `day`.
    """
    return [
        {
            "date": row["day"].isoformat(),
            "sort": "seen" if row["kind"] in SEEN else "work",
            "kind": row["kind"],
            "words": observation_words(row, units),
        }
        for _, row in of_zone(observations, zone).iterrows()
    ]


def treatments(done: list[Row], treated_by_night: str | None) -> list[Row]:
    """What makes a zone treated: date and words of the work.

    Args:
        treated_by_night: first night that took the zone as treated; used where the book has no work on it.
    """
    work = [{"date": row["date"], "words": row["words"]} for row in done if row["kind"] in TREATMENTS]
    if not work and treated_by_night:
        return [{"date": treated_by_night, "words": "taken as treated by the night of this date"}]
    return work
