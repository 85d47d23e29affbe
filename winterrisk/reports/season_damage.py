"""How bad it was: the dead share of each zone by its spring survey, and of the course by area."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pandas as pd

from winterrisk.course import ZoneView
from winterrisk.reports.night_record import rounded
from winterrisk.risk import BAND_LIMITS, BANDS

ALL_SPECIES = "all"
Row = dict[str, Any]


def zone_survey(surveys: pd.DataFrame, zone: ZoneView, winter: str) -> Row | None:
    """What the spring surveys found in a zone: date, low and high dead share [1], cause, who; or None.

    Where a zone was surveyed more than once, the date with the most dead counts: later on, turf recovers.
    """
    rows = surveys[(surveys["zone"] == zone.label) & (surveys["winter"] == winter)]
    dates = [_on_one_date(there, zone) for _, there in rows.groupby("date", sort=True)]
    return max(dates, key=lambda row: row["low"] + row["high"]) if dates else None


def _on_one_date(rows: pd.DataFrame, zone: ZoneView) -> Row:
    whole = rows[rows["species"] == ALL_SPECIES]
    if len(whole):
        low, high = float(whole["dead_low"].iloc[-1]), float(whole["dead_high"].iloc[-1])
        told = whole.iloc[-1:]
    else:
        last = rows.drop_duplicates("species", keep="last")
        low, high = _by_species(last, zone.turf)
        told = last
    return {
        "date": rows["date"].iloc[-1].date().isoformat(),
        "low": rounded(low),
        "high": rounded(high),
        "cause": _cause(told),
        "who": ", ".join(dict.fromkeys(str(who) for who in told["who"] if who)),
    }


def _by_species(rows: pd.DataFrame, turf: Mapping[str, float]) -> tuple[float, float]:
    """Dead share of the zone from its grasses; a grass nobody surveyed may be anything from alive to dead."""
    low = high = 0.0
    seen = 0.0
    for species, least, most in zip(rows["species"], rows["dead_low"], rows["dead_high"], strict=True):
        share = turf.get(species, 0.0)
        low, high, seen = low + share * least, high + share * most, seen + share
    return low, min(1.0, high + max(0.0, 1.0 - seen))


def _cause(rows: pd.DataFrame) -> str:
    causes = list(dict.fromkeys(rows["cause"]))
    return str(causes[0]) if len(causes) == 1 else "mixed"


def middle(survey: Row) -> float:
    """Middle of the surveyed range of the dead share [1]."""
    return 0.5 * float(survey["low"] + survey["high"])


def band_of(share: float) -> str:
    """The band a dead share [1] lies in: none, trace, spots, parts or most."""
    reached = [band for band, limit in zip(BANDS, BAND_LIMITS, strict=True) if share > limit]
    return reached[-1] if reached else "none"


def area_damage(zones: Iterable[Row]) -> Row:
    """Dead area [m2] and share [1] of the surveyed zones, each weighted by its size; zones not surveyed."""
    every = list(zones)
    seen = [zone for zone in every if zone["survey"]]
    size = sum(zone["size_m2"] for zone in seen)

    def dead(value: Any) -> float:
        return float(sum(zone["size_m2"] * value(zone["survey"]) for zone in seen))

    low, mean, high = dead(lambda s: s["low"]), dead(middle), dead(lambda s: s["high"])
    return {
        "zones": len(every),
        "surveyed": len(seen),
        "size_m2": rounded(sum(zone["size_m2"] for zone in every)),
        "surveyed_m2": rounded(size),
        "dead_m2": rounded(mean),
        "dead": rounded(mean / size) if size else None,
        "low": rounded(low / size) if size else None,
        "high": rounded(high / size) if size else None,
        "bands": {band: sum(band_of(middle(z["survey"])) == band for z in seen) for band in ("none", *BANDS)},
        "dates": sorted({zone["survey"]["date"] for zone in seen}),
        "not_surveyed": [zone["zone"] for zone in every if not zone["survey"]],
    }


def dead_by(zones: Iterable[Row], key: str) -> list[Row]:
    """Dead area [m2] and share [1] of the surveyed zones that share a trait, most dead first."""
    groups: dict[str, list[Row]] = defaultdict(list)
    for zone in zones:
        if zone["survey"]:
            groups[zone["survey"]["cause"] if key == "cause" else zone[key]].append(zone)
    rows: Sequence[Row] = [
        {
            key: name,
            **{k: area_damage(group)[k] for k in ("zones", "surveyed_m2", "dead_m2", "dead", "low", "high")},
        }
        for name, group in groups.items()
    ]
    return sorted(rows, key=lambda row: (-row["dead_m2"] if key == "cause" else -row["dead"], row[key]))
