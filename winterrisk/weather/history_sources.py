"""Who stands behind a value of the online history, and which of several values counts."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import pandas as pd

from winterrisk.weather.variables import FORECAST

MODEL_ANALYSIS: Final = 2
"""Origin of what a model made of measurements, and of a source whose kind is unknown."""


@dataclass(frozen=True)
class OnlineStation:
    """A station of the history: its number there, name, place, and how it reports."""

    id: str
    name: str
    latitude: float
    longitude: float
    elevation: float | None
    step: str

    @property
    def said(self) -> str:
        """What a person calls it."""
        return self.name or self.id


@dataclass(frozen=True)
class SourceKind:
    """A source behind the history: origin of its values, its rank (higher is better), and whom to credit."""

    origin: int
    rank: float
    credit: str = ""


def best_values(
    table: pd.DataFrame, theirs: str, kinds: Mapping[str, SourceKind]
) -> tuple[pd.DataFrame, dict[int, int]]:
    """Value, source and origin of each time, and how many values of each year do not say their source.

    A measured value counts before a forecast, then the source of the higher rank.

    Args:
        table (time, source): as the history gives it. theirs: its name of a column. kinds: by source.
    """
    if theirs not in table:
        return pd.DataFrame(columns=["value", "source", "origin"]), {}
    rows = table[theirs].dropna().to_frame("value").reset_index()[["time", "source", "value"]]
    rows["value"] = rows["value"].astype("float64")
    text = rows["source"].astype("object").where(rows["source"].notna(), "").astype(str).str.strip()
    without = rows.loc[text == "", "time"].dt.year.value_counts().to_dict()
    rows = rows.assign(source=text)[text != ""]
    origin = {s: _origin(s, kinds) for s in rows["source"].unique()}
    rank = {s: _rank(s, kinds) for s in origin}
    rows["origin"], rows["rank"] = rows["source"].map(origin), rows["source"].map(rank)
    rows["worse"] = rows["origin"] == FORECAST
    rows = rows.sort_values(["time", "worse", "rank", "source"], ascending=[True, True, False, True])
    best = rows.drop_duplicates("time").set_index("time")[["value", "source", "origin"]]
    return best, {int(year): int(count) for year, count in without.items()}


def _origin(source: str, kinds: Mapping[str, SourceKind]) -> int:
    parts = [kinds[s].origin if s in kinds else MODEL_ANALYSIS for s in source.split()]
    return max(parts)


def _rank(source: str, kinds: Mapping[str, SourceKind]) -> float:
    parts = [kinds[s].rank if s in kinds else 0.0 for s in source.split()]
    return sum(parts) / len(parts)
