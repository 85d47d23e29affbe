"""The likelihood of a course's past winters, for many sets of thresholds at once.

Each past winter has many possible courses (members). Where the plugs and surveys of a zone fit one member
and not another, the chance of what was seen is averaged over the members: the log of the weighted mean,
zone by zone and winter by winter. A zone may stand ice a little longer or less long than the course does, in every
winter alike; that is averaged over as well (`zone_effect`). Given the thresholds zones count as independent.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp, ndtr

from winterrisk import hazards
from winterrisk.calibration.dose_spread import LEAST_DOSE, mean_dose, widened
from winterrisk.calibration.likelihood_table import Cell, likelihood_table, looked_up, rho_cell, share_cell
from winterrisk.calibration.pieces import Piece
from winterrisk.calibration.winter import Winter
from winterrisk.calibration.zone_effect import ZONE_SPREAD, ZoneEffect, zone_effect
from winterrisk.risk.combine import dead_of_species, running_doses
from winterrisk.thresholds import TABLE, Row

Array = NDArray[np.float64]
Values = Mapping[str, Array]
Spread = Literal["members", "widened"]
DayGrass = tuple[np.datetime64, str]

RHO, PRECISION, BACKGROUND, ICE = "plug_correlation", "survey_precision", "background", "ice"


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

    @property
    def iced(self) -> bool:
        """Whether ice is among the open doses and there is any."""
        return ICE in self.moving and float(self.moving[ICE].max()) > LEAST_DOSE

    def dead(self, hazards_of: Sequence[str], draws: Values) -> Array:
        """Dead share (member, draw) [1] by these hazards and the background of the draws."""
        alive: Array = 1.0 - np.asarray(draws[BACKGROUND])[None, :]
        for h in hazards_of:
            alive = alive * (1.0 - self.chance(h, draws))
        return np.asarray(1.0 - alive)

    def chance(self, hazard: str, draws: Values, factor: float = 1.0) -> Array:
        """Chance of death (member, draw) [1] by one hazard, its dose times a factor [1]."""
        own = widened(draws, hazard, self.spread[hazard]) if self.spread else draws
        return hazards.chance(hazard, self.moving[hazard][:, None] * factor, own, self.species)


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

    def log_likelihood(self, draws: Values, factors: Array) -> Array:
        """Log chance of all that was seen here (factor, draw), with the ice dose times each factor [1]."""
        iced = {at for at, d in self.doses.items() if d.iced}
        living = {
            at: d.living[:, None] * (1.0 - d.dead([h for h in d.moving if h != ICE or at not in iced], draws))
            for at, d in self.doses.items()
        }
        found = []
        for factor in factors if iced else factors[:1]:
            alive = {
                at: share * (1.0 - self.doses[at].chance(ICE, draws, factor)) if at in iced else share
                for at, share in living.items()
            }
            found.append(self._log_chance(alive, draws))
        return np.array(found)

    def _log_chance(self, alive: Mapping[DayGrass, Array], draws: Values) -> Array:
        """Log chance of all that was seen (draw) for living shares (member, draw) [1] of each day and grass."""
        correlation = rho_cell(draws[RHO]) if len(draws[RHO]) > 1 else None
        total: Array | float = self.log_weight[:, None]
        cells: dict[tuple[np.datetime64, tuple[str, ...]], Cell] = {}
        for seen in self.seen:
            at = (seen.day, tuple(seen.cover))
            if at not in cells:
                living = sum((part * alive[seen.day, s] for s, part in seen.cover.items()), np.zeros(1))
                cells[at] = share_cell(1.0 - living)
            total = total + looked_up(seen.table, cells[at], correlation)
        top = np.max(total, axis=0)
        return np.asarray(top + np.log(np.sum(np.exp(total - top), axis=0)))


@dataclass(frozen=True)
class CourseModel:
    """Likelihood of all past winters of a course in terms of whitened thresholds."""

    rows: tuple[Row, ...]
    values: Mapping[str, float]
    places: tuple[Place, ...]
    effect: ZoneEffect

    def draws(self, z: Array) -> dict[str, Array]:
        """Threshold draws by key from whitened unknowns (draw, row); a row that is held has one value."""
        held = {k: np.array([v]) for k, v in self.values.items() if TABLE[k].acts == "chance"}
        return held | {row.key: row.quantile(ndtr(z[:, i])) for i, row in enumerate(self.rows)}

    def by_zone(self, z: Array) -> Array:
        """Log likelihood (zone, draw), averaged over what a zone stands beyond the course."""
        draws = self.draws(z)
        zones: dict[str, Array] = {}
        for place in self.places:
            zones[place.zone] = zones.get(place.zone, 0.0) + place.log_likelihood(draws, self.effect.factors)
        found = np.empty((len(zones), len(z)))
        for row, own in zip(found, zones.values(), strict=True):
            row[:] = own[0] if len(own) == 1 else logsumexp(own + self.effect.log_weight[:, None], axis=0)
        return found

    def log_likelihood(self, z: Array) -> Array:
        """Log likelihood (draw) of everything seen."""
        return np.asarray(self.by_zone(z).sum(axis=0))

    def without(self, winter: str) -> "CourseModel":
        """The model with one winter's evidence held out."""
        return replace(self, places=tuple(p for p in self.places if p.winter != winter))

    def only(self, winter: str) -> "CourseModel":
        """The model of one winter's evidence alone."""
        return replace(self, places=tuple(p for p in self.places if p.winter == winter))


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
    effect = zone_effect(0.0 if spread == "widened" else values[ZONE_SPREAD])
    return CourseModel(tuple(TABLE[key] for key in rows), values, tuple(places), effect)


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
        tables = {at: _one(d, weight, values[ZONE_SPREAD]) for at, d in tables.items()}
        weight = np.ones(1)
    with np.errstate(divide="ignore"):
        return Place(winter.name, zone, tuple(evidence), np.log(weight), tables, tuple(seen))


def _one(doses: _Doses, weight: Array, zone_spread: float) -> _Doses:
    """The mean member of a zone and day, with the spread of each dose; that of ice also between zones."""
    told = {h: mean_dose(h, dose, weight) for h, dose in doses.moving.items()}
    if ICE in told:
        told[ICE] = told[ICE][0], float(np.hypot(told[ICE][1], zone_spread))
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
    """Doses whose chance depends on a sampled row, or on the zone, are kept; the others are worked out once for all."""
    zones_differ = {ICE} if values[ZONE_SPREAD] > 0.0 else set()
    moving = {
        h: d for h, d in doses.items() if h in zones_differ or rows & rows_of_chance(h, species, d, values)
    }
    still = {h: d for h, d in doses.items() if h not in moving}
    no_background = {**held, BACKGROUND: np.zeros(1)}
    living = 1.0 - dead_of_species(still, species, no_background)[:, 0]
    return _Doses(species, np.broadcast_to(living, len(next(iter(doses.values())))), moving)
