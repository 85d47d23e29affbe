"""What a look would answer, and how far either answer would move the chance of damage."""

from dataclasses import dataclass

import numpy as np
import xarray as xr

from winterrisk.risk import BANDS
from winterrisk.risk.spread import band_chance

ICE_SEEN = 3.0
"""Ice that a person calls ice [mm]: the limit of the count of days under ice."""
SOAKED = 0.85
"""Saturation of the crown zone from which a crown wet lately counts as soaked [1] (judged)."""
WET_HOURS = 6.0
"""Hours of liquid water at the crown in the last three days that make a soaking one can see [h] (judged)."""
PARTS = BANDS.index("parts")


@dataclass(frozen=True)
class Question:
    """A yes-or-no question about one zone tonight, and the chance of 'parts' dead by a date either way."""

    about: str
    yes: float
    chance: float
    chance_if_yes: float
    chance_if_no: float

    @property
    def moves(self) -> float:
        """How far the less telling of the two answers moves the chance [1]: either moves it at least so far."""
        return min(abs(self.chance_if_yes - self.chance), abs(self.chance_if_no - self.chance))

    @property
    def worth(self) -> float:
        """Expected move of the chance over both answers [1]."""
        yes, no = abs(self.chance_if_yes - self.chance), abs(self.chance_if_no - self.chance)
        return self.yes * yes + (1 - self.yes) * no


def questions(
    outlook: xr.Dataset, zone: str, tonight: np.datetime64, until: np.datetime64
) -> tuple[Question, ...]:
    """The questions whether there is ice, and whether the crowns were soaked lately, in one zone.

    Args:
        outlook: of `risk.outlook`, holding the days `tonight` and `until`.
    """
    weight = outlook["weight"].sel(zone=zone).to_numpy()
    expected = outlook["expected"].sel(zone=zone, day=until).to_numpy()
    parts = band_chance(expected, float(outlook.attrs["survey_precision"]))[PARTS]
    now = outlook.sel(zone=zone, day=tonight)
    states = {
        "ice": now["ice_thickness_max"].to_numpy() >= ICE_SEEN,
        "soaking": (now["crown_water"].to_numpy() >= SOAKED)
        & (now["hours_wet_lately"].to_numpy() >= WET_HOURS),
    }
    overall = float((parts * weight).sum() / weight.sum())
    asked = []
    for about, state in states.items():
        given = {True: overall, False: overall}
        mass = {answer: float(weight[state == answer].sum()) for answer in (True, False)}
        for answer, total in mass.items():
            if total > 0:
                chosen = state == answer
                given[answer] = float((parts[chosen] * weight[chosen]).sum() / total)
        yes = mass[True] / (mass[True] + mass[False])
        asked.append(Question(about, yes, overall, given[True], given[False]))
    return tuple(asked)
