"""Thermal time in the soil: when seed has germinated, when turf has grown so far."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
MEAN_OF: int = 5
"""Days over which soil temperature is meant before it is held against a trigger [d] (judged)."""
NEVER = np.inf


def degree_days(soil: ArrayLike, base: ArrayLike) -> Array:
    """Warmth above a base temperature on each day (day, ...) [degC d].

    Args:
        soil (day, ...) [degC]: mean soil temperature of each day; base [degC]: broadcast against one day.
    Reference: linear thermal time, as in Larsen and Bibby (2005).
    """
    return np.maximum(np.asarray(soil, dtype=np.float64) - np.asarray(base), 0.0)


def day_reached(soil: ArrayLike, start: ArrayLike, base: ArrayLike, warmth: ArrayLike) -> Array:
    """Day (...) on which the warmth from `start` on is reached, counted as the days of `soil`; inf where never.

    A start of inf stays inf. The day is whole: warmth is counted to the end of each day.

    Args:
        soil (day, ...) [degC]; start (...): number of the first day that counts; base [degC] and warmth
            [degC d]: one value, or one for each (...).
    """
    each = degree_days(soil, base)
    begin = np.broadcast_to(np.asarray(start, dtype=np.float64), each.shape[1:])
    days = np.arange(len(each)).reshape((-1,) + (1,) * (each.ndim - 1))
    total = np.cumsum(np.where(days >= begin, each, 0.0), axis=0)
    reached = total >= np.asarray(warmth) - 1e-9
    found = np.where(reached.any(axis=0), reached.argmax(axis=0), NEVER)
    return np.where(np.isfinite(begin), np.maximum(found, np.where(np.isfinite(begin), begin, 0.0)), NEVER)


def first_warm_day(soil: ArrayLike, start: ArrayLike, least: float) -> Array:
    """First day (...) from `start` on whose five-day mean soil temperature reaches `least`; inf where none.

    Args:
        soil (day, ...) [degC]; start (...): number of the first day that may be chosen; least [degC].
    """
    values = np.asarray(soil, dtype=np.float64)
    total = np.cumsum(values, axis=0)
    mean = np.full(values.shape, -np.inf)
    mean[MEAN_OF - 1 :] = total[MEAN_OF - 1 :]
    mean[MEAN_OF:] -= total[:-MEAN_OF]
    mean[MEAN_OF - 1 :] /= MEAN_OF
    days = np.arange(len(values)).reshape((-1,) + (1,) * (values.ndim - 1))
    warm = (mean >= least) & (days >= np.asarray(start))
    return np.where(warm.any(axis=0), warm.argmax(axis=0), NEVER)
