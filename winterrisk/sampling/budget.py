"""The budget of messages: what one more message must be worth, and how many nights call at a threshold."""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from scipy.special import betaincc, betaincinv

from winterrisk.sampling.value import Stakes

BUDGET = 12
"""Action messages of a winter (job rule: 10 to 14)."""
NIGHTLY = (0.4, 4.0)
"""Beta distribution of the chance a night may have to tell (statistics notes; illustrative)."""
POINTS = 2000


def best_alerts(chances: Sequence[float], most: int, stakes: Stakes | None = None) -> list[float]:
    """The at most `most` chances worth an alert, looked back from the end: the highest above cost over loss."""
    worth = [p for p in chances if p > (stakes or Stakes()).act_above]
    return sorted(worth, reverse=True)[:most]


def alerts_expected(threshold: float, nights: int, a: float = NIGHTLY[0], b: float = NIGHTLY[1]) -> float:
    """Alerts expected over `nights` whose chances are Beta(a, b), at a threshold [1]."""
    return float(nights * betaincc(a, b, threshold))


def false_alarm_ratio(threshold: float, a: float = NIGHTLY[0], b: float = NIGHTLY[1]) -> float:
    """Share of those alerts with nothing behind them [1], chances being reliable."""
    above = betaincc(a, b, threshold)
    hit = a / (a + b) * betaincc(a + 1.0, b, threshold)
    return float(1.0 - hit / above)


def alert_threshold(
    nights_left: int,
    alerts_left: int,
    stakes: Stakes | None = None,
    a: float = NIGHTLY[0],
    b: float = NIGHTLY[1],
) -> float:
    """Chance above which a night is worth one of the alerts left [1], by backward induction over the nights left.

    Args:
        nights_left: this one and those after it; alerts_left: at least 1.
    """
    own = stakes or Stakes()
    return own.act_above + message_price(nights_left, alerts_left, own, a, b) / _avoidable(own)


def message_price(
    nights_left: int, alerts_left: int, stakes: Stakes, a: float = NIGHTLY[0], b: float = NIGHTLY[1]
) -> float:
    """What the last of `alerts_left` alerts is worth on a later night [currency]: the price of using it tonight."""
    if alerts_left <= 0:
        return _avoidable(stakes)
    return _avoidable(stakes) * _price(max(nights_left, 1), alerts_left, stakes.act_above, a, b)


def _avoidable(stakes: Stakes) -> float:
    return stakes.loss_unprepared - stakes.loss_prepared


@lru_cache(maxsize=512)
def _price(nights: int, alerts: int, act_above: float, a: float, b: float) -> float:
    p = betaincinv(a, b, (np.arange(POINTS) + 0.5) / POINTS)
    gain = np.maximum(p - act_above, 0.0)
    value = np.zeros(alerts + 1)
    for _ in range(nights - 1):
        use = gain[None, :] + value[:-1, None]
        keep = value[1:, None]
        value = np.append(0.0, np.maximum(use, keep).mean(axis=1))
    return float(value[alerts] - value[alerts - 1])
