"""Weather: a station's file in, possible winters out.

| file | holds |
|---|---|
| variables, units | the one table of variables: unit, names, limits; a file's units turned into ours |
| read_station, read_course_station | a CSV file to a Dataset; nothing filled |
| station_text, station_times, station_values | the file as table, its times, its numbers; what is refused |
| received, receipts, archive | all that was ever received of a source, what was known when; its file |
| course_weather, read_course_weather, get_course_weather | the sources of a course; the checked record of one night |
| get_meteostat, station_choice | the online history; which stations serve a course, and why |
| checks | what is wrong, doubtful or unconfirmed in a record |
| gauge, shield, rain_or_snow, cold_valley | what a gauge and a thermometer can be believed |
| second_source, bias, blend | holes filled from other records |
| known, night | what was known at an instant; the weather of one night |
| complete, complete_air, complete_radiation, hours | all required variables at every hour, each value with its origin |
| half_cosines, fronts, daily_to_hourly, day_ends, local_days | a daily record as hours, whoever reads it when |
| humidity, wind, pressure, freeze_thaw | dew point, wind at 10 m, air pressure; counts of frost and thaw |
| sun_position, extraterrestrial, solar, longwave | the sun, its day sums, clear and cloudy sky |
| usual, bridge, gaps, other_winters | the usual value, across a gap, who lends |
| data_share | share of measured hours, list of what was filled |
| forecast, forecast_* | the one shape of a forecast, its errors, the paths it becomes |
| get_forecast, get_nws, get_met_norway, read_forecast_file | where forecasts come from |
| get_night_forecast, read_forecasts, write_forecast | fetched until the night must speak, kept, read back |
| events_ahead | the next thaw, rain on snow, hard freeze, spell to drain |
| possible | paths (time, member): gaps filled anew, past winters to follow |
| record, path_fills, winters, continuation, gap_extremes, gap_groups | the steps of it |

Needs of a record: temperature and precipitation. Leaves: the variables of the table, `<name>_origin` (0
measured, 1 other station, 2 model analysis, 3 filled, 4 forecast, 5 past winter), air_temperature_sd [K],
sun_elevation, sun_azimuth [degree], shortwave_clear [W m-2].
"""

from winterrisk.weather.complete import complete
from winterrisk.weather.data_share import data_share, filled
from winterrisk.weather.known import known_by
from winterrisk.weather.possible import possible
from winterrisk.weather.read_course_station import read_course_station
from winterrisk.weather.read_station import read_station
from winterrisk.weather.refused import WeatherError
from winterrisk.weather.variables import OPTIONAL, ORIGINS, REQUIRED, VARIABLES, Variable

__all__ = [
    "OPTIONAL",
    "ORIGINS",
    "REQUIRED",
    "VARIABLES",
    "Variable",
    "WeatherError",
    "complete",
    "data_share",
    "filled",
    "known_by",
    "possible",
    "read_course_station",
    "read_station",
]
