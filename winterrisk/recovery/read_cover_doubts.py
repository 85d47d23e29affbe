"""What `check` says of covers: a sealed kind without air, and one that went on before the ground was frozen."""

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.book import events, open_book
from winterrisk.column import run
from winterrisk.column.events import cover_seals
from winterrisk.course import Course, Doubt, day_start, replay_start, winter_of
from winterrisk.microclimate import zone_ground, zone_weather
from winterrisk.recovery.covers import CoverSpell, covers_lying, last_laid
from winterrisk.science.day_words import day_month
from winterrisk.thresholds import Thresholds
from winterrisk.weather import complete
from winterrisk.weather.read_course_weather import read_course_weather

HOUR = np.timedelta64(1, "h")
AFTER = np.timedelta64(2, "D")


def cover_doubts(course: Course) -> tuple[Doubt, ...]:
    """Doubts on the covers of a course, the danger first.

    A sealed cover in the book that still lies at the record's end, or lay last, is held against one replay of its
    zone: was the ground frozen on the day it was laid?
    """
    found = [_danger(spell) for spell in _sealed(course) if spell.on_unfrozen_ground]
    if cover_seals(course.covers.kind) and not course.covers.vents:
        what = f"{course.covers.kind} covers and no way to let air in"
        move = "have vents: the air beneath is used up in weeks; lay it on frozen ground, air it every 10 to 30 days"
        found.append(Doubt("covers.vents", what, move))
    return tuple(found)


def _danger(spell: CoverSpell) -> Doubt:
    return Doubt(
        f"cover on {spell.zone}",
        f"DANGER: a sealed {spell.kind} cover was laid on {day_month(spell.since)} {spell.since.year}, on ground most "
        "likely not frozen",
        "in the one case on record 90 to 95 % of such turf was lost: take it off, or let air in, until it freezes",
    )


def _sealed(course: Course) -> list[CoverSpell]:
    """The sealed covers laid last in each zone, with the ground on the day they were laid."""
    with open_book(course.folder, create=False, course=course) as book:
        record = book.record()
    found: list[CoverSpell] = []
    weather: xr.Dataset | None = None
    for zone in course.zone_labels():
        rows = events(record, zone, owned=course.covers.kind)
        laid = last_laid(rows)
        if laid is None or not cover_seals(str(laid["detail"])):
            continue
        if weather is None:
            weather = complete(read_course_weather(course).as_known(), course.place, (course.id,))
        found += _spell(course, zone, rows, laid["time"], weather)
    return found


def _spell(
    course: Course, zone: str, rows: pd.DataFrame, time: pd.Timestamp, weather: xr.Dataset
) -> tuple[CoverSpell, ...]:
    laid = time.to_datetime64()
    begins = day_start(replay_start(winter_of(time.date())), course.timezone).astype("datetime64[ns]")
    hours = weather["time"].to_numpy()
    there = (hours >= begins) & (hours < laid + AFTER)
    if not there.any() or hours[there][-1] + HOUR < laid:
        return ()
    own = zone_weather(weather.isel(time=np.flatnonzero(there)), course, zone)
    before = rows[(rows["time"] >= pd.Timestamp(begins)) & (rows["time"] <= time)]
    days = run(own, zone_ground(course).sel(zone=zone), events=before, output="days")
    by_zone = days.expand_dims(zone=[zone])
    values = Thresholds.read(course.folder).values
    return covers_lying({zone: before}, by_zone, laid, course.timezone, values)
