"""Clear or leave a zone on a day: both futures of the same possible winters, over the ten days after it."""

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk import hazards, risk
from winterrisk.book import course_values, open_book
from winterrisk.column.members import Members, members
from winterrisk.column.zones import joined_days, zones_days
from winterrisk.course import night_instant, read_course, utc_instant, winter_of
from winterrisk.nightly import Settings, Work, possible_winters, zone_events
from winterrisk.reports.units import measure_words
from winterrisk.reports.words import chance_in_words, day_in_words
from winterrisk.risk.combine import dead_share, running_doses
from winterrisk.sampling.question import ICE_SEEN
from winterrisk.sampling.what_if import Comparison, compared
from winterrisk.science.faults import Fault, Refused
from winterrisk.science.weighted import weighted_median
from winterrisk.thresholds import Thresholds
from winterrisk.weather.get_night_forecast import read_night_forecast
from winterrisk.weather.read_course_weather import read_course_weather

DAYS = 10
FARTHEST = 10
"""Days over which the two are compared, and days from the night to the clearing beyond which nothing is said."""
AT = 12
"""Local hour of the clearing: the warm part of the day."""
CARE = (
    "Clearing: eye protection when chipping, firm footing, small loads and many rests, in pairs; no machines across "
    "an icy slope; covers, chemicals and dark sand by their labels and local rules."
)


@dataclass(frozen=True)
class WhatIf:
    """Both futures of one zone: when, until when, the comparison, chance of ice there on the day, and the coldest
    crown [degC] (median of the possible winters) left alone and cleared."""

    zone: str
    on: dt.date
    until: dt.date
    told: Comparison
    ice: float
    snow: float
    coldest: tuple[float, float]
    units: str = "metric"
    blind: str = ""

    def words(self) -> str:
        """The answer in a few lines; where data lack, that nothing can be said."""
        t = self.told
        if self.blind:
            return (
                f"CANNOT SAY for {self.zone}: {self.blind}. Whether to clear it cannot be judged from here: go and "
                f"look, and get the station's data in.\n{CARE}"
            )
        left, bare = (measure_words(round(c), "degC", self.units) for c in self.coldest)
        snow = measure_words(round(100.0 * self.snow), "cm", self.units)
        lines = [
            f"{self.zone}, {day_in_words(self.on)} to {day_in_words(self.until)}: more than a quarter dead by then",
            f"  leave it: {chance_in_words(t.leave, *t.leave_range)}; coldest crown about {left}",
            f"  clear it: {chance_in_words(t.clear, *t.clear_range)}; coldest crown about {bare}",
        ]
        if t.verdict == "too close to call":
            why = "hardly any ice to take away" if self.ice < 0.1 else "the two chances hardly differ"
            lines.append(f"TOO CLOSE TO CALL: {why}. Look first, or leave the choice to the crew's day.")
        elif t.verdict == "clear":
            lines.append(f"CLEARING looks better, in {t.better:.0%} of the possible winters.")
        else:
            lines.append(
                f"LEAVING looks better: bare turf lies open to the cold; clearing is better in {t.better:.0%} only."
            )
        lines.append(f"Ice there that day: {self.ice:.0%} likely. Snow {snow}. Only ten days are "
                     "compared: what lies under the ice longer is not in these figures.")  # fmt: skip
        return "\n".join([*lines, CARE])


def what_if(
    folder: Path | str,
    zone: str,
    on: dt.date,
    *,
    night: dt.date | None = None,
    settings: Settings | None = None,
) -> WhatIf:
    """What clearing snow and ice off a zone on a day would do to it over the ten days after.

    Both futures have the same members, draws and weather; the second has the snow cleared and the ice taken off at
    noon of the day. Evidence of plugs weighs both alike.

    Args:
        on: day of the clearing; night: the night whose knowledge counts, the same day where left out.
    Raises:
        Refused: no weather ten days ahead, unknown zone, a day before the night or more than ten days after it.
    """
    course = read_course(folder)
    label = course.zone(zone).label
    known = night or on
    if not dt.timedelta(0) <= on - known <= dt.timedelta(days=FARTHEST):
        raise Refused(
            Fault("--on", f"{on}", f"a day from {known} to {known + dt.timedelta(days=FARTHEST)}",
                  "choose a day that the forecast reaches")
        )  # fmt: skip
    thresholds = Thresholds.read(course.folder)
    now = night_instant(known, course.timezone)
    with open_book(course.folder, create=False, course=course) as book:
        record = book.record(known_by=now)
    chosen = settings or Settings()
    received = read_course_weather(course)
    weather = possible_winters(
        received, course, known, chosen, forecast=read_night_forecast(course, known, None)
    )
    work = Work(course, thresholds, record, received, replace(chosen, zones=(label,)))
    several = members(weather.paths, chosen.n_ground, (course.id, winter_of(known)), thresholds)
    return replace(both_futures(work, weather.paths, several, label, on, now), blind=weather.blind)


