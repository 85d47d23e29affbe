"""Calls against the spring survey: hit, miss, false, close, acted on - or nothing to compare."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any, Final

from winterrisk.risk import BAND_LIMITS, BANDS

PARTS: Final = BAND_LIMITS[BANDS.index("parts")]
SPOTS: Final = BAND_LIMITS[BANDS.index("spots")]

SCORES: Final = {
    "hit": "plugs or action called before the survey, and the survey found more than a quarter dead",
    "miss": "no such call, and the survey found more than a quarter dead",
    "false": "called, and the survey found no more than spots dead (5 %)",
    "close": "the survey lies between spots and a quarter after a call, or its range takes in a quarter",
    "acted on": "cleared, covered or vented: what it spared nobody knows, so never a false alarm",
    "quiet": "no call, and no more than a quarter dead",
    "no survey": "no survey yet: nothing to compare with",
    "nothing said": "no night could judge this zone: neither right nor wrong",
}
"""Meaning of each score. LOOK is a question, not a warning, and is not scored."""


def score(survey: Mapping[str, Any] | None, *, warned: bool, judged: bool, treated: bool) -> str:
    """The score of one zone and winter.

    Args:
        survey: low and high dead share [1], or None.
        warned: PULL or ACT was called before the survey. judged: at least one night could judge the zone.
        treated: cleared, covered or vented. A treated zone that died without a call is a miss all the same.
    """
    if survey is None:
        return "no survey"
    if not judged:
        return "nothing said"
    low, high = float(survey["low"]), float(survey["high"])
    hurt = low >= PARTS
    if treated and (warned or not hurt):
        return "acted on"
    if hurt:
        return "hit" if warned else "miss"
    if high > PARTS:
        return "close"
    if not warned:
        return "quiet"
    return "false" if high <= SPOTS else "close"


def score_counts(scores: Iterable[str]) -> dict[str, int]:
    """Zones by score, in the order of the table; scores nobody has are 0."""
    found = Counter(scores)
    return {name: found[name] for name in SCORES}
