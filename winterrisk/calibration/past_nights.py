"""Past nights as tables: what each called and how likely it held harm in every zone."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

import pandas as pd

CALLS: Final = ("winter", "on", "zone", "kind", "chance", "held_because")
ZONES: Final = ("winter", "on", "zone", "chance", "low", "high", "chance_now", "treated", "judged")


@dataclass(frozen=True)
class PastNights:
    """Nights worked anew, in order.

    calls: winter, on, zone, kind, chance, held_because (empty where the call went out). zones: winter, on, zone, the
    chance [1] of more than a quarter dead by spring with low and high, the same of what is done already (chance_now),
    treated, judged (False where the night could not say).
    """

    calls: pd.DataFrame
    zones: pd.DataFrame


def past_nights(nights: Iterable[Mapping[str, Any]]) -> PastNights:
    """Tables of nights from their records, as `--json` gives them."""
    calls, zones = [], []
    for night in nights:
        said = {"winter": night["winter"], "on": night["on"]}
        blind = {row["zone"] for row in night["cannot_say"]}
        for call in (*night["calls"], *night["held_back"]):
            named = {n: call[n] for n in ("zone", "kind", "chance")}
            calls.append(said | named | {"held_because": call.get("held_because", "")})
        for zone in night["data"]["zones"]:
            named = {n: zone[n] for n in ("zone", "chance", "low", "high", "treated")}
            now = {"chance_now": zone["chance_now"]["parts"], "judged": zone["zone"] not in blind}
            zones.append(said | named | now)
    return PastNights(pd.DataFrame(calls, columns=list(CALLS)), pd.DataFrame(zones, columns=list(ZONES)))
