"""What killed most in a zone, and the day on which it did."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk import hazards
from winterrisk.backcast.replay import Replay
from winterrisk.risk.combine import running_doses

Array = NDArray[np.float64]

BEHIND: Final[Mapping[str, tuple[str, ...]]] = {
    "swings": ("cold", "wet_freeze"),
    "mixed": ("ice", "wet_freeze"),
}
"""Hazards through whose chance a cause without one of its own kills."""


def causes(replayed: Replay, zone: str) -> list[tuple[str, float]]:
    """Causes of the harm in a zone and their shares of it [1], largest first."""
    share = replayed.outlook["share_by_hazard"].sel(zone=zone).isel(day=-1)
    pairs = [(str(n), float(v)) for n, v in zip(share["hazard"].to_numpy(), share.to_numpy(), strict=True)]
    return sorted((p for p in pairs if p[1] > 0), key=lambda p: -p[1])


def worst_day(replayed: Replay, zone: str, cause: str, share: Mapping[str, float]) -> np.datetime64 | None:
    """The day on which a cause's chance of death rose most in a zone, at the middle thresholds; None for
    "background" and where it never rose.

    Args:
        share: cover of each grass in the zone [1].
    """
    if cause == "background":
        return None
    central = {key: float(np.median(values)) for key, values in replayed.draws.items()}
    doses = running_doses(replayed.harm).sel(zone=zone)
    weight = replayed.outlook["weight"].sel(zone=zone).sum("draw").to_numpy()
    dead: Array = np.zeros(doses.sizes["day"])
    for index, species in enumerate(doses["species"].to_numpy()):
        cover = share.get(str(species), 0.0)
        if cover <= 0:
            continue
        chances = {
            name: hazards.chance(name, doses[f"dose_{name}"].to_numpy()[index], central, str(species))
            for name in BEHIND.get(cause, (cause,))
        }
        dead = dead + cover * (hazards.combine(chances) * weight).sum(axis=-1)
    rise = np.diff(dead, prepend=0.0)
    day = int(np.argmax(rise))
    return replayed.winter_days["day"].to_numpy()[day].astype("datetime64[D]") if rise[day] > 0 else None
