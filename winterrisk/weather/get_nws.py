"""The forecast of the US National Weather Service's grid for a place: no key, only a contact."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import xarray as xr

from winterrisk.science.faults import Fault
from winterrisk.weather.forecast import STALE, doubt_of_age
from winterrisk.weather.forecast_grid_layers import SOURCE, grid_forecast, utc_second
from winterrisk.weather.get_answer import FIRST_PAUSE, PATIENCE, READ_TIMEOUT, Answer, get_answer
from winterrisk.weather.refused import WeatherError

BASE: Final = "https://api.weather.gov"
ACCEPT: Final = "application/geo+json"
REFUSALS: Final = {
    403: 'name a contact the service accepts: course.toml [forecast] contact = "you@your-club.example"',
    404: 'the US service does not know this place: use source = "MET Norway" in [forecast]',
}


@dataclass(frozen=True)
class Fetched:
    """A forecast and the answers it was read from, by address: to be kept and handed in the next time."""

    forecast: xr.Dataset
    answers: Mapping[str, Answer]


def get_nws(
    latitude: float,
    longitude: float,
    *,
    contact: str,
    last: Mapping[str, Answer] | None = None,
    base: str = BASE,
    patience: float = PATIENCE,
    first_pause: float = FIRST_PAUSE,
    read_timeout: float = READ_TIMEOUT,
) -> Fetched:
    """The forecast (time) of the grid cell a place lies in, about seven days, with its answers.

    The place's grid address is asked first, then the grid. A grid issued more than 24 h ago is asked for again
    while `patience` [s] lasts and then taken as it is, with a doubt and its true lead time.

    Args:
        latitude, longitude [degrees]; contact: the course's e-mail or web address.
        last: answers of an earlier call; what has not expired is not asked again.
        base: another start of the addresses, https or loopback.
        first_pause, read_timeout [s].
    Raises:
        WeatherError: no contact, a place outside, nothing usable in time, or an answer in another form.
    """
    known = last or {}
    how = {"service": SOURCE, "contact": contact, "base": base, "accept": ACCEPT, "refusals": REFUSALS}
    limits = {"patience": patience, "first_pause": first_pause, "read_timeout": read_timeout}
    place = f"{base}/points/{_degrees(latitude)},{_degrees(longitude)}"
    point = get_answer(place, last=known.get(place), **how, **limits)  # type: ignore[arg-type]
    grid_address = str((point.content.get("properties") or {}).get("forecastGridData") or "")
    if not grid_address:
        raise WeatherError(
            Fault(SOURCE, "no grid for this place", "forecastGridData in its answer", REFUSALS[404])
        )
    grid = get_answer(
        grid_address,
        last=known.get(grid_address),
        doubt=_stale,
        **how,
        **limits,  # type: ignore[arg-type]
    )
    forecast = grid_forecast(grid.content, np.datetime64(grid.received))
    return Fetched(forecast, {place: point, grid_address: grid})


def _degrees(value: float) -> str:
    """At most four decimals and no trailing zero: the service redirects anything else."""
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _stale(answer: Answer) -> str:
    issued = (answer.content.get("properties") or {}).get("updateTime")
    try:
        return doubt_of_age(utc_second(str(issued)), np.datetime64(answer.received))
    except ValueError:
        return f"a grid without a time of issue, expected one under {STALE} h old"
