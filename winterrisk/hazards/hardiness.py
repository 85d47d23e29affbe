"""Hardiness: two stores of hardening and the one kill temperature each grass has on each day.

A cool store fills in cool weather towards a level that depends on temperature; a frost store fills below
freezing, never past the cool one. Warmth empties both, spring lowers what they can hold, deep snow on
unfrozen ground and ice take from what is there. Frozen turf keeps what it has.
"""

import math

from winterrisk.science.compiled import njit

REFERENCE_COOL = 2.0
"""degC at and below which a grass can harden fully (form after Gay, Eagles 1991)."""
COOL_WEIGHTS = (0.4, 0.4, 0.2)
"""Weight of the day's minimum, mean and maximum: cool nights count most (Eagles, Williams 1992)."""
SOFTENING_AT = 8.0
"""degC at which the pace of softening is given."""
LEAST_CEILING = 0.2
"""Hardening that re-hardening can always reach before spring (judged)."""
GROWING_KELVIN = 1.5
"""K that cool weather leaves or brings back in full growth, so that both greens grasses die near -5 degC there
(Tompkins et al. 1996), and near -4 in warmth (size judged)."""
LEAST_LEFT = 0.2
"""Hardening that ice cannot take (judged)."""
COOL_DAY = (-1.3, 10.0)
"""degC between which a day counts as cool (vernalising), Fowler et al. (2014)."""
FROZEN_AGAIN = -0.5
"""degC of the crown's daily mean at which the ground counts as frozen again (judged)."""
DEEP_SNOW = 0.125
"""m of snow under which breathing counts fully, Bergjord et al. (2008)."""
BREATHING_BELOW = 2.0
"""degC of the crown below which breathing under snow costs hardiness (judged)."""


@njit
def respiration(temperature: float) -> float:
    """Respiration relative to that at 10 degC [1]; 0.02 at -2.5 and below, 0.17 at 0 degC.

    Reference: Bergjord, Bonesmo, Skjelvag (2008), factor of snow-cover stress.
    """
    return (math.exp(0.84 + 0.051 * max(temperature, -2.5)) - 2.0) / 1.85


@njit
def _kept(temperature: float, midpoint: float, width: float) -> float:
    full = 1.0 + math.exp((REFERENCE_COOL - midpoint) / width)
    return min(1.0, full / (1.0 + math.exp((temperature - midpoint) / width)))


@njit
def cool_target(low: float, mean: float, high: float, midpoint: float, width: float) -> float:
    """Level [0-1] the cool store moves to on a day with crown minimum, mean, maximum [degC].

    A logistic fall with temperature, 1 at 2 degC and below.
    Reference: form of Gay and Eagles (1991); weights judged after Eagles and Williams (1992).
    """
    target: float = COOL_WEIGHTS[0] * _kept(low, midpoint, width)
    target += COOL_WEIGHTS[1] * _kept(mean, midpoint, width)
    target += COOL_WEIGHTS[2] * _kept(high, midpoint, width)
    return target


@njit
def effective_temperature(low: float, mean: float, high: float) -> float:
    """Temperature [degC] that a day with crown minimum, mean, maximum [degC] stands for: cool nights count most.

    Reference: weights judged after Eagles and Williams (1992).
    """
    return COOL_WEIGHTS[0] * low + COOL_WEIGHTS[1] * mean + COOL_WEIGHTS[2] * high


@njit
def warmth(low: float, mean: float, high: float) -> float:
    """Warmth of a day relative to a steady 8 degC [1]: drives softening; a hard night takes back a mild noon.

    Reference: nights at 2 degC keep grass hardening through eight hours at 15 degC (dehardening study of
    perennial ryegrass seedlings); weights those of hardening.
    """
    return max(0.0, effective_temperature(low, mean, high)) / SOFTENING_AT


@njit
def frost(low: float, mean: float, high: float) -> float:
    """How fully a day hardens by frost [0-1]; 1 at a steady -2 degC and below."""
    return (
        COOL_WEIGHTS[0] * min(1.0, max(0.0, -low / 2.0))
        + COOL_WEIGHTS[1] * min(1.0, max(0.0, -mean / 2.0))
        + COOL_WEIGHTS[2] * min(1.0, max(0.0, -high / 2.0))
    )


@njit
def growth_gate(mean: float) -> float:
    """Share of the pace at which the cool store can still fill [0-1]: none at a mean of -2 degC and below."""
    return min(1.0, max(0.0, (mean + 2.0) / 2.0))


@njit
def cool_store_after(
    cool: float, goal: float, mean: float, warm: float, rate: float, softening: float, fade: float
) -> float:
    """Cool store [0-1] after a day: towards the goal, up at the hardening pace, down at the softening one."""
    if cool < goal:
        return cool + (goal - cool) * (1.0 - math.exp(-rate * growth_gate(mean) * fade))
    return goal + (cool - goal) * math.exp(-softening * warm)


@njit
def frost_store_after(
    frosted: float, cool: float, warm: float, cold: float, rate: float, softening: float, fade: float
) -> float:
    """Frost store [0-1] after a day: up towards the cool store in frost, down in warmth."""
    left = frosted * math.exp(-softening * warm)
    if left < cool:
        left += (cool - left) * (1.0 - math.exp(-rate * cold * fade))
    return left


@njit
def kill_temperature(
    soft: float,
    limit: float,
    cool_share: float,
    cool: float,
    frosted: float,
    breath_left: float,
    ice_left: float,
) -> float:
    """Kill temperature of a dry crown [degC]: half the plants die at it.

    Args:
        soft [degC]: kill temperature in growth. limit [degC]: the hardest the grass can reach.
        cool_share [1]: share of hardening that the cool store holds. cool, frosted [0-1]: the stores.
        breath_left, ice_left [0-1]: what respiration and ice have left of the hardening.
    """
    span = soft - limit
    return soft - breath_left * ice_left * span * (cool_share * cool + (1.0 - cool_share) * frosted)


@njit
def breath_left_after(left: float, mean: float, snow: float, cost: float, span: float) -> float:
    """What respiration under deep snow has left of the hardening [0-1] after a day.

    Reference: Bergjord et al. (2008), snow stress; the cost [K d-1] for turf is judged.
    """
    if mean >= BREATHING_BELOW:
        return left
    breath: float = respiration(mean) * min(1.0, max(0.0, snow / DEEP_SNOW))
    return max(0.0, left - cost * breath / span)


@njit
def spring_gate(day_of_year: float, first: float, full: float) -> float:
    """How much warmth counts for spring on this day [0-1]: none in autumn and early winter (judged)."""
    if day_of_year > 182.0:
        return 0.0
    return min(1.0, max(0.0, (day_of_year - first) / (full - first)))


@njit
def spring_heat_after(heat: float, warmth_today: float, mean: float, relapse_days: float) -> float:
    """Warmth towards growth [K d] after a day; ground that freezes again has not had its frost-out yet.

    A day with a crown mean of -0.5 degC or below takes back its part of what was gathered.
    Reference: growth is active 20-25 days after frost-out (trade magazine, Alberta); pace judged.
    """
    if mean <= FROZEN_AGAIN:
        return heat * math.exp(-1.0 / relapse_days)
    return heat + warmth_today


@njit
def spring_warmth(mean: float, snow: float, sealed: float, gate: float, snow_limit: float) -> float:
    """Warmth of a day that brings growth [K d]: crown mean above 0 degC, free of snow and ice."""
    if snow >= snow_limit:
        return 0.0
    return max(0.0, mean) * gate * (1.0 - sealed)
