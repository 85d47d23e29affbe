"""Recovery: why it happened there, what can be done about it, and when a green may be played again.

| file | holds |
|---|---|
| damage | how much of each zone is dead, and who says so |
| thermal_time, soil_ahead | warmth in the soil of past springs |
| grow_in, options | wait, plug, seed, sod: days, amounts, order dates, hours |
| spread_of_days | days of many springs as P10, P50, P90 |
| order_or_wait | what ordering now, never, or after plugs is expected to cost |
| reopening, crew, plan | hole locations, working days, the whole plan of a date |
| changes, why_there | the winter replayed with one thing changed |
| covers, cover_air | covers: laid on frozen ground or not, air due, gas, heat beneath |

Days come from soil at 5 cm: measured to the date, then as past springs of the same station went.
"""

from winterrisk.recovery.damage import ZoneDamage, zone_damages
from winterrisk.recovery.order_or_wait import OrderOrWait, order_or_wait
from winterrisk.recovery.plan import Plan, recovery_plan
from winterrisk.recovery.reopening import hole_locations
from winterrisk.recovery.thermal_time import day_reached, degree_days, first_warm_day

__all__ = [
    "OrderOrWait",
    "Plan",
    "ZoneDamage",
    "day_reached",
    "degree_days",
    "first_warm_day",
    "hole_locations",
    "order_or_wait",
    "recovery_plan",
    "zone_damages",
]
