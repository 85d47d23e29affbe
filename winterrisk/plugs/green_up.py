"""When a live plug shows new growth: chances over thermal age (or days)."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammainc, gammaincinv, ndtr, ndtri

from winterrisk.plugs.plug import ANY_SPECIES
from winterrisk.thresholds.table import TABLE

Family = Literal["lognormal", "weibull", "gamma"]
Array = NDArray[np.float64]

AGES = np.exp(np.linspace(np.log(0.5), np.log(20_000.0), 4001))
"""Thermal ages at which the model's own green-up chance is tabulated [degC d]."""
NODES = 9


def turned_green(age: ArrayLike, median: float, shape: float, family: Family = "lognormal") -> Array:
    """Chance that a live plug shows new growth by an age [1].

    The tail, not the median, sets the day on which a brown plug may be called dead: the lognormal tail is
    the longest of the three and so the cautious choice.

    Args:
        age: thermal age [degC d] or days, as the median.
        median: age by which half the live plugs are green.
        shape: sd of the log age (lognormal); Weibull or gamma shape.
    """
    t = np.maximum(np.asarray(age, dtype=np.float64), 0.0)
    if family == "lognormal":
        with np.errstate(divide="ignore"):
            return np.asarray(ndtr(np.log(t / median) / shape))
    if family == "weibull":
        return np.asarray(-np.expm1(-np.log(2.0) * (t / median) ** shape))
    if family == "gamma":
        return np.asarray(gammainc(shape, t / median * gammaincinv(shape, 0.5)))
    raise ValueError(f"family {family!r}: expected lognormal, weibull or gamma")


def gamma_median(mean: float, shape: float) -> float:
    """Median of a gamma distribution told by its mean, in the unit of the mean."""
    return float(mean * gammaincinv(shape, 0.5) / shape)


def still_brown(age: ArrayLike, median: float, shape: float, family: Family = "lognormal") -> Array:
    """Chance that a live plug shows no new growth yet at an age [1]: 1 - `turned_green`."""
    return np.asarray(1.0 - turned_green(age, median, shape, family))


def age_when_brown(share: ArrayLike, median: float, shape: float, family: Family = "lognormal") -> Array:
    """Age at which only `share` [1] of the live plugs are still brown, in the unit of the median."""
    s = np.asarray(share, dtype=np.float64)
    if family == "lognormal":
        return np.asarray(median * np.exp(shape * ndtri(1.0 - s)))
    if family == "weibull":
        return np.asarray(median * (-np.log2(s)) ** (1.0 / shape))
    if family == "gamma":
        return np.asarray(median * gammaincinv(shape, 1.0 - s) / gammaincinv(shape, 0.5))
    raise ValueError(f"family {family!r}: expected lognormal, weibull or gamma")


def expected_green(age: ArrayLike, median: float, spread: float, median_sd: float, spread_sd: float) -> Array:
    """Chance that a live plug is green by an age, the doubt about median and spread integrated [1].

    Lognormal ages; ln median ~ N(., median_sd), which adds to the spread in quadrature; ln spread ~
    N(., spread_sd), by Gauss-Hermite nodes.
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(NODES)
    spreads = np.hypot(spread * np.exp(spread_sd * nodes), median_sd)
    with np.errstate(divide="ignore"):
        log_age = np.log(np.maximum(np.asarray(age, dtype=np.float64), 0.0) / median)
    chances = ndtr(log_age[..., None] / spreads)
    return np.asarray(chances @ (weights / weights.sum()))


@lru_cache(maxsize=128)
def _table(median: float, spread: float, median_sd: float, spread_sd: float) -> Array:
    return expected_green(AGES, median, spread, median_sd, spread_sd)


def _green_table(species: str, values: Mapping[str, float], doubt: float) -> Array:
    """Green-up chances of one species at `AGES`; for looks that named no species, half AB and half bent."""
    if species == ANY_SPECIES:
        return 0.5 * (
            _green_table("annual_bluegrass", values, doubt) + _green_table("creeping_bent", values, doubt)
        )
    row, spread_row = TABLE[f"plug_median.{species}"], TABLE["plug_spread"]
    sd = float(np.hypot(row.sd or 0.0, doubt))
    return _table(values[row.key], values["plug_spread"], round(sd, 9), spread_row.sd or 0.0)


def green_by(age: ArrayLike, species: str, values: Mapping[str, float], doubt: float = 0.0) -> Array:
    """The tool's own chance that a live plug of a species is green by a thermal age [1].

    Args:
        age [degC d]; species: a key of the table or "all".
        values: threshold values by key; doubt [1]: further sd of the log age (a room nobody measured).
    """
    table = _green_table(species, values, doubt)
    return np.asarray(np.interp(np.asarray(age, dtype=np.float64), AGES, table, left=0.0))


def age_when_green(share: float, species: str, values: Mapping[str, float], doubt: float = 0.0) -> float:
    """Thermal age [degC d] by which a share [1] of live plugs is green; inf past the end of the table."""
    table = _green_table(species, values, doubt)
    return float(np.interp(share, table, AGES, right=np.inf))
