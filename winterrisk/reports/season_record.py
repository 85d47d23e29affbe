"""The season as a plain record: what season.json keeps and the page shows."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from winterrisk.book import Record
from winterrisk.calibration.warning_score import score_counts
from winterrisk.course import Course, winter_end, winter_start
from winterrisk.reports.season_causes import causes_by_night
from winterrisk.reports.season_damage import area_damage, dead_by, zone_survey
from winterrisk.reports.season_data import data_health
from winterrisk.reports.season_days import of_winter, unknown_places
from winterrisk.reports.season_done import SEEN
from winterrisk.reports.season_headlines import spoken
from winterrisk.reports.season_known import firsts
from winterrisk.reports.season_logs import season_logs
from winterrisk.reports.season_next import next_steps
from winterrisk.reports.season_plugs import plug_rounds
from winterrisk.reports.season_traits import damage_by_traits, fair_pairs
from winterrisk.reports.season_zone import zone_record
from winterrisk.thresholds import Thresholds

Row = dict[str, Any]
Night = Mapping[str, Any]
GREEN = "green"
WORST = 3
"""Zones named from the last night where nobody has surveyed."""


def season_record(
    course: Course,
    book: Record,
    nights: Sequence[Night],
    winter: str,
    thresholds: Thresholds,
    *,
    version: str,
    left_out: Mapping[str, Any],
) -> Row:
    """The whole season, rebuilt from the logs: damage, what was known, said, done and found, and the data.

    Args:
        book: every row. nights: what each night of the winter said, in order, as it was said.
        thresholds: used to read the plugs only; no chance is worked again.
        version: of the package. left_out: counts of runs that are not what was said, and unreadable files.
    """
    timezone, units = course.timezone, course.place.units
    rounds = plug_rounds(book.plugs, book.looks, book.batches, winter, timezone, thresholds.values)
    seen = of_winter(book.observations, "time", winter, timezone)
    zones = [
        zone_record(view, nights, seen, rounds, zone_survey(book.surveys, view, winter), units)
        for view in course.zones()
    ]
    found = book.surveys[book.surveys["winter"] == winter]
    greens = [zone for zone in zones if zone["kind"] == GREEN]
    others = [zone for zone in zones if zone["kind"] != GREEN] if greens else []
    surveyed = min((zone["survey"]["date"] for zone in zones if zone["survey"]), default=None)
    opening = spoken(course.calendar.on("opening", winter).isoformat())
    return {
        "course": course.place.name,
        "invented": course.place.invented,
        "winter": winter,
        "first": winter_start(winter).isoformat(),
        "last": winter_end(winter).isoformat(),
        "version": version,
        "units": units,
        "damage": area_damage(greens or zones),
        "damage_of": "greens" if greens else "areas",
        "elsewhere": area_damage(others),
        "causes": dead_by(greens or zones, "cause"),
        "night_causes": causes_by_night(nights, {z["zone"]: z["size_m2"] for z in zones}, surveyed),
        "places": dead_by(zones, "template"),
        "traits": damage_by_traits(course, zones),
        "fair": fair_pairs(zones, course.checks.strips),
        "other_winters": _other_winters(course, book, winter),
        "firsts": firsts(zones),
        "last_night": _last_night(nights),
        "scores": score_counts(zone["score"] for zone in zones),
        "decisions": _decisions(course, book, winter),
        "next": next_steps(zones, nights=len(nights), opening=opening, strips=course.checks.strips),
        "zones": zones,
        "data": {
            **data_health(nights, [day.isoformat() for day in seen[seen["kind"].isin(SEEN)]["day"]]),
            "plugs": sum(row["number"] for row in rounds),
            **left_out,
            "void_batches": _void_batches(course, book, winter),
            "unknown_places": unknown_places(course, seen, rounds, found),
        },
        "thresholds": _versions(book, nights, winter, thresholds),
        "logs": season_logs(course, book, nights, winter),
        "station": {n: str(getattr(course.station, n)) for n in ("name", "provider", "licence", "step")},
    }


def _decisions(course: Course, book: Record, winter: str) -> list[Row]:
    rows = of_winter(book.decisions, "time", winter, course.timezone)
    kept = ("text", "reason", "who", "told", "night")
    return [{"date": row["day"].isoformat(), **{k: str(row[k]) for k in kept}} for _, row in rows.iterrows()]


def _void_batches(course: Course, book: Record, winter: str) -> list[str]:
    used = set(of_winter(book.plugs, "cut", winter, course.timezone)["batch"])
    thrown = book.batches[book.batches["void"] & book.batches["id"].isin(used)]
    return [str(batch) for batch in thrown["id"]]


def _other_winters(course: Course, book: Record, winter: str) -> list[Row]:
    """Dead share of the greens in every other surveyed winter, in order."""
    views = [view for view in course.zones() if view.kind == GREEN] or list(course.zones())
    rows = []
    for other in sorted(set(book.surveys["winter"]) - {winter}):
        found = [
            {"zone": v.label, "size_m2": v.size, "survey": zone_survey(book.surveys, v, other)} for v in views
        ]
        damage = area_damage(found)
        rows.append({"winter": str(other), **{k: damage[k] for k in ("surveyed", "dead", "low", "high")}})
    return [row for row in rows if row["surveyed"]]


def _last_night(nights: Sequence[Night]) -> Row | None:
    """Where the chances stood on the last night: the worst zones."""
    if not nights:
        return None
    data = nights[-1]["data"]
    worst = sorted(data["zones"], key=lambda row: -row["chance"])[:WORST]
    zones = [{k: row[k] for k in ("zone", "chance", "low", "high")} for row in worst]
    return {"on": nights[-1]["on"], "until": data["until_day"], "zones": zones}


def _versions(book: Record, nights: Sequence[Night], winter: str, thresholds: Thresholds) -> Row:
    """Threshold versions the nights used, those adopted, and the one the plugs are read with."""
    end = dt.datetime.combine(winter_end(winter), dt.time(23))
    adopted = book.thresholds[book.thresholds["adopted"] <= end]
    return {
        "nights": sorted({str(night["thresholds"]) for night in nights if night.get("thresholds")}),
        "packages": sorted({str(night["version"]) for night in nights}),
        "plugs_read_with": thresholds.version,
        "adopted": [
            {"date": row["adopted"].date().isoformat(), **{k: str(row[k]) for k in ("version", "who", "why")}}
            for _, row in adopted.iterrows()
        ],
    }
