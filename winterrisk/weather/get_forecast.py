"""The forecast a course asked for, from whichever source its file names."""

from collections.abc import Mapping
from typing import Any

from winterrisk.course import Course
from winterrisk.science.faults import Fault
from winterrisk.weather.get_answer import PATIENCE, Answer
from winterrisk.weather.get_met_norway import get_met_norway
from winterrisk.weather.get_nws import Fetched, get_nws
from winterrisk.weather.read_forecast_file import read_forecast_file
from winterrisk.weather.refused import WeatherError


def get_forecast(
    course: Course,
    *,
    last: Mapping[str, Answer] | None = None,
    patience: float = PATIENCE,
    base: str | None = None,
) -> Fetched | None:
    """The forecast of the source in [forecast] and the answers it was read from; None where the source is none.

    Args:
        course: place, source, file and contact.
        last: answers kept from earlier (`read_last_answers`), so that nothing is asked for too soon or twice.
        patience [s]: how long a failed request is repeated: until the night must speak.
        base: another start of the addresses, https or loopback.
    Raises:
        WeatherError: one plain line: what went wrong, and what to do.
    """
    wanted, place = course.forecast, course.place
    how: dict[str, Any] = {"contact": wanted.contact, "last": last, "patience": patience}
    if base is not None:
        how["base"] = base
    if wanted.source == "US NWS":
        return get_nws(place.latitude, place.longitude, **how)
    if wanted.source == "MET Norway":
        return get_met_norway(place.latitude, place.longitude, place.elevation, **how)
    if wanted.source == "file":
        if not wanted.file:
            move = 'add file = "forecast.nc", or name another source'
            raise WeatherError(Fault("course.toml: forecast.file", "nothing", "a NetCDF file", move))
        path = course.folder / wanted.file
        return Fetched(read_forecast_file(path, place.latitude, place.longitude), {})
    return None
