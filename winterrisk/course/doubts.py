"""What a readable course file leaves out or makes doubtful, and the next move for each."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from math import asin, cos, radians, sin, sqrt
from typing import Final

from winterrisk.course.addresses import address_fault
from winterrisk.course.agreement import zone_label
from winterrisk.course.course import Course
from winterrisk.course.directions import DIRECTIONS
from winterrisk.course.read_secrets import NAMED
from winterrisk.course.zone_view import ZoneView

EARTH_RADIUS: Final = 6371.0
"""km, mean."""
FAR: Final = 30.0
"""km from the course at which another night sky and other showers are likely; judged."""
HIGH: Final = 100.0
"""m of height difference that shifts temperature by about 0.65 degC at the usual 6.5 degC per km; judged."""
CLOCK_MISFIT: Final = 3.0
"""h between the sun's time and the zone's time beyond which a longitude sign is suspect; judged."""
DEEP_WATER: Final = 30.0
"""mm: depressions of a green hold less (judged range 0-30 mm)."""
THICK_MAT: Final = 40.0
"""mm: thicker mats than this are rare on greens; judged."""
LOW_TREES: Final = 15.0
"""degrees: trees lower than this leave a spot most of its winter sun; judged."""
NAMED_AT_ONCE: Final = 8
"""Zones named in one line; the rest are counted."""


@dataclass(frozen=True)
class Doubt:
    """Something missing or doubtful: where, what about it, and the next move."""

    where: str
    what: str
    next_move: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}; {self.next_move}"


def doubts(course: Course) -> tuple[Doubt, ...]:
    """What a course file leaves out or makes doubtful, most consequential first."""
    return (
        *_place_doubts(course),
        *_station_doubts(course),
        *_turf_doubts(course),
        *_zone_doubts(course),
        *_people_doubts(course),
        *_date_and_money_doubts(course),
    )


def is_control(zone: ZoneView) -> bool:
    """True for a spot likely to come through unhurt: sun, good drainage, no standing water, no cold pool.

    A plug from such a spot shows whether the whole batch was kept well. Judged.
    """
    winter_sky = zone.horizon[DIRECTIONS.index("ESE") : DIRECTIONS.index("WNW")]
    sunny = max(winter_sky) < LOW_TREES
    return zone.drainage == "good" and zone.holds_water <= 3 and zone.cold_air != "pools" and sunny


def distance(latitude: float, longitude: float, other_latitude: float, other_longitude: float) -> float:
    """Distance between two places along the ground [km], by the haversine formula; arguments in degrees."""
    a, b = radians(latitude), radians(other_latitude)
    half = sin((b - a) / 2) ** 2 + cos(a) * cos(b) * sin(radians(other_longitude - longitude) / 2) ** 2
    return 2 * EARTH_RADIUS * asin(min(1.0, sqrt(half)))


def _place_doubts(course: Course) -> Iterator[Doubt]:
    place = course.place
    if place.invented:
        yield Doubt(
            "place",
            "marked as invented",
            "for your own course fill in name and position, take `invented` out",
        )
    winter_noon = datetime(2025, 1, 15, 12, tzinfo=course.zoneinfo).utcoffset()
    hours = winter_noon.total_seconds() / 3600 if winter_noon is not None else 0.0
    if abs((place.longitude / 15 - hours + 12) % 24 - 12) > CLOCK_MISFIT:
        yield Doubt(
            "place.longitude", f"{place.longitude:g} does not go with the clock of {place.timezone}",
            "west of Greenwich is negative: check the sign, or the time zone",
        )  # fmt: skip
    if place.preset is None:
        yield Doubt(
            "place.preset",
            "no region named, general answers used",
            "name the nearest preset, or write your own",
        )


def _station_doubts(course: Course) -> Iterator[Doubt]:
    place, station = course.place, course.station
    if station.latitude is None or station.longitude is None:
        yield Doubt(
            "station", "its position is not given: taken as at the course", "write latitude and longitude"
        )
    else:
        away = distance(place.latitude, place.longitude, station.latitude, station.longitude)
        if away > FAR:
            yield Doubt(
                "station", f"{away:.0f} km from the course: showers and clear nights will differ",
                "look for a nearer one, or compare a cheap thermometer at the course",
            )  # fmt: skip
    if station.elevation is not None and abs(station.elevation - place.elevation) > HIGH:
        yield Doubt(
            "station",
            f"{station.elevation - place.elevation:+.0f} m from the course: rain and snow may differ",
            "check both heights",
        )
    if station.step == "daily":
        yield Doubt(
            "station",
            "daily values: hours of thaw and freeze are estimated",
            "use an hourly record if there is one",
        )
    if course.gauge.kind != "heated":
        stated = "" if course.says("gauge.kind") else ", assumed since the file does not say"
        what = "no gauge" if course.gauge.kind == "none" else "unheated: misses snow and reports it late"
        yield Doubt("gauge", what + stated, "log snow depth with `winterrisk observe` after each snowfall")
    if course.forecast.source == "none":
        yield Doubt(
            "forecast", "none: the days to come are taken from past winters", "name a source in [forecast]"
        )


def _turf_doubts(course: Course) -> Iterator[Doubt]:
    if course.says("turf.shares"):
        return
    silent = [
        zone_label(area.name, zone.name)
        for area in course.areas
        for zone in area.zones
        if zone.turf is None and area.turf is None
    ]
    if silent:
        assumed = ", ".join(
            f"{share:.0%} {name.replace('_', ' ')}" for name, share in course.turf_section.shares.items()
        )
        yield Doubt(
            "turf", f"not given for {_few(silent)}: {assumed} assumed",
            "estimate the share of annual bluegrass on each green: nothing decides more",
        )  # fmt: skip


def _zone_doubts(course: Course) -> Iterator[Doubt]:
    zones = course.zones()
    hurt = {(injury.area.casefold(), injury.zone.casefold()) for injury in course.past_injury}
    without = [zone.label for zone in zones if (zone.area.casefold(), zone.name.casefold()) not in hurt]
    if without:
        yield Doubt(
            "past_injury", f"no history for {_few(without)}",
            "write the winters you remember, also those without loss (dead = 0)",
        )  # fmt: skip
    greens = [area for area in course.areas if area.kind == "green"]
    bare = [area.name for area in greens if not any(is_control(z) for z in zones if z.area == area.name)]
    if bare:
        yield Doubt(
            "areas", f"no control zone on {_few([f'green {name}' for name in bare])}",
            "add a sunny, drained spot (template open or ridge): its plug shows if the batch was kept well",
        )  # fmt: skip
    lone = [area.name for area in greens if len(area.zones) == 1]
    if lone:
        yield Doubt(
            "areas",
            f"one zone only on {_few([f'green {n}' for n in lone])}",
            "split where low or shaded spots differ",
        )
    vague = [
        f"{area.name} {zone.name}" for area in course.areas for zone in area.zones
        if zone.template is None and zone.holds_water is None
    ]  # fmt: skip
    if vague:
        yield Doubt(
            "areas", f"neither template nor holds_water for {_few(vague)}: taken as open", "name a template"
        )
    for zone in zones:
        if zone.holds_water > DEEP_WATER:
            yield Doubt(
                zone.label,
                f"holds {zone.holds_water:g} mm of water, more than greens do",
                "check: millimetres?",
            )
        if zone.thatch * 1000 > THICK_MAT:
            yield Doubt(zone.label, f"a mat of {zone.thatch * 1000:g} mm is rare", "check: millimetres?")


def _people_doubts(course: Course) -> Iterator[Doubt]:
    people = course.people
    if not people:
        yield Doubt("people", "nobody gets messages", "add [[people]] with a name and an address")
    elif not any(person.second for person in people):
        yield Doubt(
            "people", "nobody stands in when the first does not answer", "mark one with second = true"
        )
    for person in people:
        if not person.address:
            yield Doubt("people", f"no address for {person.name}", "add one, as mailto://...")
        elif not NAMED.fullmatch(person.address) and (
            fault := address_fault(NAMED.sub("secret", person.address), who=person.name)
        ):
            yield Doubt(fault.where, f"{fault.found}: no message can be sent there", fault.next_move)
    if not course.says("crew"):
        days = ", ".join(course.crew.days)
        yield Doubt("crew", f"not given: {course.crew.people} people on {days} assumed", "fill in [crew]")


def _date_and_money_doubts(course: Course) -> Iterator[Doubt]:
    silent = [key for key in ("seed_order", "sod_order", "opening") if not course.says(f"calendar.{key}")]
    if silent:
        dates = ", ".join(f"{key} = {getattr(course.calendar, key)}" for key in silent)
        yield Doubt("calendar", f"not given: {dates} assumed", "write your own dates")
    seed, sod, opening = (
        course.calendar.on(key, "2024-25") for key in ("seed_order", "sod_order", "opening")
    )
    if max(seed, sod) > opening:
        yield Doubt("calendar", "an order date after the opening", "check the three dates")
    money = course.money
    if not all(course.says(f"money.{key}") for key in ("prepare", "loss_unprepared", "loss_prepared")):
        yield Doubt(
            "money",
            f"not given in full: prepare {money.prepare:g}, loss {money.loss_unprepared:g} unprepared and"
            f" {money.loss_prepared:g} prepared ({money.currency}) assumed",
            "write your own: they decide when plugs are worth a trip",
        )  # fmt: skip
    if money.prepare >= money.loss_unprepared - money.loss_prepared:
        yield Doubt(
            "money",
            "preparing costs more than it saves: no plug would ever be called",
            "check the three amounts",
        )


def _few(names: list[str]) -> str:
    shown = ", ".join(names[:NAMED_AT_ONCE])
    return shown if len(names) <= NAMED_AT_ONCE else f"{shown} and {len(names) - NAMED_AT_ONCE} more"
