"""Where each number of a column lives: nodes from the top down, the state vector, the layer table.

Nodes: 0-2 snow (top, middle, base), 3 water and ice on the turf, 4.. mat and soil down to 3 m.
"""

import numpy as np

SNOW = 3
POND = 3
TURF = 4
DEPTHS = np.array([0.005, 0.010, 0.015, 0.040, 0.060, 0.140, 0.230, 0.350, 0.550, 0.700, 0.900])
"""Thickness of the ground layers [m]; the second is centred on the crown, 1 cm below the top of the
thatch."""
LAYERS = 11
NODES = 15
CENTRES = np.cumsum(DEPTHS) - DEPTHS / 2
"""Depth of each layer's centre below the top of the thatch [m]."""
CROWN = 5
"""Node of the crown."""
FIVE_CM = 7
"""Node centred 5 cm down."""
SCRATCH = 9
"""Rows of numbers by node that an hour works with."""

# state vector of one column
HEAT = 0  # enthalpy of each node against ice at 0 degC [J m-2]
MASS = 15  # water in each node, frozen and liquid [kg m-2]
THICK = 30  # snow layers [m]
ALBEDO = 33  # of the snow [1]
SURFACE = 34  # surface temperature [degC]
WHITE = 35  # white share of the ice sheet, as mass [kg m-2]
GAP = 36  # melted at the turf and drained: the air gap under the ice [kg m-2]
COVER_R = 37  # resistance of a laid cover [m2 K W-1]
COVER_SHEDS = 38  # share of water a laid cover sheds [1]
COVER_SUN = 39  # share of sun a laid cover passes, 0 when none lies [1]
COVER_SEALS = 40  # how far a laid cover keeps air out [1]
VENTED = 41  # hours for which the turf breathes whatever lies on it [h]
DARK = 42  # dark sand on snow or ice [1]
STORE = 43  # factor on the zone's storage (banked above 1, opened below 1)
ICE_HOURS = 44  # length of the present spell under ice [h]
BARE_HOURS = 45  # hours without ice since [h]
KEPT = 46  # 1 while a person's dates say there is ice
TREATED = 47  # 1 after a person's clearing, cover or venting
ARMED = 48  # thawed since the last freeze [1]
CHILLED = 49  # frozen since the last thaw [1]
CROWN_BEFORE = 50  # crown temperature of the last hour [degC]
SIX = 51  # crown temperature of the last five hours, newest first [degC]
DAY = 56  # local day the sums below belong to [days since 1970]
SUMS = 57  # first of the day's sums, in the order of DAY_SUMS
SUMS_COUNT = 32
WATER_ERROR = 89  # sum of hourly water errors [kg m-2]
ENERGY_ERROR = 90  # sum of hourly energy errors [J m-2]
EVENT_WATER = 91  # water set by people's observations [kg m-2]
EVENT_HEAT = 92  # heat set by people's observations [J m-2]
SIZE = 93

# the day's sums
(
    D_HOURS,
    D_MIN,
    D_MEAN,
    D_MAX,
    D_SIX,
    D_THAWED,
    D_WET,
    D_WATER,
    D_COOLING,
    D_SEALED,
    D_BY_ICE,
    D_BY_CROWN,
    D_BY_COVER,
    D_STORE,
    D_REAIRED,
    D_SWINGS,
    D_SNOW,
    D_SNOW_MAX,
    D_SNOW_UNFROZEN,
    D_ICE_MAX,
    D_ICE_DAYS,
    D_OVER_FROZEN,
    D_RAIN_ON_SNOW,
    D_DRYING,
    D_SOIL5,
    D_DATA,
    D_TREATED,
    D_WATER_ERROR,
    D_ENERGY_ERROR,
) = range(29)

# layer table of one column: (LAYERS, PROPERTIES)
(
    DRY_HEAT,
    PORE,
    FIELD,
    WILT,
    K_DRY,
    K_WET,
    K_FROZEN,
    SHAPE_WET,
    SHAPE_FROZEN,
    RAMP,
    FREEZING,
    CONDUCT,
    ROOTS,
    POROSITY,
) = range(14)
PROPERTIES = 14

# weather of one hour
(
    AIR,
    DEW,
    WIND,
    PRECIPITATION,
    PRESSURE,
    SUN,
    SKY,
    SNOW_SHARE,
    FREEZING_RAIN,
    DATA,
    WATERED,
) = range(11)
WEATHER = 11

# hourly output of one column
(
    O_SNOW_DEPTH,
    O_SNOW_WATER,
    O_ICE,
    O_CLEAR,
    O_WATER,
    O_SEALED,
    O_SURFACE,
    O_CROWN,
    O_SATURATION,
    O_LIQUID,
    O_FROST,
    O_THAW,
    O_WATER_ERROR,
    O_ENERGY_ERROR,
    O_ALBEDO,
    O_RUNOFF,
) = range(16)
O_SOIL = 16
OUTPUTS = O_SOIL + LAYERS
