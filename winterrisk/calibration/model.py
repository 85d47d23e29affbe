"""The likelihood of a course's past winters, for many sets of thresholds at once.

Each past winter has many possible courses (members). Where the plugs and surveys of a zone fit one member
and not another, the chance of what was seen is averaged over the members: the log of the weighted mean,
zone by zone and winter by winter. Zones count as independent given the thresholds.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from winterrisk import hazards
from winterrisk.calibration.dose_spread import mean_dose, widened
from winterrisk.calibration.likelihood_table import likelihood_table, looked_up, rho_cell, share_cell
from winterrisk.calibration.pieces import Piece
from winterrisk.calibration.winter import Winter
from winterrisk.risk.combine import dead_of_species, running_doses
from winterrisk.thresholds import TABLE, Row

Array = NDArray[np.float64]
Values = Mapping[str, Array]
Spread = Literal["members", "widened"]
DayGrass = tuple[np.datetime64, str]

RHO, PRECISION, BACKGROUND = "plug_correlation", "survey_precision", "background"


class _Asked(dict[str, float]):
    """Threshold values that note which of them were asked for."""

    def __init__(self, values: Mapping[str, float]) -> None:
        super().__init__(values)
        self.asked: set[str] = set()

    def __getitem__(self, key: str) -> float:
        self.asked.add(key)
        return super().__getitem__(key)


def rows_of_chance(hazard: str, species: str, dose: Array, values: Mapping[str, float]) -> set[str]:
    """Keys of the threshold rows that a hazard's chance depends on for a grass."""
    asked = _Asked(values)
    hazards.chance(hazard, dose, asked, species)
    return asked.asked


@dataclass(frozen=True)
class _Doses:
    """One grass on one day: living share [1] (member) after all that is held, and the doses still open.

    spread: hazard -> standard deviation of the dose, where one mean dose stands for all members; else empty.
    """

    species: str
    living: Array
    moving: Mapping[str, Array]
    spread: Mapping[str, float] = field(default_factory=dict)

    def dead(self, hazards_of: Sequence[str], draws: Values) -> Array:
        """Dead share (member, draw) [1] by these hazards and the background of the draws."""
        doses = {h: self.moving[h] for h in hazards_of}
        if not self.spread:
            return dead_of_species(doses, self.species, draws)
        quiet = {**draws, BACKGROUND: np.zeros(1)}
        alive: Array = 1.0 - np.asarray(draws[BACKGROUND])[None, :]
        for h, dose in doses.items():
            wide = widened(quiet, h, self.spread[h])
            alive = alive * (1.0 - dead_of_species({h: dose}, self.species, wide))
        return np.asarray(1.0 - alive)


@dataclass(frozen=True)
class _Seen:
    """A piece of evidence as the loop needs it: its day, cover of each grass adding to 1, and table."""

    day: np.datetime64
    cover: Mapping[str, float]
    table: Array


@dataclass(frozen=True)
class Place:
    """A zone in one past winter, with everything seen in it."""

    winter: str
    zone: str
    pieces: tuple[Piece, ...]
    log_weight: Array
    doses: Mapping[DayGrass, _Doses]
    seen: tuple[_Seen, ...]

    def dead(self, draws: Values) -> dict[DayGrass, Array]:
        """Expected dead share (member, draw) [1] of each grass on each day with evidence."""
        return {
            at: 1.0 - d.living[:, None] * (1.0 - d.dead(list(d.moving), draws))
            for at, d in self.doses.items()
        }

    def dead_by(self, hazard: str, draws: Values) -> dict[DayGrass, Array]:
        """Dead share (member, draw) [1] of each grass on each day that one hazard alone would leave.

        A hazard whose chance hangs on no sampled row is not told apart from what is held: its share is 0.
        """
        none = np.zeros(1)
        quiet = {**draws, BACKGROUND: none}
        return {
            at: d.dead([hazard], quiet) if hazard in d.moving else np.zeros((len(d.living), 1))
            for at, d in self.doses.items()
        }

    def log_likelihood(self, draws: Values) -> Array:
        """Log chance of all that was seen here (draw)."""
        dead = self.dead(draws)
        correlation = rho_cell(draws[RHO]) if len(draws[RHO]) > 1 else None
        total: Array | float = self.log_weight[:, None]
        shares: dict[tuple[np.datetime64, tuple[str, ...]], Array] = {}
        for seen in self.seen:
            at = (seen.day, tuple(seen.cover))
            if at not in shares:
                shares[at] = sum((part * dead[seen.day, s] for s, part in seen.cover.items()), np.zeros(1))
            total = total + looked_up(seen.table, share_cell(shares[at]), correlation)
        top = np.max(total, axis=0)
        return np.asarray(top + np.log(np.sum(np.exp(total - top), axis=0)))


