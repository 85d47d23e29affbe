"""Rain or snow near the melting point: how sure that is, and what else says so."""

from collections.abc import Sequence
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr
from numpy.typing import ArrayLike, NDArray

from winterrisk.science.air import pressure_at_height, snow_fraction, vapour_pressure_water, wet_bulb
from winterrisk.weather.checks.rows import Found, Verdict, rows
from winterrisk.weather.checks.telling import Telling
from winterrisk.weather.gauge_depth import rises
from winterrisk.weather.humidity import BELOW_AIR_IN_RAIN
from winterrisk.weather.place import Place
from winterrisk.weather.second_source_hours import Key, on_one_axis
from winterrisk.weather.second_source_rows import stretches

Array = NDArray[np.float64]

CHECK: Final = "rain or snow"
UNSURE_FROM, UNSURE_TO = -0.5, 2.0
"""Wet bulb between which rain and snow are both possible [degC]: shares of snow of 0.99 and 0.09 (Wang et al.
2019)."""
WET: Final = 0.1
"""Water of an hour that is asked about [kg m-2] (judged)."""
ENOUGH_WATER: Final = 1.0
"""Water of a spell from which its phase is told [kg m-2] (judged: less makes neither ice nor cover)."""
APART: Final = 6
"""Dry hours that part two spells [h] (judged)."""
SURE: Final = 0.8
"""Chance of the likelier phase from which it counts as told [1] (judged)."""
OF_DEPTH: Final = 0.9
"""Chance that a depth which rises means snow, and one that does not means rain [1] (judged: wet snow settles as
it falls)."""


def mixed_chance(chances: ArrayLike, weights: ArrayLike | None = None) -> float:
    """Chance of snow [1] of sources that disagree: their weighted mean as probabilities.

    One says rain and the other snow: the chance is a half, never "half snow"; the hour's water falls as the
    one or the other.

    Args:
        chances (source) [1]: of snow, 0 or 1 from a flag, NaN where a source says nothing; weights (source).
    """
    p = np.asarray(chances, dtype=np.float64)
    w = np.ones(len(p)) if weights is None else np.asarray(weights, dtype=np.float64)
    known = np.isfinite(p)
    if not known.any():
        return float("nan")
    return float(np.sum(w[known] * p[known]) / np.sum(w[known]))


def wet_bulb_of(raw: xr.Dataset, place: Place) -> Array:
    """Wet-bulb temperature (time) [degC] of an hourly record; where humidity lacks, that of moist air in
    rain."""
    t = np.asarray(raw["air_temperature"].to_numpy(), dtype=np.float64)
    vapour = vapour_pressure_water(t - BELOW_AIR_IN_RAIN)
    if "relative_humidity" in raw:
        humid = raw["relative_humidity"].to_numpy() * vapour_pressure_water(t)
        vapour = np.where(np.isfinite(humid), humid, vapour)
    if "dew_point" in raw:
        humid = vapour_pressure_water(np.minimum(raw["dew_point"].to_numpy(), t))
        vapour = np.where(np.isfinite(humid), humid, vapour)
    return wet_bulb(t, vapour, float(pressure_at_height(place.elevation)))


def phase_rows(
    raw: xr.Dataset, place: Place, seconds: Sequence[xr.Dataset] = (), key: Key = ()
) -> pd.DataFrame:
    """A row for each wet spell near the melting point: chance of snow, and whether anything else tells it.

    The wet bulb gives a chance; a measured phase, a snow depth that rises or does not, and the phase at a
    second source are further witnesses, and all are mixed as probabilities. "note" where one phase is told
    with 0.8 or more, "suspect" where a witness says the opposite of the wet bulb, else "unconfirmed".

    Args:
        raw (time): hourly; seconds: raw records with a measured snow_fraction; key: of `complete`.
    Returns:
        Findings; value: chance of snow [1]; limit: mean wet bulb of the spell [degC].
    """
    if raw.attrs.get("step") == "daily" or "precipitation" not in raw:
        return rows()
    water = np.nan_to_num(np.asarray(raw["precipitation"].to_numpy(), dtype=np.float64))
    bulb = wet_bulb_of(raw, place)
    unsure = (water >= WET) & (bulb > UNSURE_FROM) & (bulb < UNSURE_TO)
    _, others = on_one_axis(raw, seconds, place, key)
    witnesses = {
        f"the phase at {s.name}": s.values["snow_fraction"] for s in others if s.has("snow_fraction")
    }
    if "snow_fraction" in raw:
        measured = np.asarray(raw["snow_fraction"].to_numpy(), dtype=np.float64)
        witnesses = {"the phase that was measured": measured} | witnesses
    told = rises(raw, np.asarray(raw["air_temperature"].to_numpy(), dtype=np.float64))
    by_depth = np.where(told.water > 0.0, OF_DEPTH, np.where(told.nothing, 1.0 - OF_DEPTH, np.nan))
    found = []
    for begin, end in stretches(unsure, apart=APART):
        at = begin + np.flatnonzero(unsure[begin:end])
        if water[at].sum() >= ENOUGH_WATER:
            seen = {name: _share(values[at], water[at]) for name, values in witnesses.items()}
            seen["the snow depth"] = _share(by_depth[at], water[at])
            found.append(_spell(raw, begin, end, water[at], bulb[at], seen))
    return rows(found)


def _share(chances: Array, water: Array) -> float:
    known = np.isfinite(chances)
    return float(np.average(chances[known], weights=water[known])) if known.any() else float("nan")


def _spell(raw: xr.Dataset, begin: int, end: int, water: Array, bulb: Array, seen: dict[str, float]) -> Found:
    tell, times = Telling.of(raw), raw["time"].to_numpy()
    expected = _share(snow_fraction(bulb), water)
    witnesses = {name: chance for name, chance in seen.items() if np.isfinite(chance)}
    chance = mixed_chance([expected, *witnesses.values()])
    against = [
        n for n, c in witnesses.items() if max(c, 1 - c) >= SURE and abs(c - expected) >= SURE - (1 - SURE)
    ]
    phase = "snow" if chance >= 0.5 else "rain"
    percent = round(100 * max(chance, 1 - chance))
    mean_bulb = float(np.average(bulb, weights=water))
    words = (
        f"{tell.value('precipitation', float(water.sum()))} from {tell.moment(times[begin])} fell near the "
    )
    words += f"melting point (wet bulb {tell.measure(mean_bulb, 'degC')}): {phase}, {percent} % sure"
    verdict: Verdict = "note" if max(chance, 1 - chance) >= SURE else "unconfirmed"
    if against:
        verdict = "suspect"
        words += f", but {' and '.join(against)} says otherwise"
    elif witnesses:
        words += f"; witness: {', '.join(witnesses)}"
    words += "." if verdict == "note" else ". A look at the green tells."
    until = times[end - 1] + np.timedelta64(1, "h")
    return Found("precipitation", times[begin], until, chance, mean_bulb, verdict, CHECK, words)
