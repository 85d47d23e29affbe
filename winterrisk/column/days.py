"""A winter's hours reduced to days inside the loop: what the hazards ask of a day."""

import numpy as np
from numpy.typing import NDArray

from winterrisk.column import layout as at
from winterrisk.column import parameters as par
from winterrisk.column.ice import air_days, ice_mass, ramp, seals
from winterrisk.science.compiled import njit_unasked
from winterrisk.science.constants import DENSITY_ICE

ICE_DAY = 3.0
"""Ice that makes a day under ice [mm] (convention of the package)."""
ICE_PER_MM = DENSITY_ICE / 1000.0
"""Mass of a millimetre of ice [kg m-2 mm-1]."""
BRIDGED = 24.0
"""Hours without ice that end a spell [h] (convention of the package)."""
STRONG_DRYING = 3.0
"""Evaporation asked of frozen turf in a day that counts as a strong drying day [kg m-2] (judged)."""
ROOTS_OPEN, ROOTS_SHUT = 0.65, 0.90
"""Share of the roots in ice from which, and at which, turf gets no water [1] (judged)."""
THAWED_OVER = 0.1
"""Half width over which an hour passes from frozen to thawed [K] (keeps a hair's change from moving a
count)."""


@njit_unasked
def new_day(state: NDArray[np.float64], day: float) -> None:
    """Empties the day's sums."""
    state[at.DAY] = day
    for i in range(at.SUMS, at.SUMS + at.SUMS_COUNT):
        state[i] = 0.0
    state[at.SUMS + at.D_MIN] = 1e9
    state[at.SUMS + at.D_SIX] = 1e9
    state[at.SUMS + at.D_MAX] = -1e9


@njit_unasked
def swung(state: NDArray[np.float64], crown: float) -> float:
    """Part of a swing completed in the hour [1]: thawed to +1, then frozen to -1 degC, each faded over 0.5
    K."""
    thaw = ramp(crown, 0.5, 1.5)
    freeze = ramp(-crown, 0.5, 1.5)
    done = 0.0
    if freeze > state[at.CHILLED]:
        done = state[at.ARMED] * (freeze - state[at.CHILLED])
        state[at.CHILLED] = freeze
    if thaw > 0.0:
        state[at.ARMED] = max(state[at.ARMED] * (1.0 - state[at.CHILLED]), thaw)
        state[at.CHILLED] = 0.0
    return done


@njit_unasked
def count_ice(state: NDArray[np.float64], ice: float) -> None:
    """Keeps the spell under ice: gaps under a day are bridged, a person's dates hold it.

    Args:
        ice [kg m-2]: ice on the turf.
    """
    if ice / ICE_PER_MM >= ICE_DAY or state[at.KEPT] > 0.5:
        state[at.ICE_HOURS] += 1.0
        if state[at.ICE_HOURS] > 1.0:
            state[at.ICE_HOURS] += state[at.BARE_HOURS]
        state[at.BARE_HOURS] = 0.0
    elif state[at.ICE_HOURS] > 0.0:
        state[at.BARE_HOURS] += 1.0
        if state[at.BARE_HOURS] >= BRIDGED:
            state[at.ICE_HOURS] = 0.0
            state[at.BARE_HOURS] = 0.0


@njit_unasked
def crown_saturation(
    state: NDArray[np.float64], layers: NDArray[np.float64], liquid: NDArray[np.float64]
) -> tuple[float, float]:
    """Water over pores in the crown zone, all and liquid [1]."""
    pore = layers[0, at.PORE] + layers[1, at.PORE]
    first, second = state[at.MASS + at.TURF], state[at.MASS + at.TURF + 1]
    return (first + second) / pore, (first * liquid[0] + second * liquid[1]) / pore


@njit_unasked
def frozen_below(layers: NDArray[np.float64], liquid: NDArray[np.float64]) -> float:
    """How frozen the ground is somewhere in the top 30 cm below the crown [1]."""
    most = 0.0
    for j in range(2, 6):
        most = max(most, 1.0 - liquid[j])
    return ramp(most, 0.2, 0.8)


