"""What stands for the days ahead of a past night: the forecast kept then, one made afterwards, or none."""

import datetime as dt
from collections.abc import Callable
from typing import Final, Literal, get_args

import numpy as np
import xarray as xr

from winterrisk.course import Course, night_instant, winter_of
from winterrisk.science.faults import Fault, Refused
from winterrisk.weather.forecast_of_truth import forecast_of_truth, usuals_of
from winterrisk.weather.get_night_forecast import read_night_forecast

Rule = Literal["archived", "errors", "none"]
Ahead = Callable[[dt.date], xr.Dataset | None]
RULES: Final[tuple[str, ...]] = get_args(Rule)
WORDS: Final[dict[str, str]] = {
    "none": "none: past winters of the record ahead of each night",
    "archived": "archived: the forecast kept in weather/forecasts, as known each night; past winters after it, and "
    "on nights without one",
    "errors": "errors: made afterwards, the weather that came, spoilt as forecasts are, seven days; past winters "
    "after it",
}
LENT: Final = 8 * 8766
"""Hours of the record before a night from which such a forecast takes other rain [h] (judged: eight years)."""
LEAST: Final = 24
"""Hours of weather after a night without which no forecast is made of it [h] (judged)."""


def made(course: Course, came: xr.Dataset) -> Ahead:
    """Forecasts made of what came; None for a night with which the record ends.

    Args:
        came (time): the record whole, as it is known today.
    """
    usuals = usuals_of(came)
    times = came["time"].to_numpy()

    def ahead(on: dt.date) -> xr.Dataset | None:
        issued = np.datetime64(night_instant(on, course.timezone)).astype("datetime64[h]")
        at = int((issued - times[0].astype("datetime64[h]")) / np.timedelta64(1, "h"))
        if not 0 < at < len(times) - LEAST:
            return None
        near = came.isel(time=slice(max(at - LENT, 0), at + 24 * 9))
        return forecast_of_truth(near, issued, usuals=usuals, key=(course.id, winter_of(on)))

    return ahead


def days_ahead(rule: str, course: Course, came: Callable[[], xr.Dataset]) -> Ahead:
    """Gives the forecast (time[, member]) of a past night by its date, None where there is none.

    Never the bare weather that came: that would know what no service knew.

    Args:
        rule: archived, errors or none; came: makes the whole record (time), asked for with "errors" alone.
    Raises:
        Refused: another rule, or "archived" for a course whose file names no forecast.
    """
    if rule == "none":
        return lambda on: None
    if rule == "errors":
        return made(course, came())
    if rule != "archived":
        raise Refused(Fault("--forecast", repr(rule), "archived, errors or none", "choose one of the three"))
    if course.forecast.source == "none":
        raise Refused(
            Fault("--forecast archived", "no [forecast] in course.toml", "a course that keeps forecasts",
                  "name a source in [forecast], or use --forecast errors")
        )  # fmt: skip
    return lambda on: read_night_forecast(course, on, None)
