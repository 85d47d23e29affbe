"""The coldest, warmest and wettest day that a gap could have held, from the same time of the year on
record."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from winterrisk.weather.record import Record
from winterrisk.weather.usual import DAYS, WINDOW, day_and_hour

Array = NDArray[np.float64]

MEASURED_OF_DAY: Final = 20
"""Hours that a day must have measured to count as an extreme [h] (judged)."""


@dataclass(frozen=True)
class Extremes:
    """Air temperature, dew point and wind of the coldest and the warmest day by UTC hour, and the wettest
    day's water."""

    cold: dict[str, Array]
    warm: dict[str, Array]
    water: float


class DaysOnRecord:
    """A record cut into UTC days, to look extremes up by time of the year."""

    def __init__(self, record: Record) -> None:
        _, hour = day_and_hour(record.times[:1])
        begin = int(-hour[0] % 24)
        count = (len(record.times) - begin) // 24
        whole = slice(begin, begin + 24 * count)
        self._by_hour = {
            n: record.values[n][whole].reshape(count, 24)
            for n in ("air_temperature", "dew_point", "wind_speed", "precipitation")
        }
        self._of_year, _ = day_and_hour(record.times[whole][::24])
        self._warmth_known = self._enough(record.measured("air_temperature")[whole], count)
        self._water_known = self._enough(record.measured("precipitation")[whole], count)

    @staticmethod
    def _enough(measured: NDArray[np.bool_], count: int) -> NDArray[np.bool_]:
        return measured.reshape(count, 24).sum(axis=1) >= MEASURED_OF_DAY

    def extremes(self, times: NDArray[np.datetime64]) -> Extremes | None:
        """Extremes within 15 days of the calendar days of `times`; None where the record has no such days."""
        of_year, _ = day_and_hour(times[[0, -1]])
        span = int((of_year[1] - of_year[0]) % DAYS)
        near = (self._of_year - of_year[0] + WINDOW) % DAYS <= span + 2 * WINDOW
        warmth = np.flatnonzero(near & self._warmth_known)
        if not len(warmth):
            warmth = np.flatnonzero(self._warmth_known)
        if not len(warmth):
            return None
        mean = self._by_hour["air_temperature"].mean(axis=1)
        coldest, warmest = warmth[np.argmin(mean[warmth])], warmth[np.argmax(mean[warmth])]
        water = np.flatnonzero(near & self._water_known)
        total = self._by_hour["precipitation"].sum(axis=1)
        names = ("air_temperature", "dew_point", "wind_speed")
        return Extremes(
            cold={n: self._by_hour[n][coldest] for n in names},
            warm={n: self._by_hour[n][warmest] for n in names},
            water=float(total[water].max()) if len(water) else 0.0,
        )