@njit_unasked
def roots_shut(layers: NDArray[np.float64], liquid: NDArray[np.float64]) -> float:
    """How far frozen ground shuts the roots off from water [1]: none with a third of them in thawed ground.

    A sun-thawed top waters the turf above a frozen root zone; what dries is turf frozen through (judged).
    """
    frozen = 0.0
    for j in range(6):
        frozen += layers[j, at.ROOTS] * (1.0 - liquid[j])
    return ramp(frozen, ROOTS_OPEN, ROOTS_SHUT)


@njit_unasked
def add_hour(
    state: NDArray[np.float64],
    layers: NDArray[np.float64],
    p: NDArray[np.float64],
    hour: NDArray[np.float64],
    temperature: NDArray[np.float64],
    liquid: NDArray[np.float64],
    rain_on_snow: float,
    demand: float,
) -> float:
    """Adds one hour to the day's sums; how far the turf is sealed [1].

    Args:
        rain_on_snow [kg m-2]: rain that fell on snow.
        demand [kg m-2]: evaporation a snowless surface would have met, 0 under snow, ice or a cover.
    """
    crown = temperature[at.CROWN]
    sums = state[at.SUMS :]
    freezing = p[par.CROWN_FREEZING]
    thawed = ramp(crown, freezing - THAWED_OVER, freezing + THAWED_OVER)
    water, wet = crown_saturation(state, layers, liquid)
    by_ice, by_crown, by_cover = seals(state, layers, p, crown, liquid)
    sealed = 1.0 - (1.0 - by_ice) * (1.0 - by_crown) * (1.0 - by_cover)
    depth = state[at.THICK] + state[at.THICK + 1] + state[at.THICK + 2]
    ice = ice_mass(state)
    frozen = frozen_below(layers, liquid)
    count_ice(state, ice)

    if sums[at.D_HOURS] < 0.5 or crown < sums[at.D_MIN]:
        sums[at.D_MIN] = crown
        sums[at.D_WATER] = min(1.0, water)
    sums[at.D_HOURS] += 1.0
    sums[at.D_MEAN] += crown
    sums[at.D_MAX] = max(sums[at.D_MAX], crown)
    mean = crown
    for k in range(5):
        mean += state[at.SIX + k]
    sums[at.D_SIX] = min(sums[at.D_SIX], mean / 6.0)
    for k in range(4, 0, -1):
        state[at.SIX + k] = state[at.SIX + k - 1]
    state[at.SIX] = crown
    sums[at.D_THAWED] += thawed
    sums[at.D_WET] += thawed * ramp(wet, 0.70, 0.95)
    cooled = (state[at.CROWN_BEFORE] - crown) * ramp(freezing - crown, 0.0, 1.0)
    sums[at.D_COOLING] = max(sums[at.D_COOLING], cooled)
    state[at.CROWN_BEFORE] = crown
    sums[at.D_SEALED] += sealed
    sums[at.D_BY_ICE] += by_ice
    sums[at.D_BY_CROWN] += by_crown
    sums[at.D_BY_COVER] += by_cover
    sums[at.D_STORE] += air_days(state, layers, p, liquid)
    sums[at.D_REAIRED] += (1.0 - sealed) * ramp(crown, -0.6, -0.4)
    sums[at.D_SWINGS] += swung(state, crown)
    sums[at.D_SNOW] += depth
    sums[at.D_SNOW_MAX] = max(sums[at.D_SNOW_MAX], depth)
    sums[at.D_SNOW_UNFROZEN] += ramp(depth, 0.01, 0.03) * thawed
    sums[at.D_ICE_MAX] = max(sums[at.D_ICE_MAX], ice)
    sums[at.D_ICE_DAYS] = state[at.ICE_HOURS] / 24.0
    sums[at.D_OVER_FROZEN] += thawed * frozen
    sums[at.D_RAIN_ON_SNOW] += rain_on_snow
    sums[at.D_DRYING] += demand * roots_shut(layers, liquid)
    sums[at.D_SOIL5] += temperature[at.FIVE_CM]
    sums[at.D_DATA] += hour[at.DATA]
    sums[at.D_TREATED] = max(sums[at.D_TREATED], state[at.TREATED])
    return sealed


