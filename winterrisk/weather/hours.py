"""The hours of a record while they are being made whole."""

from dataclasses import dataclass, field

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from winterrisk.science.keyed import KeyPart, hours_since_1970
from winterrisk.weather.gaps import Filled, filled
from winterrisk.weather.place import Place
from winterrisk.weather.variables import FILLED, MEASURED, OPTIONAL, REQUIRED

Array = NDArray[np.float64]


@dataclass
class Hours:
    """Values and origins (time) by variable, where they are and on what key their random choices hang; spread
    (time) [K]: of temperatures that came with one, as from a second source, 0 elsewhere."""

    times: NDArray[np.datetime64]
    place: Place
    key: tuple[KeyPart, ...]
    values: dict[str, Array] = field(default_factory=dict)
    origin: dict[str, NDArray[np.int8]] = field(default_factory=dict)
    spread: Array | None = None

    @classmethod
    def of(cls, raw: xr.Dataset, place: Place, key: tuple[KeyPart, ...]) -> "Hours":
        """The hours of a raw record: what it measured, NaN where it did not."""
        hours = cls(raw["time"].to_numpy(), place, key)
        for name in (*REQUIRED, *OPTIONAL):
            if name in raw:
                hours.values[name] = np.array(raw[name].to_numpy(), dtype=np.float64)
                known = np.isfinite(hours.values[name])
                given = raw[f"{name}_origin"].to_numpy() if f"{name}_origin" in raw else MEASURED
                hours.origin[name] = np.where(known, given, FILLED).astype(np.int8)
        if "air_temperature_sd" in raw:
            hours.spread = np.nan_to_num(np.array(raw["air_temperature_sd"].to_numpy(), dtype=np.float64))
        return hours

    def known(self, name: str) -> Array:
        """Values of a variable, NaN where missing; all missing where the record has none."""
        return self.values.get(name, np.full(len(self.times), np.nan))

    def put(self, name: str, values: Array, origin: NDArray[np.int8] | None = None) -> None:
        """Values of a variable as they now stand; origin "filled" where nothing was known before, unless
        given."""
        if origin is None:
            nothing = np.full(len(self.times), FILLED, dtype=np.int8)
            origin = self.origin.get(name, nothing)
        self.values[name], self.origin[name] = values, origin

    def without_gaps(self, anomaly: Array, spread: float, **how: int | bool) -> Filled:
        """Anomalies with every gap filled (`gaps.filled`); gaps that begin together borrow from the same
        year."""
        first = int(hours_since_1970(self.times[:1])[0])
        return filled(anomaly, first_hour=first, key=(*self.key, "gap"), spread=spread, **how)  # type: ignore[arg-type]
