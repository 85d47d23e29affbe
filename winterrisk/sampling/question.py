"""What a look would answer, and how far either answer would move the chance of damage."""

from dataclasses import dataclass, field

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.risk.spread import PARTS, band_chance

ICE_SEEN = 3.0
"""Ice that a person calls ice [mm]: the limit of the count of days under ice."""
SOAKED = 0.85
"""Saturation of the crown zone from which a crown wet lately counts as soaked [1] (judged)."""
WET_HOURS = 6.0
"""Hours of liquid water at the crown in the last three days that make a soaking one can see [h] (judged)."""


@dataclass(frozen=True)
class Question:
    """A yes-or-no question about one zone tonight, and the chance of 'parts' dead by a date, and by now, either way;
    state (pair): in which of the possible winters and thresholds the answer is yes."""

    about: str
    yes: float
    chance: float
    chance_if_yes: float
    chance_if_no: float
    now: float = 0.0
    now_if_yes: float = 0.0
    now_if_no: float = 0.0
    state: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=bool), compare=False)


def chance_of_harm(outlook: xr.Dataset, zone: str) -> NDArray[np.float64]:
    """Chance of 'parts' dead in each pair of possible winter and thresholds (day, member, draw) [1]; from the expected
    dead share alone where an outlook has no more."""
    if "harmed" in outlook:
        return outlook["harmed"].sel(zone=zone).to_numpy().astype(np.float64)
    expected = outlook["expected"].sel(zone=zone).to_numpy()
    return np.asarray(band_chance(expected, float(outlook.attrs["survey_precision"]))[PARTS])


def questions(
    outlook: xr.Dataset, zone: str, tonight: np.datetime64, until: np.datetime64
) -> tuple[Question, ...]:
    """The questions whether there is ice, and whether the crowns were soaked lately, in one zone.

    Args:
        outlook: of `risk.outlook`, (day, zone, ...), holding the days `tonight` and `until`.
    """
    z = int(np.flatnonzero(outlook["zone"].to_numpy() == zone)[0])
    every_day = outlook["day"].to_numpy().astype("datetime64[D]")
    first, last = (int(np.flatnonzero(every_day == np.datetime64(day, "D"))[0]) for day in (tonight, until))
    weight, harmed = outlook["weight"].to_numpy()[z], chance_of_harm(outlook, zone)
    parts, parts_now = harmed[last], harmed[first]
    ice, water, wet = (
        outlook[name].to_numpy()[first, z]
        for name in ("ice_thickness_max", "crown_water", "hours_wet_lately")
    )
    states = {
        about: np.repeat(state[:, None], weight.shape[1], axis=1)
        for about, state in (("ice", ice >= ICE_SEEN), ("soaking", (water >= SOAKED) & (wet >= WET_HOURS)))
    }
    overall, overall_now = (float((p * weight).sum() / weight.sum()) for p in (parts, parts_now))
    asked = []
    for about, state in states.items():
        given = {True: (overall, overall_now), False: (overall, overall_now)}
        mass = {answer: float(weight[state == answer].sum()) for answer in (True, False)}
        for answer, total in mass.items():
            if total > 0:
                chosen = state == answer
                w = weight[chosen]
                given[answer] = (
                    float((parts[chosen] * w).sum() / total),
                    float((parts_now[chosen] * w).sum() / total),
                )
        yes = mass[True] / (mass[True] + mass[False])
        (later_yes, now_yes), (later_no, now_no) = given[True], given[False]
        asked.append(
            Question(about, yes, overall, later_yes, later_no, overall_now, now_yes, now_no, state.ravel())
        )
    return tuple(asked)
