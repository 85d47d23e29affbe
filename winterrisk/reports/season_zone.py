"""One zone's winter as a plain record."""

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from winterrisk.calibration.warning_score import score
from winterrisk.course import ZoneView
from winterrisk.reports.night_record import rounded
from winterrisk.reports.season_done import done_in_zone, treatments
from winterrisk.reports.season_known import known_of_zone
from winterrisk.reports.season_said import chances_of_zone, said_of_zone
from winterrisk.reports.season_timeline import timeline

Row = dict[str, Any]
Night = Mapping[str, Any]


def zone_record(
    zone: ZoneView,
    nights: Sequence[Night],
    observations: pd.DataFrame,
    rounds: Sequence[Row],
    survey: Row | None,
    units: str,
) -> Row:
    """Survey, score, what was known when, what was said, done and found, and the chances of one zone.

    Args:
        nights: what each night said. observations: rows of the winter with their `day`. rounds: of plugs,
            of every zone. survey: of this zone. units: metric or us, for the words.
    """
    plugs = [row for row in rounds if row["zone"] == zone.label]
    said, chances = said_of_zone(nights, zone.label), chances_of_zone(nights, zone.label)
    done = done_in_zone(observations, zone, units)
    known = known_of_zone(said, plugs, survey)
    treated = treatments(done, _treated_by_night(nights, zone.label))
    silent = {n["on"] for n in nights for row in n["cannot_say"] if row["zone"] == zone.label}
    before = survey["date"] if survey else None
    judged = any(c["on"] not in silent and (before is None or c["on"] < before) for c in chances)
    return {
        "zone": zone.label,
        "area": zone.area,
        "kind": zone.kind,
        "template": zone.template,
        "size_m2": rounded(zone.size),
        "survey": survey,
        "score": score(survey, warned=known["pull"] is not None, judged=judged, treated=bool(treated)),
        "known": known,
        "treated": treated,
        "said": said,
        "done": done,
        "plugs": plugs,
        "chances": chances,
        "cannot_say": sorted(silent),
        "timeline": timeline(said, done, plugs, survey, units),
    }


def _treated_by_night(nights: Sequence[Night], zone: str) -> str | None:
    said = ((n["on"], row) for n in nights for row in n["data"]["zones"])
    return min((on for on, row in said if row["zone"] == zone and row.get("treated")), default=None)
