"""Microclimate: the station's weather as each zone feels it, and what its ground is.

| file | holds |
|---|---|
| zone_weather | zone_weather(weather, course, zone) |
| zone_ground | zone_ground(course) |
| horizon | share of the sky seen, when trees hide the sun |
| sun | beam and sky light, slope, light from the surroundings |
| longwave | sky and surroundings |
| wind | shelter and exposure |
| cold_air | pools and drains of cold air on clear calm nights |
"""

from winterrisk.microclimate.zone_ground import zone_ground
from winterrisk.microclimate.zone_weather import zone_weather

__all__ = ["zone_ground", "zone_weather"]
