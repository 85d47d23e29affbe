"""What a winter cost under a policy: trips, plugs, orders and what closed greens lose."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.course import Course, night_instant, winter_of
from winterrisk.sampling import Stakes
from winterrisk.sampling.pull_day import LATE_ORDER
from winterrisk.sampling.value import chance_after_plugs
from winterrisk.sampling.worth import BASE_RATE, LOOK_MINUTES, WARNING, WHOLE
from winterrisk.simulation.blocks import NOMINAL
from winterrisk.simulation.field import TOLD, Field
from winterrisk.simulation.harm_told import chances_of_harm
from winterrisk.simulation.winters import FIRST, SPRING, Played, known_by

Array = NDArray[np.float64]

GREEN_UP: Final = np.datetime64(f"{NOMINAL + 1}-04-25")
"""Day on which everybody sees it [judged]."""
WARN_ABOVE: Final = 1.0 / WARNING
"""Chance of harm from which a board is warned [1]."""


@dataclass(frozen=True)
class Outcome:
    """One policy in one winter: cost [currency], plugs, trips, looks, orders; board: what needless warnings cost it,
    and hurt zones of which nobody warned it [currency], by the stakes with which the planner weighs them.

    known, by_plugs: truly hurt zone -> day from which its harm was known, by all that the policy has, and by plugs
    alone (never before it was there; green-up where nothing told). warned: zones of which it told harm; wrong: those
    of them that were not hurt.
    """

    cost: float
    plugs: int
    trips: int
    looks: int
    known: dict[str, np.datetime64]
    by_plugs: dict[str, np.datetime64]
    orders: int
    warned: int
    wrong: int
    board: float


def outcome(played: Played, field: Field, course: Course, *, with_outlook: bool) -> Outcome:
    """The cost of a winter under the plugs and looks of one policy.

    On the nights of decision a zone's seed or sod is ordered where that is worth it; it costs more for each day after
    the course's day for seed. With the outlook the chance is that of the planner's own nights, weighed by the policy's
    plugs; without it, a base rate and the plugs alone.

    Args:
        played: the winter as the planner went through it (its outlook holds what its looks found, for every policy;
            what its plugs told, for its own alone).
    """
    truth = played.truth
    stakes = {v.label: Stakes.of(course.money).of_share(v.share) for v in course.zones()}
    ordered: dict[str, float] = {}
    free_until = course.calendar.on("seed_order", winter_of(FIRST))
    for on, harm in sorted(played.decisions.items()):
        chances = (
            _chances(played, field, course, on, harm) if with_outlook else _by_plugs(field, truth.zones, on)
        )
        late = max((on - free_until).days, 0)
        for zone, chance in chances.items():
            own = stakes[zone]
            price = own.prepare + LATE_ORDER * late * own.prepare / WHOLE
            gain = chance * (own.loss_unprepared - own.loss_prepared) - price
            if zone not in ordered and gain > 0.0:
                ordered[zone] = price
    cost = sum(ordered.values())
    since = {zone: truth.hurt_since(zone, np.datetime64(SPRING, "D")) for zone in truth.zones}
    hurt = {zone: day for zone, day in since.items() if day is not None}
    for zone in hurt:
        cost += stakes[zone].loss_prepared if zone in ordered else stakes[zone].loss_unprepared
    money = Stakes.of(course.money)
    plugs = sum(number for _, _, number, _ in field.rounds)
    cost += (
        money.trip * len(field.trips)
        + money.plug * plugs
        + money.trip * LOOK_MINUTES / 60.0 * len(field.seen)
    )
    told = _told(played, field) if with_outlook else field.known
    board = sum(own.prepare * _unwarned(zone in told, zone in hurt) for zone, own in stakes.items())
    return Outcome(
        cost, plugs, len(field.trips), len(field.seen),
        _known(told, hurt), _known(field.known, hurt), len(ordered), len(told), len(set(told) - set(hurt)),
        board,
    )  # fmt: skip


def _unwarned(told: bool, hurt: bool) -> float:
    """What a warning, or its lack, costs over a right one [costs of an order]."""
    return 0.0 if told == hurt else 1.0 if told else WARNING - 1.0


def _known(told: Mapping[str, np.datetime64], hurt: Mapping[str, np.datetime64]) -> dict[str, np.datetime64]:
    return {zone: min(max(told.get(zone, GREEN_UP), since), GREEN_UP) for zone, since in hurt.items()}


def _told(played: Played, field: Field) -> dict[str, np.datetime64]:
    """Zone -> first day on which its harm was told: by plugs, or by a night's chance from which a board is warned.

    The planner's nights have its plugs in them; those of another policy are the same without any plugs.
    """
    told = dict(field.known)
    said = played.said if field is played.field else played.said_without_plugs
    for z, zone in enumerate(played.truth.zones):
        nights = played.nights[said[:, z] > WARN_ABOVE]
        if len(nights):
            told[zone] = min(nights[0], told.get(zone, nights[0]))
    return told


def _chances(played: Played, field: Field, course: Course, on: dt.date, harm: xr.Dataset) -> dict[str, float]:
    now = night_instant(on, course.timezone)
    turf = course.turf().sel(zone=list(played.truth.zones))
    known = known_by(harm, field.tables(now), now, turf, played.weight, played.draws)
    return chances_of_harm(harm, known, turf, played.draws, np.datetime64(SPRING, "D"))


def _by_plugs(field: Field, zones: tuple[str, ...], on: dt.date) -> dict[str, float]:
    """Chance of harm by the plugs alone: base rate, and the last told round of each zone."""
    told = {}
    for day, zone, number, hurt in sorted(field.rounds):
        if day + np.timedelta64(TOLD, "D") <= np.datetime64(on, "D"):
            told[zone] = float(chance_after_plugs(BASE_RATE, number)[hurt])
    return {zone: told.get(zone, BASE_RATE) for zone in zones}
