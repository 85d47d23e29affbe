"""What next: steps that follow from the survey, the score and what is missing."""

from collections.abc import Sequence
from typing import Any

from winterrisk.reports.season_damage import band_of, middle

Row = dict[str, Any]


def next_steps(zones: Sequence[Row], *, nights: int, opening: str, strips: Sequence[str]) -> list[Row]:
    """Steps in order: what to do, and the zones it is for (worst first).

    Args:
        zones: records of the zones, with survey, score and treatments. opening: date the course should open.
        strips: zones with an untreated strip.
    """
    surveyed = sorted((z for z in zones if z["survey"]), key=lambda z: -middle(z["survey"]))

    def in_band(*bands: str) -> list[str]:
        return [z["zone"] for z in surveyed if band_of(middle(z["survey"])) in bands]

    def scored(*scores: str) -> list[str]:
        return [z["zone"] for z in zones if z["score"] in scores]

    treated = [z["zone"] for z in zones if z["treated"] and z["zone"] not in strips]
    strip_there = {z["area"] for z in zones if z["zone"] in strips}
    bare = [z["zone"] for z in zones if z["zone"] in treated and z["area"] not in strip_there]
    steps = [
        (f"Repair first, worst first (more than a quarter dead); the course should open on {opening}.", in_band("parts", "most")),
        ("Thin in places (5 to 25 % dead): walk them again before deciding between seed and waiting.", in_band("spots")),
        ("Survey these while dead turf can still be told from live: winterrisk survey DIR.", scored("no survey")),
        ("Hurt without a call: look here first next winter, and tell the zone's drainage and shade again.", scored("miss")),
        ("Called, and next to nothing was dead: the thresholds may be too careful here.", scored("false")),
        ("Treated without an untreated strip beside it: leave one next time, or nobody learns what it was worth.", bare),
    ]
    rows = [{"what": what, "zones": where} for what, where in steps if where]
    if surveyed:
        rows.append({"what": "Let this winter's plugs and survey speak for the next: winterrisk tune DIR fit.", "zones": []})
    if not nights:
        rows.append({"what": "No night of this winter was worked: winterrisk nightly DIR each morning, or winterrisk backcast DIR.", "zones": []})
    return rows
