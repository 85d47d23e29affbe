"""What a look and a round of plugs are worth in one zone tonight: money saved by what their answers change."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from winterrisk.sampling.pull_day import LATE_ORDER, VERDICT_DAYS, expected_costs_by_pull_day
from winterrisk.sampling.question import Question
from winterrisk.sampling.value import Stakes, values_of_plugs

FEWEST, MOST = 3, 6
"""Plugs of one round (trade guidance: three to six a zone)."""
LOOK_MINUTES: Final = 5
PULL_MINUTES: Final = (10, 8)
"""Minutes of a look, and of a round of plugs: to get ready, and for each plug (judged)."""
MODEL_DOUBT: Final = 0.15
"""Share of zones for which the model is taken to know nothing: there only the base rate holds, and only plugs can tell
(judged; what nobody has calibrated here must be shown before money is spent)."""
BASE_RATE: Final = 0.15
"""Chance of harm in a winter where nothing is known [1] (trade surveys: a tenth to a fifth of greens; judged)."""
WARNING: Final = 1.5
"""Loss of a board not warned of harm over the cost of a wrong warning: it pays to warn above a chance of 2 in 3 (job
rule: costly advice is wrong at most one time in three); a wrong one is as dear as a needless order (judged)."""
WHOLE = Stakes().prepare


@dataclass(frozen=True)
class Round:
    """The best round of plugs of one zone: how many, on which of the days, and its gain [currency] then and
    tonight, each less its own cost."""

    number: int
    day: int
    gain: float
    tonight: float

    @property
    def minutes(self) -> int:
        """Time the round takes."""
        return PULL_MINUTES[0] + PULL_MINUTES[1] * self.number


@dataclass(frozen=True)
class Ahead:
    """Days that matter for one decision: days from tonight of each known chance, and the day an order is due."""

    days: tuple[float, ...]
    order_in: float

    def late(self) -> np.ndarray:
        """Days by which an order after the verdict of plugs cut on each day is late [d]."""
        return np.maximum(np.asarray(self.days) + VERDICT_DAYS - max(self.order_in, 0.0), 0.0)


def new_damage(chances: Sequence[float]) -> np.ndarray:
    """Chance of damage new on each day [1], given none before, from chances that grow from day to day [1]."""
    done = np.minimum(np.maximum.accumulate(np.asarray(chances, dtype=np.float64)), 1.0 - 1e-9)
    still = 1.0 - np.concatenate(([0.0], done))
    return np.asarray(1.0 - still[1:] / still[:-1])


def cost_without(chance: float, stakes: Stakes) -> float:
    """Expected cost of the better of waiting and ordering with no more known [currency]."""
    return float(min(chance * stakes.loss_unprepared, stakes.prepare + chance * stakes.loss_prepared))


def best_round(chances: Sequence[float], ahead: Ahead, stakes: Stakes) -> Round:
    """The number and the day of plugs with the least expected cost, for the order and for a warning of the board.

    Nobody has to wait for plugs: one may order on the day they are cut, so at worst they cost what they cost.

    Args:
        chances (day) [1]: that the zone is damaged by each of the days ahead; the last day is when it counts.
        ahead: those days; plugs are cut on any of them but the last.
    """
    doubted = [(1.0 - MODEL_DOUBT) * c + MODEL_DOUBT * min(c, BASE_RATE) for c in chances]
    base = cost_without(doubted[-1], stakes)
    new, late = new_damage(doubted), ahead.late()
    late_order = LATE_ORDER * stakes.prepare / WHOLE
    told = Stakes(stakes.prepare, WARNING * stakes.prepare, 0.0)
    best: Round | None = None
    for number in range(FEWEST, MOST + 1):
        gains = base - expected_costs_by_pull_day(
            new, number, stakes, days=late, verdict_days=0.0, late_order=late_order
        )
        gains = np.maximum(gains, -stakes.cost_of_plugs(number))
        gains = gains + values_of_plugs(np.clip(doubted, 0.0, 1.0), number, told)
        day = int(np.argmax(gains[:-1])) if len(gains) > 1 else 0
        if best is None or gains[day] > best.gain + 1e-9:
            best = Round(number, day, float(gains[day]), float(gains[0]))
    assert best is not None
    return best


def look_worth(question: Question, ahead: Ahead, stakes: Stakes) -> float:
    """Expected gain of a look [currency], its own five minutes taken off.

    After either answer one does the best that is left: order, wait, or cut plugs.
    """

    def left(now: float, later: float) -> float:
        chances = (now, max(now, later))
        near = Ahead((0.0, max(ahead.days[-1], 1.0)), ahead.order_in)
        return cost_without(chances[-1], stakes) - max(0.0, best_round(chances, near, stakes).tonight)

    before = left(question.now, question.chance)
    after = question.yes * left(question.now_if_yes, question.chance_if_yes)
    after += (1.0 - question.yes) * left(question.now_if_no, question.chance_if_no)
    return before - after - stakes.trip * LOOK_MINUTES / 60.0
