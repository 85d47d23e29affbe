"""What n plugs prove: limits on the dead share of a zone."""

from typing import Literal, NamedTuple

from scipy.special import betaincinv

Method = Literal["exact", "jeffreys", "uniform"]


class Bounds(NamedTuple):
    """Lower and upper limit of a share [1]."""

    low: float
    high: float


def dead_share_upper(n: float, dead: float = 0, confidence: float = 0.95, method: Method = "exact") -> float:
    """Upper limit of the dead share [1] that n plugs with `dead` dead ones allow, one-sided.

    exact: Clopper-Pearson, for none dead 1 - (1-confidence)^(1/n). jeffreys, uniform: quantile of the beta
    posterior. Never "all clear": three live plugs still allow 63 % dead.

    Reference: Jovanovic & Levy (1997) on the rule of three; formulas standard.
    """
    if dead >= n and method == "exact":
        return 1.0
    extra_dead, extra_alive = {"exact": (1.0, 0.0), "jeffreys": (0.5, 0.5), "uniform": (1.0, 1.0)}[method]
    return float(betaincinv(dead + extra_dead, n - dead + extra_alive, confidence))


def dead_share_interval(n: float, dead: float, confidence: float = 0.95, method: Method = "exact") -> Bounds:
    """Two-sided interval of the dead share [1] from n plugs of which `dead` are dead.

    exact: Clopper-Pearson. jeffreys, uniform: equal tails of the beta posterior.
    """
    tail = (1.0 - confidence) / 2.0
    if method != "exact":
        extra = 0.5 if method == "jeffreys" else 1.0
        a, b = dead + extra, n - dead + extra
        return Bounds(float(betaincinv(a, b, tail)), float(betaincinv(a, b, 1.0 - tail)))
    low = 0.0 if dead == 0 else float(betaincinv(dead, n - dead + 1, tail))
    high = 1.0 if dead == n else float(betaincinv(dead + 1, n - dead, 1.0 - tail))
    return Bounds(low, high)
