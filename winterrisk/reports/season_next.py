"""What next: steps that follow from the survey, the score and what is missing."""

from collections.abc import Sequence
from typing import Any, Final

from winterrisk.reports.season_damage import band_of, middle

Row = dict[str, Any]

REPAIR: Final = (
    "Repair first, worst first (more than a quarter dead); the course should open on {opening}. Amounts, days and why "
    "it happened there: winterrisk recovery DIR --why."
)
WALK: Final = "Thin in places (5 to 25 % dead): walk them again before deciding between seed and waiting."
SURVEY: Final = "Survey these while dead turf can still be told from live (winterrisk survey DIR)."
MISSED: Final = "Hurt without a call: look here first next winter, and check these zones in course.toml."
FALSE: Final = "Called, and next to nothing was dead: the thresholds may be too careful here."
STRIP: Final = "Treated without an untreated strip beside it: leave one, or nobody learns what it was worth."
TUNE: Final = "Let the plugs and the survey of this winter speak for the next (winterrisk tune DIR fit)."
NIGHTS: Final = "No night of this winter is in the folder: work them as they come (winterrisk nightly DIR)."


def next_steps(zones: Sequence[Row], *, nights: int, opening: str, strips: Sequence[str]) -> list[Row]:
    """Steps in order: what to do, and the zones it is for (worst first).

    Args:
        zones: records of the zones, with survey, score and treatments. opening: day the course should open,
            as it is spoken. strips: zones with an untreated strip.
    """
    surveyed = sorted((z for z in zones if z["survey"]), key=lambda z: -middle(z["survey"]))

    def in_band(*bands: str) -> list[str]:
        return [z["zone"] for z in surveyed if band_of(middle(z["survey"])) in bands]

    def scored(name: str) -> list[str]:
        return [z["zone"] for z in zones if z["score"] == name]

    beside = {z["area"] for z in zones if z["zone"] in strips}
    steps = [
        (REPAIR.format(opening=opening), in_band("parts", "most")),
        (WALK, in_band("spots")),
        (SURVEY, scored("no survey")),
        (MISSED, scored("miss")),
        (FALSE, scored("false")),
        (STRIP, [z["zone"] for z in zones if z["treated"] and z["area"] not in beside]),
    ]
    rows = [{"what": what, "zones": where} for what, where in steps if where]
    if surveyed:
        rows.append({"what": TUNE, "zones": []})
    if not nights:
        rows.append({"what": NIGHTS, "zones": []})
    return rows
