"""What the called plugs of one zone and cut prove, in plain words."""

from collections import Counter
from collections.abc import Mapping, Sequence

from winterrisk.plugs.dead_share_bounds import dead_share_interval, dead_share_upper
from winterrisk.plugs.sample_size import miss_chance

A_QUARTER = 0.25
"""Dead share [1] whose overlooking is told: from here on a zone is hurt in parts."""
HARDLY = 0.02
"""Below this a chance is told as "hardly ever" (judged)."""


def counted_plugs(spots: Sequence[str], within_spot: float) -> float:
    """Independent plugs that plugs cut at some spots are worth [1]: n / (1 + (m - 1) r) for each spot of m.

    A plug without a spot stands alone.

    Args:
        spots: spot of each plug. within_spot [1]: r, likeness of plugs cut at one spot.
    """
    named = Counter(spot.casefold() for spot in spots if spot)
    return sum(1 for spot in spots if not spot) + sum(
        m / (1.0 + (m - 1) * within_spot) for m in named.values()
    )


def _one_in(chance: float) -> str:
    if chance < HARDLY:
        return "hardly ever"
    return f"about {chance:.0%} of the time" if chance > 0.4 else f"about 1 time in {round(1 / chance)}"


def proof_words(spots: Sequence[str], dead: int, values: Mapping[str, float]) -> str:
    """What called plugs, of which some are dead, prove of their zone.

    Args:
        spots: spot of each called plug. dead: number of them dead. values: threshold values by key.
    """
    n = len(spots)
    worth = counted_plugs(spots, values["plug_spot_correlation"])
    called = f"{n} plug{'s' if n > 1 else ''} called"
    close = f" (cut close together, they count as {worth:.1f})" if worth < n - 0.05 else ""
    if dead == 0:
        most, missed = dead_share_upper(worth), miss_chance(A_QUARTER, worth)
        alive = "alive" if n == 1 else "all alive"
        return (
            f"{called}, {alive}{close}: up to {most:.0%} of it can still be dead (95 %); "
            f"with a quarter dead this would happen {_one_in(missed)}"
        )
    low, high = dead_share_interval(worth, dead * worth / n)
    return f"{called}, {dead} dead{close}: between {low:.0%} and {high:.0%} of it is dead (95 %)"