@njit_unasked
def write_day(state: NDArray[np.float64], day: NDArray[np.float32]) -> None:
    """Writes the day's variables in the order of DAY_VARIABLES."""
    sums = state[at.SUMS :]
    hours = max(1.0, sums[at.D_HOURS])
    day[0] = sums[at.D_MIN]
    day[1] = sums[at.D_MEAN] / hours
    day[2] = sums[at.D_MAX]
    day[3] = sums[at.D_SIX]
    day[4] = sums[at.D_THAWED]
    day[5] = sums[at.D_WET]
    day[6] = sums[at.D_WATER]
    day[7] = sums[at.D_COOLING]
    day[8] = sums[at.D_SEALED]
    by = 0.0
    most = 0.5
    for k in range(3):
        if sums[at.D_BY_ICE + k] > most:
            most = sums[at.D_BY_ICE + k]
            by = k + 1.0
    day[9] = by
    day[10] = sums[at.D_STORE] / hours
    day[11] = sums[at.D_REAIRED]
    day[12] = sums[at.D_SWINGS]
    day[13] = sums[at.D_SNOW] / hours
    day[14] = sums[at.D_SNOW_MAX]
    day[15] = sums[at.D_SNOW_UNFROZEN]
    day[16] = sums[at.D_ICE_MAX] / ICE_PER_MM
    day[17] = sums[at.D_ICE_DAYS]
    day[18] = sums[at.D_OVER_FROZEN]
    day[19] = sums[at.D_RAIN_ON_SNOW]
    day[20] = 1.0 - np.exp(-sums[at.D_DRYING] / STRONG_DRYING)
    day[21] = sums[at.D_SOIL5] / hours
    day[22] = sums[at.D_DATA] / hours
    day[23] = sums[at.D_TREATED]
    day[24] = sums[at.D_WATER_ERROR]
    day[25] = sums[at.D_ENERGY_ERROR]


DAY_VARIABLES = {
    "crown_temperature_min": ("degC", "lowest crown temperature of the day"),
    "crown_temperature_mean": ("degC", "mean crown temperature of the day"),
    "crown_temperature_max": ("degC", "highest crown temperature of the day"),
    "crown_temperature_min_6h": ("degC", "lowest mean crown temperature over six hours"),
    "hours_thawed": ("h", "hours with the crown above its freezing point"),
    "hours_wet": ("h", "hours with the crown thawed in liquid water"),
    "crown_water": ("1", "water over pores in the crown zone at the day's coldest hour"),
    "cooling_at_freeze": ("K h-1", "fastest cooling of the freezing crown"),
    "hours_sealed": ("h", "hours with the turf shut off from the air"),
    "sealed_by": ("1", "what shuts it off: 0 nothing, 1 ice on contact, 2 saturated frozen crown, 3 cover"),
    "air_store": ("d", "days the air shut in with the crowns lasts at 0 degC"),
    "reaerated": ("h", "hours open to the air with the crown above -0.5 degC"),
    "swings": ("1", "thaws to +1 followed by freezes to -1 degC at the crown"),
    "snow_depth_mean": ("m", "mean snow depth"),
    "snow_depth_max": ("m", "largest snow depth"),
    "hours_snow_on_unfrozen": ("h", "hours with snow on an unfrozen crown"),
    "ice_thickness_max": ("mm", "thickest ice on the turf"),
    "days_under_ice": ("d", "length of the present spell under 3 mm of ice or more"),
    "hours_thawed_over_frozen": ("h", "hours with the crown thawed above frozen ground"),
    "rain_on_snow": ("kg m-2", "rain that fell on snow"),
    "drying": ("1", "drying of snowless turf over a frozen root zone, 0 none to 1 strong"),
    "soil_temperature_5cm_mean": ("degC", "mean temperature 5 cm below the top of the thatch"),
    "data_share": ("1", "share of air temperature and precipitation that was measured"),
    "treated": ("1", "1 after snow or ice was cleared, a cover laid or the turf vented"),
    "water_balance_error": ("kg m-2", "largest hourly error of the water budget"),
    "energy_balance_error": ("W m-2", "largest hourly error of the energy budget"),
}
"""Daily variables in the order they are written, with unit and long name."""
