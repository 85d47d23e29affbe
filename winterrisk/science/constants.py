"""Physical constants: name, value, unit, source. Derived ones are computed."""

from typing import Final

ZERO_CELSIUS: Final = 273.15
"""Melting point of ice at standard pressure [K] (ITS-90)."""

LATENT_FUSION: Final = 3.337e5
"""Heat to melt ice at 0 degC [J kg-1] (handbook value, from memory)."""
LATENT_VAPORISATION: Final = 2.501e6
"""Heat to evaporate water at 0 degC [J kg-1] (WMO, from memory)."""
LATENT_SUBLIMATION: Final = LATENT_VAPORISATION + LATENT_FUSION
"""Heat to sublimate ice at 0 degC [J kg-1]; derived."""

STEFAN_BOLTZMANN: Final = 5.670374e-8
"""[W m-2 K-4] (CODATA 2018)."""
GRAVITY: Final = 9.81
"""[m s-2]."""
VON_KARMAN: Final = 0.4
"""[1] (common practice)."""
GAS_CONSTANT_DRY_AIR: Final = 287.05
"""[J kg-1 K-1]."""
VAPOUR_MASS_RATIO: Final = 0.622
"""Molar mass of water over that of dry air [1]."""

HEAT_WATER: Final = 4218.0
"""Specific heat of water at 0 degC [J kg-1 K-1]."""
HEAT_ICE: Final = 2100.0
"""Specific heat of ice [J kg-1 K-1]."""
HEAT_AIR: Final = 1005.0
"""Specific heat of dry air at constant pressure [J kg-1 K-1]."""

DENSITY_WATER: Final = 1000.0
"""[kg m-3]."""
DENSITY_ICE: Final = 917.0
"""[kg m-3]."""
CONDUCTIVITY_ICE: Final = 2.24
"""[W m-1 K-1] at 0 degC."""
CONDUCTIVITY_WATER: Final = 0.57
"""[W m-1 K-1] at 0 degC."""

MAGNUS_PRESSURE: Final = 6.112
"""Saturation vapour pressure at 0 degC [hPa] (WMO-No. 8, from memory)."""
MAGNUS_WATER: Final = (17.62, 243.12)
"""Magnus coefficients over water, valid -45..60 degC [1, degC] (WMO-No. 8, from memory)."""
MAGNUS_ICE: Final = (22.46, 272.62)
"""Magnus coefficients over ice, valid -65..0 degC [1, degC] (WMO-No. 8, from memory)."""
PSYCHROMETER_WATER: Final = 6.62e-4
"""Psychrometer coefficient of a ventilated wet bulb [K-1] (from memory)."""

STANDARD_PRESSURE: Final = 1013.25
"""Pressure of the standard atmosphere at sea level [hPa]."""

SECONDS_PER_HOUR: Final = 3600.0
HOURS_PER_DAY: Final = 24
