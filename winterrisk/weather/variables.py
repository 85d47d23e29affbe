"""The one table of weather variables: unit, names, plausible range. Readers, checks, docs and tests use
it."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True)
class Variable:
    """One weather variable: what it is called, in which unit, and between which limits it can be true.

    `low` and `high` are the ends of what is physically possible at a golf course; anything outside is a wrong
    unit, a missing code or a broken sensor. `required` variables are always there after `complete`.
    """

    name: str
    unit: str
    long_name: str
    standard_name: str | None
    low: float
    high: float
    required: bool = False
    daily_only: bool = False

    @property
    def attrs(self) -> dict[str, str]:
        """Attributes of a DataArray of this variable (CF standard name only where CF has one)."""
        named = {"units": self.unit, "long_name": self.long_name}
        return named | ({"standard_name": self.standard_name} if self.standard_name else {})


_TABLE = (
    Variable("air_temperature", "degC", "air temperature", "air_temperature", -60, 50, required=True),
    Variable("dew_point", "degC", "dew point over water", "dew_point_temperature", -80, 35, required=True),
    Variable("wind_speed", "m s-1", "wind speed at 10 m", "wind_speed", 0, 75, required=True),
    Variable(
        "precipitation", "kg m-2", "precipitation of the hour", "precipitation_amount", 0, 150, required=True
    ),
    Variable(
        "surface_pressure",
        "hPa",
        "air pressure at the station",
        "surface_air_pressure",
        500,
        1100,
        required=True,
    ),
    Variable(
        "shortwave_down",
        "W m-2",
        "sun and sky radiation on level ground",
        "surface_downwelling_shortwave_flux_in_air",
        -20,
        1600,
        required=True,
    ),
    Variable(
        "longwave_down",
        "W m-2",
        "heat radiation from the sky",
        "surface_downwelling_longwave_flux_in_air",
        40,
        600,
        required=True,
    ),
    Variable("relative_humidity", "1", "relative humidity over water", "relative_humidity", 0, 1.05),
    Variable("snow_fraction", "1", "share of the precipitation that is snow", None, 0, 1),
    Variable("freezing_rain", "kg m-2", "precipitation reported as freezing rain", None, 0, 100),
    Variable("snow_depth", "m", "snow depth at the station", "surface_snow_thickness", 0, 8),
    Variable("cloud_cover", "1", "share of the sky under cloud", "cloud_area_fraction", 0, 1),
    Variable("diffuse_fraction", "1", "share of the shortwave radiation that comes from the sky", None, 0, 1),
    Variable(
        "air_temperature_max",
        "degC",
        "highest air temperature of the day",
        "air_temperature",
        -60,
        50,
        daily_only=True,
    ),
    Variable(
        "air_temperature_min",
        "degC",
        "lowest air temperature of the day",
        "air_temperature",
        -60,
        50,
        daily_only=True,
    ),
)

VARIABLES: Final[Mapping[str, Variable]] = MappingProxyType({v.name: v for v in _TABLE})
REQUIRED: Final[tuple[str, ...]] = tuple(v.name for v in _TABLE if v.required)
OPTIONAL: Final[tuple[str, ...]] = tuple(v.name for v in _TABLE if not (v.required or v.daily_only))
DAILY_PRECIPITATION_HIGH: Final = 600.0
"""Largest believable precipitation of a day [kg m-2] (judged; the hour's limit is in the table)."""

ORIGINS: Final[Mapping[int, str]] = MappingProxyType(
    {
        0: "measured",
        1: "other station",
        2: "model analysis",
        3: "filled",
        4: "forecast",
        5: "past winter",
    }
)
MEASURED, FILLED, FORECAST, PAST_WINTER = 0, 3, 4, 5
"""Origins that this chapter itself gives to values."""