@dataclass(frozen=True)
class CourseModel:
    """Likelihood of all past winters of a course in terms of whitened thresholds."""

    rows: tuple[Row, ...]
    values: Mapping[str, float]
    places: tuple[Place, ...]

    def draws(self, z: Array) -> dict[str, Array]:
        """Threshold draws by key from whitened unknowns (draw, row); a row that is held has one value."""
        held = {k: np.array([v]) for k, v in self.values.items() if TABLE[k].acts == "chance"}
        return held | {row.key: row.quantile(ndtr(z[:, i])) for i, row in enumerate(self.rows)}

    def by_place(self, z: Array) -> Array:
        """Log likelihood (place, draw)."""
        draws = self.draws(z)
        values = [np.broadcast_to(place.log_likelihood(draws), len(z)) for place in self.places]
        return np.array(values).reshape(len(self.places), len(z))

    def log_likelihood(self, z: Array) -> Array:
        """Log likelihood (draw) of everything seen."""
        return np.asarray(self.by_place(z).sum(axis=0))

    def without(self, winter: str) -> "CourseModel":
        """The model with one winter's evidence held out."""
        return CourseModel(self.rows, self.values, tuple(p for p in self.places if p.winter != winter))

    def only(self, winter: str) -> "CourseModel":
        """The model of one winter's evidence alone."""
        return CourseModel(self.rows, self.values, tuple(p for p in self.places if p.winter == winter))


def course_model(
    winters: Sequence[Winter],
    evidence: Sequence[Piece],
    rows: Sequence[str],
    values: Mapping[str, float],
    spread: Spread = "members",
) -> CourseModel:
    """The likelihood model of a course.

    Args:
        evidence: of `pieces`, all within the winters and zones.
        rows: keys of the table to sample. values: all other thresholds, held.
        spread: average what was seen over the members, or take their mean dose under a wider curve (`dose_spread`).
    """
    places = []
    for winter in winters:
        here = [piece for piece in evidence if piece.winter == winter.name]
        for zone in dict.fromkeys(piece.zone for piece in here):
            places.append(
                _place(winter, zone, [p for p in here if p.zone == zone], frozenset(rows), values, spread)
            )
    return CourseModel(tuple(TABLE[key] for key in rows), values, tuple(places))


def _place(
    winter: Winter,
    zone: str,
    evidence: Sequence[Piece],
    rows: frozenset[str],
    values: Mapping[str, float],
    spread: Spread,
) -> Place:
    doses = running_doses(winter.harm.sel(zone=[zone])).isel(zone=0)
    names = [str(s) for s in winter.harm["species"].to_numpy()]
    held = {key: np.array([value]) for key, value in values.items()}
    rho = None if RHO in rows else float(values[RHO])
    tables: dict[DayGrass, _Doses] = {}
    seen = []
    for piece in evidence:
        place = int(np.searchsorted(winter.days, piece.day, side="right")) - 1
        day = winter.days[place]
        cover = winter.cover(zone, piece.species)
        whole = sum(cover.values())
        seen.append(
            _Seen(
                day,
                {s: part / whole for s, part in cover.items()},
                likelihood_table(piece, values[PRECISION], rho),
            )
        )
        for species in cover:
            if (day, species) not in tables:
                there = {
                    h: doses[f"dose_{h}"]
                    .isel(day=place, species=names.index(species))
                    .to_numpy()
                    .astype(np.float64)
                    for h in hazards.HAZARDS
                }
                tables[day, species] = _split(there, species, rows, values, held)
    weight = winter.weight / np.sum(winter.weight)
    if spread == "widened":
        tables = {at: _one(d, weight) for at, d in tables.items()}
        weight = np.ones(1)
    with np.errstate(divide="ignore"):
        return Place(winter.name, zone, tuple(evidence), np.log(weight), tables, tuple(seen))


def _one(doses: _Doses, weight: Array) -> _Doses:
    """The mean member of a zone and day, with the spread of each dose."""
    told = {h: mean_dose(h, dose, weight) for h, dose in doses.moving.items()}
    living = np.array([float(weight @ doses.living)])
    return _Doses(
        doses.species, living, {h: d for h, (d, _) in told.items()}, {h: s for h, (_, s) in told.items()}
    )


def _split(
    doses: Mapping[str, Array],
    species: str,
    rows: frozenset[str],
    values: Mapping[str, float],
    held: Values,
) -> _Doses:
    """Doses whose chance depends on a sampled row are kept; the others are worked out once and for all."""
    moving = {h: d for h, d in doses.items() if rows & rows_of_chance(h, species, d, values)}
    still = {h: d for h, d in doses.items() if h not in moving}
    no_background = {**held, BACKGROUND: np.zeros(1)}
    living = 1.0 - dead_of_species(still, species, no_background)[:, 0]
    return _Doses(species, np.broadcast_to(living, len(next(iter(doses.values())))), moving)
