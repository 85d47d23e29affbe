"""How wrong a forecast may be: sizes that grow with lead time, and keyed courses of the error over the hours.

Each error is a standard normal number of the valid hour and the path, times a size that depends on the lead
time alone. Tonight and tomorrow the same hour of the same path has the same number: the error shrinks as the
hour comes nearer and is not drawn anew.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from winterrisk.science.keyed import KeyPart, normal_by_hour

Array = NDArray[np.float64]
Key = tuple[KeyPart, ...]

FIRST_DAY, SEVENTH_DAY = 12.0, 156.0
"""Lead time of the middle of day 1 and of day 7 [h]."""
GROWS_UNTIL: Final = 240.0
"""Lead time from which errors grow no more [h] (judged)."""
MEMORY: Final = 18.0
"""Time scale of an error's course [h]: 0.96 of an error is left after 6 h, 0.62 after 24 h, as of the
temperature's own departures in two long records of days (with 9 h, lowest temperatures came out 1 K too low)."""
FADING: Final = 9.0
"""Time scale in which what is known of the error at the join fades [h] (judged: 0.62 of it is left after 12 h,
0.25 after 24 h; a night's cold pool is gone by the afternoon)."""
_SCALES_KEPT: Final = 14


@dataclass(frozen=True)
class Size:
    """Size of an error on day 1 and on day 7 of a forecast; a straight line between and up to day 10."""

    day_1: float
    day_7: float

    def at(self, lead: ArrayLike) -> Array:
        """Size (hour) at lead times [h]."""
        hours = np.clip(np.asarray(lead, dtype=np.float64), 0.0, GROWS_UNTIL)
        slope = (self.day_7 - self.day_1) / (SEVENTH_DAY - FIRST_DAY)
        return np.maximum(self.day_1 + slope * (hours - FIRST_DAY), 0.0)


@dataclass(frozen=True)
class ForecastErrors:
    """Standard deviations of the errors of one deterministic forecast.

    temperature [K]: low temperatures are off by about 3 degF on day 1 and 6 degF on day 7 (guidance for
    superintendents); depression [1]: of the logarithm of air temperature less dew point; wind [1]: of the
    logarithm of its speed; cloud [1]: on the normal scale of the cover; timing [h]: of rain and snow; amount
    [1]: of the logarithm of an hour's precipitation; other_weather [1]: share of hours in which rain or snow
    comes or stays away as if there were no forecast. All but the first are judged.
    """

    temperature: Size = Size(1.7, 3.3)
    depression: Size = Size(0.25, 0.45)
    wind: Size = Size(0.20, 0.40)
    cloud: Size = Size(0.5, 1.1)
    timing: Size = Size(1.5, 5.0)
    amount: Size = Size(0.4, 0.8)
    other_weather: Size = Size(0.12, 0.60)


ERRORS: Final = ForecastErrors()
NO_ERRORS: Final = ForecastErrors(*(Size(0.0, 0.0) for _ in range(7)))
"""A perfect forecast, and the members of an ensemble, which carry their own."""


def _weights(memory: float) -> Array:
    k = np.arange(1, round(_SCALES_KEPT * memory) + 1, dtype=np.float64)
    weights = k * np.exp(-k / memory)
    return weights / np.sqrt(np.sum(weights**2))


def normal_course(key: Key, hours: NDArray[np.int64], memory: float = MEMORY) -> Array:
    """Smooth standard normal numbers (hour): a function of key and hour alone, remembered over some hours.

    White keyed numbers of the hours before, weighted k exp(-k / memory): correlation (1 + t/m) exp(-t/m).

    Args:
        hours (hour) [h]: consecutive whole hours since 1970; memory m [h].
    Reference: the Matern correlation with smoothness 3/2 (Rasmussen and Williams 2006, eq. 4.17).
    """
    weights = _weights(memory)
    before = np.arange(hours[0] - len(weights) + 1, hours[-1] + 1)
    return np.convolve(normal_by_hour(key, before), weights, mode="valid")


def memory_of_course(after: ArrayLike, memory: float = MEMORY) -> Array:
    """Correlation [1] of an error with itself a number of hours later [h]."""
    t = np.abs(np.asarray(after, dtype=np.float64)) / memory
    return (1.0 + t) * np.exp(-t)


def error_courses(
    name: str, lead: Array, hours: NDArray[np.int64], size: Size, *, members: int, key: Key
) -> Array:
    """Errors (hour, member) of one quantity: keyed courses times the size at each lead time.

    Args:
        name: of the quantity; lead (hour) [h]; hours (hour) [h]: since 1970; size: its unit is the errors'.
    """
    sizes = size.at(lead)
    if not sizes.any():
        return np.zeros((len(hours), members))
    courses = [normal_course((*key, "forecast error", name, path), hours) for path in range(members)]
    return sizes[:, None] * np.stack(courses, axis=1)


def fading(hours: int) -> Array:
    """Share [1] of a difference at the join that is still felt after 0, 1, 2, ... hours."""
    return memory_of_course(np.arange(hours), FADING)


def joined_errors(errors: Array, known: Array) -> Array:
    """Errors (hour, member) that are known at the first hour: the difference there fades over about a day.

    What came, seen from the same forecast, is such a path too: whatever the fading, their ranks stay fair.

    Args:
        errors (hour, member): first hour at the join; known (member): what the errors are there.
    """
    return errors + fading(len(errors))[:, None] * (known - errors[0])[None, :]
