"""Published hardiness models, written anew from their papers: second witnesses, not used by the package.

FROSTOL: Bergjord, Bonesmo, Skjelvag 2008, Eur J Agron 28:321-330 (winter wheat).
WCSM: Byrns et al. 2020, Crop Sci 60:2408-2419; Fowler et al. 2014, Crop Sci 54:2395-2405 (winter cereals).
BASGRA: Thorsen, Hoglind 2010; Hoglind et al. 2016 (timothy), parameter set A unless told.
Rates are K d-1 unless told; LT50 is the temperature [degC] that kills half.
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Frostol:
    """FROSTOL with its published parameters."""

    lt50c: float = -24.0
    hardening: float = 0.0093
    dehardening: float = 2.7e-5
    stress: float = 1.9
    breathing: float = 0.54
    full_snow: float = 0.125

    @property
    def lt50i(self) -> float:
        """Kill temperature without hardening [degC]."""
        return -0.6 + 0.142 * self.lt50c

    def hardening_rate(self, crown: float, lt50: float) -> float:
        """Gain of hardiness below 10 degC."""
        return self.hardening * (10.0 - min(10.0, max(0.0, crown))) * (lt50 - self.lt50c)

    def dehardening_rate(self, crown: float, lt50: float, vernalized: bool) -> float:
        """Loss above 10 degC, or above -4 degC once vernalized."""
        if crown <= (-4.0 if vernalized else 10.0):
            return 0.0
        return self.dehardening * (self.lt50i - lt50) * (crown + 4.0) ** 3

    def snow_factor(self, snow: float) -> float:
        """How fully a snow depth [m] keeps the crown breathing [0-1]."""
        return min(1.0, max(0.0, snow / self.full_snow))

    def breathing_rate(self, crown: float, snow: float) -> float:
        """Loss by respiration under snow [m]."""
        relative = (math.exp(0.84 + 0.051 * max(crown, -2.5)) - 2.0) / 1.85
        return self.breathing * relative * self.snow_factor(snow)

    def stress_rate(self, crown: float, lt50: float) -> float:
        """Loss by cold near the kill temperature (positive, as in the authors' own data)."""
        above = crown - lt50
        return above * math.exp(-self.stress * above + 3.74)

    def day(self, crown: float, lt50: float, snow: float, vernalized: bool) -> float:
        """LT50 of the next day [degC]."""
        gain = 0.0 if vernalized or crown >= 10.0 else self.hardening_rate(crown, lt50)
        loss = self.dehardening_rate(crown, lt50, vernalized) + self.breathing_rate(crown, snow)
        return lt50 - gain + loss + self.stress_rate(crown, lt50)


@dataclass(frozen=True)
class Wcsm:
    """Winter cereal survival model; default the hardy cultivar of the paper."""

    lt50c: float = -24.0

    @property
    def threshold(self) -> float:
        """Temperature below which hardening starts [degC]."""
        return 3.7214 - 0.4011 * self.lt50c

    def hardening_rate(
        self, crown: float, lt50: float, vegetative: float = 1.0, damage: float = 0.0
    ) -> float:
        """Gain of hardiness; capacity lost to damage is never regained."""
        return vegetative * max(0.0, 0.014 * (self.threshold - crown) * (lt50 - (self.lt50c + damage)))

    def dehardening_rate(self, crown: float) -> float:
        """Loss at full rate."""
        return 5.05 / (1.0 + math.exp(4.35 - 0.28 * min(crown, self.threshold)))

    def breathing_rate(self, crown: float) -> float:
        """Loss while the trailing mean is steady near freezing."""
        return 0.54 * (math.exp(0.84 + 0.051 * crown) - 2.0) / 1.85

    def stress_rate(self, crown: float, least_lt50: float) -> float:
        """Loss by cold near the hardest kill temperature reached."""
        above = least_lt50 - crown
        return abs(above / math.exp(-0.654 * above - 3.74))


@dataclass(frozen=True)
class Basgra:
    """Timothy; parameter set A."""

    lt50mx: float = -4.79
    dehardening: float = 0.00318
    surface: float = 0.623
    fastest: float = 2.0
    days_a: float = 1.34
    days_b: float = -2.113
    steepness: float = 0.2
    frost: float = 1.0

    def half_kill_days(self, lt50: float) -> float:
        """Days without air that kill half [d]."""
        return self.days_a + self.days_b * lt50

    def dehardening_rate(self, surface: float, lt50: float) -> float:
        """Loss at a surface temperature [degC]."""
        rate = self.dehardening * (self.lt50mx - lt50) * (surface + self.surface)
        return max(0.0, min(self.fastest, rate))

    def frost_death(self, surface: float, lt50: float) -> float:
        """Share that dies of frost in a day [0-1]."""
        return min(0.5, 1.0 - 1.0 / (1.0 + math.exp(-self.frost * (surface - lt50))))

    def airless_survival(self, days: int, half_days: float) -> float:
        """Share alive after days without air [0-1]."""
        alive = 1.0
        for day in range(1, days + 1):
            alive *= 1.0 - self.steepness / (1.0 + math.exp(-self.steepness * (day - half_days)))
        return alive


SET_B = Basgra(-4.54, 0.00190, 3.353, 1.81, 1.555, -2.172, 0.640, 0.962)
