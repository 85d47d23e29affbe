"""The sentence of a finding: where, what was found, what to do next, in the reader's units and clock."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd
import xarray as xr

from winterrisk.weather.freeze_thaw import wmo_rounded
from winterrisk.weather.variables import VARIABLES

READER: Final = "reader_units"
"""Name of the attribute of a record that says "us" where its reader measures in US units."""
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_METRIC: Final = {
    "degC": (1.0, 0.0, 1, "°C"), "K": (1.0, 0.0, 1, "°C"), "kg m-2": (1.0, 0.0, 1, "mm"),
    "m": (100.0, 0.0, 0, "cm"), "m s-1": (1.0, 0.0, 1, "m/s"), "hPa": (1.0, 0.0, 1, "hPa"),
    "W m-2": (1.0, 0.0, 0, "W/m²"), "1": (100.0, 0.0, 0, "%"), "h": (1.0, 0.0, 1, "h"),
}  # fmt: skip
_US: Final = {
    "degC": (1.8, 32.0, 0, "°F"), "K": (1.8, 0.0, 0, "°F"), "kg m-2": (1 / 25.4, 0.0, 2, "in"),
    "m": (1 / 0.0254, 0.0, 1, "in"), "m s-1": (1 / 0.44704, 0.0, 0, "mph"),
}  # fmt: skip
"""Unit of ours -> factor, offset, decimals, and the unit as the reader writes it."""
_SHORT: Final = {
    "dew_point": "dew point", "wind_speed": "wind", "precipitation": "precipitation",
    "surface_pressure": "air pressure", "snow_depth": "snow depth", "relative_humidity": "humidity",
}  # fmt: skip
"""Names that a person uses where the table's are longer."""


@dataclass(frozen=True)
class Telling:
    """How a record's findings are told: station, clock and units of the reader."""

    station: str
    timezone: str
    daily: bool
    units: str

    @classmethod
    def of(cls, raw: xr.Dataset) -> "Telling":
        """From the attributes of a record: station, timezone, step, and `READER` where it is set."""
        attrs = raw.attrs
        return cls(
            str(attrs.get("station") or "station"),
            str(attrs.get("timezone") or "UTC"),
            attrs.get("step") == "daily",
            str(attrs.get(READER, "metric")),
        )

    def measure(self, value: float, unit: str) -> str:
        """A value in a unit of ours as the reader writes it: '-3.0 °C' or '27 °F'; 'K' is a difference."""
        table = _US if self.units == "us" and unit in _US else _METRIC
        factor, offset, decimals, mark = table[unit]
        return f"{wmo_rounded(value * factor + offset, decimals):.{decimals}f} {mark}"

    def value(self, name: str, value: float) -> str:
        """A value of a variable as the reader writes it."""
        return self.measure(value, VARIABLES[name].unit)

    def moment(self, time: np.datetime64) -> str:
        """A time of the record by the reader's clock: '15 Feb 2024 12:00', or the day."""
        there = pd.Timestamp(time)
        if not self.daily:
            there = there.tz_localize("UTC").tz_convert(self.timezone)
        day = f"{there.day} {_MONTHS[there.month - 1]} {there.year}"
        return day if self.daily else f"{day} {there.hour:02d}:{there.minute:02d}"

    def when(self, time: np.datetime64, until: np.datetime64) -> str:
        """A stretch of the record; one step is told as its time alone."""
        step = np.timedelta64(1, "D") if self.daily else np.timedelta64(1, "h")
        if until - time <= step:
            return self.moment(time)
        return f"{self.moment(time)} to {self.moment(until - step if self.daily else until)}"

    def sentence(self, time: np.datetime64, until: np.datetime64, found: str, move: str) -> str:
        """Where and when: what was found; what to do next."""
        return f"{self.station}, {self.when(time, until)}: {found}; {move}"


def named(name: str) -> str:
    """A variable in a sentence: 'air temperature', 'highest air temperature of the day'."""
    return _SHORT.get(name, VARIABLES[name].long_name)
