"""Pieces of evidence: what the plugs of one cut, or one spring survey, say of a zone on a day."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from winterrisk import plugs as plug_chapter
from winterrisk.calibration.winter import Winter
from winterrisk.course import winter_of
from winterrisk.risk.spread import BAND_LIMITS
from winterrisk.risk.survey import survey_log_likelihood

Array = NDArray[np.float64]

_, _, PARTS, MOST = BAND_LIMITS


@dataclass(frozen=True)
class Piece:
    """What one cut of plugs or one survey says.

    ids: of the plugs, or of the survey, as a version's list of used evidence has them. alive, dead: how many
    of them point to live and to dead turf (a survey of partly dead turf to both).
    """

    kind: Literal["plug", "survey"]
    winter: str
    zone: str
    day: np.datetime64
    species: str
    ids: tuple[str, ...]
    alive: int
    dead: int
    source: "plug_chapter.Evidence | tuple[float, float]"

    def log_likelihood(self, p: Array, rho: Array, precision: Array) -> Array:
        """Log chance of what was seen for expected dead shares p (...) [1].

        Args:
            p [1]; rho [1]: plug correlation; precision [1]: of a survey; all broadcast.
        """
        if isinstance(self.source, tuple):
            return survey_log_likelihood(p, *self.source, precision) + 0.0 * rho
        return self.source.log_likelihood(p, rho) + 0.0 * precision


def survey_id(row_id: object) -> str:
    """Name of a survey in a version's list of used evidence; plugs go by their own ids."""
    return f"survey {row_id}"


def _plug_pieces(found: Iterable["plug_chapter.Evidence"]) -> list[Piece]:
    return [
        Piece(
            "plug",
            winter_of(item.cut.astype("datetime64[D]").item()),
            item.zone,
            item.cut.astype("datetime64[D]"),
            item.species,
            item.plugs,
            alive=sum(a > d for a, d in zip(item.log_alive, item.log_dead, strict=True)),
            dead=sum(d > a for a, d in zip(item.log_alive, item.log_dead, strict=True)),
            source=item,
        )
        for item in found
    ]


def _survey_pieces(surveys: pd.DataFrame) -> list[Piece]:
    made = []
    for place, row in enumerate(surveys.to_dict("records")):
        low, high = float(row["dead_low"]), float(row["dead_high"])
        middle = 0.5 * (low + high)
        day = pd.Timestamp(row["date"]).to_datetime64().astype("datetime64[D]")
        made.append(
            Piece(
                "survey",
                str(row.get("winter") or winter_of(day.item())),
                str(row["zone"]),
                day,
                str(row.get("species") or "all"),
                (survey_id(row.get("id", place + 1)),),
                alive=int(middle < MOST),
                dead=int(middle >= PARTS),
                source=(low, high),
            )
        )
    return made


def pieces(
    winters: Sequence[Winter],
    plugs: pd.DataFrame,
    surveys: pd.DataFrame,
    *,
    looks: pd.DataFrame,
    batches: pd.DataFrame,
    values: Mapping[str, float],
) -> tuple[tuple[Piece, ...], tuple[str, ...]]:
    """Evidence that falls into the winters, and a sentence for what had to be left out.

    Args:
        plugs, surveys, looks, batches: tables of the book.
        values: threshold values by key, for how plugs green up.
    """
    by_name = {winter.name: winter for winter in winters}
    kept: list[Piece] = []
    out: dict[str, int] = {}
    for piece in (
        *_plug_pieces(plug_chapter.evidence(plugs, looks, batches, values=values)),
        *_survey_pieces(surveys),
    ):
        reason = _unusable(piece, by_name.get(piece.winter))
        if reason:
            out[reason] = out.get(reason, 0) + len(piece.ids)
        else:
            kept.append(piece)
    return tuple(kept), tuple(f"{number} left out: {reason}" for reason, number in sorted(out.items()))


def _unusable(piece: Piece, winter: Winter | None) -> str:
    if winter is None:
        return f"{piece.kind}s of {piece.winter}, a winter without a replay"
    if piece.zone not in {str(z) for z in winter.harm["zone"].to_numpy()}:
        return f"{piece.kind}s of {piece.zone}, a zone the course does not have"
    if not winter.cover(piece.zone, piece.species):
        return f"{piece.kind}s of {piece.species} in {piece.zone}, where it does not grow"
    if piece.day < winter.days[0]:
        return f"{piece.kind}s cut before the replay of {piece.winter} begins"
    return ""
