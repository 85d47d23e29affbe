"""The season as a plain record: what season.json keeps and the page shows."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from winterrisk.book import Record
from winterrisk.course import Course, ZoneView, winter_end, winter_start
from winterrisk.reports.night_record import rounded
from winterrisk.reports.season_damage import area_damage, dead_by, zone_survey
from winterrisk.reports.season_data import data_health
from winterrisk.reports.season_days import of_winter
from winterrisk.reports.season_done import done_in_zone, treatments
from winterrisk.reports.season_known import firsts, known_of_zone
from winterrisk.reports.season_next import next_steps
from winterrisk.reports.season_plugs import plug_rounds
from winterrisk.reports.season_said import chances_of_zone, said_of_zone
from winterrisk.reports.season_score import score, score_counts
from winterrisk.reports.season_timeline import timeline
from winterrisk.thresholds import Thresholds

Row = dict[str, Any]
Night = Mapping[str, Any]
GREEN = "green"


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
        version: of the package. left_out: see `data_health`.
    """
    rounds = plug_rounds(book.plugs, book.looks, book.batches, winter, course.timezone, thresholds.values)
    seen = of_winter(book.observations, "time", winter, course.timezone)
    zones = [
        _zone(view, nights, done_in_zone(seen, view, course.place.units), rounds, zone_survey(book.surveys, view, winter), course)
        for view in course.zones()
    ]
    decisions = of_winter(book.decisions, "time", winter, course.timezone)
    greens = [zone for zone in zones if zone["kind"] == GREEN]
    cut_in = set(of_winter(book.plugs, "cut", winter, course.timezone)["batch"])
    void = [str(b) for b, is_void in zip(book.batches["id"], book.batches["void"], strict=True) if is_void and b in cut_in]
    return {
        "course": course.place.name,
        "invented": course.place.invented,
        "winter": winter,
        "first": winter_start(winter).isoformat(),
        "last": winter_end(winter).isoformat(),
        "version": version,
        "units": course.place.units,
        "damage": area_damage(greens or zones),
        "damage_of": "greens" if greens else "areas",
        "elsewhere": area_damage([z for z in zones if z["kind"] != GREEN]) if greens else area_damage([]),
        "causes": dead_by(greens or zones, "cause"),
        "places": dead_by(zones, "template"),
        "other_winters": _other_winters(course, book, winter),
        "firsts": firsts(zones),
        "last_night": _last_night(nights),
        "scores": score_counts(zone["score"] for zone in zones),
        "decisions": [
            {"date": row["day"].isoformat(), **{k: str(row[k]) for k in ("text", "reason", "who", "told", "night")}}
            for _, row in decisions.iterrows()
        ],
        "next": next_steps(
            zones, nights=len(nights), opening=course.calendar.on("opening", winter).isoformat(), strips=course.checks.strips
        ),
        "zones": zones,
        "data": data_health(nights, zones, left_out, void),
        "thresholds": _versions(book, nights, winter, thresholds),
        "station": {name: str(getattr(course.station, name)) for name in ("name", "provider", "licence", "step")},
    }  # fmt: skip


def _zone(view: ZoneView, nights: Sequence[Night], done: list[Row], rounds: Sequence[Row], survey: Row | None, course: Course) -> Row:
    plugs = [row for row in rounds if row["zone"] == view.label]
    said = said_of_zone(nights, view.label)
    chances = chances_of_zone(nights, view.label)
    known = known_of_zone(said, plugs, survey)
    treated = treatments(done, _treated_by_night(nights, view.label))
    silent = {n["on"] for n in nights for row in n["cannot_say"] if row["zone"] == view.label}
    judged = any(row["on"] not in silent and (survey is None or row["on"] < survey["date"]) for row in chances)
    return {
        "zone": view.label,
        "area": view.area,
        "kind": view.kind,
        "template": view.template,
        "size_m2": rounded(view.size),
        "survey": survey,
        "score": score(survey, warned=known["pull"] is not None, judged=judged, treated=bool(treated)),
        "known": known,
        "treated": treated,
        "said": said,
        "done": done,
        "plugs": plugs,
        "chances": chances,
        "cannot_say": sorted(silent),
        "timeline": timeline(said, done, plugs, survey, course.place.units),
    }


def _treated_by_night(nights: Sequence[Night], zone: str) -> str | None:
    said = [n["on"] for n in nights for row in n["data"]["zones"] if row["zone"] == zone and row.get("treated")]
    return min(said, default=None)


def _other_winters(course: Course, book: Record, winter: str) -> list[Row]:
    """Dead share of the greens in every other surveyed winter, in order."""
    views = [view for view in course.zones() if view.kind == GREEN] or list(course.zones())
    rows = []
    for other in sorted(set(book.surveys["winter"]) - {winter}):
        zones = [{"zone": v.label, "size_m2": v.size, "survey": zone_survey(book.surveys, v, other)} for v in views]
        rows.append({"winter": str(other), **{k: area_damage(zones)[k] for k in ("surveyed", "dead", "low", "high")}})
    return [row for row in rows if row["surveyed"]]


def _last_night(nights: Sequence[Night]) -> Row | None:
    if not nights:
        return None
    last = nights[-1]
    worst = sorted(last["data"]["zones"], key=lambda row: -row["chance"])[:3]
    kept = ("zone", "chance", "low", "high")
    return {"on": last["on"], "until": last["data"]["until_day"], "zones": [{k: row[k] for k in kept} for row in worst]}


def _versions(book: Record, nights: Sequence[Night], winter: str, thresholds: Thresholds) -> Row:
    """Threshold versions the nights used (by the book), adopted ones, and the one the plugs are read with."""
    said = {night["on"] for night in nights}
    used = book.nights[book.nights["date"].isin(said)]
    adopted = book.thresholds[book.thresholds["adopted"] <= dt.datetime.combine(winter_end(winter), dt.time(23))]
    return {
        "nights": sorted({str(v) for v in used["thresholds"]}),
        "packages": sorted({str(night["version"]) for night in nights}),
        "plugs_read_with": thresholds.version,
        "adopted": [
            {"version": str(r["version"]), "date": r["adopted"].date().isoformat(), "who": str(r["who"]), "why": str(r["why"])}
            for _, r in adopted.iterrows()
        ],
    }