def both_futures(
    work: Work, paths: xr.Dataset, several: Members, zone: str, on: dt.date, now: np.datetime64
) -> WhatIf:
    """The two futures of one zone from possible weather.

    Args:
        paths (time, member): of the winter up to at least ten days after `on`.
    """
    course = work.course
    seen = zone_events(work, now)
    end = np.datetime64(utc_instant(on + dt.timedelta(days=DAYS + 1), 0, course.timezone), "h")
    last = paths["time"].to_numpy()[-1] + np.timedelta64(1, "h")
    end = end.astype("datetime64[ns]")
    if last < end:
        raise Refused(
            Fault("what-if", f"weather ahead to {str(last)[:10]}", f"ten days after {on}",
                  "name a forecast in [forecast] of course.toml, or keep a whole earlier winter on record")
        )  # fmt: skip
    branch = np.datetime64(utc_instant(on, AT, course.timezone), "h").astype("datetime64[ns]")
    before, states = zones_days(paths, course, seen, several, zones=(zone,), until=branch)
    left, _ = zones_days(paths, course, seen, several, zones=(zone,), start=states, until=end)
    cleared, _ = zones_days(
        paths,
        course,
        {zone: _cleared(seen.get(zone), zone, branch)},
        several,
        zones=(zone,),
        start=states,
        until=end,
    )
    turf = course.turf().sel(zone=[zone])
    draws = work.chance_draws(winter_of(on))
    precision = float(np.mean(draws["survey_precision"]))
    share = {str(s): float(turf["share"].sel(zone=zone, species=s)) for s in turf["species"].to_numpy()}
    chances = []
    known: risk.Known | None = None
    for future in (left, cleared):
        days = joined_days(before, future)
        harm = hazards.run(days, turf, several.traits)
        if known is None:
            known = risk.known(
                harm, draws, work.record.plugs, work.record.looks, work.record.surveys, batches=work.record.batches,
                share=course.turf()["share"], base=several.weight, on=now, used=work.thresholds.used,
                values=course_values(course, work.thresholds.values),
            )  # fmt: skip
        doses = running_doses(harm).sel(zone=zone).isel(day=-1)
        chances.append(known.harmed(zone, dead_share(doses, share, draws), precision))
    assert known is not None
    w = known.weights.sel(zone=zone).to_numpy()
    own = w.sum(axis=1)
    there = left.sel(zone=zone).isel(day=0)
    coldest = tuple(
        weighted_median(
            d.sel(zone=zone)["crown_temperature_min"].min("day").transpose("member").to_numpy(), own
        )
        for d in (left, cleared)
    )
    return WhatIf(
        zone, on, on + dt.timedelta(days=DAYS), compared(chances[0], chances[1], w),
        float((own * (there["ice_thickness_max"].to_numpy() >= ICE_SEEN)).sum() / own.sum()),
        weighted_median(there["snow_depth_mean"].to_numpy(), own), (coldest[0], coldest[1]),
        course.place.units,
    )  # fmt: skip


def _cleared(seen: pd.DataFrame | None, zone: str, at: np.datetime64) -> pd.DataFrame:
    rows = [
        {"time": at, "until": pd.NaT, "zone": zone, "kind": kind, "value": 0.0, "unit": unit, "share": 1.0,
         "who": "", "known": at, "detail": ""}
        for kind, unit in (("snow_cleared", "cm"), ("ice_removed", "mm"), ("water_removed", ""))
    ]  # fmt: skip
    return pd.DataFrame(rows)
