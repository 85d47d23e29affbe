"""How likely the looks at one plug are if it lives, and if it is dead.

A live plug turns green at an age nobody sees exactly: between two looks (interval censored) or after the
last (right censored). Some live plugs are never called green and some dead ones are; both errors belong
to the plug (a weed stays a weed), so that more looks at one plug cannot wear them away. On top, any single
reading can be written down wrong.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from winterrisk.plugs.green_up import green_by
from winterrisk.plugs.readings import Readings

GROWS_FROM_ABOVE_CROWNS = ("annual_bluegrass", "all")
"""Grasses seen to regrow from plugs that snapped above the crowns (one case, judged)."""


def missed_green_chance(species: str, crowns: str, values: Mapping[str, float]) -> float:
    """Chance that a live plug is never called green [1].

    A plug cut above the crowns cannot grow bent however alive the turf was: then 1, and brown says nothing.
    """
    missed = values["plug_missed_green"]
    if species in GROWS_FROM_ABOVE_CROWNS or crowns == "yes":
        return missed
    if crowns == "no":
        return 1.0
    return 1.0 - (1.0 - missed) * (1.0 - values["plug_crowns_lost"])


def _chance_by_start(green: NDArray[np.bool_], slip: float) -> NDArray[np.float64]:
    """Chance of the readings if the plug reads green from look i on; i = n: never (n + 1) [1]."""
    n = len(green)
    matches = np.where(np.arange(n) >= np.arange(n + 1)[:, None], green, ~green)
    return np.asarray(np.prod(np.where(matches, 1.0 - slip, slip), axis=1))


def looks_log_likelihood(
    reading: Readings, species: str, crowns: str, values: Mapping[str, float], doubt: float = 0.0
) -> tuple[float, float]:
    """Log chance of a plug's looks (if alive, if dead).

    Alive: (1 - fn) sum over intervals of [F(t_i) - F(t_i-1)], the last one open, + fn x never green.
    Dead: (1 - fp) x never green + fp x called green from any one of the looks on, all alike.
    Without a look both are 0.

    Args:
        reading: what the looks read. species: key or "all". crowns: "yes", "no" or "unknown".
        values: threshold values by key. doubt [1]: sd of the log age where the room was not measured.
    """
    n = len(reading.green)
    if n == 0:
        return 0.0, 0.0
    by_start = _chance_by_start(reading.green, values["plug_slip"])
    greened = np.concatenate(([0.0], green_by(reading.age, species, values, doubt), [1.0]))
    missed, false = missed_green_chance(species, crowns, values), values["plug_false_green"]
    turned = (1.0 - missed) * np.diff(greened)
    alive = float(turned[:n] @ by_start[:n])
    dead = false * float(by_start[:n].mean())
    if reading.green.any() and not np.isnan(reading.strongest):
        strong = reading.strongest >= values["plug_strong_growth"]
        alive *= values["plug_strong_alive"] if strong else 1.0 - values["plug_strong_alive"]
        dead *= values["plug_strong_false"] if strong else 1.0 - values["plug_strong_false"]
    alive += float(turned[n] + missed) * float(by_start[n])
    dead += (1.0 - false) * float(by_start[n])
    with np.errstate(divide="ignore"):
        return float(np.log(alive)), float(np.log(dead))
