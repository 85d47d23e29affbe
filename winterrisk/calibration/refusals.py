"""Reasons not to adopt a fit: too little evidence, all of one side, nothing moved, worse than the default."""

from collections.abc import Sequence
from dataclasses import dataclass

from winterrisk.calibration.held_out import HeldOut
from winterrisk.calibration.separable import Apart

FEWEST = 8
"""Plugs and surveys that must speak of a row.

Six to eight plugs at chances of 0.25 to 0.5 halve the ice multiplier's prior sd if all else is known (worked
from the Fisher information of a log-logistic curve); fewer hardly beat the prior.
"""
LEAST_MOVE = 0.20
"""Prior sd that a median must have moved (judged), unless the range has narrowed."""
NARROWED = 0.85
"""Posterior over prior sd from which a range counts as narrowed (judged)."""
WORST_LOSS = -0.1
"""Log score by which a fit may fall behind the prior on held-out winters: the sampler's noise (judged)."""

CAUSE = {"ice": "lack of air under ice", "wet_freeze": "soaked crowns freezing hard"}
"""Ways of dying in the words of a refusal."""

Range = tuple[float, ...]


@dataclass(frozen=True)
class Learned:
    """What a fit did with one row.

    before: the value in force. prior, posterior: 5, 50 and 95 % in the row's unit. moved: of the median, in
    prior sd. width: posterior over prior sd. plugs, surveys: how many could speak of it at all; alive, dead:
    how many of those point to live and to dead turf. apart: whether its way of dying can be told from its rival.
    """

    key: str
    label: str
    unit: str
    before: float
    prior: Range
    posterior: Range
    moved: float
    width: float
    plugs: int
    surveys: int
    alive: int
    dead: int
    apart: Apart | None = None


def refusals(learned: Sequence[Learned], checked: Sequence[HeldOut]) -> tuple[str, ...]:
    """Reasons, in plain words, why the fit should not be adopted; none where it may be."""
    reasons = [reason for row in learned for reason in _of_row(row)]
    if checked:
        gain = sum(winter.fitted - winter.prior for winter in checked)
        if gain < WORST_LOSS:
            reasons.append(
                f"each winter foretold from the others comes out worse than with the default "
                f"(log score {gain:+.2f} over {len(checked)} winters): the winters contradict each other, "
                f"or something else killed that this row is made to answer for"
            )
    return tuple(reasons)


def _of_row(row: Learned) -> list[str]:
    speak = row.plugs + row.surveys
    reasons = []
    if row.apart is not None and row.apart.never:
        names = [CAUSE[name] for name in (row.apart.hazard, row.apart.rival)]
        reasons.append(
            f"{row.key}: cannot separate {names[0]} from {names[1]}: all {row.apart.dead} dead plugs and surveys "
            f"that {names[0]} explains, {names[1]} explains as well; a plug cut between the two would tell"
        )
    if speak < FEWEST:
        reasons.append(
            f"{row.key}: too little evidence - {row.plugs} plugs and {row.surveys} surveys come from turf "
            f"where its value would matter, {FEWEST} are wanted; cut plugs where the chance is between "
            f"1 in 4 and 3 in 4"
        )
        return reasons
    if not row.dead:
        reasons.append(
            f"{row.key}: all {speak} plugs and surveys that speak of it were alive: that says what the turf "
            f"stands at least, not what it dies of"
        )
    if not row.alive:
        reasons.append(
            f"{row.key}: all {speak} plugs and surveys that speak of it were dead: that says what the turf "
            f"dies of at most, not what it stands"
        )
    if abs(row.moved) < LEAST_MOVE and row.width > NARROWED:
        reasons.append(
            f"{row.key}: hardly moved ({row.moved:+.2f} of its prior spread) and hardly surer "
            f"(spread {row.width:.0%} of before): keep the default"
        )
    return reasons
