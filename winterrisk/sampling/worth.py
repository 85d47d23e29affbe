"""What a look and a round of plugs are worth in one zone tonight: money saved by what their answers change."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from winterrisk.sampling.answers import Array, Possible, answers
from winterrisk.sampling.pull_day import LATE_ORDER, VERDICT_DAYS
from winterrisk.sampling.question import Question
from winterrisk.sampling.value import Stakes, answers_by_state, expected_cost

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
SNOW_UNSEEN: Final = 0.25
"""Chance that snow lay on turf that weather alone takes for bare in a hard frost [1]: on 20 of 82 such days (crown
below -8 degC) of thirty winters at a Great Lakes airport an inch or more was measured (GHCN-Daily), on 14 of 79 where
the course file says that its air comes off the lake."""


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


def with_doubt(zone: Possible, pairs: Array, number: int) -> tuple[Array, Array]:
    """Chance of each answer, and of harm after it [1], some zones being such that the model knows nothing of them."""
    chance, harmed = answers(pairs, zone, number)
    base = min(zone.chance, BASE_RATE)
    damaged, sound = answers_by_state(number)
    either = (1.0 - MODEL_DOUBT) * chance + MODEL_DOUBT * (base * damaged + (1.0 - base) * sound)
    return either, ((1.0 - MODEL_DOUBT) * harmed + MODEL_DOUBT * base * damaged) / either


def best_round(zone: Possible, ahead: Ahead, stakes: Stakes) -> Round:
    """The number and the day of plugs with the least expected cost, for the order and for a warning of the board.

    Nobody has to wait for plugs: one may order on the day they are cut, so at worst they cost what they cost.

    Args:
        zone: on each of the days ahead; plugs are cut on any of them but the last, when harm counts.
    """
    chance = (1.0 - MODEL_DOUBT) * zone.chance + MODEL_DOUBT * min(zone.chance, BASE_RATE)
    told = Stakes(stakes.prepare, WARNING * stakes.prepare, 0.0)
    without, unwarned = (float(expected_cost(chance, s)) for s in (stakes, told))
    late = LATE_ORDER * stakes.prepare / WHOLE * ahead.late()
    rounds = range(FEWEST, MOST + 1)
    gains = np.empty((len(rounds), max(len(ahead.days) - 1, 1)))
    for day in range(gains.shape[1]):
        pairs = zone.pairs_of(day)
        for row, number in enumerate(rounds):
            total, harm = with_doubt(zone, pairs, number)
            ordered = without - float((total * expected_cost(harm, stakes, late[day])).sum())
            warned = unwarned - float((total * expected_cost(harm, told)).sum())
            gains[row, day] = max(ordered, 0.0) + warned - stakes.cost_of_plugs(number)
    row = int(np.argmax(np.round(gains.max(axis=1), 9)))
    day = int(np.argmax(gains[row]))
    return Round(rounds[row], day, float(gains[row, day]), float(gains[row, 0]))


def look_worth(zone: Possible, question: Question, ahead: Ahead, stakes: Stakes) -> float:
    """Expected gain of a look [currency], its own minutes not yet taken off.

    After either answer one does the best that is left: order, wait, or cut plugs.
    """
    near = Ahead((0.0, max(ahead.days[-1], 1.0)), ahead.order_in)

    def left(here: Possible) -> float:
        without = float(expected_cost(here.chance, stakes))
        return without - max(0.0, best_round(here, near, stakes).tonight)

    after = 0.0
    for share, state in ((question.yes, question.state), (1.0 - question.yes, ~question.state)):
        if share > 0.0:
            after += share * left(zone.where(state))
    return left(zone) - after


def snow_look_worth(chance: float, of_frost: float, stakes: Stakes) -> float:
    """Expected gain of asking whether snow lay on turf in the frost that did harm [currency], its own minutes not yet
    taken off: with snow that frost did nothing.

    Args:
        chance [1]: of harm if it lay bare; of_frost [1]: the part of it that frost did.
    """
    told = Stakes(stakes.prepare, WARNING * stakes.prepare, 0.0)
    bare, snow = chance, chance * (1.0 - of_frost)
    before = (1.0 - SNOW_UNSEEN) * bare + SNOW_UNSEEN * snow
    gain = 0.0
    for at_stake in (stakes, told):
        after = (1.0 - SNOW_UNSEEN) * expected_cost(bare, at_stake) + SNOW_UNSEEN * expected_cost(
            snow, at_stake
        )
        gain += float(expected_cost(before, at_stake) - after)
    return gain
