"""One thing changed: the same winter on a zone with more sun, better drainage, other grass, or other work."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from winterrisk.course import Course, ZoneView, day_start
from winterrisk.course.area import Zone
from winterrisk.course.templates import TEMPLATES
from winterrisk.science.day_words import day_month

SIGHTINGS: Final = frozenset(
    {
        "ice_seen",
        "ice_from",
        "no_ice",
        "snow_depth_seen",
        "water_seen",
        "crown_temperature_seen",
        "gas_seen",
    }
)
"""What people saw: it held for the winter that was, so it is left out from the day on which a change begins."""
LITTLE_BLUEGRASS: Final = 0.10
"""Share of annual bluegrass after years of turning a green over to bent [1] (judged)."""
DRAINED: Final = TEMPLATES["north slope"].holds_water
"""Water that a zone holds once its surface sheds it [mm]: as a plain slope does. What drains below stays as it is."""
COVER_KIND: Final = "permeable"
"""Cover taken where the course owns none: it lets air through."""
WORK_HOUR: Final = np.timedelta64(12, "h")
BARE: Final = 0.0
EventsOf = Callable[[pd.DataFrame], pd.DataFrame]


@dataclass(frozen=True)
class Change:
    """One change of a zone's winter: its name, words for a reader, the changed course and events.

    begins: UTC from which the winter differs; None where from its start.
    """

    name: str
    words: str
    course: Course
    events: EventsOf
    begins: np.datetime64 | None = None


def changed_zone(course: Course, label: str, **values: object) -> Course:
    """The course with keys of one zone replaced."""
    view = course.zone(label)

    def zone(there: Zone) -> Zone:
        return there.model_copy(update=values) if there.name == view.name else there

    areas = tuple(
        area.model_copy(update={"zones": tuple(map(zone, area.zones))}) if area.name == view.area else area
        for area in course.areas
    )
    return course.model_copy(update={"areas": areas})


def without_sightings(events: pd.DataFrame, begins: np.datetime64 | None) -> pd.DataFrame:
    """The events with what people saw left out from `begins` on (from the start where None); work stays."""
    seen = events["kind"].isin(SIGHTINGS)
    if begins is not None:
        seen &= events["time"] >= pd.Timestamp(begins)
    return events[~seen]


def standing_changes(course: Course, label: str) -> tuple[Change, ...]:
    """More winter sun, better surface drainage, less annual bluegrass: those that a zone leaves room for."""
    view = course.zone(label)
    found = []
    if max(view.horizon) > 0:
        open_sky = changed_zone(course, label, shade="none", horizon=None)
        found.append(
            Change(
                "sun",
                "more winter sun: trees or hills out of the way, nights under the open sky",
                open_sky,
                _same,
            )
        )
    if view.holds_water > DRAINED:
        words = f"better surface drainage: holds {DRAINED:g} mm instead of {view.holds_water:g}"
        dry = changed_zone(course, label, holds_water=DRAINED)
        found.append(Change("drainage", words, dry, _same))
    bluegrass = view.turf.get("annual_bluegrass", 0.0)
    if bluegrass > LITTLE_BLUEGRASS:
        words = f"less annual bluegrass: {100 * LITTLE_BLUEGRASS:.0f} % instead of {100 * bluegrass:.0f} %"
        found.append(
            Change("bluegrass", words, changed_zone(course, label, turf=_little_bluegrass(view)), _same)
        )
    return tuple(found)


def cleared(course: Course, label: str, day: dt.date) -> Change:
    """Snow and ice taken off a zone at noon of a day."""
    at = day_start(day, course.timezone) + WORK_HOUR
    rows = [_row(at, label, "snow_cleared", BARE, "cm"), _row(at, label, "ice_removed", BARE, "mm")]
    return Change("cleared", f"snow and ice cleared on {day_month(day)}", course, _with(rows), at)


def covered(course: Course, label: str, day: dt.date) -> Change:
    """A cover on a zone from a day on: the kind that the course owns, else one that lets air through."""
    kind = COVER_KIND if course.covers.kind == "none" else course.covers.kind
    at = day_start(day, course.timezone) + WORK_HOUR
    rows = [_row(at, label, "cover_on", float("nan"), "", detail=kind)]
    return Change("cover", f"{kind} cover from {day_month(day)}, on frozen ground", course, _with(rows), at)


def not_banked(course: Course, events: pd.DataFrame) -> Change | None:
    """No snow banked on the drain side; None where nobody noted any."""
    banked = events[events["kind"] == "snow_banked"]
    if banked.empty:
        return None
    at = banked["time"].min().to_datetime64()
    return Change(
        "not banked", "snow not banked on the drain side", course, lambda e: e[e["kind"] != "snow_banked"], at
    )


def _same(events: pd.DataFrame) -> pd.DataFrame:
    return events


def _with(rows: list[dict[str, object]]) -> EventsOf:
    def added(events: pd.DataFrame) -> pd.DataFrame:
        more = pd.DataFrame(rows).reindex(columns=list(rows[0]))
        return (
            pd.concat([events, more], ignore_index=True) if len(events) else more.astype({"value": "float64"})
        )

    return added


def _row(
    at: np.datetime64, zone: str, kind: str, value: float, unit: str, detail: str = ""
) -> dict[str, object]:
    time = pd.Timestamp(at)
    return {
        "time": time, "until": pd.NaT, "zone": zone, "kind": kind, "value": value, "unit": unit, "share": 1.0,
        "who": "", "known": time, "detail": detail,
    }  # fmt: skip


def _little_bluegrass(view: ZoneView) -> dict[str, float]:
    others = {s: share for s, share in view.turf.items() if s != "annual_bluegrass" and share > 0}
    others = others or {"creeping_bent": 1.0}
    total = sum(others.values())
    turf = {s: share / total * (1.0 - LITTLE_BLUEGRASS) for s, share in others.items()}
    return {"annual_bluegrass": LITTLE_BLUEGRASS, **turf}
