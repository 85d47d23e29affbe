"""Invented courses whose turf does not die by our formula: what calibration has to cope with outside."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from courses import SPECIES, Book, add_plug, add_survey, book

from winterrisk.calibration import Winter
from winterrisk.risk.survey import SURVEY_CLASSES
from winterrisk.science.keyed import generator


@dataclass(frozen=True)
class OtherTurf:
    """Turf that dies of lack of air by a Weibull law, each zone a little differently, and of hidden things.

    half [1]: dose at which half of the annual bluegrass is dead. shape [1]: of the Weibull law (no logistic, and
    lopsided). zone_sd: ln sd of `half` between zones (our model has none). bent [1]: factor of `half` for the bent.
    mishap [1]: chance a year that something unrelated takes a fifth of a zone. patch [1]: size of the patches in
    which plugs of one cut share their fate, in plugs. slip [1]: chance that a survey is one class off.
    """

    half: float
    shape: float = 4.0
    zone_sd: float = 0.15
    bent: float = 2.2
    mishap: float = 0.05
    patch: int = 2
    slip: float = 0.15

    def dead(self, dose: float, cover: Mapping[str, float], own: float) -> float:
        """Dead share [1] of a zone, `own` its factor of the half-kill dose."""
        alive = 0.0
        for species, part in cover.items():
            half = self.half * own * (1.0 if species == SPECIES[0] else self.bent)
            alive += part * float(0.5 ** ((dose / half) ** self.shape))
        return 1.0 - alive


def found(
    winters: Sequence[Winter], turf: OtherTurf, key: str, *, plugs: int = 8, surveys: bool = True, at: float = 0.75
) -> Book:  # fmt: skip
    """Plugs with looks, and spring surveys, as people would have found them on such turf."""
    rng = generator("invented", "other turf", key)
    zones = [str(z) for z in winters[0].harm["zone"].to_numpy()]
    own = {zone: float(np.exp(turf.zone_sd * rng.standard_normal())) for zone in zones}
    plug_rows: list[dict[str, object]] = []
    look_rows: list[dict[str, object]] = []
    survey_rows: list[dict[str, object]] = []
    for past in winters:
        for zone in zones:
            member = int(rng.integers(past.harm.sizes["member"]))
            ice = past.harm["dose_ice"].sel(zone=zone, species=SPECIES[0]).isel(member=member).to_numpy()
            place = int(at * (len(past.days) - 1))
            now = turf.dead(float(ice[: place + 1].max()), past.cover(zone), own[zone])
            for first in range(0, plugs, turf.patch):
                dead = bool(rng.random() < now)
                for _ in range(min(turf.patch, plugs - first)):
                    add_plug(plug_rows, look_rows, zone, past.days[place], dead=dead)
            if surveys:
                spring = turf.dead(float(ice.max()), past.cover(zone), own[zone])
                spring = spring + (1.0 - spring) * 0.2 * float(rng.random() < turf.mishap)
                top = int(np.clip(np.searchsorted(SURVEY_CLASSES, spring), 1, len(SURVEY_CLASSES) - 1))
                if rng.random() < turf.slip:
                    top = int(np.clip(top + rng.choice([-1, 1]), 1, len(SURVEY_CLASSES) - 1))
                add_survey(
                    survey_rows, past.name, zone, past.days[-1], SURVEY_CLASSES[top - 1], SURVEY_CLASSES[top]
                )
    return book(plug_rows, look_rows, survey_rows)
