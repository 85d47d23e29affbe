"""Scores of several possible values against the one that came: continuous ranked probability, ranks."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def crps(members: ArrayLike, seen: ArrayLike, *, fair: bool = False) -> Array:
    """Continuous ranked probability score (case) in the unit of the members; 0 is perfect.

    mean |x_i - y| - sum |x_i - x_j| / (2 M^2); fair: 2 M (M - 1), which does not reward many members.

    Args:
        members (case, member), seen (case).
    Reference: Gneiting and Raftery (2007); fair: Ferro (2014), from memory.
    """
    x, y = np.sort(np.asarray(members, dtype=np.float64), axis=-1), np.asarray(seen, dtype=np.float64)
    count = x.shape[-1]
    if fair and count < 2:
        raise ValueError("a fair score needs two members or more")
    near = np.mean(np.abs(x - y[..., None]), axis=-1)
    place = 2.0 * np.arange(1, count + 1) - count - 1.0
    spread = 2.0 * (x * place).sum(axis=-1)
    return np.asarray(near - spread / (2.0 * count * (count - 1 if fair else count)))


def crps_normal(mean: ArrayLike, spread: ArrayLike, seen: ArrayLike) -> Array:
    """Continuous ranked probability score of a normal distribution, in its unit.

    s (z (2 Phi(z) - 1) + 2 phi(z) - 1 / sqrt(pi)) with z = (y - m) / s.

    Reference: Gneiting et al. (2005), Mon. Wea. Rev. 133, 1098-1118.
    """
    from scipy.special import ndtr

    s = np.asarray(spread, dtype=np.float64)
    z = (np.asarray(seen, dtype=np.float64) - np.asarray(mean, dtype=np.float64)) / s
    density = np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi)
    return np.asarray(s * (z * (2.0 * ndtr(z) - 1.0) + 2.0 * density - 1.0 / np.sqrt(np.pi)))


def rank_of(members: ArrayLike, seen: ArrayLike, luck: ArrayLike | None = None) -> NDArray[np.int64]:
    """Rank (case) of the seen value among members: 1 below all, members + 1 above all.

    Args:
        members (case, member), seen (case).
        luck (case) [0-1]: where the value stands among members equal to it; the lowest place when left out.
    """
    x, y = np.asarray(members, dtype=np.float64), np.asarray(seen, dtype=np.float64)[..., None]
    below, equal = np.sum(x < y, axis=-1), np.sum(x == y, axis=-1)
    share = 0.0 if luck is None else np.asarray(luck, dtype=np.float64)
    return np.asarray(1 + below + np.minimum(np.floor(share * (equal + 1)), equal), dtype=np.int64)


def rank_counts(members: ArrayLike, seen: ArrayLike, luck: ArrayLike | None = None) -> NDArray[np.int64]:
    """How often (rank) the seen value had each rank among the members; even where both are drawn alike.

    Args:
        members (case, member), seen (case), luck: as `rank_of`.
    """
    ranks = rank_of(members, seen, luck)
    return np.bincount(ranks - 1, minlength=np.shape(members)[-1] + 1)


def spread_skill(members: ArrayLike, seen: ArrayLike) -> float:
    """Error of the members' mean over what their spread says it should be [1]; above 1 the members lie too close.

    Root mean square error over the root of (M + 1) / M times the mean variance.

    Args:
        members (case, member), seen (case).
    Reference: Fortin et al. (2014), J. Hydrometeorology 15, 1708-1713 (from memory).
    """
    x, y = np.asarray(members, dtype=np.float64), np.asarray(seen, dtype=np.float64)
    count = x.shape[-1]
    if count < 2:
        raise ValueError("a spread needs two members or more")
    error = np.mean((x.mean(axis=-1) - y) ** 2)
    said = (count + 1) / count * np.mean(x.var(axis=-1, ddof=1))
    return float(np.sqrt(error / said)) if said > 0 else float("nan")
