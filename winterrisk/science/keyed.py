"""Random numbers that depend on what they are for, never on the order of asking.

A key is any sequence of words and whole numbers (course, winter, member, purpose). The same key gives the
same numbers tonight and tomorrow; the hour-wise functions give the same hour the same number.
"""

import hashlib

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

KeyPart = str | int
WORDS_PER_COUNTER = 4
"""64-bit words that one step of the Philox counter yields."""


def _philox_key(parts: tuple[KeyPart, ...]) -> NDArray[np.uint64]:
    text = "\x1f".join(f"{type(p).__name__}:{p}" for p in parts)
    return np.frombuffer(hashlib.sha256(text.encode()).digest()[:16], dtype=np.uint64).copy()


def generator(*key: KeyPart) -> np.random.Generator:
    """A random generator that is a function of the key alone (Philox, a counter-based generator).

    Reference: Salmon et al. (2011), Parallel random numbers: as easy as 1, 2, 3.
    """
    return np.random.Generator(np.random.Philox(key=_philox_key(key)))


def uniform_by_hour(key: tuple[KeyPart, ...], hours: NDArray[np.int64]) -> NDArray[np.float64]:
    """Uniform numbers in (0, 1), one an hour: a function of key and hour number only.

    Args:
        hours (n) [h]: consecutive whole hours since 1970, ascending.
    Raises:
        ValueError: hours are not consecutive.
    """
    if len(hours) == 0:
        return np.empty(0)
    if len(hours) > 1 and not np.all(np.diff(hours) == 1):
        raise ValueError("hours must be consecutive whole hours")
    counter = np.zeros(4, dtype=np.uint64)
    counter[0] = np.uint64(hours[0])
    bits = np.random.Philox(key=_philox_key(key), counter=counter).random_raw(WORDS_PER_COUNTER * len(hours))
    first = np.asarray(bits, dtype=np.uint64)[::WORDS_PER_COUNTER]
    return ((first >> np.uint64(11)).astype(np.float64) + 0.5) * 2.0**-53


def normal_by_hour(key: tuple[KeyPart, ...], hours: NDArray[np.int64]) -> NDArray[np.float64]:
    """Standard normal numbers, one an hour: a function of key and hour number only."""
    return np.asarray(ndtri(uniform_by_hour(key, hours)), dtype=np.float64)


def hours_since_1970(times: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Whole hours since 1970-01-01T00 UTC of a time axis."""
    return np.asarray(times).astype("datetime64[h]").astype(np.int64)
