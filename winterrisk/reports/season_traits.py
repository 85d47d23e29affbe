"""Dead share by what zones have in common: kind of spot, drainage, winter sun, build, grass; untreated zones only."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.course import Course, ZoneView
from winterrisk.microclimate.horizon import horizon_at
from winterrisk.reports.night_record import rounded
from winterrisk.reports.season_damage import area_damage, middle

Row = dict[str, Any]

TILT: Final = 23.44
"""Tilt of the Earth's axis: the noon sun of 21 December stands at 90 - latitude - tilt [degrees]."""
HALF: Final = 0.5
LEAST_ZONES: Final = 4
"""Zones from which a range over zones is told (judged)."""
DRAWS: Final = 2000
RANGE: Final = (0.05, 0.95)
SEED: Final = 20260101
"""Key of the redrawing, so that the same survey gives the same range."""
SOUTH: Final = 180.0


def traits_of(view: ZoneView, latitude: float) -> dict[str, str]:
    """What is compared of a zone, in words, by trait."""
    noon = 90.0 - latitude - TILT
    hidden = float(horizon_at(view.horizon, SOUTH)) > noon
    bluegrass = view.turf.get("annual_bluegrass", 0.0)
    return {
        "kind of spot": view.template,
        "drainage": view.drainage,
        "noon sun of 21 December": "hidden" if hidden else "free",
        "build": view.build,
        "annual bluegrass": "half or more" if bluegrass >= HALF else "less than half",
    }


def damage_by_traits(course: Course, zones: Sequence[Row]) -> list[Row]:
    """Rows trait, value, zones, surveyed_m2, low, high (of the survey's classes) and, from four zones on, range_low,
    range_high: 90 % over zones drawn anew [1]. Treated zones, and traits all zones share, are left out.

    Args:
        zones: records of the zones of a season.
    """
    views = {view.label: view for view in course.zones()}
    fair = [z for z in zones if z["survey"] and not z["treated"] and z["zone"] in views]
    groups: dict[str, dict[str, list[Row]]] = defaultdict(lambda: defaultdict(list))
    for zone in fair:
        for trait, value in traits_of(views[zone["zone"]], course.place.latitude).items():
            groups[trait][value].append(zone)
    rows = []
    for trait, values in groups.items():
        if len(values) < 2:
            continue
        told = [_row(trait, value, there) for value, there in values.items()]
        rows += sorted(told, key=lambda row: (-row["dead"], row["value"]))
    return rows


def _row(trait: str, value: str, zones: list[Row]) -> Row:
    damage = area_damage(zones)
    sizes = np.array([zone["size_m2"] for zone in zones])
    dead = np.array([middle(zone["survey"]) for zone in zones])
    low, high = share_over_zones(dead, sizes) if len(zones) >= LEAST_ZONES else (None, None)
    return {
        "trait": trait,
        "value": value,
        **{name: damage[name] for name in ("zones", "surveyed_m2", "dead", "low", "high")},
        "range_low": None if low is None else rounded(low),
        "range_high": None if high is None else rounded(high),
    }


def share_over_zones(dead: NDArray[np.float64], sizes: NDArray[np.float64]) -> tuple[float, float]:
    """5-95 % of the dead share [1] of zones (zone) of these sizes [m2], whole zones drawn anew (percentile bootstrap).

    Reference: Efron and Tibshirani (1993), An Introduction to the Bootstrap, ch. 13 (from memory).
    """
    drawn = np.random.Generator(np.random.Philox(SEED)).integers(len(dead), size=(DRAWS, len(dead)))
    shares = (dead * sizes)[drawn].sum(axis=1) / sizes[drawn].sum(axis=1)
    low, high = np.quantile(shares, RANGE)
    return float(low), float(high)


def fair_pairs(zones: Sequence[Row], strips: Sequence[str]) -> Mapping[str, Any]:
    """Untreated strips beside treated zones of the same area: what the treatment may have spared.

    Returns:
        pairs (strip, treated, done, less_low, less_high: by how much the strip's dead share lay above the treated
        zone's, from the ends of the survey's classes [1]); alone: treated zones without a surveyed strip beside them.
    """
    treated = [z for z in zones if z["treated"] and z["zone"] not in strips]
    beside = {z["area"]: z for z in zones if z["zone"] in strips and z["survey"] and not _worked(z)}
    pairs, alone = [], []
    for zone in treated:
        strip = beside.get(zone["area"])
        if strip is None or not zone["survey"]:
            alone.append(zone["zone"])
            continue
        pairs.append(
            {
                "strip": strip["zone"],
                "treated": zone["zone"],
                "done": "; ".join(t["words"] for t in zone["treated"]),
                "less_low": rounded(strip["survey"]["low"] - zone["survey"]["high"]),
                "less_high": rounded(strip["survey"]["high"] - zone["survey"]["low"]),
            }
        )
    return {"pairs": pairs, "alone": alone}


def _worked(zone: Row) -> bool:
    """A strip that was itself treated is no strip."""
    return bool(zone["treated"])
