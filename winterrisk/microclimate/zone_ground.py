"""What the ground of each zone is, from what a person can tell."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

import numpy as np
import xarray as xr

from winterrisk.microclimate.horizon import sky_view

if TYPE_CHECKING:
    from winterrisk.course import Course

WATER_HOLDING: Final[Mapping[str, float]] = {"sand": 0.20, "push-up": 0.34}
"""Water that the root zone keeps when drained, share of its volume [1]: specification sand 0.15 to 0.25 at 30
cm tension (specification text); push-up loam judged."""
SNOW_GAIN: Final[Mapping[str, float]] = {"drifts in": 1.3, "stays": 1.0, "blows off": 0.5}
"""Snow that stays on a zone over what falls [1] (judged; snow courses use 0.3 to 1.5)."""
COVER: Final = "mown_green"
IRRIGATED: Final = 1.0
"""Greens and what lies about them are watered through the growing season (common practice)."""


def zone_ground(course: "Course") -> xr.Dataset:
    """Ground of every zone (zone): build, thatch, water, drainage, slope, exposure, sky, snow and cover."""
    views = course.zones()

    def numbers(values: list[float], unit: str, meaning: str) -> tuple[str, np.ndarray, dict[str, str]]:
        return "zone", np.array(values, dtype=np.float64), {"units": unit, "long_name": meaning}

    def words(values: list[str], meaning: str) -> tuple[str, np.ndarray, dict[str, str]]:
        return "zone", np.array(values, dtype=object), {"units": "1", "long_name": meaning}

    return xr.Dataset(
        {
            "build": words([v.build for v in views], "build of the root zone: sand or push-up"),
            "thatch": numbers([v.thatch for v in views], "m", "thickness of the thatch"),
            "water_holding": numbers(
                [WATER_HOLDING[v.build] for v in views], "1", "water the drained root zone keeps"
            ),
            "depression_storage": numbers(
                [v.holds_water for v in views], "kg m-2", "water standing before it runs off"
            ),
            "drainage": words([v.drainage for v in views], "drainage: good, fair or poor"),
            "slope": numbers([v.slope for v in views], "1", "fall of the surface over distance"),
            "exposure": numbers(
                [v.exposure for v in views], "1", "exposure to wind: -1 sheltered to 1 exposed"
            ),
            "sky_view": numbers([sky_view(v.horizon) for v in views], "1", "share of the sky seen"),
            "snow_gain": numbers(
                [SNOW_GAIN[v.snow] for v in views], "1", "snow that stays over snow that falls"
            ),
            "cover": words([COVER] * len(views), "cover of the ground"),
            "irrigated": numbers([IRRIGATED] * len(views), "1", "watered from May to October"),
        },
        coords={"zone": list(course.zone_labels())},
    )
