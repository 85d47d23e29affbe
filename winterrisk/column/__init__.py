"""The winter column: snow, ice, water, mat and soil under one zone, hour by hour.

| name | what it gives |
|---|---|
| run | the winter at the turf, hourly or by day |
| State | the column between two hours, to branch from in memory |
| ColumnError | weather or ground it cannot work with |
| at_depth | hourly temperature at any depth |
| driven_ground, soil_layers | the ground alone below a measured temperature, for checks |

Needs: zone weather (degC, kg m-2, m s-1, hPa, W m-2, 1) and the zone's ground. Gives: degC, m, mm, kg m-2, h.
"""

from winterrisk.column.driven import driven_ground, soil_layers
from winterrisk.column.run import ColumnError, at_depth, run
from winterrisk.column.state import State

__all__ = ["ColumnError", "State", "at_depth", "driven_ground", "run", "soil_layers"]
